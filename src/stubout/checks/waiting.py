"""What a finding waits for: where a part is blocked, what it would have served is wrong for that alone."""

from __future__ import annotations

from stubout.checks.base import Review


def behind_blocked(on: Review, do: str) -> str:
    """Return what to do about a missing vent, behind what is blocked where anything is.

    A trap whose vent found no way out is told besides the vent: the way comes first, and may bring all the rest.
    """
    return f"first what is blocked (BLK001), which may bring it; else {do}" if on.design.blocked else do
