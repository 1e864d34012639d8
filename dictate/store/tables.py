"""The tables of the database. A change of them is a step in `migrations`."""

from __future__ import annotations

from sqlalchemy import (
    Connection,
    ForeignKey,
    Integer,
    MetaData,
    String,
    UniqueConstraint,
    event,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from dictate.store import guards
from dictate.store.columns import Findable, Sealed

SCHEMA = 4
"""Raised with every step in `migrations`; a program refuses a database of a later one."""


AMENDED, OTHER = "amended", "event"
"""Kinds of events that can be told apart without the key."""


class Base(DeclarativeBase):
    pass


class SchemaRow(Base):
    __tablename__ = "schema_version"

    version: Mapped[int] = mapped_column(Integer, primary_key=True)


class KeyRow(Base):
    """Which key seals the rest; one row."""

    __tablename__ = "store_key"

    key_id: Mapped[str] = mapped_column(String(64), primary_key=True)


class SessionRow(Base):
    """What the list of sessions shows; all of it follows from the events."""

    __tablename__ = "sessions"

    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    created: Mapped[str] = mapped_column(String(40))
    """ISO 8601 in UTC, as all times here: text compares and travels alike in every database."""
    state: Mapped[str] = mapped_column(String(8))
    """ "draft" or "final"."""
    examiner: Mapped[str | None] = mapped_column(Findable("sessions.examiner"))
    patient: Mapped[str | None] = mapped_column(Findable("sessions.patient"), index=True)
    version: Mapped[int] = mapped_column(Integer)
    """0 for a draft, 1 once signed, one more with each amendment."""


class EventRow(Base):
    """One event, never changed. `seq`, `at`, `actor` and `type` repeat what `event` holds."""

    __tablename__ = "events"
    __table_args__ = (UniqueConstraint("session_id", "seq"),)

    id: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=True)
    session_id: Mapped[str] = mapped_column(ForeignKey("sessions.id"), index=True)
    seq: Mapped[int] = mapped_column(Integer)
    at: Mapped[str] = mapped_column(String(40))
    actor: Mapped[str] = mapped_column(Sealed("events.actor"))
    type: Mapped[str] = mapped_column(String(40))
    """Only what the guards must know: an amendment, or not."""
    event: Mapped[str] = mapped_column(Sealed("events.event"))
    """The event as JSON: the text that the hash is of."""
    prev_hash: Mapped[str] = mapped_column(String(64))
    hash: Mapped[str] = mapped_column(String(64))


class PatientRow(Base):
    """What the clinic keeps of a patient beside the sessions; may be corrected at any time."""

    __tablename__ = "patients"

    id: Mapped[str] = mapped_column(Findable("patients.id"), primary_key=True)
    about: Mapped[str] = mapped_column(Sealed("patients.about"))
    """The patient as JSON, identifier included: of one row it cannot be moved to another."""


class VisitRow(Base):
    """What a final session says for later. Computed from its events, and computed anew at need."""

    __tablename__ = "visits"

    session_id: Mapped[str] = mapped_column(ForeignKey("sessions.id"), primary_key=True)
    patient: Mapped[str | None] = mapped_column(Findable("visits.patient"), index=True)
    version: Mapped[int] = mapped_column(Integer)
    """Of the session when it was computed."""
    form: Mapped[int] = mapped_column(Integer)
    """Of the computation: a later program computes it anew."""
    visit: Mapped[str] = mapped_column(Sealed("visits.visit"))
    """As JSON."""


class ErasureRow(Base):
    """That all of a patient was deleted on request: when, by whom, of how many sessions."""

    __tablename__ = "erasures"

    id: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=True)
    erasure: Mapped[str] = mapped_column(Sealed("erasures.erasure"))
    """As JSON; it does not say whose."""
    hash: Mapped[str] = mapped_column(String(64))
    """Keyed, over the hash before and `erasure`."""


class TrailRow(Base):
    """One entry of the audit trail, never changed."""

    __tablename__ = "trail"

    seq: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    kind: Mapped[str] = mapped_column(String(8), index=True)
    """Whether it says who works here."""
    entry: Mapped[str] = mapped_column(Sealed("trail.entry"))
    """As JSON: the text that the hash is of."""
    prev_hash: Mapped[str] = mapped_column(String(64))
    hash: Mapped[str] = mapped_column(String(64))


@event.listens_for(Base.metadata, "after_create")
def _guard(_: MetaData, connection: Connection, **__: object) -> None:
    guards.make(connection)
