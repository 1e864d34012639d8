"""Triggers that keep what is final as it was signed, on SQLite and on PostgreSQL.

They are made with the tables and anew after every migration, so they are always those of the
program that wrote last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection, inspect, text


@dataclass(frozen=True, slots=True)
class Guard:
    """One trigger. `when` is SQL about OLD and NEW; {differs} is how unlike values compare."""

    name: str
    table: str
    act: str
    """UPDATE, DELETE or INSERT."""
    when: str
    refusal: str


_FINAL = "(SELECT state FROM sessions WHERE id = {row}.session_id) = 'final'"
GUARDS = (
    Guard("erasures_never_change", "erasures", "UPDATE", "1 = 1", "an erasure stays told"),
    Guard("erasures_stay", "erasures", "DELETE", "1 = 1", "an erasure stays told"),
    Guard("events_never_change", "events", "UPDATE", "1 = 1", "events are never changed"),
    Guard(
        "final_events_stay",
        "events",
        "DELETE",
        _FINAL.format(row="OLD"),
        "a final record is not deleted",
    ),
    Guard(
        "final_events_are_complete",
        "events",
        "INSERT",
        f"NEW.type <> 'amended' AND {_FINAL.format(row='NEW')}",
        "a final record is only amended",
    ),
    Guard(
        "final_sessions_stay",
        "sessions",
        "DELETE",
        "OLD.state = 'final'",
        "a final record is not deleted",
    ),
    Guard(
        "final_sessions_keep_their_signature",
        "sessions",
        "UPDATE",
        "OLD.state = 'final' AND (NEW.state <> 'final' OR NEW.id <> OLD.id"
        " OR NEW.created <> OLD.created OR NEW.examiner {differs} OLD.examiner"
        " OR NEW.patient {differs} OLD.patient OR NEW.version < OLD.version)",
        "a final record is only amended",
    ),
    Guard("trail_never_changes", "trail", "UPDATE", "1 = 1", "the trail is never changed"),
    Guard("trail_stays", "trail", "DELETE", "1 = 1", "the trail is never changed"),
)


def make(connection: Connection) -> None:
    """Make every guard whose table is there. One that is there already is made anew."""
    tables = set(inspect(connection).get_table_names())
    for guard in GUARDS:
        if guard.table in tables:
            _run(connection, (*_dropped(guard, connection), *_made(guard, connection)))


def drop(connection: Connection) -> None:
    """Take every guard away; the caller makes them again in the same transaction."""
    tables = set(inspect(connection).get_table_names())
    for guard in GUARDS:
        if guard.table in tables:
            _run(connection, _dropped(guard, connection))


@contextmanager
def lifted(connection: Connection) -> Iterator[None]:
    """Without guards, for what has to change a final record; all in the open transaction.

    When it fails the caller rolls back, and the guards stand as before.
    """
    drop(connection)
    yield
    make(connection)


def missing(connection: Connection) -> tuple[str, ...]:
    """Names of guards that are not there."""
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.dialect.name == "sqlite"
        else "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
        " WHERE NOT tgisinternal AND tgenabled <> 'D'"
        " AND relnamespace = current_schema()::regnamespace"
    )
    found = {str(name) for (name,) in connection.execute(text(query))}
    return tuple(each.name for each in GUARDS if each.name not in found)


def _run(connection: Connection, statements: Iterable[str]) -> None:
    for each in statements:
        connection.exec_driver_sql(each)


def _dropped(guard: Guard, connection: Connection) -> Iterator[str]:
    if connection.dialect.name == "sqlite":
        yield f"DROP TRIGGER IF EXISTS {guard.name}"
    elif connection.dialect.name == "postgresql":
        yield f"DROP TRIGGER IF EXISTS {guard.name} ON {guard.table}"
        yield f"DROP TRIGGER IF EXISTS {guard.name}_whole ON {guard.table}"


def _made(guard: Guard, connection: Connection) -> Iterator[str]:
    if connection.dialect.name == "sqlite":
        yield (
            f"CREATE TRIGGER {guard.name} BEFORE {guard.act} ON {guard.table}"
            f" WHEN {guard.when.format(differs='IS NOT')}"
            f" BEGIN SELECT RAISE(ABORT, '{guard.refusal}'); END"
        )
    elif connection.dialect.name == "postgresql":
        yield from _made_on_postgresql(guard)


def _made_on_postgresql(guard: Guard) -> Iterator[str]:
    """A trigger calls a function; TRUNCATE passes by row triggers and needs one of its own."""
    result = "OLD" if guard.act == "DELETE" else "NEW"
    refuse = f"RAISE integrity_constraint_violation USING MESSAGE = '{guard.refusal}';"
    yield (
        f"CREATE OR REPLACE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql AS $$"
        f" BEGIN IF {guard.when.format(differs='IS DISTINCT FROM')} THEN {refuse} END IF;"
        f" RETURN {result}; END $$"
    )
    yield (
        f"CREATE TRIGGER {guard.name} BEFORE {guard.act} ON {guard.table}"
        f" FOR EACH ROW EXECUTE FUNCTION {guard.name}()"
    )
    if guard.act == "DELETE":
        yield (
            f"CREATE OR REPLACE FUNCTION {guard.name}_whole() RETURNS trigger LANGUAGE plpgsql"
            f" AS $$ BEGIN {refuse} END $$"
        )
        yield (
            f"CREATE TRIGGER {guard.name}_whole BEFORE TRUNCATE ON {guard.table}"
            f" FOR EACH STATEMENT EXECUTE FUNCTION {guard.name}_whole()"
        )
