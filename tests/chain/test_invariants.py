"""What must hold for every finished design: nothing is lost between network, saw, sheets and files.

No source but the contract between the parts: the truths are logical, none is a snapshot.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import math
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from drawn import sheets

from stubout import units
from stubout.kinds import FixtureKind
from stubout.layout.model import PointKind, Role, VentMethod
from stubout.network.loads import fixture_load, load_of
from stubout.network.model import Pipe
from stubout.problems import Basis, NotInBook
from stubout.reports.front import unverified
from stubout.rulebooks import queries
from stubout.rulebooks.model import RuleBook
from stubout.sheets.model import Text
from stubout.sizing.levels import invert_mm

ROUNDING_MM = 0.1  # heights are rounded to a hundredth at both ends; a saw cannot tell
JOG_MM = 15.0  # pipes so short that no piece stands between two fittings: sockets and spring take them up
NAMES = ("01", "02", "03", "drawn", "demo")


@pytest.fixture(params=NAMES)
def whole(request, chain):
    return chain(request.param)


# --- nothing is lost on the way to the saw and to the paper ------------------------------------------------------


def test_every_pipe_is_cut_once(whole):
    """Each pipe is in exactly one straight run of pieces, and the run is as long as its pipes.

    Piece ids are unique; make-ups and cut add up to the centre length of each piece. Risers between a trap or bend
    and the floor belong to no pipe of the network and name none.
    """
    net, pieces = whole.design.network, whole.design.fabrication.pieces
    runs = {p.pipes or (p.pipe,) for p in pieces if p.pipe}
    count = Counter(i for r in runs for i in r)
    assert {p.id for p in net.pipes} - set(count) == set()
    assert set(count) - {p.id for p in net.pipes} == set()
    assert [i for i, n in count.items() if n > 1] == []
    assert len({p.id for p in pieces}) == len(pieces)
    for run in runs:
        own = [p for p in pieces if (p.pipes or (p.pipe,)) == run]
        lengths = [net.pipe(i).length_mm for i in run]
        jogs = sum(x for x in lengths if x <= JOG_MM)  # taken up inside a joint
        assert sum(p.centre_mm for p in own) == pytest.approx(sum(lengths), abs=0.5 + jogs), run
        for p in own:
            assert p.size_in == net.pipe(p.pipe).size_in, p.id
    for p in pieces:
        assert p.cut_mm == pytest.approx(p.centre_mm - p.takeoff_start_mm - p.takeoff_end_mm, abs=0.01), p.id


def test_every_pipe_is_on_the_isometric_and_no_other(whole):
    """A crowded system is drawn on two sheets, cut at a floor: together they show every pipe."""
    iso = [s for s in sheets(whole.design) if s.id.startswith("isometric")]
    drawn = {i.layer.removeprefix("pipe:") for s in iso for i in s.items if i.layer.startswith("pipe:")}
    assert drawn == {p.id for p in whole.design.network.pipes}


def test_every_piece_is_sawn_from_one_stick(whole):
    fab = whole.design.fabrication
    sawn = Counter(i for s in fab.sticks for i in s.pieces)
    known = {p.id: p for p in fab.pieces}
    assert [i for i, n in sawn.items() if n > 1 or i not in known] == []
    for p in fab.pieces:
        if p.fits and p.cut_mm > 0:
            assert p.id in sawn, p.id
    for s in fab.sticks:
        assert sum(known[i].cut_mm for i in s.pieces) + s.left_mm <= s.stock_mm + 0.01
        assert {known[i].size_in for i in s.pieces} == {s.size_in}


def test_fittings_bores_plates_and_caps_name_what_exists(whole):
    net, fab = whole.design.network, whole.design.fabrication
    pipes, nodes, bores = {p.id for p in net.pipes}, {n.id for n in net.nodes}, {b.id for b in fab.bores}
    for f in fab.fittings:
        assert f.node in nodes or f.pattern == "coupling", f.id  # a coupling may stand anywhere on a long pipe
        assert {i for i in f.pipes if i} <= pipes, f.id
    ends = {f.id for f in fab.fittings} | {""}
    for p in fab.pieces:
        for end in (p.start_fitting, p.end_fitting):
            assert end in ends or not re.fullmatch(r"F\d+", end), (p.id, end)
    for b in fab.bores:
        assert b.pipe in pipes, b.id
    for x in fab.plates:
        assert x.bore in bores or x.bore in pipes, x.id
    for h in fab.hangers:
        assert h.pipe in pipes, h.id
    for c in fab.caps:
        assert c.node in nodes, c.id


# --- water and air -----------------------------------------------------------------------------------------------


def _least_slope(book: RuleBook, size_in: float) -> float | None:
    try:
        return queries.min_slope(book, size_in).number
    except NotInBook:
        return None


def test_every_drain_falls_or_a_finding_says_so(whole):
    for p in whole.design.network.drains():
        if p.fall_mm < -0.5:
            assert whole.said("DRN008 ARM005", p.id), f"{p.id} climbs {-p.fall_mm:.1f} mm and nobody says so"
        least = _least_slope(whole.design.book, p.size_in)
        if p.vertical or least is None or p.fall_mm >= least * p.plan_mm - ROUNDING_MM:
            continue
        assert whole.said("DRN007 DRN008 ARM004 ARM005 BLK001", p.id, *p.tags), (
            f"{p.id} falls {p.slope:.4f}, the book wants {least:.4f}, and nobody says so"
        )


def test_every_fixture_has_one_trap_and_a_way_to_the_sewer(whole):
    net = whole.design.network
    traps = Counter(t.tag for t in net.traps)
    for f in whole.design.house.fixtures:
        if f.tag not in traps:
            assert whole.said("DRN013 BLK001", f.tag) or whole.blocked(f.tag), f"{f.tag} is forgotten"
            continue
        assert traps[f.tag] == 1, f.tag
        way = whole.way_down(f.tag)
        if way and net.node(way[-1].end).kind is PointKind.SEWER:
            assert f.tag in whole.sewer_pipe().tags
            continue
        ids = [p.id for p in way]
        assert whole.said("DRN010 DRN013 BLK001", f.tag, *ids) or whole.blocked(f.tag, *ids), f"{f.tag} runs dry"
    assert set(traps) <= {f.tag for f in whole.design.house.fixtures}


def _air(whole, tag: str) -> bool:
    """Return whether air comes to the end of a trap arm: up its vents, or up the drains that also give it air."""
    lends = (VentMethod.WET, VentMethod.STACK, VentMethod.CIRCUIT, VentMethod.COMMON)
    net, trap = whole.design.network, whole.trap(tag)
    front, seen = [trap.takeoff], set()
    while front:
        node = front.pop()
        if not node or node in seen:
            continue
        seen.add(node)
        here = net.node(node)
        if here.kind in (PointKind.TERMINAL, PointKind.AAV):
            return True
        for i in here.outflow:
            p = net.pipe(i)
            if p.system == "vent" or i in trap.wet_through:
                front.append(p.end)
        for i in here.inflow:
            p = net.pipe(i)
            if p.system == "drain" and i not in trap.arm_runs and (p.wet or p.vertical or trap.method in lends):
                front.append(p.start)
    return False


def test_every_trap_has_air_or_a_finding_says_why_not(whole):
    for t in whole.design.network.traps:
        if t.method is VentMethod.NONE:
            assert whole.design.book.find("floor_drain.unvented_min") or whole.said("VNT001 FLD001 BLK001", t.tag), (
                t.tag
            )
            continue
        if not _air(whole, t.tag):
            assert whole.said("VNT001 VNT009 BLK001", t.tag, *t.vent_runs) or whole.blocked(t.tag, *t.vent_runs), (
                f"{t.tag} ({t.method.value}) gets no air and nobody says so"
            )


def test_a_wet_vented_trap_names_the_pipes_it_breathes_through(whole):
    """Sizes of wet vents, the word `wet` on the isometric and the vent loads all follow from `wet_through`."""
    net = whole.design.network
    for t in net.traps:
        if t.method is not VentMethod.WET:
            continue
        assert t.wet_through, f"{t.tag} is wet vented through no pipe"
        node = t.takeoff
        for i in t.wet_through:  # from the take-off upstream, without a gap
            p = net.pipe(i)
            assert p.wet, i
            assert p.end == node, (t.tag, i)
            node = p.start


def test_weir_lies_where_the_arm_starts(whole):
    """The water level of a trap is the invert of its arm at the weir (contract of TrapPlan)."""
    net, material = whole.design.network, whole.design.house.job.material
    for t in net.traps:
        if t.arm_runs:
            first = net.pipe(t.arm_runs[0])
            # a trap smaller than its arm keeps its own water level; a closet carries its trap in itself
            if first.size_in == t.trap_in and net.node(t.weir).kind is PointKind.TRAP:
                assert t.weir_z_mm == pytest.approx(invert_mm(first, "start", material), abs=1.0), t.tag


def test_loads_add_up(whole):
    """Every drain carries exactly the fixtures above it, at the book's value; groups only ever save."""
    d = whole.design
    net, fixtures = d.network, {f.tag: f for f in d.house.fixtures}
    traps = {t.tag: t.trap_in for t in net.traps}
    for p in net.drains():
        start = net.node(p.start)
        above = {t for i in start.inflow if net.pipe(i).system == "drain" for t in net.pipe(i).tags}
        above |= {t.tag for t in net.traps if t.weir == p.start}
        if p.role is not Role.FIXTURE_DRAIN:
            assert set(p.tags) == above, p.id
        own = [fixtures[t] for t in p.tags]
        assert p.load == pytest.approx(load_of(d.book, own, traps).value), p.id
        assert p.load <= sum(fixture_load(d.book, f, traps[f.tag]).number for f in own) + 1e-9, p.id
        inflow = [net.pipe(i).load for i in start.inflow if net.pipe(i).system == "drain"]
        assert p.load >= max(inflow, default=0.0) - 1e-9, f"{p.id} carries less than what feeds it"


def test_all_the_water_comes_to_the_sewer(whole):
    d = whole.design
    last = whole.sewer_pipe()
    lost = {t.tag for t in d.network.traps} - set(last.tags)
    for tag in sorted(lost):
        ids = [p.id for p in whole.way_down(tag)]
        assert whole.said("DRN010 DRN013 BLK001", tag, *ids), f"{tag} never reaches the sewer"
    traps = {t.tag: t.trap_in for t in d.network.traps}
    reached = [f for f in d.house.fixtures if f.tag in last.tags]
    assert last.load == pytest.approx(load_of(d.book, reached, traps).value)


def test_no_pipe_shrinks_on_its_way(whole):
    net = whole.design.network
    for p in net.pipes:
        nxt: list[Pipe] = [net.pipe(i) for i in net.node(p.end).outflow if net.pipe(i).system == p.system]
        for q in nxt:
            if q.size_in < p.size_in:
                checks = "DRN003" if p.system == "drain" else "VNT007"
                assert whole.said(checks, p.id, q.id), f"{p.id} {p.size_in:g} runs into {q.id} {q.size_in:g} in silence"


def test_no_closet_goes_far_round_to_what_it_joins(whole):
    """What a closet has for itself, from flange to joint, is at most half as long again as the straight way at 45s.

    Common practice, no source: 3 in pipe is dear, and rods go round few turns.
    """
    net = whole.design.network
    closets = {f.tag for f in whole.design.house.fixtures if f.kind is FixtureKind.WATER_CLOSET}
    for t in (t for t in net.traps if t.tag in closets):
        own = [p for p in net.drains() if p.tags == (t.tag,)]
        a, b = net.node(t.weir).at, net.node(({p.end for p in own} - {p.start for p in own}).pop()).at
        across, along = sorted((abs(a.x - b.x), abs(a.y - b.y)))
        straight = along + (math.sqrt(2.0) - 1.0) * across
        assert math.fsum(p.plan_mm for p in own) <= 1.5 * straight + 300.0, t.tag


def test_sizes_carry_their_load_or_a_finding_says_so(whole):
    """No lying drain carries more than the book's branch table gives it, whatever the layout reckoned with."""
    d = whole.design
    for p in d.network.drains():
        if p.vertical or p.role in (Role.TRAP_ARM, Role.FIXTURE_DRAIN) or p.load <= 0:
            continue
        main = p.role in (Role.BUILDING_DRAIN, Role.SEWER)
        try:
            cap = queries.building_drain_capacity(d.book, p.size_in, p.slope) if main else None
            cap = cap or queries.branch_capacity(d.book, p.size_in)
        except NotInBook:
            continue
        if p.load > cap.number + 1e-9 and not main:
            # a branch of the drain that takes a stack or a storey counts as building drain in some books
            try:
                cap = queries.building_drain_capacity(d.book, p.size_in, p.slope)
            except NotInBook:
                continue
        if p.load > cap.number + 1e-9:
            assert whole.said("DRN001", p.id), f"{p.id}: {p.load:g} on {p.size_in:g} in"


# --- paper and files say what the design says --------------------------------------------------------------------


def test_labels_on_the_isometric_equal_the_design(whole):
    d = whole.design
    iso = [s for s in sheets(d) if s.id.startswith("isometric")]
    words: dict[str, list[str]] = {}
    for item in (i for s in iso for i in s.items):
        if isinstance(item, Text):
            words.setdefault(item.layer, []).append(item.text)
    for layer, texts in words.items():
        kind, _, what = layer.partition(":")
        if kind == "size":
            size = units.size(d.network.pipe(what).size_in)
            assert any(f" {size} " in f" {t} " for t in texts), (layer, texts)  # alone, or behind what the pipe is
    traps = {t.tag: t.trap_in for t in d.network.traps}
    for f in d.house.fixtures:
        if f.tag not in traps:
            continue
        shown = words.get(f"tag:{f.tag}")
        assert shown, f"{f.tag} is not named on the isometric"
        assert shown[0] == f.tag
        value = fixture_load(d.book, f, traps[f.tag]).number
        load = [t for t in shown if t.endswith(d.book.load_unit)]
        assert load, f"{f.tag} has no load on the isometric"
        assert float(load[0].removesuffix(d.book.load_unit)) == pytest.approx(value), f.tag
    ends = [n for n in d.network.nodes if n.kind is PointKind.TERMINAL and n.inflow]
    for n in ends:
        size = max(d.network.pipe(i).size_in for i in n.inflow)
        assert any(units.size(size) in t for t in words.get(f"terminal:{n.id}", [])), n.id


def _table(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("name", ["02", "demo"])
def test_files_equal_the_design(name, chain, files_of):
    """design.json, the lists and the findings carry the numbers of the design, to their printed digit."""
    whole, files = chain(name), files_of(name)
    d = whole.design
    data = json.loads(files["design.json"])
    assert [p["id"] for p in data["pipes"]] == [p.id for p in d.network.pipes]
    material = d.house.job.material
    for j, p in zip(data["pipes"], d.network.pipes, strict=True):
        assert (j["size_in"], j["load"]) == pytest.approx((p.size_in, p.load), abs=5.1e-4)
        assert j["a"] + j["b"] == pytest.approx([*p.a, *p.b], abs=5.1e-4)
        assert j["slope"] == pytest.approx(p.slope, abs=5e-7)
        assert j["invert_start_mm"] == pytest.approx(invert_mm(p, "start", material), abs=1e-3)
        assert j["tags"] == list(p.tags)
    for key, items in (("pieces", d.fabrication.pieces), ("bores", d.fabrication.bores), ("stubs", d.stubs),
                       ("traps", d.network.traps), ("materials", d.fabrication.materials)):  # fmt: skip
        assert len(data[key]) == len(items), key
    for j, piece in zip(data["pieces"], d.fabrication.pieces, strict=True):
        assert (j["id"], j["cut_mm"]) == (piece.id, pytest.approx(piece.cut_mm, abs=5.1e-4))
    assert [f["check"] for f in data["findings"]] == [f.check for f in whole.verdict.findings]
    rows = _table(files["lists/pipes.csv"])
    assert [(r["pipe"], float(r["size_in"]), float(r["load"])) for r in rows] == [
        (p.id, p.size_in, pytest.approx(p.load, abs=5e-5)) for p in d.network.pipes
    ]
    cuts = _table(files["lists/cuts.csv"])
    assert [float(r["cut_mm"]) for r in cuts] == pytest.approx([p.cut_mm for p in d.fabrication.pieces], abs=5e-5)
    assert len(_table(files["lists/bores.csv"])) == len(d.fabrication.bores)
    assert len(_table(files["lists/findings.csv"])) == len(whole.verdict.findings)


def test_material_list_orders_every_fitting(whole):
    fab = whole.design.fabrication
    ordered = sum(m.quantity for m in fab.materials if m.group == "fitting")
    assert ordered >= len(fab.fittings)
    assert sum(m.quantity for m in fab.materials if m.group == "plate") >= len(fab.plates)


def test_findings_name_what_exists(whole):
    d = whole.design
    h, net, fab = d.house, d.network, d.fabrication
    known = {"sewer", "test", "job", "building drain", "vents", "climate", "attic", "drain", "vent", "roof"}
    for group in (net.pipes, net.nodes, fab.fittings, fab.bores, fab.pieces, fab.plates, fab.caps, h.levels, h.walls,
                  h.rooms, h.cabinets, h.obstacles, h.frames, h.roof, h.roof_openings, h.roof_zones, d.cleanouts,
                  d.questions, h.routes):  # fmt: skip
        known |= {x.id for x in group}
    known |= {f.tag for f in h.fixtures} | {b.member for b in fab.bores} | {b.run_id for b in h.cabinets}
    known |= {o.id for w in h.walls for o in w.openings}
    for f in whole.verdict.findings:
        assert f.about, f.check
        named = f.about[:1] if f.check == "ASK001" else f.about  # a question names its own matter in words
        assert set(named) <= known, f"{f.check} names {set(named) - known}"


def _bases(value: Any) -> Iterator[Basis]:
    """Yield every value with a source that hangs on a record of the design, however deep."""
    if isinstance(value, Basis):
        yield value
    elif isinstance(value, (tuple, list)):
        for v in value:
            yield from _bases(v)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type) and not isinstance(value, RuleBook):
        for f in dataclasses.fields(value):
            if not f.name.startswith("_"):
                yield from _bases(getattr(value, f.name))


def test_every_unverified_value_that_decided_is_listed(whole):
    d = whole.design
    used = {b for b in (*_bases(d), *_bases(whole.verdict.findings)) if not b.status.verified}
    listed = {b for b, _ in unverified(d, whole.verdict.findings)}
    assert used
    assert used - listed == set()
    assert all(ids for _, ids in unverified(d, whole.verdict.findings))


def test_make_ups_that_are_not_read_are_listed(whole):
    """A cut length rests on fitting make-ups; where one is estimated, derived or from memory the list must say so."""
    d = whole.design
    doubtful = [f for f in d.fabrication.fittings if not f.status.verified]
    assert doubtful
    listed = " ".join(f"{b.what} {b.book}" for b, _ in unverified(d, whole.verdict.findings))
    assert "make-up" in listed or "laying length" in listed


def test_every_size_and_load_says_how_it_came_about(whole):
    for p in whole.design.network.pipes:
        size = whole.design.derivation(p.id, "size")
        assert size is not None, p.id
        assert size.value.startswith(units.size(p.size_in)), (p.id, size.value)
        assert size.steps


def test_drawn_runs_keep_their_ends(chain):
    """What is drawn by hand is kept as drawn: every way point of every leg is a point of a drawn pipe."""
    d = chain("drawn").design
    ends = {tuple(round(c, 3) for c in v) for p in d.network.pipes if p.drawn for v in (p.a, p.b)}
    for leg in d.house.routes:
        for at in leg.points:
            assert tuple(round(c, 3) for c in at) in ends, (leg.id, at)
