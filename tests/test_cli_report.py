"""`dictate report`: a clinic's tables, and progress that only a person at a terminal sees."""

from __future__ import annotations

import csv
import os
import pty
import stat
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from tests.cli_runner import START, assert_refused, dictate
from tests.records_samples import TODAY, small_clinic
from tests.visit_samples import FIRST, LATER


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("clinic")
    with small_clinic(folder):
        pass
    return folder


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def test_counts_per_period_are_those_of_the_sessions(home: Path) -> None:
    ran = dictate("report", "--per", "week", "--today", str(TODAY), home=home)
    assert ran.err == ""
    first, second = rows(ran.out)
    assert (first["period"], second["period"]) == tuple(
        "{}-W{:02}".format(*day.isocalendar()[:2]) for day in (FIRST, LATER)
    )
    assert (first["sessions"], first["findings"]) == ("3", "3")
    assert (second["sessions"], second["findings"]) == ("2", "1")
    assert (first["rechecks_in_time"], second["rechecks_open"]) == ("2", "1")


def test_days_bound_the_report_and_nobody_is_named(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "findings.csv"
    ran = dictate(
        "report", "--kind", "findings", "--from", LATER.isoformat(), "--out", out, home=home
    )
    assert ran.code == 0
    (row,) = rows(out.read_text("utf-8"))
    assert (row["session"], row["length_mm"], row["width_mm"]) == ("s2-P-1", "6.0", "4.0")
    assert "Ada" not in out.read_text("utf-8")
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    nothing = dictate("report", "--kind", "findings", "--to", "2030-01-01", home=home)
    assert rows(nothing.out) == []
    assert_refused(dictate("report", "--out", out, home=home), "exists already")
    assert_refused(dictate("report", "--codes", home=home), "--kind findings")
    assert_refused(
        dictate("report", "--from", "2031-02-01", "--to", "2031-01-01", home=home), "after --to"
    )


def test_re_checks_in_time_late_and_still_open(home: Path) -> None:
    ran = dictate("report", "--kind", "followup", "--today", str(TODAY), home=home)
    found = {(each["session"], each["what"], each["outcome"]) for each in rows(ran.out)}
    assert found == {
        ("s1-P-1", "re-check", "in time"),
        ("s1-P-2", "answer", "overdue"),
        ("s1-P-3", "re-check", "in time"),
        ("s2-P-1", "re-check", "overdue"),
    }


def test_sites_carry_their_largest_size(home: Path) -> None:
    ran = dictate("report", "--kind", "sites", "--per", "year", home=home)
    (row,) = rows(ran.out)
    assert (row["subsite"], row["side"], row["largest_mm"]) == ("lateral border", "left", "10.0")


def test_progress_is_shown_on_a_terminal_alone(home: Path) -> None:
    """A pseudo-terminal stands for the person; stdout stays a clean table."""
    ours, theirs = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", START, "report", "--home", str(home)],
        stdout=subprocess.PIPE,
        stderr=theirs,
        timeout=60,
        check=True,
    )
    os.close(theirs)
    assert b"reading records" in os.read(ours, 4096)
    os.close(ours)
    assert rows(done.stdout.decode())


@pytest.mark.parametrize("command", [["audit", "--verify"], ["report"], ["backup", "b.dictate"]])
def test_a_folder_named_by_mistake_is_not_taken_for_records(
    tmp_path: Path, command: list[str]
) -> None:
    assert_refused(dictate(*command, home=tmp_path / "typo"), "no records")
    assert not (tmp_path / "typo").exists()


def test_where_nothing_is_due_it_is_told_that_there_were_no_records(tmp_path: Path) -> None:
    ran = dictate("due", home=tmp_path / "typo")
    assert "no records were in" in ran.err
    assert "no records were in" not in dictate("due", home=tmp_path / "typo").err
