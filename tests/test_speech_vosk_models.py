"""Damaged Vosk models: each gives a line that names the fault, and no crash reaches us."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import EngineError
from dictate.speech.vosk_engine import trial
from dictate.speech.vosk_engine.model_check import check_layout
from dictate.speech.vosk_engine.trial import try_model
from tests.korean import MODEL, PHRASES, copy_of_model, damage

NEEDED = [
    "am/final.mdl",
    "conf/model.conf",
    "conf/mfcc.conf",
    "graph/HCLr.fst",
    "graph/Gr.fst",
    "graph/disambig_tid.int",
    "ivector/final.ie",
    "ivector/final.mat",
    "ivector/final.dubm",
    "ivector/global_cmvn.stats",
    "ivector/splice.conf",
]


@pytest.fixture
def model(tmp_path: Path) -> Path:
    return copy_of_model(tmp_path / "model")


def test_a_whole_model_passes() -> None:
    layout = check_layout(MODEL)
    assert layout.takes_grammar
    assert layout.size_bytes == pytest.approx(264_000_000, rel=0.01)


@pytest.mark.parametrize("how", ["missing", "empty"])
@pytest.mark.parametrize("name", NEEDED)
def test_a_file_that_lacks_is_named(model: Path, name: str, how: str) -> None:
    file = damage(model, name, how)
    with pytest.raises(EngineError, match=f"{name}: is {how}; unpack the model again") as caught:
        check_layout(model)
    assert str(file) in str(caught.value)


@pytest.mark.parametrize(
    ("name", "cause"),
    [
        ("graph/HCLr.fst", "killed by signal 11"),
        ("ivector/splice.conf", "killed by signal 6"),
        ("am/final.mdl", "Failed to create a model: Failed to read matrix"),
        ("conf/model.conf", "Failed to process waveform: Bad --silence-phones"),
    ],
)
def test_a_half_copied_file_is_found_by_a_trial(model: Path, name: str, cause: str) -> None:
    """Signals are what libvosk 0.3.45 dies of on these; they end only the trial's process."""
    damage(model, name, "half")
    check_layout(model)
    result = try_model(model, PHRASES)
    assert result.why_not is not None
    assert cause in result.why_not
    assert "unpack it again" in result.why_not
    assert "\n" not in result.why_not


def test_a_graph_that_is_none_is_named(model: Path) -> None:
    (model / "graph/Gr.fst").unlink()
    (model / "graph/Gr.fst").write_bytes(b"<html>404 not found</html>")
    with pytest.raises(EngineError, match=r"Gr\.fst: is no graph"):
        check_layout(model)


def test_a_setting_cut_short_is_named(model: Path) -> None:
    (model / "conf/mfcc.conf").unlink()
    (model / "conf/mfcc.conf").write_text("--use-energy=false\n--num-mel")
    with pytest.raises(EngineError, match=r"mfcc\.conf: '--num-mel' is no setting"):
        check_layout(model)


def test_a_fixed_graph_takes_no_grammar(model: Path) -> None:
    (model / "graph/HCLG.fst").symlink_to(MODEL / "graph/Gr.fst")
    with pytest.raises(EngineError, match=r"words\.txt: is missing"):
        check_layout(model)
    (model / "graph/words.txt").write_text("<eps> 0\n")
    assert not check_layout(model).takes_grammar


def test_an_older_layout_passes(tmp_path: Path) -> None:
    """Older models keep their files at the top (Vosk's own model.cc reads both)."""
    for folder in ("am", "conf", "graph"):
        for file in (MODEL / folder).iterdir():
            (tmp_path / file.name).symlink_to(file)
    (tmp_path / "ivector").symlink_to(MODEL / "ivector")
    assert check_layout(tmp_path).takes_grammar


def test_the_folder_above_is_told_from_the_model(tmp_path: Path) -> None:
    copy_of_model(tmp_path / "inner")
    with pytest.raises(EngineError, match=r"is no Vosk model \(but .*inner may be\)"):
        check_layout(tmp_path)


@pytest.mark.parametrize("name", ["nothing", "file.zip"])
def test_what_is_no_folder_is_said(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.zip").write_bytes(b"PK")
    with pytest.raises(EngineError, match="folder"):
        check_layout(tmp_path / name)


def test_a_person_can_run_the_trial(
    model: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trial, "spoken_phrases", lambda lexicon: [*PHRASES, ("xylophone",)])
    assert trial.main([str(model)]) == 0
    assert capsys.readouterr().out == "works; 1 words of the vocabulary are not in it\n"
    damage(model, "graph/Gr.fst", "missing")
    assert trial.main([str(model)]) == 2
    assert "Gr.fst: is missing" in capsys.readouterr().err
    assert trial.main([]) == 2
