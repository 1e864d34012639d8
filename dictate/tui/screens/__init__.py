"""The screens and dialogs, one to a file."""
