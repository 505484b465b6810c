"""ARM007 trap-or-arm-too-small."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import arms
from stubout.problems import Level
from stubout.rulebooks import queries


@check("ARM007", "trap-or-arm-too-small", Level.FIX)
def rule(on: Review) -> Findings:
    """A trap or its arm is smaller than the book's least size for the fixture, or the arm is smaller than its trap.

    ## What it checks
    The trap size and the smallest size of the arm of every fixture, by kind and number of shower heads.

    ## Why it matters
    A small trap backs up into the fixture; an arm smaller than its trap runs full and siphons it.

    ## Fails
    A washer standpipe on a 1-1/2 in trap; a 2 in trap on a 1-1/2 in arm.

    ## Passes
    A washer standpipe on a 2 in trap and a 2 in arm.

    ## Does not check
    Traps built into a closet; a shower whose number of heads is an open question (it is then not checked).
    """
    for arm in arms(on):
        body = arm.fixture
        if body.heads is None:
            on.skip("the number of shower heads is not known", body.tag)
            continue
        least = on.ask(queries.trap_size, on.book, body.kind, body.heads)
        if least is None:
            continue
        have_in = arm.size_in if arm.closet else min(arm.size_in, arm.trap.trap_in)
        if have_in < least.number - 1e-6:
            yield on.finding(
                about=(body.tag, *(p.id for p in arm.pipes)),
                found=f"{on.size(have_in)} trap or arm for {body.title or body.kind.value}",
                wanted=f"at least {on.size(least.number)}",
                do=f"lay trap and arm in {on.size(least.number)}",
                why="The fixture drains slowly and backs up.",
                bases=(least,),
                at=arm.start,
            )
        elif not arm.closet and arm.size_in < arm.trap.trap_in - 1e-6:
            yield on.finding(
                about=(body.tag, *(p.id for p in arm.pipes)),
                found=f"{on.size(arm.size_in)} arm on a {on.size(arm.trap.trap_in)} trap",
                wanted="an arm at least as large as its trap",
                do=f"lay the whole arm in {on.size(arm.trap.trap_in)}",
                why="The arm runs full behind the larger trap and siphons it.",
                bases=(on.book.find("trap.arm_not_smaller") or least,),
                at=arm.start,
            )
