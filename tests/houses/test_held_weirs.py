"""Traps at the weirs that a job fixes, closets within reach of their vents, outlets that nothing runs through."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest
import yaml
from plausible import plausible

from stubout import run
from stubout.change.refine import Trial
from stubout.files.books import book_ids
from stubout.files.jobs import read_job_text
from stubout.house.outlet_drops import closet_drop_mm
from stubout.layout import desk as desks
from stubout.layout import engine
from stubout.layout.desk import Desk, Drawn
from stubout.layout.judge import cramped_mm, sunk_traps
from stubout.layout.settle import PAST_MM, Hand
from stubout.layout.weights import WEIR_OFF_MIN, WEIR_PLAY_MM
from stubout.layout.worth import asked_worth

SLAB = 25  # a shower whose trap weir is fixed, a sewer deep enough to pull it lower
CRAWL = 10  # closets of the NPC over a crawl space 1.1 m deep
MOST_NPC_MM = 1000.0  # from a closet's flange down to its pipe: NPC 2.5.3.1, from memory


@contextmanager
def drawn_once(text: str, *, drop_traps: bool = False) -> Iterator[Drawn]:
    """Yield a house as it is drawn first, whatever comes of it."""
    found: list[Drawn] = []

    def looked(desk: Desk, *_: object, **__: object) -> Drawn:
        if not found:
            slope, size = desk.choices[0]
            found.append(
                desk._whole(desk._above(frozenset(), desks.FIRST_ORDER, {}), slope, size, drop_traps=drop_traps)
            )
        return found[0]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Desk, "draw", looked)
        patch.setattr(engine, "_bettered", lambda desk, best, *_, **__: best)
        patch.setattr(engine, "_rodded", lambda desk, best, done: done)
        run.lay(read_job_text(text, "house.yaml", book_ids()))
        yield found[0]


def low_mm(one: Drawn) -> dict[str, float]:
    """Return by tag how far each trap lies below the weir that its job fixes [mm]."""
    fixed = {t: n.fixture.trap_weir_z_mm for t, n in one.work.needs.items()}
    return {t.tag: z - t.weir_z_mm for t in one.layout.traps if (z := fixed[t.tag]) is not None}


def test_a_trap_is_laid_at_the_weir_that_the_job_fixes() -> None:
    with drawn_once(plausible(SLAB)) as one:
        assert low_mm(one)
        assert all(abs(low) <= WEIR_PLAY_MM for low in low_mm(one).values())


def test_it_would_lie_lower_with_its_drain(monkeypatch: pytest.MonkeyPatch) -> None:
    """The test above holds nothing where the trap lies there anyway."""
    monkeypatch.setattr(desks, "hold_fixed_weirs", lambda work: None)
    with drawn_once(plausible(SLAB)) as one:
        assert max(low_mm(one).values()) > WEIR_PLAY_MM


def test_a_trap_off_its_weir_weighs_as_work_that_asking_costs() -> None:
    with drawn_once(plausible(SLAB)) as one:
        fixtures = [n.fixture for n in one.work.needs.values()]
        assert asked_worth(one.layout, fixtures) == 0.0
        tag = next(iter(low_mm(one)))
        for by, asked in ((WEIR_PLAY_MM + 5.0, WEIR_OFF_MIN), (-50.0, 0.0)):
            moved = [replace(t, weir_z_mm=t.weir_z_mm - by) if t.tag == tag else t for t in one.layout.traps]
            assert asked_worth(replace(one.layout, traps=tuple(moved)), fixtures) == asked


def test_of_two_layouts_the_one_that_asks_nothing_may_cost_so_much_more() -> None:
    asks = Trial(0, (), 1000.0, (), None, asked_min=WEIR_OFF_MIN)
    assert Trial(0, (), 1000.0 + WEIR_OFF_MIN - 1.0, (), None).rank < asks.rank
    assert asks.rank < Trial(0, (), 1000.0 + WEIR_OFF_MIN + 1.0, (), None).rank


def test_a_closet_over_a_deep_crawl_space_drops_no_farther_than_its_book_lets_it() -> None:
    with drawn_once(plausible(CRAWL), drop_traps=True) as one:
        board = one.work.board
        closets = [t for t in one.work.traps.values() if t.need.closet]
        assert closets
        for t in closets:
            assert closet_drop_mm(t.need.fixture, board.nodes[t.weir].z or 0.0) <= MOST_NPC_MM + 1.0, t.tag


def test_a_closet_lies_too_deep_where_its_drain_does() -> None:
    """As above, with nothing lifted."""
    with drawn_once(plausible(CRAWL)) as one:
        deep = {tag: mm for tag, (mm, _) in sunk_traps(one.work).items() if one.work.needs[tag].closet}
        assert deep
        assert cramped_mm(one.work) == 0.0, "no book but the UPC counts the drop with the arm"
        for tag, mm in deep.items():
            z = one.work.board.nodes[one.work.traps[tag].weir].z or 0.0
            assert closet_drop_mm(one.work.needs[tag].fixture, z) == pytest.approx(MOST_NPC_MM + mm)


def test_no_move_brings_a_pipe_through_the_outlet_of_another_fixture() -> None:
    with drawn_once(plausible(SLAB)) as one:
        hand = Hand(one.work)
        tag, (x, y), foot_z, r = next(o for o in hand.outlets if one.work.needs[o[0]].closet)
        edge = next(e for e in one.work.board.edges.values() if e.system == "drain" and e.tag not in ("", tag))
        g = one.work.gauge(edge.size_in)
        near = r + g.r + PAST_MM
        for aside, z, meets in ((0.0, foot_z, True), (near + 1.0, foot_z, False), (0.0, foot_z - near - 1.0, False)):
            said = hand._past_outlet(edge, (x - 500.0, y + aside), (x + 500.0, y + aside), z, g)
            assert (tag in said) is meets


def test_a_footing_under_the_only_wall_for_a_stack_is_named() -> None:
    """A wall of two storeys stands on a thickened slab, which lets no stack down."""
    job = yaml.safe_load(plausible(31))
    wall = next(w for w in job["walls"] if w["id"] == "P" and w["level"] == "main")
    x = float(wall["from"][0].rstrip('"'))
    job.setdefault("obstacles", []).append(
        {
            "id": "F5",
            "what": "thickened slab under P",
            "kind": "footing",
            "x": [f'{x - 8:g}"', f'{x + 8:g}"'],
            "y": [wall["from"][1], wall["to"][1]],
            "z": ['-16"', '0"'],
        }
    )
    with drawn_once(yaml.safe_dump(job, sort_keys=False)) as one:
        said = [b for b in one.layout.blocked if "no stack" in b.constraint]
        assert said
        assert all("F5 lies under P" in b.constraint and "F5" in b.free for b in said)
