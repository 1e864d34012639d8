"""What a failing disk or database means to the person at the chair, in one line."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from dictate.errors import StoreError


class ConflictError(StoreError):
    """Somebody else wrote the same record meanwhile. Trying again does not help."""


CAUSES = {
    errno.ENOSPC: "the disk is full; free some space",
    errno.EDQUOT: "your share of the disk is full; free some space",
    errno.EFBIG: "the file may not grow further; raise the limit or free some space",
    errno.EROFS: "the disk is read-only; make it writable or choose another folder with --home",
    errno.EACCES: "the folder may not be written; change its permissions or choose another "
    "with --home",
    errno.EPERM: "that is not permitted; change the folder's permissions or choose another "
    "with --home",
    errno.EIO: "the disk reports an error; copy the folder to another disk",
    errno.ENOTDIR: "a file stands where the folder should be; choose another with --home",
    errno.EEXIST: "a file stands where the folder should be; choose another with --home",
}

UNREACHABLE = "the database server does not answer; check that it runs and the line to it"


def disk_failure(task: str, error: OSError) -> StoreError:
    """The line for an error of the file system. `task`: "keep the draft"."""
    cause = CAUSES.get(
        error.errno or 0, f"{(error.strerror or 'unknown error').lower()}; try again"
    )
    return StoreError(f"Cannot {task}: {cause}.")


def database_failure(task: str, error: SQLAlchemyError) -> StoreError:
    """The line for an error of the database; it never holds values of a record."""
    said = str(error.orig) if isinstance(error, DBAPIError) and error.orig else type(error).__name__
    first = said.splitlines()[0] if said else type(error).__name__
    if isinstance(error, DBAPIError) and (error.connection_invalidated or _unreachable(first)):
        return StoreError(f"Cannot {task}: {UNREACHABLE}.")
    for sign, cause in (
        ("lock timeout", "another program holds the database; close it or wait a moment"),
        ("permission denied", "this user may not do that on the database server"),
        ("does not exist", "the server has no such database or user; check its URL"),
        ("authentication failed", "the server refuses the password; check its URL"),
        ("No space left", "the server's disk is full; free some space there"),
        ("locked", "another program holds the database; close it or wait a moment"),
        ("full", "the disk is full; free some space"),
        (
            "disk I/O error",
            "the disk is full, or reports an error; free some space, or copy the folder to another",
        ),
        ("readonly", "the database may not be written; change its permissions"),
        ("unable to open", "the database cannot be opened; check the folder and its permissions"),
        ("malformed", "the database is damaged; restore it from a backup"),
        ("not a database", "that file is no database; move it away or restore a backup"),
    ):
        if sign in first:
            return StoreError(f"Cannot {task}: {cause}.")
    return StoreError(f"Cannot {task}: the database says {first!r}; check it and try again.")


def _unreachable(said: str) -> bool:
    signs = (
        "connection failed",
        "connection is bad",
        "connection timeout",
        "terminating connection",
        "server closed",
    )
    refused = ("does not exist", "authentication failed", "permission denied")
    return any(each in said for each in signs) and not any(each in said for each in refused)


@contextmanager
def told(task: str) -> Iterator[None]:
    """Turns errors of disk and database within into StoreError."""
    try:
        yield
    except OSError as error:
        raise disk_failure(task, error) from error
    except SQLAlchemyError as error:
        raise database_failure(task, error) from error
