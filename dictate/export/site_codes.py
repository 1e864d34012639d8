"""A topography code for the place of a finding: for sorting by site, never for what it is."""

from __future__ import annotations

from functools import lru_cache

from dictate.exam.finding import FindingFields
from dictate.export.tables import Row, table

FILE = "icd_sites.toml"
HEADING = "site_topography_code_suggested_not_a_diagnosis"
"""The only heading that the code is ever printed under."""


class _File(Row):
    regions: dict[str, dict[str, str]]


def site_code_suggestion(finding: FindingFields) -> str | None:
    """The ICD-O-3 topography code of the place, or None where there is none.

    It says where a finding lies and nothing of its nature: a normal variant has one as well.
    """
    codes = _codes().get(finding.region or "", {})
    return codes.get(finding.subsite or "") or codes.get("")


@lru_cache(maxsize=1)
def _codes() -> dict[str, dict[str, str]]:
    return table(FILE, _File).regions
