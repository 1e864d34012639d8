"""The command line: a thin shell over the pipeline, the store and the exports."""

from dictate.cli.main import main

__all__ = ["main"]
