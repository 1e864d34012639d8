"""The Vosk engine: any Vosk model directory, run in a process of its own.

libvosk ends its process on some inputs (a graph file half copied, an empty configuration,
a grammar of nothing), and prints on the terminal. Here it ends and prints in a child
process, so none of that reaches the session; see `worker`.
"""
