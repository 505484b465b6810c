"""A vent that leans over into a wall leaves the trap room to be lifted, where a deep drain drops behind its vent."""

import pytest
from plausible import plausible

from stubout import run
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.layout import arms_on_the_way, engine
from stubout.layout.choices import ORDERS
from stubout.layout.desk import Desk, Drawn
from stubout.layout.judge import SUNK_MM, sunk_traps

DEEP = 297  # a slab 1 m over its sewer, a shower that drains straight to the building drain


def drawn(monkeypatch: pytest.MonkeyPatch) -> list[Drawn]:
    """Return the house as it is drawn by short ways with its traps lifted, whatever comes of it."""
    found: list[Drawn] = []

    def looked(desk: Desk, *_: object, **__: object) -> Drawn:
        above = desk._above(frozenset(), ORDERS["short ways"], {})
        slope, size = desk.choices[0]
        found.append(desk._whole(above, slope, size, drop_traps=True))
        return found[0]

    monkeypatch.setattr(Desk, "draw", looked)
    monkeypatch.setattr(engine, "_bettered", lambda desk, best, *_, **__: best)
    monkeypatch.setattr(engine, "_rodded", lambda desk, best, done: done)
    run.lay(read_job_text(plausible(DEEP), "deep.yaml", book_ids()))
    return found


def test_no_trap_stays_too_deep_for_its_vent(monkeypatch: pytest.MonkeyPatch) -> None:
    """Published: 24 in from outlet to weir (IPC 1002.1)."""
    (one,) = drawn(monkeypatch)
    assert not one.layout.blocked
    assert max((deep for deep, _ in sunk_traps(one.work).values()), default=0.0) <= SUNK_MM


def test_it_would_where_the_vent_takes_the_height(monkeypatch: pytest.MonkeyPatch) -> None:
    """The test above holds nothing where the trap has room anyway."""
    monkeypatch.setattr(arms_on_the_way, "lift_wanted_mm", lambda *_: 0.0)
    (one,) = drawn(monkeypatch)
    assert max(deep for deep, _ in sunk_traps(one.work).values()) > SUNK_MM
