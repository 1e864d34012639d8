"""What is installed is what was locked: versions, hashes, licences, bill of materials."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.supply import BUILD, COPYLEFT, LICENCES, LOCKS, Locked, licence, locked

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
EXTRAS = PROJECT["project"]["optional-dependencies"]
OPTIONAL = ("fuzz",)
"""Extras that no test needs."""


def direct(*extras: str) -> list[Requirement]:
    """What pyproject.toml asks for, without the project's own extras."""
    wanted = [
        *PROJECT["project"]["dependencies"],
        *(each for name in extras for each in EXTRAS[name]),
    ]
    found = [Requirement(each) for each in wanted]
    return [each for each in found if each.name != "dictate"]


def unmet(wanted: list[Requirement], lock: dict[str, Locked]) -> list[str]:
    """The requirements that the lock does not meet."""
    missing = []
    for each in wanted:
        entry = lock.get(canonicalize_name(each.name))
        if entry is None or not each.specifier.contains(entry.version, prereleases=True):
            missing.append(str(each))
    return missing


def test_every_direct_dependency_is_locked_within_its_range() -> None:
    extras = [each for each in EXTRAS if each not in OPTIONAL]
    assert unmet(direct(*extras), locked(LOCKS["tests"])) == []
    assert unmet(direct("chairs"), locked(LOCKS["program"])) == []
    backend = [Requirement(each) for each in PROJECT["build-system"]["requires"]]
    assert unmet(backend, locked(BUILD)) == []


def test_a_lock_that_does_not_agree_is_found_out() -> None:
    lock = locked(LOCKS["tests"])
    wanted = ["click>=99", "no-such-package", "numpy<1"]
    assert unmet([Requirement(each) for each in wanted], lock) == wanted


@pytest.mark.parametrize("path", [*LOCKS.values(), BUILD], ids=lambda path: path.name)
def test_every_locked_file_has_its_hash_and_no_place_of_its_own(path: Path) -> None:
    for entry in locked(path).values():
        assert entry.requirement.url is None
        assert str(entry.requirement.specifier).startswith("==")
        assert entry.hashes
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", each) for each in entry.hashes)
    text = path.read_text("utf-8")
    assert not re.search(r"://|^-|file:|/(tmp|home|work|opt)/", text, re.MULTILINE)


def test_the_locks_agree_with_each_other() -> None:
    tests, program = locked(LOCKS["tests"]), locked(LOCKS["program"])
    assert {each: entry.version for each, entry in program.items()} == {
        each: tests[each].version for each in program
    }
    for name, entry in locked(BUILD).items():
        assert name not in tests or tests[name].version == entry.version


def test_the_tests_install_nothing_unhashed() -> None:
    script = (ROOT / ".ci" / "test").read_text("utf-8")
    installs = [line for line in script.splitlines() if "install" in line or "${pip[@]}" in line]
    installs = [line for line in installs if "pip" in line and not line.startswith("pip=(")]
    assert len(installs) == 3
    for line in installs:
        assert "--require-hashes" in line or "--no-deps --no-build-isolation -e ." in line, line


def rows() -> dict[str, tuple[str, str]]:
    """Version and licence of each line of the table."""
    lines = LICENCES.read_text("utf-8").partition("| --- | --- | --- | --- |\n")[2].splitlines()
    parted = [line.strip("| ").split(" | ") for line in lines]
    return {name: (version, terms) for name, version, terms, _ in parted}


def test_the_table_of_licences_is_that_of_the_lock() -> None:
    wanted = locked(LOCKS["tests"]) | locked(BUILD)
    here = {name: each.version for name, each in wanted.items() if each.here}
    assert {name: version for name, (version, _) in rows().items()} == here


def test_the_licences_are_those_of_the_installed_packages() -> None:
    same = 0
    for name, (version, terms) in rows().items():
        try:
            found = distribution(name)
        except PackageNotFoundError:
            continue
        if found.version == version:
            same += 1
            assert licence(found) == terms, name
    assert same > 50


def test_every_copyleft_licence_and_every_unstated_one_is_explained() -> None:
    above, _, _ = LICENCES.read_text("utf-8").partition("| package |")
    marked = [name for name, (_, terms) in rows().items() if COPYLEFT.search(terms)]
    assert {"python-bidi", "piper-tts", "certifi"} <= set(marked)
    unstated = [name for name, (_, terms) in rows().items() if terms == "not stated"]
    for name in marked + unstated:
        assert f"`{name}`" in above, name


@pytest.fixture(scope="module")
def bill(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Made as DEVELOPERS.md says, of a lock thinned to one hash a package.

    There the tool checks all of it, which is slow; here the test checks a part.
    """
    folder = tmp_path_factory.mktemp("bill")
    thin = folder / "thin.lock"
    entries = locked(LOCKS["tests"]).values()
    lines = (f"{each.requirement} --hash={each.hashes[0]}" for each in entries)
    thin.write_text("\n".join(lines), "utf-8")
    made = folder / "sbom.json"
    tool = Path(sys.executable).with_name("cyclonedx-py")
    command = [tool, "requirements", thin, "--pyproject", ROOT / "pyproject.toml"]
    subprocess.run([*command, "--no-validate", "-o", made], check=True, capture_output=True)
    return json.loads(made.read_text("utf-8"))


def test_the_bill_of_materials_keeps_to_its_standard_and_lists_all(bill: Any) -> None:
    # Outside reference: the JSON schema of CycloneDX 1.6 (ECMA-424), as the standard's own
    # library carries it.
    version = SchemaVersion.from_version(bill["specVersion"])
    check = JsonStrictValidator(version)
    few = bill | {each: bill[each][:8] for each in ("components", "dependencies")}
    assert check.validate_str(json.dumps(few)) is None
    listed = {canonicalize_name(each["name"]): each["version"] for each in bill["components"]}
    assert listed == {name: each.version for name, each in locked(LOCKS["tests"]).items()}
    assert check.validate_str(json.dumps(few | {"version": "one"})) is not None
