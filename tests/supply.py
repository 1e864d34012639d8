"""The licences of everything that is installed: `python -m tests.supply` writes the table.

Run it in an environment made from the lock files (`.ci/test` makes one); it rewrites
`.ci/licences.md`, which a test holds against the lock.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

CI = Path(__file__).resolve().parents[1] / ".ci"
LICENCES = CI / "licences.md"
LOCKS = {"program": CI / "runtime.lock", "tests": CI / "requirements.lock"}
BUILD = CI / "build.lock"

READ_IN_THE_FILE = {"fhirpathpy": "MIT"}
"""Where the metadata say nothing: as the package's licence file says."""
_SPELT = {
    "apache": "Apache-2.0",
    "apache 2.0": "Apache-2.0",
    "apache software license": "Apache-2.0",
    "bsd 2-clause license": "BSD-2-Clause",
    "bsd 3-clause license": "BSD-3-Clause",
    "3-clause bsd license": "BSD-3-Clause",
    "mit license": "MIT",
    "sil ofl v1.1": "OFL-1.1",
    "psfl": "PSF-2.0",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
    "bsd license": "BSD",
    "gnu library or lesser general public license (lgpl)": "LGPL",
    "cc0 1.0 universal (cc0 1.0) public domain dedication": "CC0-1.0",
    "isc license (iscl)": "ISC",
}
_VAGUE = ("UNKNOWN", "BSD", "LGPL", "Dual License")
COPYLEFT = re.compile(r"\b(A?GPL|LGPL|MPL|EUPL|CDDL|EPL)\b")


@dataclass(frozen=True, slots=True)
class Locked:
    """One entry of a lock file."""

    name: str
    requirement: Requirement
    hashes: tuple[str, ...]

    @property
    def version(self) -> str:
        (pin,) = self.requirement.specifier
        return pin.version

    @property
    def here(self) -> bool:
        """Whether it is for a machine like this one."""
        return self.requirement.marker is None or self.requirement.marker.evaluate()


def locked(path: Path) -> dict[str, Locked]:
    """The entries of a lock file by canonical name. Raises ValueError for a line that is none."""
    found: dict[str, Locked] = {}
    joined = re.sub(r"\\\n", " ", path.read_text("utf-8"))
    for line in joined.splitlines():
        text = line.split("#")[0].strip()
        if text:
            written, *hashes = re.split(r"\s+--hash=", text)
            requirement = Requirement(written)
            name = canonicalize_name(requirement.name)
            if name in found:
                raise ValueError(f"{path.name}: {name} is locked twice")
            found[name] = Locked(name, requirement, tuple(hashes))
    return found


def licence(package: Distribution) -> str:
    """The SPDX expression if one is given, else what the metadata say, spelt alike."""
    metadata = package.metadata
    if metadata["License-Expression"]:
        return str(metadata["License-Expression"])
    known = READ_IN_THE_FILE.get(canonicalize_name(metadata["Name"]))
    if known:
        return known
    stated = (metadata["License"] or "").strip()
    if stated and "\n" not in stated and len(stated) < 40 and stated not in _VAGUE:
        return spelt(stated)
    kinds = [
        each.rpartition(" :: ")[2]
        for each in metadata.get_all("Classifier") or []
        if each.startswith("License ::") and "DFSG" not in each
    ]
    return " OR ".join(map(spelt, kinds)) or spelt(stated) or "not stated"


def spelt(stated: str) -> str:
    return _SPELT.get(stated.lower(), stated)


def table() -> str:
    """The lines of the table: package, version, licence, what it is for."""
    program, tests = (locked(path) for path in LOCKS.values())
    lines = ["| package | version | licence | for |", "| --- | --- | --- | --- |"]
    for entry in sorted((locked(BUILD) | tests).values(), key=lambda each: each.name):
        if entry.here:
            use = (
                "program" if entry.name in program else "tests" if entry.name in tests else "build"
            )
            found = distribution(entry.name)
            if found.version != entry.version:
                raise ValueError(f"{entry.name} {found.version} is here, {entry.version} is locked")
            lines.append(f"| {entry.name} | {entry.version} | {licence(found)} | {use} |")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Rewrite the table, keeping what stands above it."""
    try:
        written = table()
    except (PackageNotFoundError, ValueError) as error:
        sys.exit(f"{error}; install what the lock files say (.ci/test) and try again")
    above = LICENCES.read_text("utf-8").partition("| package |")[0]
    LICENCES.write_text(above + written, "utf-8")


if __name__ == "__main__":
    main()
