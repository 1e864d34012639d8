"""The parts of the screens, one to a file."""
