"""What several test files share: one PostgreSQL server a run, started at first need; a clinic."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dictate.store.store import Store
from tests.postgres import Cluster, running_cluster


@pytest.fixture(scope="session")
def one_cluster() -> Iterator[Cluster]:
    with running_cluster() as cluster:
        yield cluster


@pytest.fixture
def cluster(one_cluster: Cluster) -> Cluster:
    """The server, running."""
    if not one_cluster.is_running:
        one_cluster.start()
    return one_cluster


@pytest.fixture
def url(cluster: Cluster) -> str:
    """Of an empty database on it."""
    return cluster.database()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Of a small clinic; a file that needs another store has a fixture of its own."""
    from tests.records_samples import (
        small_clinic,  # most tests need no screen, whose import is slow
    )

    with small_clinic(tmp_path) as store:
        yield store
