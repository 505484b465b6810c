"""What a job file says of fixtures and of pipes drawn by hand or in place."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from stubout.job.scalars import Length, Placed, PlanPoint, Range, Record, SideWord, Size, SpacePoint, Words, YesNo
from stubout.kinds import FixtureKind, PipeMaterial


class FixtureSaid(Record):
    """One fixture: what it is, where it stands, what its sheet says. Heights above finished floor."""

    tag: str
    kind: FixtureKind
    title: str = ""
    room: str
    wall: str = ""
    side: SideWord = "left"
    at: Length | None = None  # station on its wall
    drain: PlanPoint | None = None  # plan position of the outlet
    rough_in: Length | None = None  # closet: from the finished wall
    rim: Length | None = None
    counter: Length | None = None
    counter_thick: Length = 0.0
    bowl: Length | None = None  # bowl depth below the counter underside (undermount) or the rim
    bowl_from: Literal["counter top", "counter underside", "rim"] = "counter underside"
    outlet: Size | None = None  # outlet size
    outlet_height: Length | None = None
    from_wall: Length | None = None  # outlet centre from the finished wall
    stub_height: Length | None = None  # the sheet wants the stub here
    trap: Size | None = None
    trap_weir: Length | None = None  # house z, fixed by the sheet
    standpipe_top: Length | None = None  # above subfloor
    box_centre: Length | None = None  # above subfloor
    faucet: Literal["deck", "wall", "floor", "none"] = "deck"
    disposer: Length | None = None  # outlet centre below the bowl bottom; given = there is one
    dishwasher: Literal["", "tailpiece", "disposer", "air gap"] = ""
    heads: Literal["1", "2", "3", "4", "5", "6", "unknown"] | None = None
    flush: Literal["tank", "valve"] = "tank"
    gpf: float | None = None
    x: Range | None = None  # body of the fixture
    y: Range | None = None
    future: YesNo = False
    may_move: Length = 0.0
    island: YesNo = False
    primer: YesNo = False
    serves: str = ""
    line: int = Field(default=0, exclude=True)


class RouteSaid(Placed):
    """A run drawn by hand: kept exactly as drawn. `through` are points x, y, z of the centre line in flow order."""

    system: Literal["drain", "vent"]
    size: Size | None = None
    through: tuple[SpacePoint, ...]
    fixture: str = ""  # this is the trap arm of the fixture
    vent_of: str = ""  # this vents the fixture
    into: str = ""  # id of the route it joins, or "sewer"
    vents_by: Literal["", "circuit", "combination", "single stack", "waste stack"] = ""  # how what joins gets its air
    fittings: dict[str, str] = Field(default_factory=dict)  # "2: sanitary tee": point number -> pattern
    installed: str = ""  # since when and by whom: it is in place, and never moves
    material: PipeMaterial | None = None  # of installed pipe; all other is of the job's
    kept: YesNo = False  # laid out before and kept: a later `keep` may lay it out anew where the job changes
    lies: str = ""  # "wall UP, bay 8": where the layout had it, for a route that was kept


class InstalledSaid(Record):
    """What of the layout is in place: `keep` writes its pipes down as installed routes."""

    walls: Words = ()  # the pipes in these walls, with the arms that come into them
    under: Words = ()  # levels: the pipes under their floors, down to the ground
    levels: Words = ()  # levels: both
    runs: Words = ()  # pipes by the id on the sheets
    date: str
    by: str
    line: int = Field(default=0, exclude=True)
