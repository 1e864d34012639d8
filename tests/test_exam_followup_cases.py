"""Each rule with a case of its published sentence and cases just outside it.

Limits of time and size stand in test_exam_followup.py beside these. Sources are those that the
rule names in vocab/followup.toml; sentences are in our own words.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from dictate.exam.finding import FindingFields
from dictate.vocabulary.loader import load
from tests.test_exam_followup import looked, met
from tests.visit_samples import FIRST, days, open_lesion, rules_of

Changes = dict[str, object]
_MOUTH: Changes = {"region": "buccal mucosa", "side": "left", "kind": "patch"}
_NODE: Changes = {"region": "lymph nodes", "subsite": "submandibular", "side": "right"}
_NODE |= {"kind": "lymph node", "duration_days": 3}


@dataclass(frozen=True)
class Case:
    """What meets a rule, and neighbours of it that do not."""

    place: str
    source: str
    meets: Changes
    neighbours: tuple[Changes, ...]


CASES: dict[str, Case] = {
    "should-not-wait": Case(
        "United States",
        "common practice, no source",
        _MOUTH | {"consistency": ("indurated",)},
        (_MOUTH | {"consistency": ("firm",)}, _MOUTH | {"borders": ("well defined",)}),
    ),
    "two-weeks": Case(
        "United States",
        "common practice, no source",
        _MOUTH | {"duration_days": 14},
        (_MOUTH | {"duration_days": 13}, _MOUTH | {"duration_days": None}),
    ),
    "high-risk-site": Case(
        "United States",
        "American Dental Association, red flags; FDI chairside guide 2018",
        _MOUTH | {"region": "floor of mouth"},
        (_MOUTH | {"region": "hard palate"}, _MOUTH | {"region": "tongue", "subsite": "dorsum"}),
    ),
    "nidcr-red-white": Case(
        "United States",
        "NIDCR leaflet: a red or white lesion that has not resolved in two weeks",
        _MOUTH | {"colours": ("red",), "duration_days": 15},
        (
            _MOUTH | {"colours": ("red",), "duration_days": 14},
            _MOUTH | {"colours": ("brown",), "duration_days": 15},
            _MOUTH | {"region": "face", "colours": ("red",), "duration_days": 15},
        ),
    ),
    "uspstf-two-weeks": Case(
        "United States",
        "USPSTF 2013: any abnormality lasting more than two weeks",
        _MOUTH | {"duration_days": 15},
        (_MOUTH | {"duration_days": 14}, _MOUTH | {"region": "face", "duration_days": 15}),
    ),
    "ada-2010-persistent": Case(
        "United States",
        "Rethman et al. 2010: seen again in 7 to 14 days to confirm persistence",
        _MOUTH | {"earlier": 7},
        (_MOUTH | {"earlier": 6}, _MOUTH | {"duration_days": 400}),
    ),
    "ada-2017-disorder": Case(
        "United States",
        "Lingen et al. 2017: potentially malignant disorder not ruled out",
        _MOUTH | {"kind": "leukoplakia"},
        (_MOUTH, _MOUTH | {"kind": "papule"}),
    ),
    "aao-neck-mass-time": Case(
        "United States",
        "Pynnonen et al. 2017: a neck mass for two weeks or more",
        _NODE | {"duration_days": 14},
        (_NODE | {"duration_days": 13}, _MOUTH | {"kind": "mass", "duration_days": 14}),
    ),
    "aao-neck-mass-signs": Case(
        "United States",
        "Pynnonen et al. 2017: larger than 1.5 cm, firm, fixed, ulcerated skin",
        _NODE | {"size_mm": (16.0,)},
        (_NODE | {"size_mm": (15.0,)}, _NODE | {"consistency": ("soft",), "mobility": "mobile"}),
    ),
    "afp-node-size": Case(
        "United States",
        "Gaddey and Riegel 2016: larger than 1 cm",
        _NODE | {"size_mm": (11.0,)},
        (_NODE | {"size_mm": (10.0,)}, _NODE | {"region": "neck", "subsite": None}),
    ),
    "afp-supraclavicular": Case(
        "United States",
        "Gaddey and Riegel 2016: a palpable supraclavicular node",
        _NODE | {"subsite": "supraclavicular"},
        (_NODE,),
    ),
    "nice-ulcer": Case(
        "England",
        "NICE NG12: unexplained ulceration in the mouth for more than three weeks",
        _MOUTH | {"kind": "ulcer", "duration_days": 22},
        (
            _MOUTH | {"kind": "ulcer", "duration_days": 21},
            _MOUTH | {"kind": "patch", "duration_days": 22},
            _MOUTH | {"region": "face", "kind": "ulcer", "duration_days": 22},
        ),
    ),
    "nice-neck-lump": Case(
        "England",
        "NICE NG12: a persistent and unexplained lump in the neck",
        _NODE | {"kind": "lump", "earlier": 1},
        (_NODE | {"kind": "lump"}, _MOUTH | {"kind": "lump", "earlier": 1}),
    ),
    "nice-lump": Case(
        "England",
        "NICE NG12: a lump on the lip or in the oral cavity",
        _MOUTH | {"region": "lips", "kind": "lump"},
        (_MOUTH | {"kind": "patch"}, _NODE | {"kind": "lump"}),
    ),
    "nice-red-patch": Case(
        "England",
        "NICE NG12: a red, or red and white, patch in the oral cavity",
        _MOUTH | {"colours": ("mixed white and red",)},
        (_MOUTH | {"colours": ("white",)}, _MOUTH | {"kind": "ulcer", "colours": ("red",)}),
    ),
    "scot-lump": Case(
        "Scotland",
        "Scottish Referral Guidelines 2019: lump, ulcer or swelling, more than three weeks",
        _NODE | {"kind": "lump", "duration_days": 22},
        (_NODE | {"kind": "lump", "duration_days": 21}, _MOUTH | {"duration_days": 22}),
    ),
    "scot-patch": Case(
        "Scotland",
        "Scottish Referral Guidelines 2019: red or mixed patch, more than three weeks",
        _MOUTH | {"colours": ("red",), "duration_days": 22},
        (
            _MOUTH | {"colours": ("red",), "duration_days": 21},
            _MOUTH | {"colours": ("white",), "duration_days": 22},
        ),
    ),
    "scot-throat": Case(
        "Scotland",
        "Scottish Referral Guidelines 2019: hoarseness or throat pain, more than three weeks",
        _MOUTH | {"region": "oropharynx", "symptoms": ("hoarseness",), "duration_days": 22},
        (
            _MOUTH | {"region": "oropharynx", "symptoms": ("hoarseness",), "duration_days": 21},
            _MOUTH | {"symptoms": ("pain",), "duration_days": 22},
            _MOUTH | {"denied_symptoms": ("hoarseness",), "duration_days": 22},
        ),
    ),
    "nccp-lesion": Case(
        "Ireland",
        "Ireland, NCCP: an ulcer, lump or socket that does not heal, more than three weeks",
        _MOUTH | {"region": "alveolar ridge", "kind": "non-healing socket", "duration_days": 22},
        (
            _MOUTH
            | {"region": "alveolar ridge", "kind": "non-healing socket", "duration_days": 21},
            _MOUTH | {"duration_days": 22},
        ),
    ),
    "nccp-patch": Case(
        "Ireland",
        "Ireland, NCCP: a white, red or pigmented patch, more than three weeks",
        _MOUTH | {"colours": ("pigmented",), "duration_days": 22},
        (
            _MOUTH | {"colours": ("pigmented",), "duration_days": 21},
            _MOUTH | {"colours": ("yellow",), "duration_days": 22},
        ),
    ),
    "nccp-symptoms": Case(
        "Ireland",
        "Ireland, NCCP: numbness or a loose tooth, more than three weeks",
        _MOUTH | {"symptoms": ("loose tooth",), "duration_days": 22},
        (
            _MOUTH | {"symptoms": ("loose tooth",), "duration_days": 21},
            _MOUTH | {"symptoms": ("pain",), "duration_days": 22},
        ),
    ),
    "bc-three-weeks": Case(
        "British Columbia",
        "British Columbia 2008: more than three weeks after a cause was removed",
        _MOUTH | {"duration_days": 22},
        (_MOUTH | {"duration_days": 21}, _MOUTH | {"region": "face", "duration_days": 22}),
    ),
}


def rules_met(case: Case, changes: Changes) -> set[str]:
    """`earlier` in the changes: seen so many days before too."""
    fields = FindingFields.model_validate({k: v for k, v in changes.items() if k != "earlier"})
    ago = changes.get("earlier")
    before = FIRST - days(ago) if isinstance(ago, int) else None
    earlier = open_lesion(day=before, **fields.model_dump()) if before else None
    return met(looked(fields, rules=rules_of(case.place), earlier=earlier))


@pytest.mark.parametrize("rule", CASES)
def test_the_published_case_meets_the_rule_and_its_neighbours_do_not(rule: str) -> None:
    case = CASES[rule]
    assert rule in rules_met(case, case.meets), case.source
    for each in case.neighbours:
        assert rule not in rules_met(case, each), (case.source, each)


def test_no_rule_is_without_a_case() -> None:
    assert {each.value for each in load().followup.rules} == set(CASES)
