"""An invented clinic, made by the same examination, matcher and store as any other."""
