"""Closets with vents of their own, the one large vent of a drain, wet vents of closets, cleanouts after sizing.

The house is that of the drawn bath without its routes, over a crawl space or on a slab. What is asked is said by the
books' tables in the data (their sections and status stand there); no figure here is own output.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from stubout import run
from stubout.design import Design
from stubout.files.books import load_book
from stubout.kinds import FixtureKind
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.layout.wet_vents import wet_size

DRAWN = Path(__file__).parents[2] / "examples" / "drawn-bath.yaml"
NARROW = ('    to: 8\'-0", 19\'-6 1/2"\n    stud: 5 1/2"', '    to: 8\'-0", 19\'-6 1/2"\n    stud: 3 1/2"')
NO_WET = ("  at most terminals: 1\n", "  at most terminals: 2\n  methods not wanted: [wet]\n")
NO_BATH = ("    bathroom: yes\n", "")
MAIN_IN = 3.0  # NPC 2020 2.5.8.4(5), read: one vent of 3 in for each building drain


def _cut(text: str, head: str, until: str) -> str:
    """Return a job without one of its sections."""
    a = text.index(f"\n{head}:")
    return text[:a] + text[text.index(f"\n{until}:", a) :]


def _design(tmp_path: Path, *changes: tuple[str, str], slab: bool = False, book: str = "npc-2020") -> Design:
    """Return the design of the house with parts of its text changed, as it is laid out first."""
    return _run(tmp_path, _text(*changes, slab=slab, book=book))


def _run(tmp_path: Path, text: str) -> Design:
    job = tmp_path / "house.yaml"
    job.write_text(text, encoding="utf-8")
    return run.judged(run.read(str(job))).design


def _text(*changes: tuple[str, str], slab: bool, book: str) -> str:
    """Return the job of the house with parts of its text changed."""
    text = _cut(DRAWN.read_text(encoding="utf-8").split("\nroutes:")[0] + "\n", "obstacles", "roof")
    framing = "nbc-9.23.5" if book == "npc-2020" else "irc-framing-2021"
    out = [("book: upc-2021", f"book: {book}"), ("framing: irc-framing-2021", f"framing: {framing}"), *changes]
    if slab:
        text = text[: text.index("  - id: crawl")] + text[text.index("  - id: main\n") :]
        text = text[: text.index("  - id: main floor")] + text[text.index("  - id: roof trusses") :]
        out.append(("    floor: frame\n", '    floor: slab\n    slab: 4"\n    gravel: 6"\n    poured: no\n'))
        out.append(
            ('    outlet: 1 1/2"\n    faucet: wall\n', '    outlet: 1 1/2"\n    trap weir: -8"\n    faucet: wall\n')
        )
    for old, new in out:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def _widest_way_in(design: Design) -> float:
    """Return the largest vent from a drain to the open air, by its narrowest pipe [in]."""
    net = design.network
    best = 0.0
    for vent in net.vents():
        feet = net.node(vent.start)
        if not any(net.pipe(i).system == "drain" for i in (*feet.inflow, *feet.outflow)):
            continue
        way = (vent, *net.downstream(vent))
        if net.node(way[-1].end).kind is PointKind.TERMINAL:
            best = max(best, min(p.size_in for p in way))
    return best


def _found(design: Design) -> set[str]:
    return {f.check for f in run.check(design).findings}


@pytest.mark.parametrize("slab", [True, False])
def test_closet_without_wet_vent_has_its_own_before_anything_joins(tmp_path: Path, slab: bool) -> None:
    design = _design(tmp_path, NO_WET, slab=slab)
    closet = next(t for t in design.network.traps if t.tag == "WC1")
    assert closet.method is VentMethod.INDIVIDUAL
    arm = [design.network.pipe(i) for i in closet.arm_runs]
    assert arm[-1].end == closet.takeoff
    assert all(len(design.network.node(p.end).inflow) == 1 for p in arm[:-1])
    assert not _found(design) & {"VNT001", "ARM009", "DRN013"}


@pytest.mark.parametrize("slab", [True, False])
def test_deep_wall_carries_the_main_vent(tmp_path: Path, slab: bool) -> None:
    design = _design(tmp_path, slab=slab)
    assert not design.blocked
    assert _widest_way_in(design) >= MAIN_IN
    assert not _found(design) & {"VNT011", "FRM002", "FRM007", "CLA004", "CLO007"}


@pytest.mark.parametrize("slab", [True, False])
def test_narrow_walls_are_not_cut_for_it(tmp_path: Path, slab: bool) -> None:
    design = _design(tmp_path, NARROW, slab=slab)
    assert ("building vent",) in [b.about for b in design.blocked]
    (vent,) = [b for b in design.blocked if b.about == ("building vent",)]
    assert "set" not in vent.free


OVER_P = (
    '      first: 12"\n      spacing: 24"\n      count: 12',
    '      first: 24 1/4"\n      spacing: 24"\n      count: 11',
)


def test_a_truss_over_a_deep_wall_is_named_with_how_far_it_goes_aside(tmp_path: Path) -> None:
    """The fourth truss is 1/4 in off the middle of P, at 8'-0": half a 3 5/8 in hole and half a chord, less that."""
    design = _design(tmp_path, OVER_P)
    (vent,) = [b for b in design.blocked if b.about == ("building vent",)]
    assert "P is deep enough, but a member of roof trusses lies along it" in vent.constraint
    assert 'the member of roof trusses over P set 2 5/16"' in vent.free
    assert all(p.size_in < MAIN_IN for p in design.network.vents() if p.place.kind == "wall")
    found = _found(design)
    assert {"BLK001", "VNT011"} <= found
    assert not found & {"FRM002", "FRM007", "CLA004"}


def test_riser_of_its_own_where_only_another_wall_is_deep(tmp_path: Path) -> None:
    deep = ('    to: 7\'-9 1/4", 12\'-0"\n    stud: 3 1/2"', '    to: 7\'-9 1/4", 12\'-0"\n    stud: 5 1/2"')
    drain = ("    drain: 6'-8 3/4\", 15'-8 1/2\"", "    drain: 6'-9 3/4\", 15'-8 1/2\"")
    design = _design(tmp_path, NARROW, deep, drain, slab=True)
    assert _widest_way_in(design) >= MAIN_IN
    assert not _found(design) & {"BLK001", "VNT001", "VNT011", "FRM002", "FRM007"}


def test_closet_in_no_bath_is_vented_too(tmp_path: Path) -> None:
    design = _design(tmp_path, NO_BATH, slab=True)
    closet = next(t for t in design.network.traps if t.tag == "WC1")
    assert closet.method is not VentMethod.NONE
    assert closet.takeoff
    assert not _found(design) & {"VNT001", "DRN013"}


@pytest.mark.parametrize(("book", "least_in"), [("npc-2020", 2.0), ("upc-2021", 2.0), ("ipc-2021", 1.5)])
def test_wet_vent_of_a_closet_has_the_closet_column(book: str, least_in: float) -> None:
    """NPC 2.5.8.1: 2 in for up to 3 FU where closets breathe through; UPC 908.2.2: 2 in; IPC 912.3: 1 dfu in 1-1/2."""
    lav = SimpleNamespace(tag="LV", kind=FixtureKind.LAVATORY)
    work = SimpleNamespace(needs={"LV": SimpleNamespace(load=1.0)}, book=load_book(book))
    assert wet_size(SimpleNamespace(work=work), [lav], closets=1) == least_in


def test_without_a_closet_the_other_column_counts() -> None:
    """NPC 2.5.8.1: 1-1/4 in carries 1 FU."""
    lav = SimpleNamespace(tag="LV", kind=FixtureKind.LAVATORY)
    work = SimpleNamespace(needs={"LV": SimpleNamespace(load=1.0)}, book=load_book("npc-2020"))
    assert wet_size(SimpleNamespace(work=work), [lav]) == 1.25


@pytest.mark.parametrize("book", ["npc-2020", "upc-2021", "ipc-2021", "irc-2021"])
def test_wet_vent_of_a_closet_does_not_grow_after_drawing(tmp_path: Path, book: str) -> None:
    text = _text(NARROW, slab=True, book=book)
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    laid = run.lay(run.read(str(path)))
    design = run.finish(laid)
    drawn = {r.id: r.size_in for r in laid.layout.runs}
    closet = next(t for t in design.network.traps if t.tag == "WC1")
    if book != "upc-2021":  # drawn otherwise there, so that no turn wants a cleanout of its own
        assert closet.method is VentMethod.WET
        assert closet.wet_through
    assert [design.network.pipe(i).size_in for i in closet.wet_through] == [drawn[i] for i in closet.wet_through]


def test_cleanouts_follow_the_sized_drains(tmp_path: Path) -> None:
    design = _design(tmp_path, NARROW)
    assert "CLO007" not in _found(design)
    for p in design.network.drains():
        if p.role is Role.CLEANOUT_EXT:
            plan = next(c for c in design.cleanouts if c.point == p.start)
            assert p.size_in >= plan.size_in
