"""An amendment while it is being put together: nothing is recorded before it is whole."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.exam.assessing import assessment
from dictate.exam.commands import (
    AddFinding,
    Amend,
    ChangeField,
    Decide,
    DeleteFinding,
    RecordAnswer,
)
from dictate.exam.decisions import TITLES
from dictate.exam.editing import changed, plain
from dictate.exam.finding import FieldValue, Finding, FindingFields
from dictate.exam.followup import Assessment
from dictate.exam.readback import finding_words, title, value_words
from dictate.exam.session import Session

Change = ChangeField | DeleteFinding | AddFinding | Decide | RecordAnswer


class Amendment:
    """Changes of one final record, in the order they were chosen."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self._fields: dict[tuple[str, str], FieldValue] = {}
        self._struck: list[str] = []
        self._added: list[FindingFields] = []
        self._decided: dict[str, Decide] = {}

    def finding(self, target: str) -> Finding | None:
        """The finding as it will be; None for an unknown one."""
        found = self.session.finding(target)
        if found is None:
            return None
        new = {name: value for (of, name), value in self._fields.items() if of == target}
        return changed(found, new) if new else found

    def correct(self, target: str, field: str, value: FieldValue) -> None:
        """Another value of a field; its old value takes the correction back. ExamError."""
        found = self.session.finding(target)
        if found is None:
            return
        changed(found, {field: value})
        if plain(found, field) == value:
            self._fields.pop((target, field), None)
        else:
            self._fields[target, field] = value

    def strike(self, target: str) -> None:
        """Strike a finding out as entered in error; again takes that back."""
        if target in self._struck:
            self._struck.remove(target)
        else:
            self._struck.append(target)

    def is_struck(self, target: str) -> bool:
        return target in self._struck

    def add(self, fields: FindingFields) -> None:
        """A finding that is missing in the record."""
        self._added.append(fields)

    def decide(self, command: Decide) -> None:
        """Another decision on a finding."""
        self._decided[command.target] = command

    def drop_last_added(self) -> bool:
        """Take back the finding added last; False when none was."""
        return bool(self._added) and self._added.pop() is not None

    def assessment(self, target: str) -> Assessment:
        """What the rules say of the finding as it will be."""
        found = self.finding(target)
        return assessment(self.session.state, found) if found else Assessment()

    @property
    def is_empty(self) -> bool:
        return not (self._fields or self._struck or self._added or self._decided)

    def command(self, examiner: str, why: str) -> Amend:
        """All of it as one command."""
        return Amend(examiner=examiner, why=why, changes=tuple(self._changes()))

    def lines(self) -> Iterator[str]:
        """What it changes, a line a change."""
        for (target, field), value in self._fields.items():
            found = self.session.finding(target)
            old = value_words(field, plain(found, field)) if found else ""
            yield f"{target} {title(field)}: {old} -> {value_words(field, value)}"
        yield from (f"{target}: struck out" for target in self._struck)
        yield from (f"added: {finding_words(fields)}" for fields in self._added)
        for target, command in self._decided.items():
            yield f"{target}: {TITLES[command.decision]}, {command.reason or 'no reason given'}"

    def _changes(self) -> Iterator[Change]:
        for (target, field), value in self._fields.items():
            if target not in self._struck:
                yield ChangeField(target=target, field=field, value=value)
        yield from (DeleteFinding(target=target) for target in self._struck)
        yield from (AddFinding(fields=fields) for fields in self._added)
        yield from (each for name, each in self._decided.items() if name not in self._struck)
