"""Follow-up rules: each published sentence's case, and its neighbours beyond the limit."""

from __future__ import annotations

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from dictate.exam.finding import FindingFields
from dictate.exam.followup import Assessment, assess, size_term_notice
from dictate.exam.lesions import Lesion
from dictate.vocabulary.followup import FollowUp
from dictate.vocabulary.loader import load
from tests.visit_samples import FIRST, RULES, WHOLE, days, open_lesion, rules_of

PATCH = FindingFields(region="buccal mucosa", side="left", kind="patch", colours=("white",))
NODE = FindingFields(
    region="lymph nodes", subsite="submandibular", side="right", kind="lymph node", duration_days=3
)


def looked(
    fields: FindingFields,
    *,
    rules: FollowUp = RULES,
    earlier: Lesion | None = None,
    on: date = FIRST,
    **changes: object,
) -> Assessment:
    changed = FindingFields.model_validate({**fields.model_dump(), **changes})
    return assess(changed, earlier, on, rules, WHOLE)


def met(found: Assessment) -> set[str]:
    return {each.rule for each in found.prompts}


@pytest.mark.parametrize(
    ("rule", "rules", "fields", "present", "expected"),
    [
        # NIDCR, Detecting Oral Cancer: red or white lesions not resolved in 2 weeks ("more than").
        ("nidcr-red-white", RULES, PATCH, 14, False),
        ("nidcr-red-white", RULES, PATCH, 15, True),
        # USPSTF 2013: any abnormality lasting more than 2 weeks.
        ("uspstf-two-weeks", RULES, PATCH, 14, False),
        ("uspstf-two-weeks", RULES, PATCH, 15, True),
        # AAO-HNSF 2017: a neck mass present for 2 weeks or more.
        ("aao-neck-mass-time", RULES, NODE, 13, False),
        ("aao-neck-mass-time", RULES, NODE, 14, True),
        ("aao-neck-mass-time", RULES, NODE, 15, True),
        # Rule of thumb of the trade, two weeks or more: common practice, no source.
        ("two-weeks", RULES, PATCH, 13, False),
        ("two-weeks", RULES, PATCH, 14, True),
    ],
)
def test_durations_at_the_limit(
    rule: str, rules: FollowUp, fields: FindingFields, present: int, expected: bool
) -> None:
    found = looked(fields, rules=rules, duration_days=present)
    assert (rule in met(found)) is expected
    assert found.present_days == present


@pytest.mark.parametrize(
    ("present", "expected"), [(14, False), (15, False), (21, False), (22, True)]
)
@pytest.mark.parametrize(
    ("place", "rule", "changes"),
    [
        # NICE NG12 (2015): unexplained ulceration in the oral cavity lasting more than 3 weeks.
        ("England", "nice-ulcer", {"kind": "ulcer", "colours": ()}),
        # Scottish Referral Guidelines 2019: more than 3 weeks.
        ("Scotland", "scot-lump", {"kind": "lump", "colours": ()}),
        ("Scotland", "scot-patch", {"colours": ("red",)}),
        ("Scotland", "scot-throat", {"symptoms": ("hoarseness",)}),
        # Ireland, NCCP: more than 3 weeks.
        ("Ireland", "nccp-patch", {"colours": ("white",)}),
        ("Ireland", "nccp-lesion", {"kind": "non-healing socket", "region": "alveolar ridge"}),
        ("Ireland", "nccp-symptoms", {"symptoms": ("numbness",)}),
        # British Columbia 2008: more than 3 weeks (number from memory).
        ("British Columbia", "bc-three-weeks", {}),
    ],
)
def test_the_three_week_rules(
    place: str, rule: str, changes: dict[str, object], present: int, expected: bool
) -> None:
    found = looked(PATCH, rules=rules_of(place), duration_days=present, **changes)
    assert (rule in met(found)) is expected


def test_which_rules_are_on_is_the_clinics_choice() -> None:
    at_home = {each.value for each in RULES.rules}
    assert "uspstf-two-weeks" in at_home
    assert not {each for each in at_home if each.startswith(("nice", "scot", "nccp", "bc"))}
    abroad = {each.value for each in rules_of("Scotland").rules}
    assert "scot-lump" in abroad
    assert "uspstf-two-weeks" not in abroad
    assert "should-not-wait" in at_home & abroad


def test_each_rule_and_each_default_names_its_source() -> None:
    everything = load().followup
    assert all(each.source for each in everything.rules)
    settings = everything.settings
    assert settings.recheck_source
    assert settings.answer_source
    assert settings.size_terms_source
    assert settings.jurisdictions_source


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # AAO-HNSF 2017 (Pynnonen et al.): size > 1.5 cm, firm, fixed, ulcerated skin, or for an
        # uncertain time.
        ({"size_mm": (15.0,)}, False),
        ({"size_mm": (16.0, 4.0)}, True),
        ({"size_mm": (4.0, 16.0)}, True),
        ({"consistency": ("firm",)}, True),
        ({"consistency": ("soft",)}, False),
        ({"mobility": "fixed"}, True),
        ({"mobility": "mobile"}, False),
        ({"surface": ("ulcerated",)}, True),
        ({"surface": ("not ulcerated",)}, False),
    ],
)
def test_signs_of_a_neck_mass(changes: dict[str, object], expected: bool) -> None:
    found = looked(NODE, **changes)
    assert ("aao-neck-mass-signs" in met(found)) is expected
    assert found.at_once is expected


def test_a_neck_mass_of_unknown_duration_is_at_increased_risk() -> None:
    """AAO-HNSF 2017: "or the mass is of uncertain duration"."""
    assert "aao-neck-mass-time" in met(looked(NODE, duration_days=None))
    seen = open_lesion(day=FIRST - days(3), **NODE.model_dump())
    known = looked(NODE, earlier=seen, duration_days=None)
    assert "aao-neck-mass-time" not in met(known), "an earlier visit shows how long: three days"


def test_the_guideline_leaves_glands_to_others() -> None:
    """AAO-HNSF 2017 does not direct masses known to come from thyroid or salivary gland."""
    gland = looked(NODE, region="thyroid gland", subsite=None, kind="mass", duration_days=30)
    assert not {each for each in met(gland) if each.startswith("aao")}


@pytest.mark.parametrize(("mm", "expected"), [(10.0, False), (11.0, True)])
def test_nodes_larger_than_a_centimetre(mm: float, expected: bool) -> None:
    """Gaddey and Riegel, Am Fam Physician 2016;94:896-903: more than 1 cm is abnormal."""
    assert ("afp-node-size" in met(looked(NODE, size_mm=(mm,)))) is expected


def test_a_supraclavicular_node_at_any_size() -> None:
    """Gaddey and Riegel 2016: any palpable supraclavicular node is abnormal."""
    found = looked(NODE, subsite="supraclavicular", size_mm=(4.0,))
    assert "afp-supraclavicular" in met(found)
    assert found.at_once
    assert "afp-supraclavicular" not in met(looked(NODE))


def test_a_red_patch_does_not_wait_in_england() -> None:
    """NICE NG12: red, or red and white, patch in the oral cavity: no time limit."""
    red = looked(PATCH, rules=rules_of("England"), colours=("red",), duration_days=1)
    assert "nice-red-patch" in met(red)
    assert red.at_once
    assert "nice-red-patch" not in met(looked(PATCH, rules=rules_of("England"), duration_days=1))


@pytest.mark.parametrize(
    "changes",
    [
        {"consistency": ("indurated",)},
        {"borders": ("rolled",)},
        {"borders": ("indurated",)},
        {"mobility": "fixed to deep tissue"},
        {"surface": ("non-homogeneous",)},
        {"symptoms": ("numbness",)},
        {"symptoms": ("bleeding",)},
        {"symptoms": ("loose tooth",)},
    ],
)
def test_features_that_should_not_wait(changes: dict[str, object]) -> None:
    """Common practice, no source; several in the FDI chairside guide 2018 (from memory)."""
    found = looked(PATCH, duration_days=1, **changes)
    assert found.prompts[0].rule == "should-not-wait"
    assert found.at_once
    assert found.prompts[0].because


@pytest.mark.parametrize(
    "changes",
    [
        {"consistency": ("not indurated",)},
        {"mobility": "mobile"},
        {"surface": ("homogeneous",)},
        {"denied_symptoms": ("numbness", "bleeding")},
    ],
)
def test_their_absence_prompts_nothing(changes: dict[str, object]) -> None:
    assert not looked(PATCH, duration_days=1, **changes).asking


def test_a_high_risk_site_is_a_note_that_wants_no_decision() -> None:
    """Lateral border of the tongue: ADA red flags; floor of mouth: FDI chairside guide 2018."""
    found = looked(PATCH, region="tongue", subsite="lateral border", duration_days=1)
    assert met(found) == {"high-risk-site"}
    assert found.asking == ()
    assert met(looked(PATCH, region="floor of mouth", duration_days=1)) == {"high-risk-site"}
    assert met(looked(PATCH, region="tongue", subsite="dorsum", duration_days=1)) == set()


def test_persistence_is_told_by_two_visits() -> None:
    """Rethman et al., JADA 2010: seen again within 7 to 14 days to confirm persistence."""
    for apart, expected in ((6, False), (7, True), (14, True)):
        earlier = open_lesion(day=FIRST - days(apart), **PATCH.model_dump())
        found = looked(PATCH, earlier=earlier)
        assert ("ada-2010-persistent" in met(found)) is expected, apart
        assert found.present_days == apart
    assert "ada-2010-persistent" not in met(looked(PATCH, duration_days=400))


def test_two_visits_two_weeks_apart_count_as_two_weeks() -> None:
    earlier = open_lesion(day=FIRST - days(14), **PATCH.model_dump())
    assert "two-weeks" in met(looked(PATCH, earlier=earlier))
    earlier = open_lesion(day=FIRST - days(13), **PATCH.model_dump())
    assert "two-weeks" not in met(looked(PATCH, earlier=earlier))


def test_what_was_said_at_the_first_visit_counts_on() -> None:
    said = {**PATCH.model_dump(), "duration_days": 10}
    earlier = open_lesion(day=FIRST - days(5), **said)
    assert looked(PATCH, earlier=earlier).present_days == 15
    assert looked(PATCH, earlier=earlier, duration_days=40).present_days == 40


def test_a_sign_that_nobody_spoke_of_today_still_counts() -> None:
    """Common practice, no source: a hard lesion is not known to be soft because nobody said so."""
    before = {**PATCH.model_dump(), "consistency": ("indurated",), "symptoms": ("numbness",)}
    earlier = open_lesion(day=FIRST - days(5), **before)
    prompt = next(x for x in looked(PATCH, earlier=earlier).prompts if x.rule == "should-not-wait")
    assert prompt.because == f"indurated (on {FIRST - days(5)}) and numbness (on {FIRST - days(5)})"
    told = {"consistency": ("soft",), "denied_symptoms": ("numbness",)}
    assert "should-not-wait" not in met(looked(PATCH, earlier=earlier, **told))
    red = open_lesion(day=FIRST - days(16), **{**PATCH.model_dump(), "colours": ("red",)})
    assert "nidcr-red-white" in met(looked(PATCH, earlier=red, colours=()))
    assert "nidcr-red-white" not in met(looked(PATCH, earlier=red, colours=("brown",)))


def test_a_visit_of_the_same_day_is_no_second_visit() -> None:
    found = looked(PATCH, earlier=open_lesion(day=FIRST, **PATCH.model_dump()))
    assert found.present_days is None
    assert "ada-2010-persistent" not in met(found)


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_the_day_of_the_re_check_is_two_weeks_on(on: date) -> None:
    """Two weeks as dateutil counts them; the default of Rethman et al., JADA 2010."""
    assert looked(PATCH, on=on).recheck_on == on + relativedelta(weeks=2)


def test_a_recorded_variant_of_normal_needs_no_re_check() -> None:
    variant = FindingFields(region="buccal mucosa", normal_variant="linea alba", duration_days=400)
    assert looked(variant) == Assessment()
    gone = looked(PATCH, change="resolved", duration_days=400)
    assert gone == Assessment()
    assert looked(PATCH).recheck_on is not None


def test_the_clinicians_own_term_is_not_doubted_nor_made() -> None:
    """Lingen et al., JADA 2017: potentially malignant disorders not ruled out."""
    assert "ada-2017-disorder" in met(looked(PATCH, kind="leukoplakia"))
    assert "ada-2017-disorder" not in met(looked(PATCH))
    words = " ".join(
        f"{each.says} {each.value}" for each in load().followup.rules if each.kinds == ()
    )
    assert "leukoplakia" not in words
    assert "carcinoma" not in " ".join(each.says for each in load().followup.rules).lower()


def test_a_prompt_says_what_is_met_and_where_it_is_published() -> None:
    found = looked(PATCH, duration_days=22)
    (prompt,) = [each for each in found.prompts if each.rule == "uspstf-two-weeks"]
    assert "present 22 days" in prompt.words
    assert "Ann Intern Med 2014;160:55-60" in prompt.words


@pytest.mark.parametrize(
    ("kind", "mm", "five", "centimetre"),
    [
        # University of Toronto (5 mm) against Ibsen and Phelan (1 cm); 5 mm itself is open.
        ("papule", 4.0, False, False),
        ("papule", 5.0, False, False),
        ("papule", 6.0, True, False),
        ("papule", 12.0, True, True),
        ("vesicle", 4.0, False, False),
        ("vesicle", 5.0, False, False),
        ("vesicle", 6.0, True, False),
        ("vesicle", 12.0, True, True),
        ("bulla", 4.0, True, True),
        ("bulla", 5.0, False, True),
        ("bulla", 6.0, False, True),
        ("bulla", 12.0, False, False),
        ("nodule", 4.0, True, False),
        ("nodule", 6.0, False, False),
        ("ulcer", 40.0, False, False),
    ],
)
def test_terms_and_sizes(kind: str, mm: float, five: bool, centimetre: bool) -> None:
    fields = FindingFields(region="lips", kind=kind, size_mm=(mm,))
    everything = load().followup
    for tradition, expected in (("5 mm", five), ("1 cm", centimetre)):
        settings = everything.settings.model_copy(update={"size_terms": tradition})
        rules = everything.model_copy(update={"settings": settings}).chosen()
        notice = size_term_notice(fields, rules)
        assert (notice is not None) is expected, tradition
        if notice:
            assert kind in notice
            assert "disagree" in notice


def test_a_term_without_a_size_raises_no_notice() -> None:
    assert size_term_notice(FindingFields(region="lips", kind="papule"), RULES) is None
    assert size_term_notice(FindingFields(kind="papule", size_mm=(60.0,)), FollowUp()) is None
