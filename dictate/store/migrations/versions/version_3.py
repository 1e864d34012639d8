"""What records say is sealed, and their chain is keyed."""

import hashlib
import json
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op

from dictate.store.columns import Findable, Sealed, sealer_of
from dictate.store.sealing import Sealer

revision = "3"
down_revision = "2"

FIRST = "0" * 64
OLD = sa.MetaData()
_COPIED = ("id", "created", "state", "examiner", "patient", "version")
_ROW = ("session_id", "seq", "at", "actor", "type", "event", "prev_hash", "hash")
OLD_SESSIONS = sa.Table("old_sessions", OLD, *(sa.Column(name) for name in _COPIED))
OLD_EVENTS = sa.Table("old_events", OLD, *(sa.Column(name) for name in _ROW))
OLD_PATIENTS = sa.Table(
    "old_patients", OLD, *(sa.Column(name) for name in ("id", "name", "birth_year"))
)


def upgrade() -> None:
    connection = op.get_bind()
    sealer = sealer_of(connection.dialect)
    _set_aside()
    sessions, events, patients, keys = _make()
    connection.execute(sa.insert(keys).values(key_id=sealer.id))
    for row in connection.execute(sa.select(OLD_SESSIONS)).mappings().all():
        connection.execute(sa.insert(sessions).values(**row))
        rows = list(_sealed(connection, str(row["id"]), sealer))
        if rows:
            connection.execute(sa.insert(events), rows)
    for row in connection.execute(sa.select(OLD_PATIENTS)).mappings().all():
        connection.execute(sa.insert(patients).values(id=row["id"], about=json.dumps(dict(row))))
    for name in ("old_events", "old_visits", "old_sessions", "old_patients"):
        op.drop_table(name)


def _set_aside() -> None:
    for index, table in (
        ("ix_events_session_id", "events"),
        ("ix_sessions_patient", "sessions"),
        ("ix_visits_patient", "visits"),
    ):
        op.drop_index(index, table_name=table)
    for name in ("visits", "events", "sessions", "patients"):
        op.rename_table(name, f"old_{name}")


def _make() -> tuple[sa.Table, sa.Table, sa.Table, sa.Table]:
    """The tables anew. `visits` stay empty: they are computed from the events at need."""
    sessions = op.create_table(
        "sessions",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("created", sa.String(40), nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("examiner", Findable("sessions.examiner")),
        sa.Column("patient", Findable("sessions.patient"), index=True),
        sa.Column("version", sa.Integer, nullable=False),
    )
    events = op.create_table(
        "events",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column(
            "session_id", sa.String(64), sa.ForeignKey("sessions.id"), nullable=False, index=True
        ),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("actor", Sealed("events.actor"), nullable=False),
        sa.Column("type", sa.String(40), nullable=False),
        sa.Column("event", Sealed("events.event"), nullable=False),
        sa.Column("prev_hash", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.UniqueConstraint("session_id", "seq"),
    )
    patients = op.create_table(
        "patients",
        sa.Column("id", Findable("patients.id"), primary_key=True),
        sa.Column("about", Sealed("patients.about"), nullable=False),
    )
    op.create_table(
        "visits",
        sa.Column("session_id", sa.String(64), sa.ForeignKey("sessions.id"), primary_key=True),
        sa.Column("patient", Findable("visits.patient"), index=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("form", sa.Integer, nullable=False),
        sa.Column("visit", Sealed("visits.visit"), nullable=False),
    )
    op.create_table(
        "erasures",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column("erasure", Sealed("erasures.erasure"), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
    )
    keys = op.create_table("store_key", sa.Column("key_id", sa.String(64), primary_key=True))
    return sessions, events, patients, keys


def _sealed(
    connection: sa.Connection, session_id: str, sealer: Sealer
) -> Iterator[dict[str, object]]:
    """The session's events, chained anew; one that had been altered keeps its old hashes, so that
    it goes on being found altered."""
    query = sa.select(OLD_EVENTS).where(OLD_EVENTS.c.session_id == session_id)
    rows = connection.execute(query.order_by(OLD_EVENTS.c.seq)).mappings().all()
    whole, before = True, FIRST
    for row in rows:
        digest = hashlib.sha256(f"{before} {row['event']}".encode()).hexdigest()
        whole = whole and row["prev_hash"] == before and row["hash"] == digest
        before = str(row["hash"])
    prev = FIRST
    for row in rows:
        chained: dict[str, object] = {}
        if whole:
            chained = {"prev_hash": prev, "hash": sealer.mark(f"{prev} {row['event']}")}
            prev = str(chained["hash"])
        kind = "amended" if row["type"] == "amended" else "event"
        yield {**row, **chained, "type": kind}
