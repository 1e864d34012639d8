"""Patients, and what signed sessions say for later."""

import sqlalchemy as sa
from alembic import op

revision = "2"
down_revision = "1"


def upgrade() -> None:
    op.create_table(
        "patients",
        sa.Column("id", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(100)),
        sa.Column("birth_year", sa.Integer),
    )
    op.create_table(
        "visits",
        sa.Column("session_id", sa.String(64), sa.ForeignKey("sessions.id"), primary_key=True),
        sa.Column("patient", sa.String(200), index=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("form", sa.Integer, nullable=False),
        sa.Column("visit", sa.Text, nullable=False),
    )
