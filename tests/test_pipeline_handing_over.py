"""The table in what is handed over: whatever was said, no cell of it acts in a spreadsheet."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

from dictate.exam.commands import Decide
from dictate.exam.patients import Patient
from dictate.export.worklist import worklist_csv
from dictate.pipeline.clinic import Clinic
from dictate.pipeline.handing_over import files_of
from dictate.store.store import Store
from dictate.store.worklist import Worklist
from tests.test_store_worklist import visit
from tests.visit_samples import LATER, days

# What a spreadsheet takes for a formula by its first character: OWASP, "CSV Injection".
ACTING = ("=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", " =1", '=HYPERLINK("http://x","y")')


def test_no_cell_of_the_decisions_or_the_worklist_acts(tmp_path: Path) -> None:
    patient = Patient.of("P-17")
    with Store(tmp_path) as store:
        for number, words in enumerate(ACTING):
            decision = Decide(target="f1", decision="refer", reason=words)
            visit(store, patient="P-17", session=f"s{number}", decision=decision)
        handed = dict(files_of(Clinic(store), patient))
        due = worklist_csv(Worklist(store).due(LATER + days(1)))
    for text in (handed["decisions.csv"].decode(), due):
        rows = list(csv.DictReader(StringIO(text, newline="")))
        reasons = [row["reason"] for row in rows]
        assert len(rows) == len(ACTING)
        for words in ACTING:
            assert sum(words.strip() in reason for reason in reasons) >= 1, words
        for row in rows:
            for cell in row.values():
                assert not cell.lstrip().startswith(("=", "+", "-", "@"))
                assert not set(cell) & set("\t\r\n")
