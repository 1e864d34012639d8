"""A clinic's own file laid over the packaged vocabulary."""

from __future__ import annotations

from pathlib import Path

from dictate.vocabulary.loader import load
from dictate.vocabulary.schema import Lexicon, Phrase, Slot


def laid_over(tmp_path: Path, *contents: str) -> Lexicon:
    paths = []
    for number, content in enumerate(contents):
        path = tmp_path / f"clinic{number}.toml"
        path.write_text(content, "utf-8")
        paths.append(path)
    return load(paths)


def phrase(lexicon: Lexicon, words: str, slot: Slot) -> Phrase:
    (found,) = [each for each in lexicon.phrases if each.text == words and each.slot is slot]
    return found


def test_new_forms_join_an_existing_value(tmp_path: Path) -> None:
    lexicon = laid_over(tmp_path, "[[kinds]]\nvalue = 'ulcer'\nsay = ['sore place']\n")
    assert phrase(lexicon, "sore place", Slot.KIND).value == "ulcer"
    assert phrase(lexicon, "ulcer", Slot.KIND).value == "ulcer"


def test_a_new_value(tmp_path: Path) -> None:
    lexicon = laid_over(tmp_path, "[[kinds]]\nvalue = 'wen'\nsay = ['wen']\nplurals = ['wens']\n")
    assert phrase(lexicon, "wens", Slot.KIND).plural


def test_american_spelling_in_a_clinic_file_is_folded(tmp_path: Path) -> None:
    lexicon = laid_over(tmp_path, "[[colours]]\nvalue = 'ash'\nsay = ['ash-gray']\n")
    assert phrase(lexicon, "ash grey", Slot.COLOUR).value == "ash"


def test_a_new_region_comes_after_the_protocol(tmp_path: Path) -> None:
    lexicon = laid_over(
        tmp_path,
        "[[regions]]\nvalue = 'scalp margin'\nzone = 'extraoral'\nsay = ['scalp margin']\n"
        "subsites = [{ value = 'front', say = ['front'] }]\n",
    )
    assert lexicon.regions[-1].value == "scalp margin"
    assert "scalp margin" not in lexicon.protocol
    assert phrase(lexicon, "front", Slot.SUBSITE).regions == ("scalp margin",)


def test_a_region_is_changed_without_repeating_it(tmp_path: Path) -> None:
    lexicon = laid_over(
        tmp_path,
        "[[regions]]\nvalue = 'tongue'\nsay = ['lingua']\ninspect = 'Ours'\n"
        "subsites = [{ value = 'dorsum', alone = ['tongue top'] },"
        " { value = 'furrow', say = ['furrow'] }]\n",
    )
    tongue = lexicon.region("tongue")
    assert tongue.inspect == "Ours"
    assert tongue.say == ("tongue", "lingua")
    assert [part.value for part in tongue.subsites][-1] == "furrow"
    assert len(tongue.subsites) == len(load().region("tongue").subsites) + 1
    assert phrase(lexicon, "tongue top", Slot.SUBSITE).value == "dorsum"
    assert phrase(lexicon, "dorsal surface", Slot.SUBSITE).value == "dorsum"


def test_the_protocol_is_reordered_and_trimmed(tmp_path: Path) -> None:
    lexicon = laid_over(tmp_path, "[protocol]\norder = ['tongue', 'lips']\n")
    assert lexicon.protocol == ("tongue", "lips")
    assert [region.value for region in lexicon.regions][:2] == ["tongue", "lips"]
    assert lexicon.region("face").value == "face", "findings there can still be recorded"


def test_later_files_win(tmp_path: Path) -> None:
    lexicon = laid_over(
        tmp_path,
        "[protocol]\norder = ['tongue', 'lips']\n",
        "[protocol]\norder = ['lips']\n[[kinds]]\nvalue = 'ulcer'\nnote = 'second'\n",
    )
    assert lexicon.protocol == ("lips",)
    (ulcer,) = [term for term in lexicon.terms[Slot.KIND] if term.value == "ulcer"]
    assert ulcer.note == "second"


def test_true_and_the_word_true_are_different_values(tmp_path: Path) -> None:
    lexicon = laid_over(tmp_path, "[[tenderness]]\nvalue = true\nsay = ['smarts']\n")
    assert phrase(lexicon, "smarts", Slot.TENDER).value is True


def test_a_whole_folder_of_ones_own(tmp_path: Path) -> None:
    (tmp_path / "all.toml").write_text(
        "[[regions]]\nvalue = 'hand'\nzone = 'extraoral'\nsay = ['hand']\n", "utf-8"
    )
    lexicon = load(folder=tmp_path)
    assert lexicon.protocol == ("hand",)
    assert lexicon.commands == ()


def test_the_default_is_untouched(tmp_path: Path) -> None:
    before = load()
    laid_over(tmp_path, "[[kinds]]\nvalue = 'ulcer'\nsay = ['sore place']\n")
    assert load() is before
    assert not any(each.text == "sore place" for each in before.phrases)


def test_the_example_of_the_readme_does_what_it_says(tmp_path: Path) -> None:
    readme = (Path(__file__).parent.parent / "README.md").read_text("utf-8")
    example = readme.split("```toml\n")[1].split("```")[0]
    lexicon = laid_over(tmp_path, example)
    assert lexicon.protocol == ("lymph nodes", "lips", "tongue", "floor of mouth")
    rules = lexicon.followup.chosen()
    assert rules.settings.recheck_days == 21
    names = {each.value for each in rules.rules}
    assert {"scot-lump", "nice-ulcer"} <= names
    assert "uspstf-two-weeks" not in names
    assert phrase(lexicon, "sore place", Slot.KIND).value == "ulcer"
