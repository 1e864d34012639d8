"""Offline, voice-driven findings logger for the head, neck and oral examination."""
