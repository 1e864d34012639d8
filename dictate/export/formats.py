"""The documents a session can be written as, by name."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from types import MappingProxyType

from dictate.exam.contract import session_document
from dictate.exam.session import Session
from dictate.export.text import summary

Writer = Callable[[Session], str]


def as_json(session: Session) -> str:
    """The session's JSON document, with what it is and whether it is final before it."""
    head = {
        "session": session.id,
        "patient": session.patient,
        "begun": session.created.isoformat(),
        "state": "final" if session.is_final else "draft",
        "version": session.version,
        "examiner": session.examiner,
    }
    return json.dumps(head | session_document(session), ensure_ascii=False, indent=2) + "\n"


WRITERS: Mapping[str, Writer] = MappingProxyType({"text": summary, "json": as_json})
