"""A store with a signed session, with and without a passphrase, as several test files need it."""

from __future__ import annotations

from pathlib import Path

from dictate.store import keys
from dictate.store.primitives import Cost
from dictate.store.store import Store
from tests.store_script import run

PASSPHRASE, OTHER = "seven quay lanterns", "eleven harbour bells"
CHEAP = Cost(n=1 << 4)
"""A passphrase that is tried in no time; what it costs else is tested for itself."""


def signed(home: Path) -> Path:
    """A store there with one signed session and no passphrase."""
    with Store(home) as store:
        run(store)
    return home


def lock(home: Path) -> Path:
    """Set the passphrase of the store there."""
    keys.wrap(home, keys.bare(home), PASSPHRASE, CHEAP)
    return home
