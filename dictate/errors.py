"""The errors a person may meet: each says what is wrong and what to do."""

from __future__ import annotations


class DictateError(Exception):
    """Base of every expected failure.

    `str(error)` is one line fit to show: the cause, then the remedy. The command line
    prints it on stderr and exits with code 2; it never becomes a traceback.
    """


class VocabularyError(DictateError):
    """A vocabulary file is unreadable or an entry in it is wrong."""


class AudioError(DictateError):
    """A recording cannot be read, or a microphone cannot be opened."""


class EngineError(DictateError):
    """A speech engine or its model is missing or broken."""


class StoreError(DictateError):
    """A session cannot be written or read back."""


class ExamError(DictateError):
    """A command does not fit the state of the examination."""


class ExportError(DictateError):
    """A document cannot be made of a session."""
