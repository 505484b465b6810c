"""STB005 trap-meets-drawer."""

from dataclasses import replace
from itertools import groupby

from stubout.checks.base import TOUCH_TOL_MM, Findings, Review, check, trade
from stubout.checks.drawers import Met, Stood, closed_by_drawer, drawers_met, pipes_met
from stubout.layout.model import StubMark
from stubout.problems import Finding, Level

PLAY_MM = 5.0  # air between trap and drawer: common practice, no source


@check("STB005", "trap-meets-drawer", Level.STOP)
def rule(on: Review) -> Findings:
    """A trap hangs, or a pipe stands, where a drawer slides.

    ## What it checks
    The trap and tailpiece of every stub-out behind a cabinet, from the bottom of the trap to the outlet, against each
    drawer there, its cut-out, and the gap behind it. Drawers of one box are told in one finding, and with them that no
    height is left for the stub-out, where it is a drawer that leaves none. Every pipe in a cabinet and the hubs on it,
    such as a riser that stands in one, against the drawers of every box, an island's too.

    ## Why it matters
    The drawer does not close.

    ## Fails
    A trap reaching down to 543 mm in front of a drawer that reaches up to 565 mm; a riser that goes down through the
    drawers of a sink base.

    ## Passes
    A drawer with a cut-out wide and deep enough for the tailpiece, or one that ends below the trap.

    ## Does not check
    The slides and the faucet's lines; a cleanout that is carried out into a cabinet (CLO006, CLO010).
    """
    traps = {mark.tag: drawers_met(on, mark) for mark in on.design.stubs}
    for mark in on.design.stubs:
        met = traps[mark.tag]
        for box_id in dict.fromkeys(m.box.id for m in met):
            mine = [m for m in met if m.box.id == box_id]
            yield on.finding(
                about=(mark.tag, box_id),
                found=_found(on, mark, mine),
                wanted=f"no drawer in front of it, or a cut-out {on.mm(mine[0].hub_mm)} wide and "
                f"{on.mm(mine[0].deep_mm)} deep",
                do=_cures(on, mark, mine),
                why=_why(on, mark, len(mine)),
                bases=(trade("drawer", "clear of the trap"),),
                owner="cabinet maker",
            )
    for (box_id, _), stood in groupby(pipes_met(on, traps), key=lambda s: (s.box.id, s.pipe.id)):
        yield _stood(on, box_id, list(stood))


def _stood(on: Review, box_id: str, stood: list[Stood]) -> Finding:
    """Return what is told of a pipe that stands in drawers of a box."""
    pipe, worst = stood[0].pipe, max(stood, key=lambda s: s.deep_mm)
    floor_mm = worst.box.box.lo.z
    heights = "; ".join(
        f"{on.mm(s.drawer.lo_z_mm - floor_mm)} to {on.mm(s.drawer.hi_z_mm - floor_mm)} above finished floor"
        for s in stood
    )
    one = len(stood) == 1
    drawers = "the drawer" if one else f"{len(stood)} drawers"
    cut = f"{on.mm(max(s.cut_width_mm for s in stood))} wide and {on.mm(max(s.cut_depth_mm for s in stood))} deep"
    known = worst.cut_width_mm > 0.0
    return on.finding(
        about=(pipe.id, box_id),
        found=f"{'' if worst.what == 'pipe' else f'a {worst.what} of '}{on.size(pipe.size_in)} {pipe.system} {pipe.id} "
        f"stands in {drawers} of {box_id}, {heights}",
        wanted="no drawer where the pipe stands, or a cut-out that it passes",
        do=f"bring the pipe into the wall or the gap behind the drawer{'' if one else 's'}"
        + (f", or have {'it' if one else 'them'} cut out from the back, {cut}" if known else ""),
        why=f"The drawer{' does' if one else 's do'} not close.",
        bases=(trade("drawer", "clear of the pipe"),),
        owner="cabinet maker",
        at=worst.at,
    )


def _found(on: Review, mark: StubMark, met: list[Met]) -> str:
    if all(m.pipe_only for m in met):
        lead = f"the tailpiece of {mark.tag} stands"
    else:
        lead = f"the trap and tailpiece of {mark.tag} stand"
    where = [
        f"{on.mm(m.drawer.lo_z_mm - mark.finished_z_mm)} to {on.mm(m.drawer.hi_z_mm - mark.finished_z_mm)} "
        f"above finished floor, over {on.mm(m.high_mm)} of its height"
        for m in met
    ]
    if len(met) == 1:
        return f"{lead} in the way of the drawer of {met[0].box.id}, {where[0]}"
    return f"{lead} in the way of {len(met)} drawers of {met[0].box.id}: {'; '.join(where)}"


def _cures(on: Review, mark: StubMark, met: list[Met]) -> str:
    if len(met) == 1:
        return f"have {_cure(on, mark, met[0], 'the drawer')}"
    last = len(met) - 1
    names = ["the lowest drawer", *["the next drawer"] * (last - 1), "the highest drawer"]
    if last == 1:
        names = ["the lower drawer", "the upper drawer"]
    still = replace(mark, feasible=False)  # where several are in the way, another height frees none but one
    return "have " + ", and ".join(_cure(on, still, m, name) for m, name in zip(met, names, strict=True))


def _why(on: Review, mark: StubMark, count: int) -> str:
    shut = "The drawer does not close." if count == 1 else "The drawers do not close."
    if not closed_by_drawer(on, mark):
        return shut
    hi_mm = mark.hi_z_mm + mark.arm_fall_mm - mark.finished_z_mm
    lo_mm = mark.lo_z_mm - mark.finished_z_mm
    return (
        f"{shut} No height is left for the arm either: at the trap it may lie at most {on.mm(hi_mm)} above finished "
        f"floor and must lie at least {on.mm(lo_mm)} above it."
    )


def _cure(on: Review, mark: StubMark, met: Met, name: str) -> str:
    """Return what to ask of the cabinet maker, and another height where the band of the stub-out leaves one."""
    drawer = met.drawer
    trap_z_mm = mark.mark_z_mm + mark.arm_fall_mm
    if drawer.hi_z_mm < trap_z_mm:
        lower_mm = met.high_mm + PLAY_MM
        up = mark.feasible and mark.mark_z_mm + lower_mm <= mark.hi_z_mm
        return f"{name} made {on.mm(lower_mm)} lower" + (", or move the stub-out up" if up else "")
    below_mm = drawer.lo_z_mm - met.hub_mm / 2
    down = mark.feasible and trap_z_mm > below_mm >= mark.lo_z_mm + mark.arm_fall_mm
    other = ", or bring the trap below the drawer" if down else ""
    if drawer.cut_width_mm > 0.0:
        wishes = [f"{on.mm(met.short_mm)} deeper"] if met.short_mm > TOUCH_TOL_MM else []
        wishes += [f"{on.mm(2 * met.wide_mm)} wider"] if met.wide_mm > 0.0 else []
        return f"the cut-out of {name} made {' and '.join(wishes)}{other}"
    return f"{name} cut out from the back{other}"
