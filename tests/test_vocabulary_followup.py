"""Follow-up rules in files: a clinic switches them, and a misspelt word never silences one."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import VocabularyError
from dictate.vocabulary.followup import FollowUp
from dictate.vocabulary.loader import load

RULE = "[[followup_rules]]\nvalue = 'ours'\nsays = 'Look'\nsource = 'our clinic'\n"


def chosen(tmp_path: Path, content: str) -> FollowUp:
    path = tmp_path / "clinic.toml"
    path.write_text(content, "utf-8")
    return load((path,)).followup.chosen()


def names(followup: FollowUp) -> set[str]:
    return {each.value for each in followup.rules}


def test_a_rule_is_switched_off_and_another_on(tmp_path: Path) -> None:
    before = names(load().followup.chosen())
    after = chosen(
        tmp_path,
        "[[followup_rules]]\nvalue = 'uspstf-two-weeks'\non = false\n"
        "[[followup_rules]]\nvalue = 'nice-ulcer'\non = true\n",
    )
    assert names(after) == before - {"uspstf-two-weeks"} | {"nice-ulcer"}


def test_another_jurisdiction_another_tradition_another_date(tmp_path: Path) -> None:
    after = chosen(
        tmp_path,
        "[followup]\njurisdictions = ['Ireland']\nsize_terms = '1 cm'\nrecheck_days = 21\n",
    )
    assert "nccp-lesion" in names(after)
    assert "uspstf-two-weeks" not in names(after)
    assert {each.tradition for each in after.size_terms} == {"1 cm"}
    assert after.settings.recheck_days == 21
    assert after.settings.answer_days == 14, "what is not given stays"


def test_a_rule_of_the_clinics_own_and_a_changed_limit(tmp_path: Path) -> None:
    after = chosen(tmp_path, RULE + "[[followup_rules]]\nvalue = 'two-weeks'\nfrom_days = 10\n")
    (ours,) = [each for each in after.rules if each.value == "ours"]
    assert ours.is_on(())
    (changed,) = [each for each in after.rules if each.value == "two-weeks"]
    assert changed.from_days == 10
    assert changed.source == "common practice, no source"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (RULE + "kinds = ['ulser']\n", "ulser"),
        (RULE + "colours = ['wite']\n", "wite"),
        (RULE + "regions = ['elbow']\n", "elbow"),
        (RULE + "subsites = ['knee']\n", "knee"),
        (RULE + "symptoms = ['sadness']\n", "sadness"),
        (RULE + "features = { consistency = ['stone'] }\n", "stone"),
        (RULE + "features = { weight = ['heavy'] }\n", "weight"),
        (RULE + "urgency = 'now'\n", "urgency"),
        (RULE + "after_days = 3\n", "after_days"),
        (RULE + "visits = 1\n", "visits"),
        (RULE.replace("source = 'our clinic'\n", ""), "source is missing"),
        ("[followup]\njurisdictions = ['Atlantis']\n", "Atlantis"),
        ("[followup]\nsize_terms = '7 mm'\n", "7 mm"),
        ("[followup]\nrecheck_days = 0\n", "recheck_days"),
        ("[followup]\nrecheck = 3\n", "recheck"),
        ("[[size_terms]]\nvalue = 'x'\nkind = 'blob'\ntradition = 'y'\nsource = 'z'\n", "blob"),
        ("[[risks]]\nvalue = 'tobacco'\nyes = ['smokes 20']\n", "digits"),
        ("[[risks]]\nvalue = 'tobacco'\nmaybe = ['smokes']\n", "maybe"),
        ("[[visits]]\nvalue = 'vanished'\nsay = ['vanished']\n", "visits"),
    ],
)
def test_what_is_wrong_is_refused_in_one_line(tmp_path: Path, content: str, said: str) -> None:
    with pytest.raises(VocabularyError) as refused:
        chosen(tmp_path, content)
    assert said in str(refused.value)
    assert "clinic.toml" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_forms_of_the_clinics_own_join_the_others(tmp_path: Path) -> None:
    path = tmp_path / "clinic.toml"
    path.write_text(
        "[[risks]]\nvalue = 'tobacco'\nyes = ['puffs']\n"
        "[[visits]]\nvalue = 'same'\nsay = ['ditto']\n",
        "utf-8",
    )
    lexicon = load((path,))
    (tobacco,) = [each for each in lexicon.risks if each.value == "tobacco"]
    assert {"puffs", "smokes"} <= set(tobacco.yes)
    assert "never smoked" in tobacco.no
    (same,) = [each for each in lexicon.visits if each.value == "same"]
    assert {"ditto", "unchanged"} <= set(same.say)


def test_no_form_of_the_history_gives_two_answers() -> None:
    seen: dict[str, str] = {}
    for risk in load().risks:
        for form in (*risk.yes, *risk.former, *risk.no, *risk.unknown):
            assert form not in seen, form
            seen[form] = risk.value
