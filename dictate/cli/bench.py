"""`dictate bench`: the benchmark, where what it measures with is installed."""

from __future__ import annotations

import click

try:
    from dictate.bench.__main__ import bench
except ImportError as error:
    raise click.ClickException(
        f"The benchmark needs {error.name}; install it with `pip install 'dictate[bench]'`."
    ) from None

__all__ = ["bench"]
