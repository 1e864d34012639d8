"""What several test files share: one PostgreSQL server a run, started at first need."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

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
