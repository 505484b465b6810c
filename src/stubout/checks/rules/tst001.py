"""TST001 test-head-too-low."""

from stubout.checks.base import LEVEL_TOL_MM, Findings, Review, check
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TST001", "test-head-too-low", Level.FIX)
def rule(on: Review) -> Findings:
    """The water test does not put the asked head on any part of the system.

    ## What it checks
    The head the job plans against the book, and the height of the system from its lowest joint to its highest open end:
    filled to overflow it must give that head somewhere. An unknown head is a question, unless it is asked already.

    ## Why it matters
    The inspector refuses the test, or a poor joint passes it.

    ## Fails
    A test with 1.5 m of head where 3 m are asked.

    ## Passes
    A test filled to the terminals of a two-storey house.

    ## Does not check
    Each section's own head: the test plan gives it at every cap.
    """
    test = on.house.job.test
    if test.method == "air":
        return
    least = on.ask(queries.test_head, on.book)
    if least is None:
        return
    if test.head_mm is None and not any({"test", "head"} <= set(q.about) for q in on.design.questions):
        yield on.finding(
            about=("test",),
            found="the head of the water test is not known",
            wanted=f"the book says {on.mm(least.number)}",
            do="ask the inspector before the caps are ordered",
            why="Editions and inspectors differ; the caps are numbered for one head.",
            bases=(least,),
            owner="inspector",
            level=Level.ASK,
        )
    elif test.head_mm is not None and least.number - test.head_mm > LEVEL_TOL_MM:
        yield on.finding(
            about=("test",),
            found=f"the job plans a head of {on.mm(test.head_mm)}",
            wanted=f"at least {on.mm(least.number)}",
            do=f"plan {on.mm(least.number)} of head",
            why="The inspector refuses the test, or a poor joint passes it.",
            bases=(least,),
        )
    zs = [z for p in on.net.pipes for z in (p.a.z, p.b.z)]
    if zs and max(zs) - min(zs) < least.number - LEVEL_TOL_MM:
        yield on.finding(
            about=("test", "system"),
            found=f"the system is {on.mm(max(zs) - min(zs))} high from its lowest joint to its highest open end",
            wanted=f"{on.mm(least.number)} of head on the lowest joint",
            do="test with a riser pipe set on top",
            why="Filled to overflow the system does not give the head that is asked.",
            bases=(least,),
        )
