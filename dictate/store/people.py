"""Who works with a store: named users, examiners and assistants. No passwords.

Who they are follows from the audit trail, so that nobody becomes an examiner unseen.
"""

from __future__ import annotations

import getpass
from dataclasses import dataclass, replace

from dictate.errors import StoreError
from dictate.exam.events import KEYBOARD, SYSTEM, VOICE
from dictate.exam.names import person
from dictate.store import trail
from dictate.store.database import Database
from dictate.store.trail import PERSON, Role

RESERVED = {VOICE, KEYBOARD, SYSTEM}


@dataclass(frozen=True, slots=True)
class Person:
    """A named user."""

    name: str
    role: Role
    login: str | None = None
    """Account of the operating system that this person works under, if it is theirs alone."""
    retired: bool = False


class People:
    """The named users of a database. Every method raises StoreError when it fails."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def all(self) -> tuple[Person, ...]:
        """Everybody, those who retired too, in the order they came."""
        found: dict[str, Person] = {}
        with self._database.transaction("read who works here") as transaction:
            for each in trail.entries(transaction, self._database.sealer, kind=PERSON):
                key = (each.name or "").casefold()
                if each.action == "person added" and each.name and each.role:
                    found[key] = Person(each.name, each.role, each.detail or None)
                elif key in found:
                    found[key] = replace(found[key], retired=True)
        return tuple(found.values())

    def add(
        self, name: str, role: Role, *, login: str | None = None, by: str | None = None
    ) -> Person:
        """Register somebody. Raises StoreError, ExamError for a name that cannot be."""
        clean = person(name)
        if clean.casefold() in RESERVED:
            raise StoreError(f"{clean} stands for something else in a record; choose another name.")
        known = self._find(clean)
        if known is not None and not known.retired:
            raise StoreError(f"{known.name} is registered already, as {known.role}.")
        entry = trail.made("person added", by, name=clean, role=role, detail=login or "")
        self._database.note(entry)
        return Person(clean, role, login)

    def retire(self, name: str, *, by: str | None = None) -> Person:
        """From now on they do nothing here; what they did stays. Raises StoreError."""
        known = self.known(name)
        self._database.note(trail.made("person retired", by, name=known.name, role=known.role))
        return replace(known, retired=True)

    def known(self, name: str) -> Person:
        """The person of that name, capitals or not. Raises StoreError for unknown and retired."""
        found = self._find(person(name))
        if found is None:
            raise StoreError(
                f"Nobody called {person(name)} is registered; `dictate people list` shows who is."
            )
        if found.retired:
            raise StoreError(f"{found.name} has retired; somebody who works here is needed.")
        return found

    @property
    def is_ruled(self) -> bool:
        """True once an examiner is registered: from then on only examiners sign."""
        return any(each.role == "examiner" for each in self.all())

    def of_login(self) -> Person | None:
        """Whose account of the operating system this is, if it is one person's alone."""
        try:
            login = getpass.getuser()
        except (KeyError, OSError):
            return None
        found = [each for each in self.all() if not each.retired and each.login == login]
        return found[0] if len(found) == 1 else None

    def _find(self, name: str) -> Person | None:
        found = [each for each in self.all() if each.name.casefold() == name.casefold()]
        return found[-1] if found else None
