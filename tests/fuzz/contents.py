"""Harnesses of what a key holder, or a server, may hand the program: events, archives, a URL.

Here every seal is right: only the content stands between the program and a fault.
"""

from __future__ import annotations

import copy
import json
import shutil
import string
import unicodedata
from functools import cache
from typing import Any

import psycopg

from dictate.exam.commands import Decide, MarkRegion
from dictate.exam.patients import LONGEST, Patient
from dictate.exam.session import Session
from dictate.store import chain
from dictate.store.backup_file import Head
from dictate.store.database import Database
from dictate.store.engine import make_engine
from dictate.store.entry import summary
from dictate.store.key_file import KeyFile
from dictate.store.lines import SealedLines, reading_of
from dictate.store.restoring import restore
from dictate.store.sealed_stream import SealingWriter
from tests.exam_samples import START
from tests.fuzz.files import folder
from tests.fuzz.oracle import Target, expect
from tests.fuzz.records import archived, changed, journal
from tests.seal_samples import SEALER
from tests.visit_samples import RULES, chair, open_lesion

VALUES: tuple[Any, ...] = (
    None, "", "f1", "f9", "u1", "left", "tongue", "no such thing", "x" * 300, "\x1b[2J", 0, -1,
    1e308, True, [], {}, [None], ["f1"], "2031-03-04", "9999-12-31", "amended", "signed",
)  # fmt: skip
UNSEEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
Path_ = tuple[str | int, ...]


@cache
def events() -> tuple[dict[str, Any], ...]:
    """A signed session with most kinds of events, as JSON."""
    seat = chair(open_=(open_lesion(),), followup=RULES)
    seat.plaque(colours=())
    seat.hear("how are the children", kind="ignored")
    seat.key(MarkRegion(region="face", state="normal"))
    seat.key(Decide(target="f1", decision="refer", reason="it has grown"))
    seat.signed()
    return tuple(json.loads(each.model_dump_json()) for each in seat.session.events)


def _places(value: Any, at: Path_ = ()) -> list[Path_]:
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for name, each in inner:
        found.append((*at, name))
        if isinstance(each, dict | list):
            found += _places(each, (*at, name))
    return found


def _altered(data: bytes) -> list[Any]:
    """Four bytes an edit: an event left out, doubled, moved; a value taken away or exchanged."""
    made: list[Any] = json.loads(json.dumps(events()))
    for at in range(0, len(data) - 3, 4):
        how, which, place, value = data[at : at + 4]
        number = which % max(1, len(made))
        if not made:
            break
        if how % 5 == 0:
            del made[number]
        elif how % 5 == 1:
            made.insert(place % (len(made) + 1), json.loads(json.dumps(made[number])))
        else:
            _exchange(
                made[number], place, copy.deepcopy(VALUES[value % len(VALUES)]), gone=how % 5 == 2
            )
    if len(data) % 2 == 0:  # otherwise it is refused for its numbers alone
        for number, each in enumerate(made, start=1):
            each["seq"] = number
    return made


def _exchange(event: Any, place: int, value: Any, *, gone: bool) -> None:
    places = _places(event)
    if not places:
        return
    *way, last = places[place % len(places)]
    for step in way:
        event = event[step]
    if gone:
        del event[last]
    else:
        event[last] = value


def read_events(data: bytes) -> object:
    """A journal of such events, each line sealed and chained as it must be."""
    form, prev, lines = SealedLines(SEALER, "s-2031-03-04"), chain.FIRST, b""
    for event in _altered(data):
        text = json.dumps(event)
        hash_ = chain.digest(SEALER, prev, text)
        sealed = SEALER.seal(text, f"draft s-2031-03-04 {prev}")
        lines += f"{hash_} {prev} {sealed}\n".encode()
        prev = hash_
    reading = reading_of(lines, "s-2031-03-04", form)
    read = [each.event for each in reading.records]
    summary("s-2031-03-04", read)
    session = Session.from_events(read)
    return session.findings, session.coverage, session.review


def read_text_of_event(data: bytes) -> object:
    """Any text at all under a right seal."""
    return chain.understood(data.decode("utf-8", "replace"), chain.FIRST, "0" * 64, where="It")


def read_patient(data: bytes) -> Patient:
    """Three lines: identifier, name, year of birth."""
    identifier, name, born = (*data.decode("utf-8", "replace").split("\n"), "", "", "")[:3]
    year = int(born) if born and set(born) <= set(string.digits) and len(born) < 9 else None
    patient = Patient.of(identifier, name, year)
    for shown in filter(None, (patient.id, patient.name)):
        unseen = [each for each in shown if unicodedata.category(each) in UNSEEN]
        expect(not unseen, "what cannot be seen was taken")
        expect(len(shown) <= 2 * LONGEST, "a text without end was taken")
    expect(Patient.of(patient.id, patient.name, patient.birth_year) == patient, "it changes again")
    expect(
        Patient.model_validate_json(patient.model_dump_json()) == patient, "it is kept otherwise"
    )
    return patient


@cache
def _whole() -> bytes:
    """Of a store with a draft and an empty database."""
    home = folder() / "whole"
    Database.open(home, SEALER).close()
    database = (home / "records.db").read_bytes()
    return archived({"drafts/s1.jsonl": journal()[0], "records.db": database})


def restore_archive(data: bytes) -> object:
    """Restored from any archive under a right seal: into its folder alone, or nothing at all."""
    scratch = folder() / "restoring"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir()
    key = KeyFile.of_bare(SEALER, converting=False)
    head = Head.of(START, SEALER, None)
    with (scratch / "made_up.backup").open("wb") as file:
        file.write(head.data)
        writer = SealingWriter(file, head.file_key(SEALER), head.data)
        writer.write(changed(_whole(), data))
        writer.finish()
    try:
        return restore(scratch / "made_up.backup", SEALER, scratch / "home", key)
    finally:
        beside = {each.name for each in scratch.iterdir()} - {"made_up.backup", "home"}
        expect(not beside, "something was left beside the store")


def read_url(data: bytes) -> object:
    """The rest of a server's URL, as far as it goes without a connection."""
    url = "postgresql" + data.decode("utf-8", "replace")
    engine = make_engine(folder(), url)
    try:
        _, given = engine.dialect.create_connect_args(engine.url)
        psycopg.conninfo.make_conninfo(**given)
    except psycopg.Error:
        pass  # told on connecting, as everything that the driver says
    finally:
        engine.dispose()
    return engine


TARGETS = (
    Target("events", read_events, (b"", b"\0\1\0\0", b"\1\1\4\0", b"\3\2\5\6", b"\2\3\4\0")),
    Target("event", read_text_of_event, (json.dumps(events()[0]).encode(), b"{}", b"[1]")),
    Target(
        "patient",
        read_patient,
        (b"P-17\nBo Fern\n1961", "\u05ec\n\u202eP".encode(), b"p\n\n12"),
    ),
    Target("restore", restore_archive, (b"\0", b"\0\0\0\x40\x41", b"\0\3\1\1\x0a")),
    Target("url", read_url, (b"://u:p@h/d", b"+psycopg://@/d?host=/tmp", b"://h:99999/d?port=x")),
)
