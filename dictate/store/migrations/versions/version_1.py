"""Sessions and their events."""

import sqlalchemy as sa
from alembic import op

revision = "1"
down_revision = None


def upgrade() -> None:
    op.create_table("schema_version", sa.Column("version", sa.Integer, primary_key=True))
    op.create_table(
        "sessions",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("created", sa.String(40), nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("examiner", sa.String(100)),
        sa.Column("patient", sa.String(200), index=True),
        sa.Column("version", sa.Integer, nullable=False),
    )
    op.create_table(
        "events",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=True),
        sa.Column(
            "session_id", sa.String(64), sa.ForeignKey("sessions.id"), nullable=False, index=True
        ),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("actor", sa.String(100), nullable=False),
        sa.Column("type", sa.String(40), nullable=False),
        sa.Column("event", sa.Text, nullable=False),
        sa.Column("prev_hash", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.UniqueConstraint("session_id", "seq"),
    )
