"""The key of a database that several machines share: the first one makes it, the others get it."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import inspect, select

from dictate.errors import StoreError
from dictate.store import keys
from dictate.store.engine import make_engine
from dictate.store.failures import told
from dictate.store.key_file import KEY_FILE
from dictate.store.tables import KeyRow


def refuse_second_key(home: Path, url: str) -> None:
    """Raises StoreError where this machine has no key and the database at `url` is sealed already.

    Also where it cannot be asked: drafts under a key of their own would never get into it.
    """
    if keys.state(home) == "none" and _is_sealed(home, url):
        raise StoreError(
            f"The database is sealed, and this machine lacks its key; copy {KEY_FILE} from "
            f"the home folder of another chair into {home}."
        )


def _is_sealed(home: Path, url: str) -> bool:
    engine = make_engine(home, url)
    try:
        with told("open the database"), engine.connect() as connection:
            if not inspect(connection).has_table(KeyRow.__tablename__):
                return False
            return connection.scalar(select(KeyRow.key_id)) is not None
    finally:
        engine.dispose()
