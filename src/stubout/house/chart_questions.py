"""What is asked of engineered floor members: the maker's paper, what it says, and what the members bear on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stubout.house.bearings import bearings, strips, walls_under
from stubout.house.framing import Wall
from stubout.house.lookup import natural
from stubout.house.model import Frame, Obstacle
from stubout.house.questions import Asked
from stubout.job.model import FrameSaid, Job

_NO_CHART = {
    "i-joist": "the maker's hole chart of the I-joists is not at hand. Which holes may be cut?",
    "open-web": "the maker's drawing of the open-web joists is not at hand. Which openings between their webs line up, "
    "and how large a pipe goes through them?",
}
_ASSUMED = {"i-joist": "no hole at all", "open-web": "no pipe through them"}
_ENDS = {"x": ("west", "east"), "y": ("south", "north")}


def ask_charts(
    job: Job, frames: Sequence[Frame], walls: Iterable[Wall], obstacles: Iterable[Obstacle], asked: Asked
) -> None:
    """Ask for the maker's paper of engineered floor members, or for what the job did not copy from it."""
    of = {f.id: f for f in frames}
    for said in job.frames:
        if said.member not in _NO_CHART:
            continue
        if not said.maker_chart:
            _ask(said, f"{said.id}: {_NO_CHART[said.member]}", _ASSUMED[said.member], asked)
        elif missing := _missing(said):
            paper = "hole chart" if said.member == "i-joist" else "drawing"
            text = f"{said.id}: the maker's {paper} is at hand, and the job does not say {missing}. What does it say?"
            nothing = "no hole is laid out; one that is drawn is looked up there before it is cut"
            _ask(said, text, nothing if said.member == "i-joist" else _ASSUMED["open-web"], asked)
        elif said.id in of and of[said.id].chart is not None:
            _ask_bearings(of[said.id], tuple(walls), tuple(obstacles), asked)


def _ask(said: FrameSaid, text: str, assumed: str, asked: Asked) -> None:
    asked.ask(
        f"chart-{said.id}", text, "builder", blocks="every pipe across these joists", assumed=assumed,
        about=(said.id, "chart"), line=said.line,
    )  # fmt: skip


def _missing(said: FrameSaid) -> str:
    """Return in words what a crossing asks and the job does not say."""
    if said.member == "i-joist":
        rows = said.chart
        gaps = (
            ("how large a hole may be (`hole`)", not rows or any(r.hole is None for r in rows)),
            ("how far from a bearing (`from bearing`)", not rows or any(r.from_bearing is None for r in rows)),
            ("how far from the next hole (`apart`)", not rows or any(r.apart is None for r in rows)),
        )
    else:
        o = said.openings
        gaps = (
            ("which round goes through the openings (`round`)", o is None or o.round is None),
            ("how high its middle lies (`height`)", o is None or o.height is None),
            ("where the openings are (`first` and `spacing`)", o is None or (not o.at and o.first is None)),
        )
    words = [word for word, gap in gaps if gap]
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _ask_bearings(frame: Frame, walls: Sequence[Wall], obstacles: Sequence[Obstacle], asked: Asked) -> None:
    """Ask what I-joists bear on where the job leaves it open: holes keep their distance from there."""
    unsaid = sorted({w.id for w in walls_under(frame, walls) if not w.bearing and not w.exterior}, key=natural)
    if unsaid:
        they = "they bear" if len(unsaid) > 1 else "it bears"
        asked.ask(
            f"bearing-{frame.id}", f"{frame.id}: do the I-joists bear on {', '.join(unsaid)}? (`role: bearing` or "
            "`non-bearing`)", "builder", blocks="holes near there", assumed=f"{they}",
            about=(frame.id, "bearing"), line=frame.line,
        )  # fmt: skip
    found = strips(frame, walls, obstacles)
    open_ends = [
        word
        for word, end in zip(_ENDS[frame.runs], (frame.along_lo_mm, frame.along_hi_mm), strict=True)
        if any((end, end) in bearings(frame, c, found) for c in frame.centres_mm)
    ]
    if open_ends:
        asked.ask(
            f"ends-{frame.id}", f"{frame.id}: what carries the I-joists at their {' and '.join(open_ends)} "
            f"end{'s' if len(open_ends) > 1 else ''}, and how wide is it? No wall or beam of the job does.",
            "builder", blocks="holes near there", assumed="the bearing ends where the joists end",
            about=(frame.id, "ends"), line=frame.line,
        )  # fmt: skip
