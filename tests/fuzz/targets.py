"""All harnesses by name."""

from __future__ import annotations

from tests.fuzz import contents, files, records, words

TARGETS = {
    each.name: each
    for each in (*words.TARGETS, *files.TARGETS, *records.TARGETS, *contents.TARGETS)
}
