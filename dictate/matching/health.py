"""What describes a region in health. source: common practice, no source"""

from __future__ import annotations

LUMPS = frozenset({"lump", "nodule", "mass", "swelling", "lymph node", "thickening", "lesion"})
"""Kinds whose absence is told by touch."""
PALPABLE = frozenset({"consistency", "tender", "mobility"})
"""Fields that are told by touch."""
_HEALTHY: dict[str, frozenset[object]] = {
    "consistency": frozenset({"soft", "pliable", "not indurated", "not fluctuant"}),
    "tender": frozenset({False}),
    "mobility": frozenset({"mobile"}),
    "surface": frozenset({"smooth", "not ulcerated", "flat"}),
    "colours": frozenset({"pink", "mucosa-coloured", "skin-coloured"}),
    "distribution": frozenset({"symmetrical", "generalised"}),
}


def is_healthy(field: str | None, value: object) -> bool:
    """True if a region in health may be described so."""
    return value in _HEALTHY.get(field or "", frozenset())
