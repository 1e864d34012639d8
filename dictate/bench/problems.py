"""What can go wrong in a measurement."""

from __future__ import annotations

from dictate.errors import DictateError


class BenchError(DictateError):
    """A part of the benchmark (synthesiser, data, engine) is missing or wrong."""
