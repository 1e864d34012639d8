"""Harmless commands that are only likely: much like a form, or what another hearing is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from dictate.exam import commands as cmd
from dictate.matching.forms import Words
from dictate.matching.likeness import likeness, sound_key
from dictate.matching.thresholds import FUZZY_LETTERS, LIKELY_COMMAND, MARGIN, REST

SIMPLE: Mapping[str, cmd.Command] = {
    "undo": cmd.Undo(),
    "redo": cmd.Redo(),
    "delete": cmd.DeleteFinding(target="last"),
    "next_region": cmd.NextRegion(),
    "previous_region": cmd.PreviousRegion(),
    "pause": cmd.Pause(),
    "resume": cmd.Resume(),
    "review": cmd.StartReview(),
    "confirm": cmd.Answer(yes=True),
    "reject": cmd.Answer(yes=False),
    "save": cmd.Save(),
    "skip": cmd.Skip(),
    "repeat": cmd.Repeat(),
    "help": cmd.Help(),
    **{act: cmd.OnScreen(act=act) for act in get_args(cmd.ScreenAct)},
}
"""Commands that take no value."""
_FORGIVING = frozenset({"next_region", "previous_region", "review", "help", "repeat"})
"""Commands that change no record and stop no listening: a likeness is enough for them."""
_SHORT = 5


class Forgiving:
    """The forms of the commands for which a likeness is enough."""

    def __init__(self, said: Mapping[Words, str]) -> None:
        self._said = said
        self._forms = [
            ("".join(words), sound_key("".join(words)), value, words)
            for words, value in said.items()
            if value in _FORGIVING and len("".join(words)) >= FUZZY_LETTERS
        ]

    def likely(self, words: Words) -> cmd.Command | None:
        """A harmless command that a whole short utterance is much like ("next regent")."""
        if not 0 < len(words) <= _SHORT:
            return None
        heard = "".join(words)
        scores: dict[str, float] = {}
        key = sound_key(heard)
        for letters, sound, value, form in self._forms:
            score = likeness(heard, key, letters, sound)
            if score >= LIKELY_COMMAND and not _rest_alike(words, form):
                continue
            scores[value] = max(score, scores.get(value, 0.0))
        ranked = sorted(scores.items(), key=lambda each: -each[1])
        best, second = (*ranked, ("", 0.0), ("", 0.0))[:2]
        if best[1] < LIKELY_COMMAND or best[1] - second[1] < MARGIN:
            return None
        return SIMPLE[best[0]]

    def harmless(self, words: Words) -> cmd.Command | None:
        """The command that changes no record of which the words are an exact form."""
        value = self._said.get(words)
        return SIMPLE[value] if value in _FORGIVING else None


def _rest_alike(heard: Words, form: Words) -> bool:
    """False for "next Tuesday" beside "next step": what is not the same must be alike too."""
    mine = "".join(word for word in heard if word not in form)
    other = "".join(word for word in form if word not in heard)
    if not other:
        return not mine  # "Say ah again" says more than "say again".
    if not mine:
        return True
    return likeness(mine, sound_key(mine), other, sound_key(other)) >= REST
