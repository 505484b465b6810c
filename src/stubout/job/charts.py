"""What the maker's paper says of crossing engineered floor members, as the job file copies it: no number is ours."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator

from stubout.job.scalars import Length, Lengths, Record


class ChartSaid(Record):
    """A row of the maker's hole chart of I-joists: a round hole and where it may be cut in the web."""

    hole: Length | None = None  # largest diameter of the row
    from_bearing: Length | None = None  # least, from the face of a bearing to the centre of the hole
    apart: Length | None = None  # least web left between the edges of this hole and the next


class PassSaid(Record):
    """The openings between the webs of open-web joists that line up from joist to joist, by the maker's drawing."""

    round: Length | None = None  # diameter of the largest round that goes through
    height: Length | None = None  # centre of that round above the underside of the joist
    wide: Length | None = None  # how wide an opening is along the joist at that height; else as the round is
    at: Lengths = ()  # middles of the openings, on the axis the joists run along
    first: Length | None = None
    spacing: Length | None = None
    count: int | None = None


Chart = Annotated[tuple[ChartSaid, ...], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v)]
