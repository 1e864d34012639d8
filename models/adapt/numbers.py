"""Numbers, sizes, counts and durations as they are dictated, in words."""

from __future__ import annotations

from random import Random

ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
CONFUSED = tuple(ONES[13:]) + tuple(TENS[1:])
"""Teens and tens: a stress and a last n are all that part them."""


def in_words(value: int) -> str:
    """0 to 99 in words."""
    if value < 20:
        return ONES[value]
    return TENS[value // 10 - 2] + (f" {ONES[value % 10]}" if value % 10 else "")


def number(rng: Random) -> str:
    """A length as dictated: mostly small, often one of a pair that sound alike."""
    kind = rng.random()
    if kind < 0.45:
        return in_words(rng.randint(1, 12))
    if kind < 0.72:
        return rng.choice(CONFUSED)
    if kind < 0.84:
        return in_words(rng.randint(13, 60))
    if kind < 0.88:
        return in_words(rng.randint(61, 99))
    if kind < 0.96:
        return f"{ONES[rng.randint(0, 9)]} point {ONES[rng.randint(1, 9)]}"
    return rng.choice(
        ["half a", "one and a half", "two and a half", "three and a half", "a couple of"]
    )


def size(rng: Random) -> str:
    """A size with its unit: one, two or three dimensions."""
    unit = rng.choices(["millimetres", "centimetres", "mils", "inches"], [80, 15, 4, 1])[0]
    parts = rng.choices([1, 2, 3], [40, 50, 10])[0]
    said = [number(rng) for _ in range(parts)]
    if parts == 1 and said[0] in ("one", "half a"):
        return f"{said[0]} {unit.removesuffix('s').replace('inche', 'inch')}"
    joined = rng.choice([" by ", " by ", " by ", " times ", " and "]).join(said)
    if parts == 2 and rng.random() < 0.12:
        joined = f" {unit} by ".join(said)
    return f"{joined} {unit}"


def duration(rng: Random) -> str:
    """A span of time with its unit."""
    unit = rng.choices(["day", "week", "fortnight", "month", "year"], [20, 45, 4, 24, 7])[0]
    kind = rng.random()
    if kind < 0.1:
        return rng.choice(
            [
                "a week",
                "a fortnight",
                "a month",
                "a year",
                "a few days",
                "several weeks",
                "a couple of weeks",
                "two or three weeks",
                "half a year",
                "many years",
            ]
        )
    value = rng.choice(CONFUSED) if kind > 0.85 else in_words(rng.randint(1, 14))
    return f"{value} {unit}{'' if value == 'one' else 's'}"
