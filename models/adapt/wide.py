"""A second grammar of dictation, wider and looser than the one that biases the decoder.

Parts of a finding come in any order, with or without glue, whole or as afterthoughts, so that
the model learns the words and not one order of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random

from adapt.numbers import CONFUSED, duration, in_words, number, size
from adapt.terms import Terms

SIDES = ("left", "right")
LOCATE = ("on the", "in the", "at the", "over the", "along the", "near the", "within the", "of the")
TALK = (
    "can you turn your head to the {side} please", "open a little wider for me",
    "stick your tongue out please", "put your tongue to the roof of your mouth",
    "let me know if this hurts", "does this feel sore at all", "you are doing very well",
    "could you pass me the mirror", "I need some more gauze please", "can you hold the light",
    "the next patient is running late", "did you have a good weekend", "say ah for me",
    "swallow for me please", "I am just going to feel your neck now", "any allergies at all",
    "how long have you had this", "when did you first notice it", "do you smoke at all",
    "let us have a look at the {place}", "I will write to your doctor about it",
    "there is nothing to worry about", "please rinse and have a seat", "the scan was booked",
    "we will see you again in {duration}", "it was about {size} when I last saw you",
    "thank you very much", "that is all for today", "tell me about your medication",
    "lean back and relax", "close your mouth slightly", "bite your teeth together for me",
)  # fmt: skip


class Wide:
    """Endless sentences about findings, regions, commands, and talk beside the record."""

    def __init__(self, terms: Terms, rng: Random) -> None:
        self._terms, self._rng = terms, rng
        self._makers: list[tuple[Callable[[], str], int]] = [
            (self.finding, 46), (self.fragment, 14), (self.normal, 9), (self.node, 6),
            (self.command, 8), (self.correction, 6), (self.variant, 5), (self.talk, 5),
            (self.term, 5), (self.jumble, 6),
        ]  # fmt: skip

    def __iter__(self) -> Iterator[str]:
        makers, weights = zip(*self._makers, strict=True)
        while True:
            yield " ".join(self._rng.choices(makers, weights)[0]().split())

    def _any(self, *names: str) -> str:
        return self._rng.choice(self._terms.forms[self._rng.choice(names)])

    def _filler(self, kind: str) -> str:
        return self._rng.choice(self._terms.groups[f"fillers.{kind}"])

    def _maybe(self, text: str, chance: float = 0.5) -> str:
        return text if self._rng.random() < chance else ""

    def place(self, article: bool = False) -> str:
        """A site, with its side in one of the usual positions."""
        place, rng = self._rng.choice(self._terms.places), self._rng
        side = rng.choice(SIDES)
        the = "the " if article else ""
        if not place.paired or rng.random() < 0.15:
            return the + place.text
        return rng.choices(
            [f"{the}{side} {place.text}", f"{the}{place.text} {side}",
             f"{the}{place.text} on the {side}", f"the {side} side of the {place.text}",
             f"{the}{place.text} {side} side", f"{the}{place.text} bilaterally",
             f"{side} side {place.text}", f"{the}{place.text} in the midline"],
            [50, 8, 14, 10, 8, 3, 5, 2],
        )[0]  # fmt: skip

    def lesion(self) -> str:
        """A lesion with some of its adjectives: "two small white raised nodules"."""
        rng = self._rng
        names = rng.sample(
            ["colours", "surfaces", "consistencies", "distribution", "attachment"],
            rng.choices([0, 1, 2, 3], [25, 40, 25, 10])[0],
        )
        words = [self._any(name) for name in names]
        if rng.random() < 0.25:
            words.insert(0, rng.choice(["small", "large", "tiny", "round", "oval"]))
        if rng.random() < 0.16:
            return " ".join([in_words(rng.randint(2, 15)), *words, rng.choice(self._terms.plurals)])
        joint = rng.choice([" ", " ", " and "])
        if rng.random() < 0.12:  # "a ten by six millimetre ulcer"
            words.insert(0, size(rng).removesuffix("s").replace("inche", "inch"))
        return f"{self._maybe('a ', 0.3)}{joint.join(words)} {self._any('kinds')}"

    def detail(self) -> str:
        """One further thing said about a lesion."""
        rng = self._rng
        kind = rng.randrange(15)
        if kind < 4:
            return f"{self._maybe(self._filler('measuring'), 0.5)} {size(rng)}"
        if kind < 6:
            return f"{self._maybe(self._filler('lasting'), 0.8)} {duration(rng)}"
        if kind == 6:
            return f"{self._maybe(self._filler('reported'), 0.5)} {self._any('symptoms')}"
        if kind == 7:
            return rng.choice(self._terms.absent)
        if kind == 8:
            return f"with {self._maybe(self._any('surfaces'), 0.4)} {self._any('borders')}"
        names = ["borders", "mobility", "tenderness", "wipes_off", "change", "consistencies",
                 "surfaces", "colours", "attachment", "distribution"]  # fmt: skip
        said = self._any(names[rng.randrange(len(names))])
        lead = rng.choice(["it is", "is", "appears", "feels", "not", "very"])
        return f"{self._maybe(lead, 0.2)} {said}"

    def finding(self) -> str:
        """A whole finding: site, lesion and up to four details, in a random order."""
        rng = self._rng
        details = [
            self.detail() for _ in range(rng.choices([0, 1, 2, 3, 4], [12, 32, 30, 18, 8])[0])
        ]
        order = rng.random()
        if order < 0.45:
            parts = [self.place(), self.lesion(), *details]
        elif order < 0.85:
            parts = [f"{self.lesion()} {rng.choice(LOCATE)} {self.place()}", *details]
        else:
            parts = [self.place(), self.lesion(), *details]
            rng.shuffle(parts)
        if rng.random() < 0.3:
            parts[0] = f"{self._filler('opening')} {parts[0]}"
        glue = rng.choice([" ", " ", " ", " and ", " which is ", " it is "])
        return parts[0] + " " + (glue if rng.random() < 0.15 else " ").join(parts[1:])

    def fragment(self) -> str:
        """An afterthought: details, a size or a place alone."""
        rng = self._rng
        kind = rng.random()
        if kind < 0.3:
            return size(rng)
        if kind < 0.4:
            return self.place()
        if kind < 0.45:
            return f"{rng.choice(CONFUSED)} not {rng.choice(CONFUSED)}"
        if kind < 0.55:
            return f"{self._any('carry')} {rng.choice([self.lesion(), self.detail()])}"
        return " ".join(self.detail() for _ in range(rng.choices([1, 2, 3], [60, 30, 10])[0]))

    def normal(self) -> str:
        """A region pronounced healthy, seen, felt or left out."""
        said = self._any("normal", "normal", "not_examined", "examined")
        if self._rng.random() < 0.25:
            return f"{said} {self.place(True)}"
        joint = self._rng.choice(["", "", "is", "are", "looks", "all"])
        return f"{self._maybe('the', 0.2)} {self.place()} {joint} {said}"

    def node(self) -> str:
        """A lymph node by level."""
        rng = self._rng
        side = rng.choice(["", *SIDES, "left neck", "right neck", "bilateral", "right side"])
        node = rng.choice(
            ["node", "lymph node", "nodes", "lymph nodes", "lump", "mass", "neck node"]
        )
        level = self._any("node_levels")
        head = rng.choice([f"{side} {level} {node}", f"{side} {node} {level}",
                           f"{node} at {level} {rng.choice(['on the left', 'on the right', ''])}",
                           f"palpable {node} {side} {level}"])  # fmt: skip
        more = [rng.choice([size(rng), self._any("mobility"), self._any("tenderness"),
                            self._any("consistencies"), self._any("distribution"),
                            f"for {duration(rng)}"])
                for _ in range(rng.choices([0, 1, 2, 3], [15, 35, 35, 15])[0])]  # fmt: skip
        return " ".join([head, *more])

    def command(self) -> str:
        """A command, with what it takes."""
        name = self._rng.choice(list(self._terms.commands))
        said = self._rng.choice(self._terms.commands[name])
        if name == "go_to":
            return f"{said} {self._rng.choice(self._terms.regions)}"
        if name == "correct":
            return self.correction()
        return f"{said} {self._maybe('please', 0.06)}"

    def correction(self) -> str:
        """A field set anew."""
        rng = self._rng
        said = rng.choice(self._terms.commands["correct"])
        value = rng.choice([
            size(rng), size(rng), rng.choice(SIDES), rng.choice(SIDES), duration(rng),
            self.place(), self._any("kinds"), self._any("colours"), self._any("consistencies"),
            self._any("mobility"), self._any("node_levels"), self._any("tenderness"),
        ])  # fmt: skip
        if rng.random() < 0.5:
            return (
                f"{said} {self._any('fields')} {rng.choice(['to', 'is', 'should be', ''])} {value}"
            )
        return f"{said} {value}"

    def variant(self) -> str:
        """A variant of normal, with or without its place."""
        said = self._any("variants")
        if self._rng.random() < 0.4:
            return said
        where = f"{self._rng.choice(LOCATE)} {self.place()}"
        return f"{self._maybe(self._filler('opening'), 0.4)} {said} {self._maybe(where, 0.6)}"

    def talk(self) -> str:
        """What is said to the patient or the assistant."""
        said = self._rng.choice(TALK)
        return said.format(
            side=self._rng.choice(SIDES), place=self.place(), size=size(self._rng),
            duration=duration(self._rng),
        )  # fmt: skip

    def term(self) -> str:
        """A term or a number alone."""
        if self._rng.random() < 0.25:
            return number(self._rng)
        return self._any("kinds", "variants", "surfaces", "consistencies", "borders", "symptoms",
                         "colours", "mobility", "node_levels", "change")  # fmt: skip

    def jumble(self) -> str:
        """Terms in no order at all: the words must be heard, they cannot be guessed."""
        names = [name for name in self._terms.forms if name not in ("fields", "spelling")]
        said = [self._any(self._rng.choice(names)) for _ in range(self._rng.randint(2, 5))]
        if self._rng.random() < 0.6:
            said.insert(self._rng.randrange(len(said)), self._rng.choice(self._terms.places).text)
        if self._rng.random() < 0.5:
            said.insert(self._rng.randrange(len(said)), size(self._rng))
        return " ".join(said)
