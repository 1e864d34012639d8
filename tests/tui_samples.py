"""Short ways to drive the screen in tests: a real session and matcher, speech by hand."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from html import unescape

from textual.pilot import Pilot
from textual.widgets import Input

from dictate.audio.level import Level
from dictate.errors import StoreError
from dictate.exam.events import Event
from dictate.exam.session import Session
from dictate.matching.matcher import Matcher
from dictate.pipeline.examination import Examination
from dictate.speech.heard import Hypothesis, Partial, Utterance, Word
from dictate.tui.aloud import Aloud
from dictate.tui.app import ExamApp
from dictate.tui.ports import Report, Writers
from dictate.vocabulary.loader import load

START = datetime(2031, 3, 4, 9, 30, tzinfo=UTC)
LEXICON = load()
SMALL, LARGE = (80, 24), (160, 45)
PLAQUE = (
    "white plaque left lateral border of the tongue ten by six millimetres firm "
    "not tender for three weeks"
)
ULCER = "ulcer right buccal mucosa fifteen millimetres"


class Clock:
    """A clock that moves when told."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


class HandFed:
    """A listening whose events the test gives."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.started = self.stopped = False

    def start(self) -> None:
        self.started = True

    def stop(self) -> None:
        self.stopped = True


class Keeper:
    """Keeps events in a list; `broken` makes it fail as a full disk does."""

    def __init__(self) -> None:
        self.events: list[Event] = []
        self.broken = False

    def append(self, session_id: str, events: tuple[Event, ...]) -> None:
        if self.broken:
            raise StoreError("not saved: the disk is full; free some space")
        self.events += events


class Scene:
    """A running application, its pilot and what feeds it."""

    def __init__(self, app: ExamApp, pilot: Pilot[None], clock: Clock, keeper: Keeper) -> None:
        self.app, self.pilot, self.clock, self.keeper = app, pilot, clock, keeper

    @property
    def session(self) -> Session:
        return self.app.desk.session

    @property
    def listening(self) -> HandFed:
        listening = self.app.listening
        assert isinstance(listening, HandFed)
        return listening

    async def settle(self) -> None:
        for _ in range(2):
            await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.settle()

    async def write(self, text: str) -> None:
        """Text into the field that has the focus, at once as when pasted."""
        field = self.app.focused
        assert isinstance(field, Input)
        field.insert_text_at_cursor(text)
        await self.settle()

    async def type_line(self, text: str) -> None:
        """A line through the typing dialog."""
        await self.press("t")
        await self.write(text)
        await self.press("enter", "escape")

    async def say(self, *texts: str, confidence: float = 0.97, took_s: float = 1.0) -> None:
        """Utterances as the listening thread gives them, each after its partial words."""
        for text in texts:
            start_s = self.clock.now - 1000.0
            self.listening.report(Level(start_s, -20.0, -12.0, False))
            self.listening.report(Partial(text.split()[0], start_s))
            self.clock.now += took_s
            self.listening.report(Level(start_s + took_s, -60.0, -50.0, False))
            self.listening.report(spoken(text, start_s, start_s + took_s, confidence))
            await self.settle()

    def shown(self) -> str:
        """Everything on the terminal, line by line."""
        return terminal_text(self.app)

    def words(self) -> str:
        """Everything on the terminal as running text, without borders."""
        return " ".join(re.sub(r"[─-╿▀-▟]", " ", self.shown()).split())


def spoken(
    text: str, start_s: float = 0.0, end_s: float = 1.0, confidence: float = 1.0
) -> Utterance:
    """An utterance as an engine gives it."""
    words = tuple(Word(word, start_s, end_s, confidence) for word in text.split())
    return Utterance((Hypothesis(words, 0.0),), start_s, end_s, confidence)


def examination(keeper: Keeper | None = None) -> Examination:
    """A new draft with the whole vocabulary and the real matcher."""
    session = Session.start("s1", LEXICON, START)
    return Examination(session, Matcher(LEXICON), keeper)


@asynccontextmanager
async def running(
    size: tuple[int, int] = SMALL,
    *,
    listening: bool = True,
    writers: Writers | None = None,
    aloud: Aloud | None = None,
) -> AsyncIterator[Scene]:
    """The application in a terminal of that size."""
    clock, keeper = Clock(), Keeper()
    app = ExamApp(
        examination(keeper),
        LEXICON,
        HandFed if listening else None,
        writers,
        aloud=aloud or Aloud(command=None),
        clock=clock,
    )
    async with app.run_test(size=size) as pilot:
        scene = Scene(app, pilot, clock, keeper)
        await scene.settle()
        yield scene


def terminal_text(app: ExamApp) -> str:
    """The text of a screenshot, one line of the terminal to a line."""
    lines: dict[float, list[tuple[float, str]]] = defaultdict(list)
    found = re.findall(
        r'<text [^>]*?x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>', app.export_screenshot()
    )
    for x, y, text in found:
        lines[float(y)].append((float(x), unescape(text).replace("\xa0", " ")))
    return "\n".join("".join(text for _, text in sorted(lines[y])) for y in sorted(lines))


def on_top(scene: Scene, kind: type[object]) -> bool:
    return isinstance(scene.app.screen, kind)
