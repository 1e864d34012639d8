"""Offline, voice-driven findings logger for the head, neck and oral examination."""

import os

# The official builds of onnxruntime report their use to their maker over the network unless this
# is set before they are loaded (its Privacy.md, "Disabling Telemetry"). Child processes inherit it.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"
