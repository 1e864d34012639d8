"""The audit trail; every session that is there is anchored in it."""

import json
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

from dictate.store.columns import Sealed, sealer_of

revision = "4"
down_revision = "3"

FIRST = "0" * 64


def upgrade() -> None:
    trail = op.create_table(
        "trail",
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("kind", sa.String(8), nullable=False, index=True),
        sa.Column("entry", Sealed("trail.entry"), nullable=False),
        sa.Column("prev_hash", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
    )
    connection = op.get_bind()
    sealer, prev = sealer_of(connection.dialect), FIRST
    at = datetime.now(UTC).isoformat()
    for seq, (session, events, head) in enumerate(_ends(connection), start=1):
        words = json.dumps(
            {"at": at, "action": "anchored", "session": session, "events": events, "head": head}
        )
        hash_ = sealer.mark(f"{prev} {words}")
        row = {"seq": seq, "kind": "other", "entry": words, "prev_hash": prev, "hash": hash_}
        connection.execute(sa.insert(trail).values(**row))
        prev = hash_


def _ends(connection: sa.Connection) -> list[tuple[str, int, str]]:
    """Every session with the number and the hash of its last event."""
    query = (
        "SELECT session_id, seq, hash FROM events AS one WHERE seq = "
        "(SELECT max(seq) FROM events WHERE session_id = one.session_id) ORDER BY session_id"
    )
    return [
        (str(name), int(seq), str(end)) for name, seq, end in connection.execute(sa.text(query))
    ]
