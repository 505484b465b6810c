"""The routes that keep an accepted layout in a changed job: what is installed exactly, the rest as long as it serves.

One route a pipe, called by the pipe, so that the ids on the sheets stay. What hangs on nothing is not kept.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from stubout.change.installed import in_place, said_since
from stubout.design import Design
from stubout.fixes.graph import leg_of
from stubout.fixes.said import Value
from stubout.fixes.said_routes import Drawn, entry
from stubout.house.model import House, HouseFixture
from stubout.layout.model import PointKind
from stubout.network.model import Network, Pipe

ASKED = "Q-"  # what the layout asks begins so
ENDS = frozenset({PointKind.SEWER, PointKind.TERMINAL, PointKind.AAV})


@dataclass(frozen=True, slots=True)
class Route:
    """One pipe as a route of the job file."""

    id: str
    entry: Mapping[str, Value]
    installed: bool


def installed_pipes(old: Design, new: House) -> dict[str, str]:
    """Return since when and by whom pipes of an accepted design are in place, by id.

    Args:
        old: The design as accepted.
        new: The house as the job says it now: its `installed:` entries count, and those of the accepted job.
    """
    since = {leg.id: leg.installed for leg in old.house.routes if leg.installed}
    out = {p.id: s for p in old.network.pipes if (s := since.get(p.id) or since.get(leg_of(p.id)))}
    for said in (*old.house.installed, *new.installed):
        for i in in_place(old.house, old.network, said):
            out.setdefault(i, said_since(said))
    return out


def changed_fixtures(old: House, new: House) -> frozenset[str]:
    """Return the fixtures that are new, gone, or said otherwise."""
    was, now = ({f.tag: _bare(f) for f in h.fixtures} for h in (old, new))
    return frozenset(t for t in was.keys() | now.keys() if was.get(t) != now.get(t))


def _bare(f: HouseFixture) -> HouseFixture:
    return replace(f, title="", line=0)


def with_those_they_vent(net: Network, tags: Collection[str], kept: Collection[str]) -> frozenset[str]:
    """Return fixtures with those that breathe through pipes which are only theirs and are not kept."""
    out = set(tags)
    while True:
        gone = {p.id for p in net.pipes if p.tags and out.issuperset(p.tags) and p.id not in kept}
        more = {
            t.tag
            for t in net.traps
            if t.tag not in out and gone.intersection((*t.wet_through, *t.vent_runs, *t.arm_runs))
        }
        if not more:
            return frozenset(out)
        out |= more


def routes(
    old: Design,
    anew: Collection[str],
    installed: Mapping[str, str],
    held: Collection[str],
    base: Collection[str],
    tags: Collection[str],
) -> tuple[Route, ...]:
    """Return the routes that keep a design but for what only some fixtures use.

    Args:
        old: The design as accepted.
        anew: Fixtures to be laid out anew.
        installed: Since when and by whom pipes are in place, by id.
        held: Ids of the pipes that stay whomever they serve: those in place and what they hang on.
        base: Ids of the routes the changed job says itself: they are kept anyway.
        tags: The fixtures of the changed job.
    """
    net = old.network
    by_hand = {leg.id for leg in old.house.routes if not leg.said}

    def leg(p: Pipe) -> str:
        return p.id if p.id in by_hand or p.id in base else leg_of(p.id)

    there = {p.id for p in net.pipes if leg(p) in base}
    kept = _hanging_together(
        net,
        {
            p.id
            for p in net.pipes
            if p.id not in there
            and leg(p) not in by_hand
            and (p.id in held or not (p.tags and set(anew).issuperset(p.tags)))
        },
        there,
        held,
    )
    name = {p.id: leg(p) if p.id in there else p.id.replace(".", "-") for p in net.pipes if p.id in kept | there}
    out = []
    for p in net.pipes:
        if p.id not in kept:
            continue
        said = dict(entry(Drawn(name[p.id], [p]), old, name))
        for key in ("fixture", "vent of"):
            if said.get(key, "") not in ("", *tags):  # of a fixture that is gone the pipe stays, a dead end
                del said[key]
        if p.id in installed:
            said["installed"] = installed[p.id]
            if material := p.material if p.said == "installed" else old.house.job.material:
                said["material"] = material
        else:
            said["kept"] = "yes"
        said["lies"] = p.place.words
        out.append(Route(name[p.id], said, p.id in installed))
    return tuple(out)


def questions(old: Design, anew: Collection[str], said: Collection[str]) -> tuple[dict[str, Value], ...]:
    """Return what the layout asked about fixtures that are kept, as questions of the job file: it does not ask again.

    Args:
        old: The design as accepted.
        anew: Fixtures laid out anew.
        said: Ids of the questions the changed job asks itself.
    """
    letters = {who: letter for letter, who in reversed(old.house.job.people)}
    tags = {f.tag for f in old.house.fixtures} - set(anew)
    out: list[dict[str, Value]] = []
    for q in old.questions:
        letter = letters.get(q.owner) or next((k for who, k in letters.items() if q.owner in who), "")
        if q.id in said or not q.id.startswith(ASKED) or not tags.intersection(q.about) or not letter:
            continue
        about = ", ".join(q.about)
        entry = {"id": q.id, "ask": letter, "text": q.text, "blocks": q.blocks, "assumed": q.assumed, "about": about}
        out.append({k: v for k, v in entry.items() if v})
    return tuple(out)


def hung_on(net: Network, installed: Collection[str], changed: Collection[str] = ()) -> frozenset[str]:
    """Return pipes in place with what they hang on.

    A drain hangs on what it flows into, down to the sewer. A vent hangs on what it runs into, out to the air, and on
    what it begins at: one way down to a drain, that to the sewer, and the arm which ends there.

    Args:
        net: The pipes as accepted.
        installed: Ids of the pipes in place.
        changed: Fixtures said otherwise now: their arms are laid out anew.
    """
    arms = {t.takeoff: t.arm_runs for t in net.traps if t.takeoff and t.tag not in changed}
    out, front = set(installed), list(installed)
    while front:
        p = net.pipe(front.pop())
        more = {i for i in net.node(p.end).outflow if net.pipe(i).system == p.system}
        if p.system == "vent":
            more |= _foot(net, p, out, arms)
        front += sorted(more - out)
        out |= more
    return frozenset(out)


def _foot(net: Network, vent: Pipe, held: Collection[str], arms: Mapping[str, tuple[str, ...]]) -> set[str]:
    """Return what a vent begins at: the drain and its arm, or one of the vents that come together there."""
    node = net.node(vent.start)
    drains = {i for i in (*node.inflow, *node.outflow) if net.pipe(i).system == "drain"}
    if drains:
        return {*(i for i in node.outflow if i in drains), *arms.get(node.id, ())} or drains
    come = [i for i in node.inflow if net.pipe(i).system == "vent"]
    if not come or any(i in held for i in come):
        return set()
    return {max(come, key=lambda i: (net.pipe(i).vertical, net.pipe(i).size_in))}


def _hanging_together(net: Network, kept: set[str], there: set[str], held: Collection[str]) -> set[str]:
    """Return the pipes of a set, and those that must be held, that flow on into others of it to an end."""
    kept = kept | {i for i in held if i not in there}
    while True:
        on = kept | there
        loose = {i for i in kept if i not in held and not _goes_on(net, net.pipe(i), on)}
        if not loose:
            return kept
        kept -= loose


def _goes_on(net: Network, p: Pipe, on: set[str]) -> bool:
    """Return whether a pipe flows into a pipe that stays, and a vent begins at one."""
    end, start = net.node(p.end), net.node(p.start)
    if p.system == "drain":
        return end.kind in ENDS or any(i in on for i in end.outflow)
    on_drain = any(i in on for i in (*start.inflow, *start.outflow) if i != p.id)
    return on_drain and (end.kind in ENDS or any(i in on for i in (*end.outflow, *end.inflow) if i != p.id))
