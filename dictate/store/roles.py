"""Who acts in a store just now, and whether they may sign."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from dictate.errors import StoreError
from dictate.exam.events import KEYBOARD, VOICE
from dictate.exam.names import person
from dictate.store.people import People, Person

NOBODY = "Say who you are: --as NAME, or DICTATE_USER; `dictate people list` shows who is known."


class Roles:
    """The examiner who speaks, the assistant who types; either may be nobody named."""

    def __init__(self, people: Callable[[], People]) -> None:
        self._people = people
        self.user: str | None = None
        self.names: Mapping[str, str] = {}
        """What Session.names becomes."""
        self._person: Person | None = None
        self._unchecked: StoreError | None = None

    def act_as(
        self, user: str | None, assistant: str | None = None, *, needed: bool = False
    ) -> None:
        """From now on that is who acts. Raises StoreError for somebody unknown or retired.

        `needed`: once an examiner is registered, nobody acts unnamed. Where the database is out of
        reach the name is taken as it is, and does not sign.
        """
        self._unchecked = None
        try:
            people = self._people()
            ruled = people.is_ruled
        except StoreError as error:
            self._unchecked, ruled = error, False
            self._name(user, assistant)
            return
        if not ruled:
            self._name(user, assistant)
            return
        self._person = people.known(user) if user else people.of_login()
        if self._person is None:
            if needed:
                raise StoreError(NOBODY)
            return
        typist = people.known(assistant).name if assistant else None
        self._name(self._person.name, typist)

    def examiners(self) -> tuple[str, ...]:
        """Who may sign; nobody where no examiner is registered, or who is cannot be read."""
        try:
            everybody = self._people().all()
        except StoreError:
            return ()
        return tuple(
            each.name for each in everybody if each.role == "examiner" and not each.retired
        )

    def may_sign(self, name: str, does: str = "signs or amends") -> str:
        """The name as it is registered. Raises StoreError for who may not sign, or as another.

        `does`: what an examiner alone does.
        """
        if self._unchecked is not None and self.user is None:
            return name  # as in a store without people, which this may well be
        if self._unchecked is not None:
            raise StoreError(
                "Who may sign cannot be checked; the draft is kept, sign it later: "
                f"{self._unchecked}"
            )
        if self._person is None:
            if self._is_ruled():
                raise StoreError(NOBODY)
            return name
        if self._person.role != "examiner":
            raise StoreError(
                f"{self._person.name} is an assistant, and only an examiner {does}; "
                "an examiner opens the record with --as NAME."
            )
        if person(name).casefold() != self._person.name.casefold():
            raise StoreError(f"You act as {self._person.name}; sign with that name.")
        return self._person.name

    def _is_ruled(self) -> bool:
        try:
            return self._people().is_ruled
        except StoreError:
            return False

    def _name(self, user: str | None, assistant: str | None) -> None:
        self.user = person(user) if user else None
        names = {VOICE: self.user, KEYBOARD: person(assistant) if assistant else self.user}
        self.names = {channel: name for channel, name in names.items() if name}
