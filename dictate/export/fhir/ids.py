"""Identifiers that the same record gets every time it is exported."""

from __future__ import annotations

from uuid import UUID, uuid5

ROOT = UUID("5f0a1c5e-7f0b-5d0e-9c38-0c6a3c7a4f21")
"""Drawn once for this program; every identifier is derived from it."""
LOCAL = f"urn:oid:2.25.{ROOT.int}"
"""Root of our own code systems: an OID made of a UUID needs no registration (ITU-T X.667)."""
URI = "urn:ietf:rfc:3986"


def made(*parts: object) -> str:
    """The UUID that stands for these parts."""
    return str(uuid5(ROOT, "/".join(map(str, parts))))


def urn(identifier: str) -> str:
    return f"urn:uuid:{identifier}"


def system(slot: str) -> str:
    """The code system of one kind of words ("kind", "region" ...)."""
    return f"{LOCAL}.{_SLOTS.index(slot) + 1}"


_SLOTS = (
    "observation",
    "field",
    "region",
    "subsite",
    "side",
    "kind",
    "normal_variant",
    "node_level",
    "distribution",
    "colours",
    "surface",
    "borders",
    "consistency",
    "mobility",
    "attachment",
    "symptoms",
    "change",
    "coverage",
)
"""Numbered by place: new ones only at the end."""
