"""The risk history in spoken words. Wording: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.exam.commands import AddFinding, NoteRisk
from dictate.vocabulary.loader import load
from tests.matching_helpers import AFTER_ULCER, NOWHERE, heard, read
from tests.matching_helpers import MATCHER as MATCHER

FORMS = [
    (risk.value, answer, form)
    for risk in load().risks
    for form, answer in sorted(risk.forms().items())
]


def noted(text: str) -> list[tuple[str, str, str]]:
    reading = read(text, NOWHERE)
    found = [each for each in reading.commands if isinstance(each, NoteRisk)]
    assert len(found) == len(reading.commands)
    return [(each.factor, each.answer, each.words) for each in found]


@pytest.mark.parametrize(
    ("text", "factor", "answer"),
    [
        ("smokes twenty a day", "tobacco", "yes"),
        ("Smokes 20 cigarettes a day.", "tobacco", "yes"),
        ("thirty pack years", "tobacco", "yes"),
        ("never smoked", "tobacco", "no"),
        ("patient has never smoked", "tobacco", "no"),
        ("does not smoke", "tobacco", "no"),
        ("doesn't smoke", "tobacco", "no"),
        ("non-smoker", "tobacco", "no"),
        ("does not smoke any more", "tobacco", "former"),
        ("no longer smokes", "tobacco", "former"),
        ("ex-smoker, stopped ten years ago", "tobacco", "former"),
        ("drinks two units a week", "alcohol", "yes"),
        ("never drinks", "alcohol", "no"),
        ("teetotal", "alcohol", "no"),
        ("chews betel", "betel and areca", "yes"),
        ("never chewed betel", "betel and areca", "no"),
        ("used to chew areca nut", "betel and areca", "former"),
        ("vaccinated against HPV", "HPV vaccination", "yes"),
        ("not vaccinated against HPV", "HPV vaccination", "no"),
        ("HPV vaccination unknown", "HPV vaccination", "unknown"),
        ("works outdoors", "sun on the lips", "yes"),
        ("history of oral cancer", "previous disease", "yes"),
        ("no history of oral cancer", "previous disease", "no"),
    ],
)
def test_answers(text: str, factor: str, answer: str) -> None:
    ((found, said, words),) = noted(text)
    assert (found, said) == (factor, answer)
    assert words


def test_the_words_are_kept() -> None:
    assert noted("smokes twenty a day") == [("tobacco", "yes", "smokes twenty a day")]
    assert noted("Ex-smoker, stopped ten years ago, drinks a glass of wine a day") == [
        ("tobacco", "former", "ex smoker stopped ten years ago"),
        ("alcohol", "yes", "drinks a glass of wine a day"),
    ]
    assert noted("no alcohol and no tobacco") == [
        ("alcohol", "no", "no alcohol"),
        ("tobacco", "no", "no tobacco"),
    ]


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("patient is not a heavy drinker", "alcohol"),
        ("denies smoking and alcohol", "alcohol"),
        ("no tobacco or betel", "betel and areca"),
    ],
)
def test_a_no_that_is_carried_on_is_no_and_asked_about(text: str, factor: str) -> None:
    commands = read(text, NOWHERE).commands
    (risk,) = [each for each in commands if isinstance(each, NoteRisk) and each.factor == factor]
    assert risk.answer == "no"
    assert risk.doubt


def test_a_no_does_not_reach_a_verb_of_its_own() -> None:
    assert noted("never smoked and drinks heavily")[1][:2] == ("alcohol", "yes")


@pytest.mark.parametrize(
    "text",
    [
        "do you smoke",
        "any alcohol?",
        "how much do you drink",
        "have you ever smoked",
        "there is no smoke without fire",
        "soft palate within normal limits",
        "mobile node on the left",
    ],
)
def test_talk_and_findings_are_no_history(text: str) -> None:
    assert not any(isinstance(each, NoteRisk) for each in read(text, NOWHERE).commands)


@pytest.mark.parametrize(
    "text",
    [
        "white patch where he chews betel on the left buccal mucosa",
        "ulcer of five millimetres on the right lateral tongue, smokes",
    ],
)
def test_a_finding_stays_a_finding(text: str) -> None:
    commands = read(text, NOWHERE).commands
    assert any(isinstance(each, AddFinding) for each in commands)
    assert not any(isinstance(each, NoteRisk) for each in commands)


@pytest.mark.parametrize(("factor", "answer", "form"), FORMS)
def test_every_form_of_the_vocabulary_gives_its_answer(factor: str, answer: str, form: str) -> None:
    for context in (NOWHERE, AFTER_ULCER):
        risks = [each for each in read(form, context).commands if isinstance(each, NoteRisk)]
        assert [(each.factor, each.answer) for each in risks] == [(factor, answer)]


@given(st.lists(st.sampled_from(FORMS), min_size=2, max_size=3, unique_by=lambda x: x[0]))
@settings(max_examples=80, deadline=None)
def test_several_lines_in_one_breath(said: list[tuple[str, str, str]]) -> None:
    """Each is noted with its answer, or what differs is asked about."""
    text = ", ".join(form for _, _, form in said)
    found = [each for each in read(text, NOWHERE).commands if isinstance(each, NoteRisk)]
    answers = {each.factor: each for each in found}
    for factor, answer, _ in said:
        assert answers[factor].answer == answer or answers[factor].doubt


def test_heard_as_talk_it_is_not_taken() -> None:
    reading = MATCHER.read(heard("smokes twenty a day", dictation=0.1), NOWHERE)
    assert reading.kind == "ignored"


@pytest.mark.parametrize(
    "text",
    [
        "family history of oral cancer",
        "no family history of head and neck cancer",
        "her father had oral cancer",
        "the husband smokes twenty a day",
        "his mother had throat cancer",
    ],
)
def test_the_history_of_others_is_not_the_patients(text: str) -> None:
    """It is put aside, where the review shows it."""
    reading = read(text)
    assert not reading.commands
