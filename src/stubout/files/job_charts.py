"""Faults of what a job copies from the maker's paper of engineered members: what no such paper can say."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from stubout.files.job_faults import Loc, Marks
from stubout.house.crossings import FLANGE_MM
from stubout.job.model import ChartSaid, FrameSaid, Job, PassSaid
from stubout.problems import Fault

Show = Callable[[float], str]

_CLOSEST_MM = 50.8  # as members: what stands closer is a slip of the unit
_MOST = 1000
_OF = {"chart": "i-joist", "openings": "open-web"}
_ELSE = {
    "sawn": "The framing book says which holes sawn joists may have.",
    "i-joist": "Of I-joists the hole chart is said: `chart`.",
    "open-web": "Of open-web joists the openings are said: `openings`.",
    "truss": "Trusses are not crossed.",
}


def chart_faults(job: Job, marks: Marks, show: Show) -> Iterator[Fault]:
    """Yield what of a hole chart or of openings cannot be as the job says it."""
    for number, frame in enumerate(job.frames):
        yield from _Charts(job, marks, show, number, frame).faults()


class _Charts:
    def __init__(self, job: Job, marks: Marks, show: Show, number: int, frame: FrameSaid) -> None:
        self.marks, self.show, self.frame = marks, show, frame
        self.loc: Loc = ("frames", number)
        size_x, size_y = job.site.footprint
        self.along = frame.along or (0.0, size_y if frame.runs == "north-south" else size_x)

    def faults(self) -> Iterator[Fault]:
        frame = self.frame
        for key, member in _OF.items():
            if not getattr(frame, key):
                continue
            if frame.member != member:
                yield self.marks.fault(
                    (*self.loc, key), f"it is said of `member: {frame.member}`", f"`member: {member}`",
                    _ELSE[frame.member],
                )  # fmt: skip
            elif not frame.maker_chart:
                yield self.marks.fault(
                    (*self.loc, key), "`maker chart: no` beside it",
                    "`maker chart: yes`: the maker's paper it is copied from is at hand",
                )  # fmt: skip
        for n, row in enumerate(frame.chart):
            loc = (*self.loc, "chart", n)
            yield from self._row(loc if self.marks.known(loc) else (*self.loc, "chart"), row)
        if frame.openings is not None:
            yield from self._openings((*self.loc, "openings"), frame.openings)

    def _positive(self, loc: Loc, said: ChartSaid | PassSaid, keys: tuple[str, ...]) -> Iterator[Fault]:
        for key in keys:
            value = getattr(said, key)
            if value is not None and value <= 0:
                yield self.marks.fault((*loc, key), self.show(value), "more than nothing")

    def _row(self, loc: Loc, row: ChartSaid) -> Iterator[Fault]:
        yield from self._positive(loc, row, ("hole", "from_bearing", "apart"))
        web = self.frame.depth - 2 * FLANGE_MM
        if row.hole is not None and row.hole > web:
            flange = self.show(FLANGE_MM)
            wanted = f"at most {self.show(web)}: the depth less a flange of {flange} (common practice) above and below"
            yield self.marks.fault((*loc, "hole"), self.show(row.hole), wanted)

    def _openings(self, loc: Loc, said: PassSaid) -> Iterator[Fault]:
        yield from self._positive(loc, said, ("round", "height", "wide"))
        depth = self.frame.depth
        if said.round is not None and said.round >= depth:
            yield self.marks.fault((*loc, "round"), self.show(said.round), f"less than the depth, {self.show(depth)}")
        elif said.round is not None and said.height is not None and said.height > 0:
            half = said.round / 2
            if not half <= said.height <= depth - half:
                wanted = f"{self.show(half)} to {self.show(depth - half)}: the round lies within the joist"
                yield self.marks.fault((*loc, "height"), self.show(said.height), wanted)
        if said.wide is not None and said.round is not None and 0 < said.wide < said.round:
            wanted = f"at least {self.show(said.round)}, the `round` that goes through"
            yield self.marks.fault((*loc, "wide"), self.show(said.wide), wanted)
        yield from self._places(loc, said)

    def _places(self, loc: Loc, said: PassSaid) -> Iterator[Fault]:
        if said.first is None and (said.spacing is not None or said.count is not None):
            yield self.marks.fault(loc, "no place for the first", "`first`, or `at` alone")
        least = max(_CLOSEST_MM, said.wide or said.round or 0.0)
        if said.spacing is not None and said.spacing < least:
            yield self.marks.fault((*loc, "spacing"), self.show(said.spacing), f"at least {self.show(least)}")
        if said.count is not None and not 1 <= said.count <= _MOST:
            yield self.marks.fault((*loc, "count"), str(said.count)[:12], f"1 to {_MOST}")
        lo, hi = min(self.along), max(self.along)
        for key, places in (("at", said.at), ("first", () if said.first is None else (said.first,))):
            for place in places:
                if not lo <= place <= hi:
                    wanted = f"{self.show(lo)} to {self.show(hi)}, where the joists lie along their run"
                    yield self.marks.fault((*loc, key), self.show(place), wanted)
