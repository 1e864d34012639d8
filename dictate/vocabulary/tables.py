"""The tables a vocabulary file may hold, and the slot and shape of each."""

from __future__ import annotations

from pydantic import BaseModel

from dictate.vocabulary.followup import Rule, SizeTerm
from dictate.vocabulary.history import RiskFactor, VisitTerm
from dictate.vocabulary.schema import Bystander, CommandTerm, Confusion, Region, Slot, Term

TERM_TABLES: dict[str, Slot] = {
    "sides": Slot.SIDE,
    "kinds": Slot.KIND,
    "distribution": Slot.DISTRIBUTION,
    "colours": Slot.COLOUR,
    "surfaces": Slot.SURFACE,
    "borders": Slot.BORDER,
    "consistencies": Slot.CONSISTENCY,
    "mobility": Slot.MOBILITY,
    "tenderness": Slot.TENDER,
    "attachment": Slot.ATTACHMENT,
    "wipes_off": Slot.WIPES_OFF,
    "symptoms": Slot.SYMPTOM,
    "change": Slot.CHANGE,
    "variants": Slot.NORMAL_VARIANT,
    "node_levels": Slot.NODE_LEVEL,
    "normal": Slot.NORMAL,
    "not_examined": Slot.NOT_EXAMINED,
    "examined": Slot.EXAMINED,
    "notes": Slot.NOTE,
    "fields": Slot.FIELD,
    "length_units": Slot.LENGTH_UNIT,
    "time_units": Slot.TIME_UNIT,
    "fillers": Slot.FILLER,
    "carry": Slot.CARRY,
}
"""Arrays of `Term` by their name in the files."""

SHAPES: dict[str, type[BaseModel]] = {
    **dict.fromkeys(TERM_TABLES, Term),
    "regions": Region,
    "commands": CommandTerm,
    "confusions": Confusion,
    "followup_rules": Rule,
    "size_terms": SizeTerm,
    "risks": RiskFactor,
    "visits": VisitTerm,
    "bystanders": Bystander,
}
"""Every array of tables and the shape of its entries."""

SINGLE_TABLES = ("protocol", "american", "also", "contractions", "followup")
"""Tables of which there is one."""

APART = frozenset(
    {
        "sentences.toml",
        "demo.toml",
        "diagram.toml",
        "diagram_views.toml",
        "icd_sites.toml",
        "plain_words.toml",
        "utterances.toml",
    }
)
"""Files of the folder that are no part of the lexicon."""
