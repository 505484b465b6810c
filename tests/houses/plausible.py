"""Plausible houses made from a seed: one or two storeys with their plumbing back to back on one wall. Inches.

Invented, all of them. Each comes out as the text of a job file, so that everything from the reader on is tried. The
house is one a builder would build: joists stay clear of closets and floor drains, rooms have room for their fixtures.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from math import gcd
from typing import Any

import yaml

WALL = 97.125  # height of a storey's walls
OUT = 5.5  # studs of outside walls
DEPTH = 60.0  # of a room beside the plumbing wall, stud to stud: a tub's length
JOISTS = ((9.25, "sawn"), (11.25, "sawn"), (11.875, "i-joist"), (11.875, "truss"))
BOOKS = ("npc-2020", "upc-2021", "ipc-2021", "irc-2021")
HALF = {"sawn": 0.75, "i-joist": 1.25, "truss": 1.25}  # half of what is widest of a member of a floor
HUBS = {"WC": 2.25, "BT": 1.5, "SH": 1.5}  # half a hub under a fixture and a finger more
OUTLETS = {"WC": 12.5, "BT": 4.0, "SH": 30.0}  # of a drain in the floor from the studs of the wall
ROOMS = {
    "bath": ("LV", "WC", "BT"),
    "bath turned": ("WC", "LV", "BT"),
    "shower bath": ("LV", "WC", "SH"),
    "half bath": ("LV", "WC"),
    "laundry": ("AW",),
    "laundry with tray": ("AW", "LT"),
    "kitchen": ("KS",),
}
NEEDS = {"LV": 37.0, "WC": 40.0, "BT": 32.0, "SH": 38.0, "AW": 40.0, "LT": 28.0, "KS": 86.0}  # along the wall
Record = dict[str, Any]


def text_of(inches: float) -> str:
    """Return a length as a plumber writes it, to 1/16 in."""
    whole, part = divmod(round(abs(inches) * 16), 16)
    sign = "-" if inches < 0 else ""
    if not part:
        return f'{sign}{whole}"'
    cut = gcd(part, 16)
    fraction = f"{part // cut}/{16 // cut}"
    return f'{sign}{whole} {fraction}"' if whole else f'{sign}{fraction}"'


def pair(a: float, b: float) -> list[str]:
    """Return two lengths, the smaller first where they are a span."""
    return [text_of(a), text_of(b)]


@dataclass
class Plan:
    """One house while it is being made."""

    rnd: random.Random
    storeys: int
    under: str  # slab, crawl or basement
    wide: float  # west to east
    deep: float  # south to north
    book: str
    stud: float  # of the plumbing wall
    wall_x: float  # where that stands
    joist: tuple[float, str]
    runs: str
    first: float = 0.0  # the first joist
    spacing: float = 16.0  # of the joists
    walls: list[Record] = field(default_factory=list)
    rooms: list[Record] = field(default_factory=list)
    cabinets: list[Record] = field(default_factory=list)
    fixtures: list[Record] = field(default_factory=list)
    obstacles: list[Record] = field(default_factory=list)

    @property
    def rise(self) -> float:
        """Return the height of one storey, subfloor to subfloor."""
        return WALL + self.joist[0] + 0.75

    @property
    def top(self) -> float:
        """Return the top of the uppermost walls."""
        return WALL + (self.storeys - 1) * self.rise

    def clear(self, v: float, kind: str) -> bool:
        """Return whether the drain of a kind of fixture at a place across the joists is clear of them."""
        off = min((v - self.first) % self.spacing, (self.first - v) % self.spacing)
        return off >= HALF[self.joist[1]] + HUBS[kind]

    def tag(self, kind: str) -> str:
        """Return the next tag of a kind."""
        return f"{kind}{1 + sum(f['tag'].startswith(kind) for f in self.fixtures)}"

    def wall(self, name: str, level: str, a: tuple[float, float], b: tuple[float, float], **said: Any) -> None:
        """Add a wall; inside walls are 2x4 with board on both sides unless said otherwise."""
        board = text_of(0.5)
        told = {"stud": text_of(3.5), "role": "interior", "left": board, "right": board} | said
        self.walls.append(
            {"id": name, "level": level, "from": pair(*a), "to": pair(*b), "spacing": text_of(16), **told}
        )


def plausible(seed: int) -> str:
    """Return the job file of the house of a seed."""
    rnd = random.Random(seed)
    book, storeys = rnd.choice(BOOKS), rnd.choice((1, 1, 2, 2))
    # a 3 in stack or vent needs 2x6 studs: a builder knows that of a house with baths above, or under a book that asks
    studs = (5.5,) if storeys > 1 or book == "npc-2020" else (5.5, 5.5, 3.5)
    plan = Plan(
        rnd,
        storeys=storeys,
        under=rnd.choice(("slab", "crawl", "basement")),
        wide=12 * rnd.choice((26, 28, 30, 34, 40)),
        deep=12 * rnd.choice((28, 32, 40)),
        book=book,
        stud=rnd.choice(studs),
        wall_x=rnd.choice((90.0, 93.0, 98.0, 103.0, 120.0, 126.0, 140.0)),
        joist=rnd.choice(JOISTS),
        runs=rnd.choice(("east-west", "north-south")),
    )
    _lay_joists(plan)
    for k, level in enumerate(_levels(plan)):
        _shell(plan, level, "U" if k else "")
        for side in ("left", "right"):
            _rooms(plan, level, "U" if k else "", side)
    return yaml.safe_dump(_job(plan, seed), sort_keys=False, allow_unicode=True)


def _levels(plan: Plan) -> list[str]:
    return ["main", "upper"][: plan.storeys]


def _lay_joists(plan: Plan) -> None:
    """Lay the joists: clear of what stands beside the wall, if they run along it, else across it.

    Joists of an upper floor run towards the wall that takes its drains: beside it nothing gets across them.
    """
    plan.spacing = plan.rnd.choice((16.0, 16.0, 24.0 if plan.joist[1] == "truss" else 19.2))
    if plan.runs == "north-south" and plan.storeys == 1:
        beside = [
            (plan.wall_x + sign * (plan.stud / 2 + out), kind) for sign in (-1, 1) for kind, out in OUTLETS.items()
        ]
        steps = int(plan.spacing * 2)
        for k in plan.rnd.sample(range(steps), steps):
            plan.first = 8.0 + k / 2
            if all(plan.clear(*one) for one in (*beside, (plan.wall_x, "BT"))):
                return
    plan.runs = "east-west"
    plan.first = plan.rnd.choice((8.0, 12.0, 16.0, 19.5))


def _shell(plan: Plan, level: str, over: str) -> None:
    """Add the outside walls of a storey and its plumbing wall."""
    half, wide, deep = OUT / 2, plan.wide, plan.deep
    out = {"thick": text_of(0), "what": "cladding"}
    said = {"stud": text_of(OUT), "role": "exterior, bearing, insulated"}
    plan.wall(f"{over}S", level, (0, half), (wide, half), **said, right=out)
    plan.wall(f"{over}N", level, (0, deep - half), (wide, deep - half), **said, left=out)
    plan.wall(f"{over}W", level, (half, OUT), (half, deep - OUT), **said, left=out)
    plan.wall(f"{over}E", level, (wide - half, OUT), (wide - half, deep - OUT), **said, right=out)
    plan.wall(f"{over}P", level, (plan.wall_x, OUT), (plan.wall_x, deep - OUT), stud=text_of(plan.stud))


def _rooms(plan: Plan, level: str, over: str, side: str) -> None:
    """Add the rooms on one side of the plumbing wall, from the south."""
    left = [["half bath", "laundry"], ["bath"], ["laundry with tray", "bath turned"], ["shower bath"], ["half bath"]]
    right = [["kitchen"], ["kitchen"], ["bath"], ["half bath", "laundry"]]
    if over:
        left = [["bath"], ["bath turned"], ["shower bath"], ["bath", "half bath"]]
        right = [[], ["bath"], ["shower bath"], ["laundry"]]
    y = OUT + plan.rnd.choice((0.0, 6.0, 12.0, 20.0)) + 1.75
    chosen = plan.rnd.choice(left if side == "left" else right)
    for k, what in enumerate(chosen):
        if y + sum(NEEDS[kind] for kind in ROOMS[what]) > plan.deep - 12:
            return
        if k == 0:
            _across(plan, level, over, side, y)
        y = _room(plan, level, over, side, what, y)


def _across(plan: Plan, level: str, over: str, side: str, y: float) -> None:
    """Add a wall from the plumbing wall to the back of the rooms beside it."""
    sign = -1 if side == "left" else 1
    ends = sorted((plan.wall_x + sign * plan.stud / 2, plan.wall_x + sign * (plan.stud / 2 + DEPTH)))
    plan.wall(f"{over}T{len(plan.walls)}", level, (ends[0], y), (ends[1], y))


def _room(plan: Plan, level: str, over: str, side: str, what: str, y: float) -> float:
    """Add one room with its fixtures and walls; return where the next begins."""
    sign = -1 if side == "left" else 1
    name = f"{over.lower()}{what} {side} {len(plan.rooms)}"
    start = at = y + 2.25
    for kind in ROOMS[what]:
        at = FIXTURES[kind](plan, Place(level, f"{over}P", side, sign, name, plan.under == "slab" and not over), at)
    tiled = ROOMS[what][-1] in ("BT", "SH")  # set to the studs of the next wall
    end = at if tiled else at + 0.5
    face, back = plan.wall_x + sign * (plan.stud / 2 + 0.5), plan.wall_x + sign * (plan.stud / 2 + DEPTH)
    far = plan.wall_x + sign * 96.0 if what == "kitchen" else back - sign * 0.5
    room = {"id": name, "level": level, "x": pair(*sorted((face, far))), "y": pair(start, at), "floor": text_of(0.5)}
    plan.rooms.append(room | ({"bathroom": "yes"} if "bath" in what else {}))
    if what != "kitchen":
        _across(plan, level, over, side, end + 1.75)
        x = back + sign * 1.75
        plan.wall(f"{over}L{len(plan.walls)}", level, (x, y), (x, end + 1.75))
    return end + 1.75


@dataclass(frozen=True)
class Place:
    """Where a fixture stands."""

    level: str
    wall: str
    side: str
    sign: int
    room: str
    on_slab: bool

    def x(self, plan: Plan, out: float) -> float:
        """Return the place so far out from the studs of the wall."""
        return plan.wall_x + self.sign * (plan.stud / 2 + out)

    def record(self, tag: str, kind: str, at: float, **more: Any) -> Record:
        """Return what every fixture says."""
        station = {"room": self.room, "wall": self.wall, "side": self.side, "at": text_of(at - OUT)}
        return {"tag": tag, "kind": kind, **station, **more}


def _cabinet(plan: Plan, place: Place, lo: float, counter: float, deep: float, boxes: list[Record]) -> None:
    wide = sum(float(b["width"].rstrip('"')) for b in boxes)
    span = {"from": text_of(lo - OUT), "to": text_of(lo + wide - OUT)}
    at = {"id": f"V{len(plan.cabinets) + 1}", "wall": place.wall, "side": place.side, "room": place.room, **span}
    top = {"counter": text_of(counter), "counter thick": text_of(1.25), "depth": text_of(deep), "toe kick": text_of(4)}
    plan.cabinets.append({**at, **top, "boxes": boxes})


def _lavatory(plan: Plan, place: Place, at: float) -> float:
    wide = plan.rnd.choice((24.0, 30.0, 36.0))
    box = {"width": text_of(wide), "what": "sink base", "floor": text_of(4.75), "back": text_of(0.25)}
    _cabinet(plan, place, at + 0.5, 34, 21, [box])
    sheet = {"counter": text_of(34), "counter thick": text_of(1.25), "bowl": text_of(5), "outlet": text_of(1.25)}
    more = {**sheet, "from wall": text_of(7), "faucet": "deck"}
    plan.fixtures.append(place.record(plan.tag("LV"), "lavatory", at + 0.5 + wide / 2, **more))
    return at + wide + 1.0


def _clear_of_joists(plan: Plan, at: float, half: float, kind: str) -> float:
    """Return where a fixture begins so that its drain, half its width on, is clear of joists across the wall."""
    while plan.runs == "east-west" and not plan.clear(at + half, kind):
        at += 0.5
    return at


def _closet(plan: Plan, place: Place, at: float) -> float:
    at = _clear_of_joists(plan, at, 18.0, "WC")
    more = {"drain": pair(place.x(plan, OUTLETS["WC"]), at + 18), "rough in": text_of(12), "gpf": "1.28"}
    plan.fixtures.append(place.record(plan.tag("WC"), "water closet", at + 18, **more))
    return at + 36.0


def _tub(plan: Plan, place: Place, at: float) -> float:
    at = _clear_of_joists(plan, at, 15.0, "BT")
    own = {"drain": pair(place.x(plan, OUTLETS["BT"]), at + 15), "rim": text_of(15), "outlet": text_of(1.5)}
    return _bathing(plan, place, at, 30.0, "BT", "bathtub", own | _slab_trap(place, -8.0), (26, 30))


def _shower(plan: Plan, place: Place, at: float) -> float:
    at = _clear_of_joists(plan, at, 18.0, "SH")
    own = {"drain": pair(place.x(plan, OUTLETS["SH"]), at + 18), "outlet": text_of(2), "heads": "1"}
    return _bathing(plan, place, at, 36.0, "SH", "shower", own | _slab_trap(place, -9.0), (43, 47))


def _slab_trap(place: Place, weir: float) -> Record:
    return {"trap weir": text_of(weir)} if place.on_slab else {}


def _bathing(
    plan: Plan, place: Place, at: float, wide: float, tag: str, kind: str, own: Record, valve: tuple[float, float]
) -> float:
    """Add a tub or a shower across the room, with its valve in the plumbing wall."""
    middle = at + wide / 2
    across = pair(*sorted((place.x(plan, 0.0), place.x(plan, DEPTH))))
    more = {**own, "faucet": "wall", "x": across, "y": pair(at, at + wide)}
    plan.fixtures.append(place.record(plan.tag(tag), kind, middle, **more))
    where = {"wall": place.wall, "side": place.side, "from": text_of(middle - 2 - OUT), "to": text_of(middle + 2 - OUT)}
    body = {"above floor": pair(*valve), "deep": text_of(4)}
    plan.obstacles.append({"id": f"O{len(plan.obstacles) + 1}", "what": "valve", "kind": "valve", **where, **body})
    return at + wide


def _washer(plan: Plan, place: Place, at: float) -> float:
    middle = at + 20.0  # the box goes between two studs, whose middles are 16 in apart from the beginning of the wall
    while not 4.0 <= (middle - OUT) % 16 <= 12.0:
        middle += 0.5
    more = {"outlet": text_of(2), "box centre": text_of(42), "standpipe top": text_of(38), "faucet": "none"}
    plan.fixtures.append(place.record(plan.tag("AW"), "clothes washer", middle, **more))
    return at + 40.0


def _tray(plan: Plan, place: Place, at: float) -> float:
    more = {"rim": text_of(34), "bowl": text_of(13), "outlet": text_of(1.5), "from wall": text_of(10), "faucet": "deck"}
    plan.fixtures.append(place.record(plan.tag("LT"), "laundry tray", at + 14, **more))
    return at + 28.0


def _kitchen_sink(plan: Plan, place: Place, at: float) -> float:
    doors = {"width": text_of(24), "what": "doors", "floor": text_of(4.75), "shelves": text_of(18)}
    base = {"width": text_of(36), "what": "sink base", "floor": text_of(4.75), "back": text_of(0.25)}
    _cabinet(plan, place, at, 36, 24, [doors, base, {"width": text_of(24), "what": "dishwasher"}])
    sheet = {"counter": text_of(36), "counter thick": text_of(1.25), "bowl": text_of(9), "outlet": text_of(1.5)}
    disposer = {"disposer": text_of(6)} if plan.rnd.random() < 0.6 else {}
    more = {**sheet, "from wall": text_of(10), **disposer, "dishwasher": "air gap", "faucet": "deck"}
    plan.fixtures.append(place.record(plan.tag("KS"), "kitchen sink", at + 42, **more))
    return at + 86.0


FIXTURES = {
    "LV": _lavatory,
    "WC": _closet,
    "BT": _tub,
    "SH": _shower,
    "AW": _washer,
    "LT": _tray,
    "KS": _kitchen_sink,
}


def _frames(plan: Plan) -> list[Record]:
    along = plan.deep if plan.runs == "east-west" else plan.wide
    deep, kind = plan.joist
    out: list[Record] = []
    for k, level in enumerate(_levels(plan)):
        if level == "main" and plan.under == "slab":
            continue
        count = int((along - 4 - plan.first) // plan.spacing) + 1
        members = {"at": pair(0.75, along - 0.75), "first": text_of(plan.first), "spacing": f'{plan.spacing:g}"'}
        said = {"member": kind, "runs": plan.runs, "depth": text_of(deep)}
        size = {"width": text_of(2 * HALF[kind]), "top": text_of(k * plan.rise - 0.75)}
        frame = {"id": f"{level} floor", "carries": level, **said, **size, "panel": text_of(0.75)}
        out.append({**frame, "members": {**members, "count": str(count)}})
    roof = {"id": "roof trusses", "member": "truss", "runs": "north-south", "depth": text_of(3.5)}
    trusses = {"first": text_of(24), "spacing": text_of(24), "count": str(int((plan.wide - 30) // 24) + 1)}
    chord = {"width": text_of(1.5), "top": text_of(plan.top + 3.5), "open above": "yes"}
    return [*out, {**roof, **chord, "members": trusses}]


def _floors(plan: Plan) -> list[Record]:
    slab = {"floor": "slab", "slab": text_of(4), "gravel": text_of(6), "poured": "no"}
    low = {
        "slab": [],
        "crawl": [{"id": "crawl", "title": "Crawl space", "floor": "ground", "subfloor": text_of(-42)}],
        "basement": [
            {"id": "base", "title": "Basement", **slab, "subfloor": text_of(-96.75 - plan.joist[0]),
             "wall height": text_of(96)}
        ],
    }[plan.under]  # fmt: skip
    out: list[Record] = list(low)
    for k, level in enumerate(_levels(plan)):
        floor = slab if level == "main" and plan.under == "slab" else {"floor": "frame"}
        attic = "yes" if k + 1 == plan.storeys else "no"
        said = {"subfloor": text_of(k * plan.rise), "wall height": text_of(WALL), "attic above": attic}
        out.append({"id": level, "title": f"{level} floor", **floor, **said})
    return out


def _job(plan: Plan, seed: int) -> Record:
    """Return the whole job file as records."""
    rnd, cold = plan.rnd, plan.rnd.random() < 0.4
    ground = {"slab": -8.0, "crawl": -20.0, "basement": -20.0}[plan.under]
    deep = {"slab": (34, 40, 48), "crawl": (48, 54, 60), "basement": (132, 140, 148)}[plan.under]
    side = rnd.choice(("south", "west", "north"))
    across, up = rnd.choice((80.0, 130.0, 200.0)), rnd.choice((60.0, 120.0, 200.0))
    at = {"south": (across, -120.0), "west": (-120.0, up), "north": (across, plan.deep + 120.0)}[side]
    half = plan.deep / 2
    slopes = [("south", 0.0, half), ("north", half, plan.deep)]
    return {
        "stubout": "1",
        "job": {
            "title": f"Plausible house {seed}", "address": "1 Pattern Street, Model Township (invented)",
            "permit": "X (dummy)", "revision": "A", "issued": "2026-01-15", "units": "inch", "book": plan.book,
            "framing": "nbc-9.23.5" if plan.book == "npc-2020" else "irc-framing-2021",
            "material": rnd.choice(("abs", "pvc")), "stock": "10 ft, 20 ft", "paper": "letter",
            "people": {"B": "builder", "O": "owner", "I": "inspector"},
            "test": {"method": "water", "head": "10 ft", "hold": "15 min"},
        },
        "climate": {
            "frost prone vents": "yes" if cold else "no", "winter design": "-10 F" if cold else "25 F",
            "footing depth": text_of(48 if cold else 24), "snow": text_of(0),
        },
        "site": {
            "footprint": pair(plan.wide, plan.deep), "ground at house": text_of(ground),
            "ground at sewer": text_of(ground - 4),
        },
        "levels": _floors(plan),
        "frames": _frames(plan),
        "walls": plan.walls,
        "rooms": plan.rooms,
        **({"cabinets": plan.cabinets} if plan.cabinets else {}),
        "fixtures": plan.fixtures,
        **({"obstacles": plan.obstacles} if plan.obstacles else {}),
        "roof": [
            {"id": f"{edge} slope", "x": pair(0, plan.wide), "y": pair(lo, hi), "low edge": edge,
             "z at low edge": text_of(plan.top + 8), "rise": "5:12"}
            for edge, lo, hi in slopes
        ],
        "sewer": {"at": pair(*at), "invert": text_of(-rnd.choice(deep)), "size": '4"', "runs": side, "what": "sewer"},
        "wishes": {"aav": rnd.choice(("no", "no", "last resort")), "at most terminals": str(rnd.choice((1, 2, 3)))},
    }  # fmt: skip
