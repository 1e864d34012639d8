"""Speech to words: the port (`port`), what was heard (`heard`) and the engines behind it."""
