from __future__ import annotations

from dictate.exam.protocol import Protocol
from dictate.vocabulary.loader import load
from tests.exam_samples import PROTOCOL


def test_the_protocol_is_the_vocabularys() -> None:
    lexicon = load(())
    protocol = Protocol.of(lexicon)
    assert protocol.order == tuple(region.value for region in lexicon.regions)
    tongue = protocol.station("tongue")
    assert tongue is not None
    assert "lateral border" in tongue.subsites
    # Lateral and ventral tongue are high-risk sites (ADA 2017, JADA 148(10):712-727).
    assert {"lateral border", "ventral surface"} <= set(tongue.high_risk_subsites)
    assert tongue.needs_side("lateral border")
    palate = protocol.station("soft palate")
    assert palate is not None
    assert not palate.needs_side("uvula")
    assert Protocol.model_validate_json(protocol.model_dump_json()) == protocol


def test_stepping_through_the_order() -> None:
    order, region = [], None
    while (region := PROTOCOL.after(region)) is not None:
        order.append(region)
    assert tuple(order) == PROTOCOL.order
    assert PROTOCOL.before("face") is None
    assert PROTOCOL.before("tongue") == "buccal mucosa"
    assert PROTOCOL.after("elbow") == "face"
    assert PROTOCOL.station("elbow") is None
