"""REC002 record-of-nothing."""

from collections.abc import Iterable

from stubout.catalog.model import fitting_key
from stubout.checks.base import Findings, Review, check, said
from stubout.house.facts import Reading
from stubout.problems import Finding, Level


@check("REC002", "record-of-nothing", Level.NOTE)
def rule(on: Review) -> Findings:
    """A record or a measured fitting of the job file is about something that this layout does not have.

    ## What it checks
    As-built heights and slopes, whether the layout has such a stub-out, drain or other part; fittings measured in
    hand, whether one of them is used; acceptances, whether any check finds what they accept.

    ## Why it matters
    It was measured or signed for a reason: a slip in its name, or a layout that has changed, makes it say nothing.

    ## Fails
    A waiver of ARM001 LV99 where no fixture is called LV99; a stub height of LV10 in a house that ends with LV9.

    ## Passes
    A slope of a drain that the sheets name.

    ## Does not check
    Records of tests, and of kinds of the user's own: they are printed as they stand.
    """
    stubs = {s.tag for s in on.design.stubs}
    drains = {p.id for p in on.net.pipes if p.system == "drain"}
    others = _ids(on)
    for reading in on.house.readings:
        if reading.kind == "slope" and reading.about not in drains:
            yield _of_nothing(on, reading, "slope", "a drain, by its id on the sheets")
        elif reading.kind == "stub height" and reading.about not in stubs:
            yield _of_nothing(on, reading, "stub height", "a stub-out, by the tag of its fixture")
        elif reading.kind == "height" and reading.about not in others:
            yield _of_nothing(on, reading, "height", "a part of this layout, by its id on the sheets")
    used = {fitting_key(f.pattern, f.sizes_in) for f in on.design.fabrication.fittings}
    lines = dict(on.house.measured_at)
    for key in dict.fromkeys(key for key, _, _ in on.house.measured if key not in used):
        yield on.finding(
            about=(key,),
            found=f"{key} was measured, and no such fitting is in this layout",
            wanted="a fitting of the cut list, with its sizes in the same order",
            do="compare it with the cut list; leave it where a later layout may use it",
            why="A slip in its name or sizes leaves the cut lengths as the tables have them.",
            bases=(said("measured fitting", key),),
            line=lines.get(key, 0),
        )


def idle(on: Review, findings: Iterable[Finding]) -> Findings:
    """Yield the acceptances that accept nothing of all that the checks find."""
    known = tuple(findings)
    for reading in on.house.readings:
        if reading.kind == "waiver" and not any(reading.accepts(f.check, f.about) for f in known):
            yield on.finding(
                about=(reading.about,),
                found=f"the acceptance of {reading.about} accepts nothing that the checks find",
                wanted="the check and an id it is about, as they stand at the head of a finding",
                do="name the finding as the list of findings does, or take the record out if it is gone",
                why="A slip in its name leaves the finding open; a finding that comes back is accepted unseen.",
                bases=(said("acceptance", reading.about),),
                line=reading.line,
            )


def _ids(on: Review) -> set[str]:
    """Return what a height can be of."""
    of_layout = (s.tag for s in on.design.stubs), (c.id for c in on.design.cleanouts), (n.id for n in on.net.nodes)
    things = (on.house.fixtures, on.house.obstacles, on.house.walls, on.house.cabinets)
    ids = {i for some in of_layout for i in some} | {p.id for p in on.net.pipes}
    return ids | {getattr(t, "tag", "") or getattr(t, "id", "") for some in things for t in some}


def _of_nothing(on: Review, reading: Reading, kind: str, wanted: str) -> Finding:
    return on.finding(
        about=(reading.about,),
        found=f"a {kind} was recorded of {reading.about}, which is none of this layout",
        wanted=wanted,
        do="put its name right, or take it out if the part is gone",
        why="What was measured stands beside nothing in the as-built record, and nobody judges it.",
        bases=(said(kind, reading.value),),
        line=reading.line,
    )
