"""Scripts that adapt the packaged speech model to the trade's words. Not part of the wheel."""
