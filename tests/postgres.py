"""A PostgreSQL server of the tests' own: in a temporary folder, on a socket, for one run.

Its programs refuse to run as root; then they run as the unprivileged user that the Debian
package `postgresql` makes, or as nobody.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy.engine import make_url

INSTALLED = Path("/usr/lib/postgresql")
USER, DATABASE = "dictate", "postgres"
_SETTINGS = {
    "listen_addresses": "",
    "fsync": "off",  # a killed server, unlike a power cut, loses nothing that it wrote
    "max_connections": "60",
    "shared_buffers": "16MB",
}


class Cluster:
    """A server that can be stopped and started. `database` makes an empty database on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._programs = _programs()
        self._as = _unprivileged()
        self._made = 0
        if self._as:
            shutil.chown(folder, *self._as)
        self._run("initdb", "--pgdata", self._data, "--username", USER, "--auth", "trust",
                  "--encoding", "UTF8", "--locale", "C", "--no-sync")  # fmt: skip
        lines = [f"{name} = '{value}'\n" for name, value in _SETTINGS.items()]
        with (folder / "data" / "postgresql.conf").open("a") as settings:
            settings.writelines([*lines, f"unix_socket_directories = '{folder}'\n"])

    def start(self) -> None:
        log = str(self.folder / "log")
        self._run("pg_ctl", "start", "--pgdata", self._data, "--wait", "--log", log, "--silent")

    def stop(self, mode: str = "fast") -> None:
        """Stop it. "fast": connections are cut; "immediate": as a crash of the server does."""
        self._run("pg_ctl", "stop", "--pgdata", self._data, "--wait", "--mode", mode, "--silent")

    @property
    def is_running(self) -> bool:
        return (self.folder / "data" / "postmaster.pid").exists()

    def database(self) -> str:
        """The URL of a new, empty database: a schema of its own, which is made in no time."""
        self._made += 1
        name = f"clinic_{self._made}"
        with psycopg.connect(host=str(self.folder), user=USER, dbname=DATABASE) as connection:
            connection.execute(f"CREATE SCHEMA {name}")  # type: ignore[call-overload]
        return (
            f"postgresql+psycopg://{USER}@/{DATABASE}?host={self.folder}"
            f"&options=-csearch_path%3D{name}"
        )

    def connect(self, url: str) -> psycopg.Connection[Any]:
        """A connection through the driver alone."""
        return psycopg.connect(
            host=str(self.folder),
            user=USER,
            dbname=DATABASE,
            options=str(make_url(url).query["options"]),
            autocommit=True,
            connect_timeout=5,
        )

    @property
    def _data(self) -> str:
        return str(self.folder / "data")

    def _run(self, program: str, *arguments: str) -> None:
        user, group = self._as or (None, None)
        done = subprocess.run(
            [self._programs / program, *arguments],
            user=user,
            group=group,
            extra_groups=[] if self._as else None,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            cwd=self.folder,
            env={"PATH": os.defpath, "LC_ALL": "C"},
            timeout=60,
            check=False,
        )
        assert done.returncode == 0, f"{program}: {done.stderr}"


@contextmanager
def running_cluster() -> Iterator[Cluster]:
    """A server while the block lasts."""
    with tempfile.TemporaryDirectory(prefix="dictate-pg-", dir="/tmp") as name:
        cluster = Cluster(Path(name))
        cluster.start()
        try:
            yield cluster
        finally:
            if cluster.is_running:
                cluster.stop("immediate")


def _programs() -> Path:
    found = sorted(INSTALLED.glob("*/bin/initdb"), key=lambda each: int(each.parts[-3]))
    assert found, (
        f"There is no PostgreSQL server in {INSTALLED}: `apt-get install postgresql` "
        "(.ci/test does it). Several chairs cannot be tested without one."
    )
    return found[-1].parent


def _unprivileged() -> tuple[int, int] | None:
    """User and group for the server; None where the tests do not run as root."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            user = pwd.getpwnam(name)
        except KeyError:
            continue
        return user.pw_uid, user.pw_gid
    raise AssertionError("There is neither a user postgres nor nobody to run the server as.")
