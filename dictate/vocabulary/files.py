"""Vocabulary files read and merged into raw entries that remember where they came from."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dictate.errors import VocabularyError
from dictate.vocabulary.tables import APART, SHAPES, SINGLE_TABLES

_SPOKEN = ("say", "plurals", "absent", "hear", "vague", "alone", "review_only")
_JOINED = (*_SPOKEN, "plausible", "yes", "former", "no", "unknown")
"""Lists of an entry that a later file adds to; everything else it replaces."""


@dataclass
class Entry:
    """One entry as written, and the name of the file that touched it last."""

    table: str
    name: str
    data: dict[str, Any]
    file: str


@dataclass
class Raw:
    """All the files merged, not yet checked against the shapes."""

    entries: dict[str, list[Entry]] = field(default_factory=dict)
    single: dict[str, Entry] = field(default_factory=dict)


def read_all(folder: Path, extra: Iterable[Path]) -> Raw:
    """Every file of `folder`, then each of `extra` laid over it.

    Raises VocabularyError naming the file, the entry and the cause.
    """
    raw = Raw()
    for path in sorted(folder.glob("*.toml")):
        if path.name not in APART:
            _add(raw, path, path.name, over=False)
    if not raw.entries:
        raise VocabularyError(f"{folder}: no vocabulary files there; reinstall dictate")
    for path in extra:
        _add(raw, path, str(path), over=True)
    return raw


def read_toml(path: Path, name: str) -> dict[str, Any]:
    """The tables of one file; VocabularyError when it cannot be read."""
    try:
        return tomllib.loads(path.read_bytes().decode("utf-8"))
    except FileNotFoundError:
        raise VocabularyError(f"{name}: no such file; check the path") from None
    except OSError as error:
        raise VocabularyError(f"{name}: cannot be read ({error.strerror})") from error
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise VocabularyError(f"{name}: line {line} is not UTF-8; save it as UTF-8") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        cause = " ".join(str(error).split()) or "nested too deeply"
        raise VocabularyError(f"{name}: not valid TOML: {cause}") from None


def _add(raw: Raw, path: Path, name: str, *, over: bool) -> None:
    for table, content in read_toml(path, name).items():
        if table in SINGLE_TABLES:
            _add_single(raw, table, content, name)
        elif table in SHAPES:
            _add_array(raw, table, content, name, over=over)
        else:
            known = ", ".join(sorted([*SHAPES, *SINGLE_TABLES]))
            raise VocabularyError(f"{name}: unknown table {table!r}; known tables: {known}")


def _add_single(raw: Raw, table: str, content: object, name: str) -> None:
    if not isinstance(content, dict):
        raise VocabularyError(f"{name}: write [{table}], with one key a line")
    before = raw.single[table].data if table in raw.single else {}
    raw.single[table] = Entry(table, table, {**before, **content}, name)


def _add_array(raw: Raw, table: str, content: object, name: str, *, over: bool) -> None:
    if not isinstance(content, list) or not all(isinstance(each, dict) for each in content):
        raise VocabularyError(f"{name}: write each entry of {table} as [[{table}]]")
    entries = raw.entries.setdefault(table, [])
    fresh: set[object] = set()
    for data in content:
        label = _label(table, data, name)
        _known_keys(table, data, name, label)
        old = _find(entries, table, data)
        if old is not None and (not over or id(old) in fresh):
            raise VocabularyError(f"{name}: {table} {label!r}: given twice; join the two entries")
        if old is None:
            old = Entry(table, label, dict(data), name)
            entries.append(old)
        else:
            old.data, old.file = _laid_over(old.data, data), name
        fresh.add(id(old))


def _label(table: str, data: dict[str, Any], name: str) -> str:
    if table == "confusions":
        return str(data.get("words", "without words"))
    if "value" not in data:
        raise VocabularyError(f"{name}: {table}: an entry has no value; add value = ...")
    return str(data["value"])


def _known_keys(table: str, data: dict[str, Any], name: str, label: str) -> None:
    known = SHAPES[table].model_fields
    for key in data:
        if key not in known:
            raise VocabularyError(
                f"{name}: {table} {label!r}: unknown key {key!r}; known keys: {', '.join(known)}"
            )


def _find(entries: list[Entry], table: str, data: dict[str, Any]) -> Entry | None:
    if table == "confusions":
        return None
    value = data["value"]
    for entry in entries:
        known = entry.data["value"]
        if known == value and isinstance(known, bool) == isinstance(value, bool):
            return entry
    return None


def _laid_over(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    merged = dict(old)
    for key, content in new.items():
        before = old.get(key)
        if key == "subsites" and isinstance(before, list) and isinstance(content, list):
            merged[key] = _subsites(before, content)
        elif key in _JOINED and isinstance(before, list) and isinstance(content, list):
            merged[key] = [*before, *(each for each in content if each not in before)]
        else:
            merged[key] = content
    return merged


def _subsites(old: list[Any], new: list[Any]) -> list[Any]:
    merged = list(old)
    for part in new:
        value = part.get("value") if isinstance(part, dict) else None
        places = [
            at
            for at, each in enumerate(merged)
            if isinstance(each, dict) and each["value"] == value
        ]
        if places and value is not None:
            merged[places[0]] = _laid_over(merged[places[0]], part)
        else:
            merged.append(part)
    return merged
