"""A kept record, opened to be read; from here it is exported, amended, and seen as it was."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from dictate.exam.commands import ScreenAct
from dictate.exam.session import Session
from dictate.export.chart import Chart
from dictate.export.extras import NOTHING, Extras
from dictate.export.note import Section, head, sections
from dictate.pipeline.clinic import Clinic
from dictate.tui.plain import visible
from dictate.tui.screens.amending import AmendingScreen
from dictate.tui.screens.records import RecordsScreen
from dictate.tui.screens.versions import VersionsScreen
from dictate.tui.widgets.key_line import Hint

_CAUTION = "A record, not a diagnosis. Licensed clinicians and local guidelines decide."
"""As everywhere, for the room within a frame on 80 columns."""


class RecordScreen(RecordsScreen[None]):
    """The chart note. A version that is not the latest says so."""

    acts: ClassVar[frozenset[ScreenAct]] = frozenset(
        {"row_down", "row_up", "export", "amendments", "amend"}
    )
    keys: ClassVar[tuple[Hint, ...]] = (("x", "Export"), ("v", "Amendments"), ("m", "Amend"))
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "export", "Export"),
        Binding("v", "versions", "Amendments"),
        Binding("m", "amend", "Amend"),
    ]
    DEFAULT_CSS = """
    RecordScreen VerticalScroll { height: 1fr; }
    RecordScreen VerticalScroll Static { height: auto; }
    """

    def __init__(self, session: str, version: int | None = None) -> None:
        """`version`: as it was then; None is the latest."""
        super().__init__()
        self._of, self._version = session, version
        self._session: Session | None = None
        self._extras = NOTHING

    def compose(self) -> ComposeResult:
        about = Static(classes="about", id="about")
        note = VerticalScroll(Static(id="note"))
        yield self.frame("Record", about, note, Static(Content(_CAUTION), classes="hint"))

    def load(self) -> None:
        found = self.read(self._found)
        if found is None:
            return
        self._session, self._extras = found
        self.retitle(_title(self._session))
        self.query_one("#about", Static).update(self._about(self._session))
        self.query_one("#note", Static).update(_note(self._session, self._extras))

    def _found(self, clinic: Clinic) -> tuple[Session, Extras]:
        session = clinic.record(self._of)
        if self._version is not None:
            session = session.at_version(self._version)
        extras, problem = clinic.extras(session)
        if problem:
            self.desk.tell(problem, warning=True)
        return session, extras

    def _about(self, session: Session) -> Content:
        if not session.is_final:
            return Content.styled("! A draft: not confirmed and not signed.", "bold $warning")
        if self._version is not None:
            return Content.styled(f"! Version {self._version}, as it was then.", "bold $warning")
        signed = f"Final, signed by {session.examiner or 'nobody'}"
        amended = session.version - 1
        told = f", version {session.version}: v shows what was amended" if amended else ""
        return Content.styled(visible(signed + told), "$success")

    # What keys and words do

    def act(self, act: ScreenAct) -> None:
        if act == "export":
            self.action_export()
        elif act == "amendments":
            self.action_versions()
        elif act == "amend":
            self.action_amend()
        else:
            by = 8 if act == "row_down" else -8
            self.query_one(VerticalScroll).scroll_relative(y=by, animate=False)

    def action_export(self) -> None:
        if self._session is not None:
            self.exam_app.export(self._session)

    def action_versions(self) -> None:
        if self._session is None or self._session.version < 2:
            self.desk.tell("This record was never amended.", warning=True)
        else:
            self.app.push_screen(VersionsScreen(self._of), self._see)

    def _see(self, version: int | None) -> None:
        if version is not None:
            self.app.push_screen(RecordScreen(self._of, version))

    def action_amend(self) -> None:
        session = self._session
        if session is None:
            return
        if not session.is_final:
            self.desk.tell("A draft is corrected in the examination itself.", warning=True)
        elif self._version is not None:
            self.desk.tell("Only the latest version is amended; go back to it.", warning=True)
        else:
            self.app.push_screen(AmendingScreen(session))


def _title(session: Session) -> str:
    whose = f"patient {session.patient}" if session.patient else "no patient"
    return f"Visit of {session.examined_on}, {whose}"


def _note(session: Session, extras: Extras) -> Content:
    """The chart note, its headings marked."""
    chart = Chart(session, extras)
    about = [
        Content.assemble((f"{label} ", "$muted"), visible(text)) for label, text in head(chart)
    ]
    blocks = [Content("   ").join(about), *(_section(each) for each in sections(chart))]
    blocks.append(Content(visible(chart.signature)))
    return Content("\n\n").join(blocks)


def _section(section: Section) -> Content:
    parts = [Content.styled(section.name, "bold $secondary")]
    parts += [Content(visible(line)) for line in section.lines]
    parts += [_pairs(section.pairs)] if section.pairs else []
    return Content("\n").join(parts)


def _pairs(pairs: Iterable[tuple[str, str]]) -> Content:
    lines = [
        Content.assemble((f"{visible(name)}  ", "$muted"), visible(text)) for name, text in pairs
    ]
    return Content("\n").join(lines)
