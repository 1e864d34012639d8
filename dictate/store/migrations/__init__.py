"""The steps that bring a database of an earlier version to the current one.

One file a version in `versions/`, run by Alembic and named after the version it makes. All steps
run in one transaction, with the guards of final records lifted: what is killed leaves the old
database. A step may look at `context.config.attributes` for what `migrate` was given.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

HEAD = "head"
TABLE = "alembic_version"
"""Alembic's own note of the version. It exists during a migration only: `schema_version` tells."""


def migrate(
    connection: Connection,
    found: int,
    attributes: Mapping[str, object] | None = None,
    *,
    to: str = HEAD,
) -> None:
    """Bring the database from version `found` (0: empty) to `to`, within the open transaction."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes.update(attributes or {})
    config.attributes["connection"] = connection
    if found:
        command.stamp(config, str(found))
    command.upgrade(config, to)
    connection.exec_driver_sql(f"DROP TABLE {TABLE}")
