"""TST002 air-test-on-plastic."""

from stubout.checks.base import Findings, Review, check
from stubout.problems import Level
from stubout.rulebooks import queries


@check("TST002", "air-test-on-plastic", Level.STOP)
def rule(on: Review) -> Findings:
    """Plastic pipe is to be tested with compressed air where the book does not let it.

    ## What it checks
    The test method of the job against the book.

    ## Why it matters
    Compressed air stores energy: a plastic fitting that lets go under air flies in pieces and maims.

    ## Fails
    An air test on ABS under a book that bars it.

    ## Passes
    A water test.

    ## Does not check
    What the pipe's maker says; it is to be followed in any case.
    """
    if on.house.job.test.method != "air":
        return
    cell = on.ask(queries.air_on_plastic, on.book)
    if cell is not None and cell.value is not True:
        yield on.finding(
            about=("test",),
            found=f"an air test on {on.house.job.material.upper()} pipe",
            wanted="a water test on plastic pipe",
            do="test with water",
            why="A plastic fitting that lets go under air flies in pieces and maims.",
            bases=(cell,),
        )
