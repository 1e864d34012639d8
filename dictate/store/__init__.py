"""Keeps sessions: a crash-safe journal for drafts, a database for signed records."""
