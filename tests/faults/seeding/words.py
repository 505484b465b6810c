"""The words of the fault tables: small edits of a finished system, each at the stage where a hand would slip.

| word | does | stage |
|---|---|---|
| `undraw` | leaves drawn routes out | drawing |
| `redraw`, `through`, `last`, `inch`, `into` | draws a route anew: points, last one moved, size, where to | drawing |
| `arm`, `length`, `slope` or `fall` | sets the length of a trap arm at its slope, or its fall | layout |
| `closet`, `flat` | sets how far a closet stands from its vent | layout |
| `move`, `by` | moves points | layout |
| `size`, `to` | lays pipes in another size | network |
| `cut` | leaves pipes out | network |
| `pattern`, `at`, `to` | swaps a fitting at the end of a pipe | fabrication |
| `unlist`, `of` | leaves plates, straps, hangers or bores off the list | fabrication |
| `bore`, `member` and what changes | changes a bore | fabrication |
| `set`, `to`; `add`, `record`; `take` | changes a fact | where the path begins, `design/` last of all |

Points are named by route and number, `A-KS@1`, by trap, `LV1 weir` and `LV1 takeoff`, or `terminal`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from seeding.bench import Bench, Edit, many, pipes, point
from stubout.catalog import queries as catalog
from stubout.geometry.vec import Vec
from stubout.kinds import FixtureKind
from stubout.layout.model import TrapPlan
from stubout.network.model import Network, Node


def undraw(on: Bench, e: Edit) -> None:
    gone = many(e["undraw"])
    left = tuple(leg for leg in on.house.routes if leg.id not in gone)
    if len(left) + len(gone) != len(on.house.routes):
        raise KeyError(f"not all of {gone} are drawn")
    on.house = replace(on.house, routes=left)


def redraw(on: Bench, e: Edit) -> None:
    """Change the points of one route, or where it goes."""
    leg = next(g for g in on.house.routes if g.id == e["redraw"])
    new = replace(leg, points=tuple(Vec(*map(float, p)) for p in e["through"])) if "through" in e else leg
    if "last" in e:
        new = replace(new, points=(*new.points[:-1], new.points[-1].plus(Vec(*map(float, e["last"])))))
    if "inch" in e:
        new = replace(new, size_in=float(e["inch"]))
    if "into" in e:
        new = replace(new, joins=e["into"])
    on.house = replace(on.house, routes=tuple(new if g is leg else g for g in on.house.routes))


def arm(on: Bench, e: Edit) -> None:
    """Set length (at the slope the arm has) or fall of a trap arm by moving its weir away from or up to the wall."""
    trap = next(t for t in on.layout.traps if t.tag == e["arm"])
    at = {p.id: p.at for p in on.layout.points}
    runs = {r.id: r for r in on.layout.runs}
    way = [runs[i] for i in trap.arm_runs]
    first, end = way[0], at[way[-1].end]
    weir, next_ = at[first.start], at[first.end]
    rest_mm = sum(at[r.start].to(at[r.end]) for r in way[1:])
    slope = float(e.get("slope", 0.0)) or (weir.z - end.z) / max(
        sum(at[r.end].minus(at[r.start]).plan_length for r in way), 1.0
    )
    if "length" in e:
        flat_mm = (float(e["length"]) - rest_mm) / (1.0 + slope**2) ** 0.5
        u = weir.minus(next_).at_z(0.0).unit()
        new = next_.plus(u.times(flat_mm)).at_z(next_.z + slope * flat_mm)
    else:
        new = weir.at_z(end.z + float(e["fall"]))
    by = new.minus(weir)
    _shift(on, {first.start: by})
    body = next(f for f in on.house.fixtures if f.tag == trap.tag)
    if body.outlet is not None and "length" in e:  # the fixture goes where its trap goes
        moved = replace(body, outlet=body.outlet.plus(by.at_z(0.0)))
        on.house = replace(on.house, fixtures=tuple(moved if f is body else f for f in on.house.fixtures))


def closet(on: Bench, e: Edit) -> None:
    """Set how far a closet's flange stands from its vent along the flat; the closet goes with it, at the same slope."""
    trap = next(t for t in on.layout.traps if t.tag == e["closet"])
    at = {p.id: p.at for p in on.layout.points}
    flat = next(r for r in on.layout.runs if r.id == trap.arm_runs[-1])
    bend, end = at[flat.start], at[flat.end]
    u = bend.minus(end).at_z(0.0).unit()
    slope = (bend.z - end.z) / bend.minus(end).plan_length
    plan = float(e["flat"]) / (1.0 + slope**2) ** 0.5
    new = end.plus(u.times(plan)).at_z(end.z + slope * plan)
    by = new.minus(bend)
    _shift(on, {flat.start: by, trap.weir: by.at_z(0.0)})
    body = next(f for f in on.house.fixtures if f.tag == trap.tag)
    out = by.plan_length if plan > bend.minus(end).plan_length else -by.plan_length
    outlet = None if body.outlet is None else body.outlet.plus(by.at_z(0.0))
    far = replace(body, outlet=outlet, from_wall_mm=body.from_wall_mm + out, extent=None)
    on.house = replace(on.house, fixtures=tuple(far if f is body else f for f in on.house.fixtures))


def move(on: Bench, e: Edit) -> None:
    by = Vec(*map(float, e["by"]))
    ids = [point(on, name) for name in many(e["move"])]
    _shift(on, dict.fromkeys(ids, by))


def _shift(on: Bench, by: dict[str, Vec]) -> None:
    points = tuple(replace(p, at=p.at.plus(by[p.id])) if p.id in by else p for p in on.layout.points)
    at = {p.id: p.at for p in points}
    on.layout = replace(on.layout, points=points, traps=tuple(_weir(on, t, at) for t in on.layout.traps))


def _weir(on: Bench, trap: TrapPlan, at: dict[str, Vec]) -> TrapPlan:
    body = next((f for f in on.house.fixtures if f.tag == trap.tag), None)
    first = next((r for r in on.layout.runs if r.id in trap.arm_runs[:1]), None)
    if first is None or body is None or body.kind is FixtureKind.WATER_CLOSET:
        return trap
    return replace(trap, weir_z_mm=at[trap.weir].z - catalog.pipe(on.house.job.material, first.size_in).id_mm / 2)


def resize(on: Bench, e: Edit) -> None:
    ids = pipes(on, e["size"])
    new = tuple(replace(p, size_in=float(e["to"])) if p.id in ids else p for p in on.network.pipes)
    on.network = Network(on.network.nodes, new, on.network.traps)
    legs = {i.rpartition(".")[0] or i for i in ids} | ids
    silent = tuple(replace(g, size_in=None) if g.id in legs else g for g in on.house.routes)
    on.house = replace(on.house, routes=silent)  # what is drawn and what is laid agree: DRN014 has its own faults


def cut(on: Bench, e: Edit) -> None:
    ids = pipes(on, e["cut"])
    left = tuple(p for p in on.network.pipes if p.id not in ids)
    nodes = tuple(_without(n, ids) for n in on.network.nodes)
    on.network = Network(nodes, left, on.network.traps)


def _without(n: Node, ids: set[str]) -> Node:
    return replace(
        n, inflow=tuple(i for i in n.inflow if i not in ids), outflow=tuple(i for i in n.outflow if i not in ids)
    )


def swap(on: Bench, e: Edit) -> None:
    """Put another pattern at the end of a pipe: the first bend, tee or wye that stands there."""
    pipe = on.design.network.pipe(e["at"])
    node = pipe.end
    fab = on.design.fabrication
    here = [f for f in fab.fittings if f.node == node and f.pattern == e["pattern"]]
    if not here:
        raise KeyError(f"no {e['pattern']} at {node}: {[f.pattern for f in fab.fittings if f.node == node]}")
    new = replace(here[0], pattern=e["to"])
    on.design = replace(
        on.design, fabrication=replace(fab, fittings=tuple(new if f is here[0] else f for f in fab.fittings))
    )


def unlist(on: Bench, e: Edit) -> None:
    """Leave plates, straps or hangers off the list, all those of the pipes named."""
    ids = pipes(on, e["of"])
    fab = on.design.fabrication
    bores = {b.id for b in fab.bores if b.pipe in ids}
    kind = e["unlist"]
    if kind == "hangers":
        new = replace(fab, hangers=tuple(h for h in fab.hangers if h.pipe not in ids))
    elif kind == "bores":
        new = replace(fab, bores=tuple(b for b in fab.bores if b.id not in bores))
    else:
        new = replace(fab, plates=tuple(p for p in fab.plates if p.bore not in bores or p.kind != kind))
    if new == fab:
        raise KeyError(f"no {kind} of {e['of']}")
    on.design = replace(on.design, fabrication=new)


def rebore(on: Bench, e: Edit) -> None:
    """Change the first bore of a pipe in a kind of member: hole, edge, verdict."""
    ids = pipes(on, e["bore"])
    fab = on.design.fabrication
    old = next(b for b in fab.bores if b.pipe in ids and b.member_kind == e["member"])
    changes = {k: v for k, v in e.items() if k not in ("bore", "member")}
    new = replace(old, **changes)
    on.design = replace(on.design, fabrication=replace(fab, bores=tuple(new if b is old else b for b in fab.bores)))


Act = Callable[[Bench, Edit], None]
DRAWING: dict[str, Act] = {"undraw": undraw, "redraw": redraw}
LAYOUT: dict[str, Act] = {"arm": arm, "closet": closet, "move": move}
NETWORK: dict[str, Act] = {"size": resize, "cut": cut}
DESIGN: dict[str, Act] = {"pattern": swap, "unlist": unlist, "bore": rebore}
FACTS = ("set", "add", "take")
MORE = {
    "redraw": {"through", "last", "inch", "into"},
    "arm": {"length", "slope", "fall"},
    "closet": {"flat"},
    "move": {"by"},
    "size": {"to"},
    "pattern": {"at", "to"},
    "unlist": {"of"},
    "bore": {"member", "member_kind", "hole_mm", "edge_mm", "edge_limit_mm", "verdict"},
    "set": {"to"},
    "add": {"record"},
}


def refuse(e: Edit) -> None:
    """Raise KeyError for an edit that is none: a word that is not known, or a key that goes with another."""
    word = next((w for w in (*DRAWING, *LAYOUT, *NETWORK, *DESIGN, *FACTS) if w in e), "")
    if not word or not set(e) - {word} <= MORE.get(word, set()):
        raise KeyError(f"no such edit: {e}")
