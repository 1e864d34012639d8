"""The Vosk engine, for a clinic that has a Vosk model."""
