"""Finding a model, its weights, and the errors when something is missing or broken."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from dictate.errors import EngineError
from dictate.speech.packaged import model_files
from dictate.speech.packaged.model_files import find_model, installed_models
from dictate.speech.packaged.network import Floats, Network
from dictate.speech.packaged.tokens import START, read_tokenizer
from dictate.speech.packaged.weights import Weights, read_weights

FILES = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")


@pytest.fixture
def empty_model(tmp_path: Path) -> Path:
    for name in FILES:
        (tmp_path / name).write_bytes(b"")
    return tmp_path


def one_line(error: pytest.ExceptionInfo[EngineError]) -> str:
    text = str(error.value)
    assert "\n" not in text
    assert ";" in text, "cause; remedy"
    return text


def test_a_model_is_installed_and_found_without_importing_its_package() -> None:
    code = (
        "import sys\n"
        "from dictate.speech.packaged.model_files import find_model\n"
        "assert find_model().encoder.is_file()\n"
        "assert 'moonshine_voice' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_an_adapted_model_goes_before_the_wheels(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, empty_model: Path
) -> None:
    module = tmp_path / "project" / "dictate" / "speech" / "packaged" / "model_files.py"
    adapted = tmp_path / "project" / "models" / "adapted-en"
    adapted.parent.mkdir(parents=True)
    shutil.copytree(empty_model, adapted, ignore=shutil.ignore_patterns("project"))
    monkeypatch.setattr(model_files, "__file__", str(module))
    assert installed_models()[0] == adapted
    assert find_model().name == "adapted-en"


def test_a_model_of_the_other_suffix_is_found(empty_model: Path) -> None:
    (empty_model / "encoder_model.ort").rename(empty_model / "encoder_model.onnx")
    assert find_model(empty_model).encoder.name == "encoder_model.onnx"


def test_no_model_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(model_files, "__file__", str(tmp_path / "a" / "b" / "c" / "d.py"))
    monkeypatch.setattr(model_files, "find_spec", lambda _: None)
    with pytest.raises(EngineError, match="pip install") as error:
        find_model()
    one_line(error)


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(EngineError, match="no such folder") as error:
        find_model(tmp_path / "none")
    one_line(error)


@pytest.mark.parametrize("name", FILES)
def test_a_half_copied_model_names_what_lacks(empty_model: Path, name: str) -> None:
    (empty_model / name).unlink()
    with pytest.raises(EngineError, match=name.split(".")[0]) as error:
        find_model(empty_model)
    one_line(error)


@pytest.mark.parametrize("content", [b"", b"\x00" * 100, b"not a model"])
def test_a_broken_network_file_is_told(empty_model: Path, content: bytes) -> None:
    (empty_model / "encoder_model.ort").write_bytes(content)
    with pytest.raises(EngineError, match=r"encoder_model\.ort: does not load") as error:
        Network(find_model(empty_model))
    one_line(error)


@pytest.mark.parametrize("content", [b"", b"\x05ab", b"\x85", b"\x01a\x01b"])
def test_a_broken_tokenizer_is_told(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "tokenizer.bin").write_bytes(content)
    with pytest.raises(EngineError, match=r"tokenizer\.bin") as error:
        read_tokenizer(tmp_path / "tokenizer.bin")
    one_line(error)


def test_the_tokenizer_of_the_installed_model() -> None:
    tokenizer = read_tokenizer(find_model().tokenizer)
    assert len(tokenizer.pieces) == 32768
    assert " tongue" in tokenizer.pieces
    tokens = [tokenizer.pieces.index(piece) for piece in (" White", " tongue", ",")]
    assert tokenizer.text(tokens) == "White tongue,"


def test_a_model_without_weights_uses_the_defaults(tmp_path: Path) -> None:
    assert read_weights(tmp_path) == Weights()


def test_a_model_brings_its_own_weights(tmp_path: Path) -> None:
    (tmp_path / "bias.toml").write_text("beam = 4\nlanguage = 0.2\n")
    assert read_weights(tmp_path) == Weights(beam=4, language=0.2)


@pytest.mark.parametrize(
    ("content", "cause"),
    [
        (b"beam = 0", "beam"),
        (b"beam = 'wide'", "beam"),
        (b"bean = 4", "bean"),
        (b"beam = ", "cannot be read"),
        (b"\xff\xfe", "cannot be read"),
    ],
)
def test_wrong_weights_are_told(tmp_path: Path, content: bytes, cause: str) -> None:
    (tmp_path / "bias.toml").write_bytes(content)
    with pytest.raises(EngineError, match=cause) as error:
        read_weights(tmp_path)
    one_line(error)


def test_rows_of_one_step_are_as_if_each_were_alone() -> None:
    """The sound's keys are shared by all rows, and rows can be picked and cut.

    Not to the last digit: the packaged network scales its 8-bit numbers over all rows at once.
    """
    network = Network(find_model())
    sound = (np.random.default_rng(0).standard_normal(16000) * 2000).astype(np.int16)
    decoding = network.listen(sound)
    whole, cache = decoding.begin([START, 5000, 6000, 7000])
    _, first = decoding.begin([START])
    pair, cache_pair = decoding.step([5000, 9000], first.pick([0, 0]))
    assert alike(pair[0], whole[1])
    assert not alike(pair[1], whole[1])
    picked, _ = decoding.step([6000], cache_pair.pick([0]))
    assert alike(picked[0], whole[2])
    again, _ = decoding.step([6000], cache.cut(2))
    assert alike(again[0], whole[2])


def alike(one: Floats, other: Floats) -> bool:
    return float(np.corrcoef(one, other)[0, 1]) > 0.995


def test_sound_of_any_length_can_be_encoded() -> None:
    network = Network(find_model())
    for count in (0, 1, 100, 4000, 16000):
        logits, _ = network.listen(np.zeros(count, np.int16)).begin([START])
        assert np.isfinite(logits).all()
