"""kill -9 at random moments of a whole examination: `python -m tests.kill_storm --kills 300`.

A process dictates, edits, goes through the review, signs, amends, notes an export and writes it; it
tells each step that it acknowledges, and is killed. The kill counts as survived when the store then
opens with everything that was acknowledged and nothing that was never done, no half act and no half
signature, SQLite's `integrity_check` and the program's own verification finding nothing.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

from dictate.exam.commands import Amend, Answer, ChangeField, Decide, Sign, StartReview
from dictate.exam.events import KEYBOARD, Event, Signed
from dictate.exam.session import Session
from dictate.export.extras import NOTHING
from dictate.export.formats import WRITERS
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination
from dictate.speech.heard import typed
from dictate.store.store import Store
from dictate.store.verifying import verify
from dictate.tui.screens.saving import write_private
from dictate.vocabulary.loader import load
from tests.exam_samples import START

SAID = (
    "white plaque left lateral border of the tongue ten by six millimetres",
    "how are the children",
    "ulcer right buccal mucosa five millimetres for three weeks",
    "neck normal",
    "scratch that",
    "no change that to the hard palate",
)
NAME = "k1"
Say = Callable[[int, str], None]


class Ticking:
    """A clock of its own, so that each run makes the same events."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def script(store: Store, matcher: Matcher, export: Path, say: Say) -> tuple[Event, ...]:
    """The whole examination; `say` is told how many events are acknowledged, and at which stage."""
    lexicon = load()
    session = Session.start(
        NAME, lexicon, START, patient="P-17", followup=lexicon.followup.chosen()
    )
    store.create(session)
    examination = Examination(session, matcher, store, Ticking())
    for words in SAID:
        examination.hear(typed(words))
        say(len(session.events), "an utterance")
    examination.do(ChangeField(target="f1", field="size_mm", value=[12.0, 6.0]))
    say(len(session.events), "an edit")
    examination.do(StartReview())
    while (review := session.review) is not None and review.current is not None:
        question = review.current
        if question.kind == "decision" and question.finding:
            examination.do(Decide(target=question.finding, decision="refer", reason="a rule"))
        else:
            examination.do(Answer(yes=True))
        say(len(session.events), "the review")
    examination.do(Sign(examiner="A. Berg"))
    assert examination.problem is None, examination.problem
    say(len(session.events), "signing")
    change = ChangeField(target="f1", field="side", value="right")
    amend = Amend(examiner="A. Berg", why="mistaken", changes=(change,))
    final = store.amend(NAME, amend, actor=KEYBOARD, at=session.events[-1].at)
    say(len(final.events), "amending")
    store.note("exported", session=NAME, patient="P-17", detail="text")
    write_private(export, WRITERS["text"](final, NOTHING))
    say(len(final.events), "export")
    return final.events


def killed(home: Path, matcher: Matcher, steps: int, then_s: float) -> tuple[int, str]:
    """Runs the script and kills it so long after so many steps were acknowledged.

    How many events were acknowledged when it died, and at which stage.
    """
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            with Store(home) as store:
                export = home.parent / f"{home.name}.txt"
                script(store, matcher, export, lambda *said: _tell(into, *said))
        except BaseException as error:
            sys.stderr.write(f"{error!r}\n")
        os._exit(0)
    os.close(into)
    with open(out, "rb", buffering=0) as pipe:
        told = [pipe.readline() for _ in range(steps)]
        time.sleep(then_s)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        told += pipe.readlines()
    last = told[-1].decode().split(" ", 1) if told else ["0", "beginning"]
    return int(last[0]), last[1].strip()


def _tell(pipe: int, count: int, stage: str) -> None:
    os.write(pipe, f"{count} {stage}\n".encode())


def check(home: Path, kept: int, expected: tuple[Event, ...]) -> str | None:
    """What is wrong; None when the kill was survived."""
    with Store(home) as store:
        entries = store.list()
        if not entries:
            return "what was acknowledged is gone" if kept else None
        session = store.load(NAME)
        events = session.events
        if events != expected[: len(events)] or len(events) < kept or events[-1].more:
            return f"{kept} events were acknowledged, {len(events)} are there"
        signed = any(isinstance(each.body, Signed) for each in events)
        if not signed == session.is_final == (entries[0].state == "final"):
            return "half a signature"
        faults = verify(store.untouched(), store.folder).faults
    with closing(sqlite3.connect(home / "records.db")) as database:
        if database.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            return "the database is damaged"
    return faults[0] if faults else None


def whole(home: Path, matcher: Matcher) -> tuple[tuple[Event, ...], int, float]:
    """The script undisturbed: its events, how many steps it acknowledges, seconds it takes."""
    steps: list[tuple[int, str]] = []
    began = time.perf_counter()
    with Store(home) as store:
        export = home.parent / f"{home.name}.txt"
        events = script(store, matcher, export, lambda *said: steps.append(said))
    return events, len(steps), time.perf_counter() - began


def main() -> None:
    """Print how many kills were survived, and at what they struck."""
    parser = argparse.ArgumentParser(prog="tests.kill_storm")
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    chance, matcher = random.Random(given.seed), Matcher(load())
    struck: Counter[str] = Counter()
    wrong: list[str] = []
    with tempfile.TemporaryDirectory(prefix="kills-") as folder:
        root = Path(folder)
        whole(root / "warm", matcher)
        expected, steps, whole_s = whole(root / "timed", matcher)
        for number in range(given.kills):
            home = root / str(number)
            then_s = chance.uniform(0, 2 * whole_s / steps)
            kept, stage = killed(home, matcher, chance.randrange(steps), then_s)
            struck[f"after {stage}"] += 1
            fault = check(home, kept, expected)
            if fault:
                wrong.append(f"kill {number} ({stage}): {fault}")
    for line in wrong:
        print(line)
    print(f"{given.kills - len(wrong)} of {given.kills} kills survived; struck {dict(struck)}")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
