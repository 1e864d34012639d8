"""What `dictate models` finds, tries out and says; and the choice of an engine."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from dictate.errors import EngineError
from dictate.speech import catalogue, engines, model_folders
from dictate.speech.catalogue import how_to_get_one, installed_models, report
from dictate.speech.engines import choose_engine
from dictate.speech.model_folders import PACKAGED, VOSK, ModelFolder, engine_of, find_models
from dictate.speech.packaged.model_files import find_model
from dictate.speech.packaged_trial import try_packaged
from dictate.vocabulary.loader import load
from tests.korean import MODEL, PHRASES, copy_of_model, damage

LEXICON = load()


@pytest.fixture
def user_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder as the only one where a person's models are looked for."""
    folder = tmp_path / "models"
    folder.mkdir()
    monkeypatch.setattr(model_folders, "model_folders", lambda: (folder,))
    return folder


@pytest.fixture
def korean_words(monkeypatch: pytest.MonkeyPatch) -> None:
    phrases = [*PHRASES, ("xylophone",)]
    monkeypatch.setattr(catalogue, "spoken_phrases", lambda lexicon: phrases)


def copy_of_packaged(folder: Path) -> Path:
    folder.mkdir()
    files = find_model()
    for file in (files.encoder, files.decoder, files.tokenizer):
        os.symlink(file, folder / file.name)
    return folder


def test_the_packaged_model_is_there_and_works(user_folder: Path) -> None:
    adapted, original = installed_models(LEXICON)
    assert [each.folder.engine for each in (adapted, original)] == [PACKAGED, PACKAGED]
    assert adapted.usable
    assert original.usable
    lines = list(report(LEXICON))
    assert lines[0].startswith("packaged")
    assert lines[0].endswith("works")
    assert lines[-6:] == list(how_to_get_one())[1:]


def test_a_vosk_model_in_the_users_folder_is_found(user_folder: Path, korean_words: None) -> None:
    copy_of_model(user_folder / "vosk-model-small-ko-0.22")
    (model,) = (each for each in installed_models(LEXICON) if each.folder.engine == VOSK)
    assert model.usable
    assert model.folder.language == "ko"
    assert model.folder.size_bytes > 200_000_000
    assert model.missing_words == ("xylophone",)
    assert "it hears talk outside the vocabulary" in model.warnings[0]


def test_a_broken_model_is_listed_with_its_fault(user_folder: Path, korean_words: None) -> None:
    damage(copy_of_model(user_folder / "vosk-model-small-ko-0.22"), "graph/HCLr.fst", "half")
    damage(copy_of_model(user_folder / "vosk-model-xx"), "conf/mfcc.conf", "missing")
    lines = "\n".join(report(LEXICON))
    assert "vosk-model-small-ko-0.22  ko" in lines
    assert "does not work" in lines
    assert "killed by signal 11" in lines
    assert "mfcc.conf: is missing; unpack the model again" in lines
    assert "To get one (this program never downloads anything)" in lines


def test_a_folder_that_is_no_model_is_said(user_folder: Path, tmp_path: Path) -> None:
    (user_folder / "notes").mkdir()
    (user_folder / "archive.zip").write_bytes(b"PK")
    assert [each.engine for each in find_models()] == [PACKAGED] * len(find_models())
    assert f"{tmp_path}: is no speech model" in next(report(LEXICON, tmp_path))


@pytest.mark.parametrize("which", ["encoder", "decoder", "tokenizer"])
@pytest.mark.parametrize("how", ["half", "empty"])
def test_a_damaged_packaged_model_crashes_nothing(tmp_path: Path, which: str, how: str) -> None:
    folder = copy_of_packaged(tmp_path / "model")
    damage(folder, getattr(find_model(), which).name, how)
    why_not = try_packaged(folder)
    assert why_not is not None
    assert "\n" not in why_not


@pytest.mark.parametrize(
    ("name", "language"),
    [
        ("vosk-model-small-en-us-0.15", "en-us"),
        ("vosk-model-en-in-0.5", "en-in"),
        ("vosk-model-small-ko-0.22", "ko"),
        ("my model", "?"),
    ],
)
def test_the_language_is_read_from_the_name(name: str, language: str) -> None:
    """Names as the makers of Vosk give them (from memory)."""
    assert ModelFolder(Path(name), VOSK).language == language


def test_what_a_folder_holds_is_told_without_loading(tmp_path: Path) -> None:
    assert engine_of(MODEL) == VOSK
    assert engine_of(find_model().folder) == PACKAGED
    assert engine_of(tmp_path) is None
    assert engine_of(tmp_path / "nothing") is None


def test_the_packaged_engine_is_the_default() -> None:
    recogniser = choose_engine(None, None, LEXICON)
    assert recogniser.name == "packaged"
    recogniser.close()


def test_the_model_given_decides_the_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "_vosk", lambda model, lexicon: model)
    assert choose_engine(None, MODEL, LEXICON) == MODEL


def test_an_english_vosk_model_goes_first(
    user_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("vosk-model-de", "vosk-model-small-en-us-0.15", "vosk-model-small-ko-0.22"):
        (user_folder / name / "am").mkdir(parents=True)
    monkeypatch.setattr(engines, "_vosk", lambda model, lexicon: model)
    assert choose_engine("vosk", None, LEXICON) == user_folder / "vosk-model-small-en-us-0.15"


def test_what_cannot_be_chosen_is_said(user_folder: Path, tmp_path: Path) -> None:
    cases = [
        ("sphinx", None, "there is no engine 'sphinx'; there is: packaged, vosk"),
        ("vosk", None, "no Vosk model is installed; unpack an English one"),
        ("vosk", tmp_path / "nothing", "no such folder"),
        (None, tmp_path, "is no speech model"),
        ("packaged", MODEL, "is a model for the vosk engine; say --engine vosk"),
        ("vosk", MODEL, "knows none of the vocabulary's"),
    ]
    for name, model, message in cases:
        with pytest.raises(EngineError) as caught:
            choose_engine(name, model, LEXICON)
        assert message in str(caught.value)
        assert "\n" not in str(caught.value)
