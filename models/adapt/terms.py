"""The spoken forms of the vocabulary files, read as plain lists."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

Table = dict[str, Any]


@dataclass(frozen=True)
class Place:
    """A region or sub-site as spoken, and whether a side belongs to it."""

    text: str
    paired: bool


@dataclass(frozen=True)
class Terms:
    """All spoken forms, by file (the key is the file's name without its ending)."""

    places: tuple[Place, ...]
    regions: tuple[str, ...]
    forms: dict[str, tuple[str, ...]]
    plurals: tuple[str, ...]
    absent: tuple[str, ...]
    commands: dict[str, tuple[str, ...]]
    groups: dict[str, tuple[str, ...]]
    """Fillers and carried references by their value ("fillers.opening")."""
    american: dict[str, str]
    """British word to American."""


def _entries(directory: Path) -> Iterator[tuple[str, Table]]:
    for path in sorted(directory.glob("*.toml")):
        for value in tomllib.loads(path.read_text(encoding="utf-8")).values():
            if (
                isinstance(value, list)
                and value
                and isinstance(value[0], dict)
                and "say" in value[0]
            ):
                yield from ((path.stem, entry) for entry in value)


def _places(region: Table) -> Iterator[Place]:
    paired = bool(region.get("paired", True))
    names = [*region["say"], *region.get("vague", [])]
    yield from (Place(name, paired) for name in names)
    for part in region.get("subsites", []):
        sided = paired and not part.get("midline", False)
        yield from (Place(name, sided) for name in part.get("alone", []))
        for name in part["say"]:
            yield Place(f"{name} of the {region['say'][0]}", sided)
            yield Place(f"{region['say'][0]} {name}", sided)


def _spoken(form: str) -> bool:
    """False for forms that are only written, such as a level in Roman figures."""
    return not re.search(r"\blevel [iv]+", form)


def load(directory: Path) -> Terms:
    """Read every vocabulary file in `directory`."""
    forms: dict[str, list[str]] = {}
    commands: dict[str, list[str]] = {}
    groups: dict[str, tuple[str, ...]] = {}
    plurals, absent, places, regions = [], [], [], []
    for name, entry in _entries(directory):
        if name == "regions":
            places += list(_places(entry))
            regions += entry["say"]
        elif name == "commands":
            said = commands.setdefault(entry["value"], [])
            said += [*entry["say"], *entry.get("review_only", [])]
        elif name != "confusions":
            forms.setdefault(name, []).extend(filter(_spoken, entry["say"]))
            groups[f"{name}.{entry['value']}"] = tuple(entry["say"])
            plurals += entry.get("plurals", [])
            absent += entry.get("absent", [])
    spelling = tomllib.loads((directory / "spelling.toml").read_text(encoding="utf-8"))
    return Terms(
        places=tuple(places),
        regions=tuple(regions),
        forms={name: tuple(each) for name, each in forms.items()},
        plurals=tuple(plurals),
        absent=tuple(absent),
        commands={name: tuple(each) for name, each in commands.items()},
        groups=groups,
        american=_american(spelling["american"]),
    )


def _american(pairs: dict[str, str]) -> dict[str, str]:
    """British to American, without spellings that are rarer than the British one in America."""
    rare = ("leuco", "homogenous", "mucocoele", "vermillion", "leukedema", "erythroleuco")
    return {uk: us for us, uk in pairs.items() if not us.startswith(rare)}
