from __future__ import annotations

import json

from dictate.exam.commands import MarkRegion
from dictate.exam.contract import session_document
from tests.exam_samples import Chair


def test_the_document_is_what_the_contract_promises() -> None:
    chair = Chair()
    chair.plaque(side=None, tender=False, wipes_off=False, duration_days=21)
    chair.hear("how are the children", kind="ignored", start_s=4.0004, end_s=5.5, confidence=0.5)
    chair.key(MarkRegion(region="face", state="normal"))
    document = session_document(chair.session)
    assert json.loads(json.dumps(document)) == document
    assert list(document) == ["utterances", "findings", "coverage"]
    first = ["text", "start_s", "end_s", "kind", "confidence"]
    assert list(document["utterances"][0])[:5] == first
    assert [document["utterances"][1][key] for key in first] == [
        "how are the children",
        4.0,
        5.5,
        "ignored",
        0.5,
    ]
    (finding,) = document["findings"]
    promised = {
        "region": "tongue",
        "subsite": "lateral border",
        "side": None,
        "kind": "plaque",
        "count": 1,
        "size_mm": [10.0, 6.0],
        "colours": ["white"],
        "surface": [],
        "borders": [],
        "consistency": [],
        "mobility": None,
        "tender": False,
        "attachment": None,
        "wipes_off": False,
        "symptoms": [],
        "duration_days": 21,
        "normal_variant": None,
        "node_level": None,
        "needs_review": [{"field": "side", "why": "no side was said"}],
    }
    assert list(finding)[: len(promised)] == list(promised)
    assert {key: finding[key] for key in promised} == promised
    assert document["coverage"] == {
        "examined": ["face", "tongue"],
        "normal": ["face"],
        "not_examined": ["buccal mucosa", "hard palate"],
    }


def test_no_findings_is_empty_lists() -> None:
    document = session_document(Chair().session)
    assert (document["utterances"], document["findings"]) == ([], [])
    assert document["coverage"]["examined"] == []
