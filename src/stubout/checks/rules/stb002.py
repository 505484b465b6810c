"""STB002 stub-out-too-low."""

from stubout.catalog import queries as catalog
from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check, trade
from stubout.checks.facts import arms, stub_of, stub_words
from stubout.problems import Level


@check("STB002", "stub-out-too-low", Level.STOP)
def rule(on: Review) -> Findings:
    """A stub-out is so low that its trap meets the cabinet floor.

    ## What it checks
    The bottom of the trap against the cabinet floor below it, and the mark against the lower end of its band.

    ## Why it matters
    The trap does not go in, or the cabinet floor is cut open.

    ## Fails
    A stub-out 210 mm above the floor over a cabinet floor at 118 mm: a 1-1/2 in trap hangs 116 mm.

    ## Passes
    The same stub-out at 240 mm.

    ## Does not check
    Cabinets the job does not describe.
    """
    boxes = {c.id: c for c in on.house.cabinets}
    for arm in arms(on):
        body = arm.fixture
        mark = stub_of(on, body.tag)
        if mark is not None and (not mark.feasible or on.waits(mark.derivation.bases)):
            continue  # STB007 says what is not feasible
        box = boxes.get(body.cabinet_id)
        under_mm, bases = 0.0, [trade("trap, bottom to outlet centre", "derived from bore and seal")]
        if box is not None and box.floor_z_mm is not None:
            hang = on.ask(catalog.trap_drop_mm, arm.trap.trap_in)
            if hang is not None:
                under_mm = box.floor_z_mm - (arm.start.z - hang)
        if mark is not None and mark.lo_z_mm - mark.mark_z_mm > max(under_mm, LEVEL_TOL_MM):
            under_mm, bases = mark.lo_z_mm - mark.mark_z_mm, list(mark.derivation.bases) or bases
        if under_mm > LEVEL_TOL_MM:
            z_mm = mark.mark_z_mm if mark is not None else arm.start.z
            what, whose = stub_words(mark, body.tag)
            yield on.finding(
                about=tuple(i for i in (body.tag, arm.pipes[0].id, body.cabinet_id) if i),
                found=f"{whose} at {on.above_floor(z_mm, body.finished_z_mm, body.subfloor_z_mm)}",
                wanted=f"at least {on.above_floor(z_mm + under_mm, body.finished_z_mm, body.subfloor_z_mm)}"
                + (f": {mark.lo_governs}" if mark is not None and mark.lo_governs else ""),
                do=f"raise the {what} by {on.mm(under_mm)}",
                why="The trap meets the cabinet floor.",
                bases=bases,
                at=arm.start,
            )
