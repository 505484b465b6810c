"""Fixtures in their place: outlet points and every height that follows from the fixture sheet."""

from __future__ import annotations

from collections.abc import Mapping

from stubout.geometry.vec import Box, Vec
from stubout.house.cabinets import box_behind
from stubout.house.framing import Wall
from stubout.house.lookup import TOUCH_MM, Faults
from stubout.house.model import CabinetBox, HouseFixture, HouseLevel, Room
from stubout.house.questions import Asked
from stubout.house.walls import set_to_studs
from stubout.job.model import FixtureSaid
from stubout.kinds import FixtureKind
from stubout.rulebooks import queries

K = FixtureKind
FLOOR_OUTLET = frozenset({K.WATER_CLOSET, K.BATHTUB, K.SHOWER, K.FLOOR_DRAIN})
BATHROOM = frozenset({K.WATER_CLOSET, K.LAVATORY, K.BATHTUB, K.SHOWER, K.BIDET})
_UNSAID_OUTLET_IN = {
    K.WATER_CLOSET: 3.0, K.LAVATORY: 1.25, K.SHOWER: 2.0, K.CLOTHES_WASHER: 2.0, K.FLOOR_DRAIN: 2.0,
}  # fmt: skip
_SIZE_FROM_BOOK = frozenset({K.WATER_CLOSET, K.SHOWER, K.FLOOR_DRAIN})  # the book, not the sheet, sets these


def resolve_fixture(
    said: FixtureSaid,
    room: Room,
    level: HouseLevel,
    walls: Mapping[str, Wall],
    boxes: Mapping[str, CabinetBox],
    bathroom: bool,
    faults: Faults,
    asked: Asked,
) -> HouseFixture:
    """Return a fixture in house coordinates; what its sheet leaves open is asked."""
    floor_z = level.subfloor_z_mm + room.build_up_mm
    wall = walls.get(said.wall)
    body = _body(said, level.subfloor_z_mm, floor_z)
    on_floor = said.kind in FLOOR_OUTLET
    cabinet = _cabinet(said, wall, boxes)
    counter_z, thick = _counter(said, floor_z, cabinet, faults)
    outlet_z = _outlet_z(said, floor_z, counter_z, thick)
    plan = _plan(said, wall, floor_z, outlet_z, faults, asked)
    stands_z = _stands_on(said.kind, body, level, floor_z, walls)
    above = queries.tub_outlet_height(said.kind, asked.unit)
    z = outlet_z if outlet_z is not None else stands_z + (0.0 if above is None else above.number)
    standpipe = None if said.standpipe_top is None else level.subfloor_z_mm + said.standpipe_top
    fixture = HouseFixture(
        tag=said.tag, kind=said.kind, title=said.title or str(said.kind), room_id=room.id, level_id=level.id,
        subfloor_z_mm=level.subfloor_z_mm, finished_z_mm=floor_z,
        wall_id=said.wall, side=said.side, station_mm=said.at,
        outlet=None if plan is None else plan.at_z(z), floor_outlet=on_floor,
        flood_rim_z_mm=_rim(said, floor_z, counter_z, standpipe), outlet_z_mm=outlet_z,
        outlet_least_z_mm=stands_z if above is not None and outlet_z is None else None,
        outlet_in=_outlet_size(said, asked), from_wall_mm=said.from_wall or said.rough_in or 0.0, trap_in=said.trap,
        wanted_stub_z_mm=None if said.stub_height is None else floor_z + said.stub_height,
        trap_weir_z_mm=said.trap_weir, standpipe_top_z_mm=standpipe,
        box_centre_z_mm=None if said.box_centre is None else level.subfloor_z_mm + said.box_centre,
        disposer=said.disposer is not None, disposer_drop_mm=said.disposer or 0.0, dishwasher=said.dishwasher,
        heads=_heads(said, asked), gpf_over_1_6=said.gpf is not None and said.gpf > 1.6,
        flush_valve=said.flush == "valve", future=said.future, in_island=said.island,
        cabinet_id=cabinet.id if cabinet else "",
        group=room.id if bathroom and said.kind in BATHROOM else "",
        may_move_mm=said.may_move, extent=body, faucet=said.faucet, primer=said.primer, line=said.line,
    )  # fmt: skip
    _ask_heights(said, fixture, asked)
    if cabinet is None:
        _ask_cabinet(said, wall, boxes, asked)
    return fixture


def _body(said: FixtureSaid, subfloor_z: float, floor_z: float) -> Box | None:
    if said.x is None or said.y is None:
        return None
    top = floor_z + (said.rim or 0.0)
    return Box(Vec(min(said.x), min(said.y), subfloor_z), Vec(max(said.x), max(said.y), top))


def _stands_on(
    kind: FixtureKind, body: Box | None, level: HouseLevel, floor_z: float, walls: Mapping[str, Wall]
) -> float:
    """Return the top of what a fixture stands on [house z].

    A tub or shower that is set to studs stands on the subfloor, and the floor is laid up to it: common practice, no
    source. Any other stands on the finished floor.
    """
    if body is None or kind not in (K.BATHTUB, K.SHOWER):
        return floor_z
    here = (w for w in walls.values() if w.level_id == level.id)
    return level.subfloor_z_mm if any(set_to_studs(w, body, "", body.hi.z) for w in here) else floor_z


def _cabinet(said: FixtureSaid, wall: Wall | None, boxes: Mapping[str, CabinetBox]) -> CabinetBox | None:
    if said.kind in FLOOR_OUTLET:
        return None
    at = None if said.drain is None else Vec(*said.drain)
    return box_behind(boxes, wall.id if wall else "", said.side, said.at, at)


def _counter(
    said: FixtureSaid, floor_z: float, cabinet: CabinetBox | None, faults: Faults
) -> tuple[float | None, float]:
    """Return the counter top [house z] and its thickness; the cabinet says them where the fixture does not."""
    in_cabinet = None if cabinet is None else cabinet.counter_z_mm
    thick = said.counter_thick or (cabinet.counter_mm if cabinet else 0.0)
    if said.counter is None:
        return in_cabinet, thick
    own = floor_z + said.counter
    if in_cabinet is not None and cabinet is not None and abs(in_cabinet - own) > TOUCH_MM:
        faults.add(
            said.line, f"fixtures.{said.tag}.counter", f"a counter {faults.long(said.counter)} above the floor",
            f"the counter of its cabinet {cabinet.run_id}, {faults.long(in_cabinet - floor_z)}",
            "Correct one of the two.",
        )  # fmt: skip
    return own, thick


def _outlet_z(said: FixtureSaid, floor_z: float, counter_z: float | None, thick: float) -> float | None:
    """Return the bottom of the fixture outlet, or the centre of the disposer's outlet [house z]."""
    if said.outlet_height is not None:
        return floor_z + said.outlet_height
    if said.bowl is None:
        return None
    if said.bowl_from == "rim" or counter_z is None:
        if said.rim is None:
            return None
        top = floor_z + said.rim
    else:
        top = counter_z if said.bowl_from == "counter top" else counter_z - thick
    return top - said.bowl - (said.disposer or 0.0)


def _rim(said: FixtureSaid, floor_z: float, counter_z: float | None, standpipe: float | None) -> float | None:
    """Return the flood level rim [house z]; None where neither sheet nor counter says it (closet, shower).

    Water leaves an undermount bowl over the counter top.
    """
    if said.rim is not None:
        return floor_z + said.rim
    if said.kind is K.FLOOR_DRAIN:
        return floor_z
    if standpipe is not None:
        return standpipe
    return counter_z if said.kind not in FLOOR_OUTLET else None


def _plan(
    said: FixtureSaid, wall: Wall | None, floor_z: float, outlet_z: float | None, faults: Faults, asked: Asked
) -> Vec | None:
    """Return the plan position of the outlet: as given, or square off the wall; both must agree."""
    off = said.rough_in if said.kind is K.WATER_CLOSET else said.from_wall
    derived = None
    if wall is not None and said.at is not None:
        z = floor_z if outlet_z is None else outlet_z
        face = wall.face_offset(said.side, said.at, z)
        if said.kind is K.CLOTHES_WASHER:
            derived = wall.point(said.at, z)  # the standpipe stands in the wall
        elif off is not None:
            derived = wall.point(said.at, z, face + off if said.side == "left" else face - off)
        elif said.kind not in FLOOR_OUTLET:
            derived = wall.point(said.at, z, face)  # distance unknown, asked for: the stub-out is at this station
    given = None if said.drain is None else Vec(*said.drain)
    if given is not None and derived is not None and said.kind is K.WATER_CLOSET:
        apart = given.minus(derived).plan_length
        if apart > TOUCH_MM:
            asked.ask(
                f"flange-{said.tag}",
                f"{said.tag}: the flange is drawn {asked.long(apart)} from where the rough-in distance from the "
                f"finished wall {wall.id if wall else ''} puts it. Which one holds?",
                "builder", blocks="closet flange and its drain", assumed="the drawn point", about=(said.tag, "flange"),
                line=said.line,
            )  # fmt: skip
    if given is None and derived is None and not (said.wall and wall is None):
        faults.add(
            said.line, f"fixtures.{said.tag}", "no place of the outlet",
            "`drain: x, y`, or a wall with `at` and the distance from the wall",
        )  # fmt: skip
    return given or derived


def _outlet_size(said: FixtureSaid, asked: Asked) -> float:
    if said.outlet is not None:
        return said.outlet
    if said.trap is not None:
        return said.trap
    assumed = _UNSAID_OUTLET_IN.get(said.kind, 1.5)
    if said.kind not in _SIZE_FROM_BOOK:
        asked.ask(
            f"outlet-{said.tag}", f"{said.tag}: the fixture sheet does not say the outlet size. Which is it?", "owner",
            blocks=f"trap and stub-out of {said.tag}", assumed=f"{assumed:g} in", about=(said.tag, "outlet"),
            line=said.line,
        )  # fmt: skip
    return assumed


def _heads(said: FixtureSaid, asked: Asked) -> int | None:
    if said.kind is not K.SHOWER:
        return None if said.heads == "unknown" else int(said.heads or 1)
    if said.heads is not None and said.heads != "unknown":
        return int(said.heads)
    asked.ask(
        f"heads-{said.tag}", f"{said.tag}: how many shower heads?", "owner",
        blocks=f"load and drain size of {said.tag}", assumed="two heads, the larger load",
        about=(said.tag, "heads"), line=said.line,
    )  # fmt: skip
    return None


def _ask_cabinet(said: FixtureSaid, wall: Wall | None, boxes: Mapping[str, CabinetBox], asked: Asked) -> None:
    """Ask where the cabinet is whose counter a fixture counts from: its station may be a slip, or a run is missing."""
    if said.counter is None or said.bowl_from == "rim" or said.kind in FLOOR_OUTLET or said.future:
        return
    if wall is None or said.at is None:
        place = "its drain lies in no box of an island"
    else:
        runs: dict[str, list[CabinetBox]] = {}
        for box in boxes.values():
            if box.wall_id == wall.id and box.side == said.side:
                runs.setdefault(box.run_id, []).append(box)
        there = [
            f"{run} stands from {asked.long(min(b.from_station_mm for b in some))} to "
            f"{asked.long(max(b.to_station_mm for b in some))}"
            for run, some in runs.items()
        ]
        side = f"station {asked.long(said.at)} on the {said.side} side of wall {wall.id}"
        place = f"no cabinet run holds {side}" + (f": {', '.join(there)}" if there else "")
    asked.ask(
        f"cabinet-{said.tag}", f"{said.tag} counts from a counter, but {place}. Is its place a slip, or a cabinet "
        "missing?", "cabinet maker", blocks=f"whether trap and stub-out of {said.tag} suit its cabinet",
        assumed="the counter as said, and no cabinet round the trap", about=(said.tag, "counter"), line=said.line,
    )  # fmt: skip


def _ask_heights(said: FixtureSaid, fixture: HouseFixture, asked: Asked) -> None:
    if fixture.floor_outlet or said.future:
        return
    if said.kind is K.CLOTHES_WASHER:
        if said.standpipe_top is None:
            asked.ask(
                f"standpipe-{said.tag}", f"{said.tag}: how high above the subfloor is the top of the standpipe?",
                "owner",
                blocks=f"trap height of {said.tag}", assumed="the centre of the box" if said.box_centre else "nothing",
                about=(said.tag, "standpipe"), line=said.line,
            )  # fmt: skip
        return
    if fixture.outlet_z_mm is None:
        asked.ask(
            f"height-{said.tag}", f"{said.tag}: the height of the outlet cannot be derived; rim or counter and bowl "
            "depth are missing.", "owner", blocks=f"stub-out height of {said.tag}", assumed="nothing",
            about=(said.tag, "height"), line=said.line,
        )  # fmt: skip
    if said.from_wall is None and said.drain is None:
        asked.ask(
            f"from-wall-{said.tag}", f"{said.tag}: how far is the outlet from the finished wall?", "owner",
            blocks=f"trap arm length of {said.tag}", assumed="nothing", about=(said.tag, "from wall"), line=said.line,
        )  # fmt: skip
