"""ASK001 open-question."""

from stubout.checks.base import Findings, Review, check, said
from stubout.problems import Level


@check("ASK001", "open-question", Level.ASK)
def rule(on: Review) -> Findings:
    """Something is missing or undecided, and somebody owes it.

    ## What it checks
    Every open question of the job, the house and the layout, with what it blocks and what is assumed meanwhile.

    ## Why it matters
    What is assumed in silence is built in silence.

    ## Fails
    A shower whose number of heads is not said.

    ## Passes
    A job without open questions.

    ## Does not check
    Whether the assumption is a good one.
    """
    for q in on.design.questions:
        yield on.finding(
            about=(q.id, *q.about),
            found=q.text + (f" Assumed: {q.assumed}." if q.assumed else ""),
            wanted=f"an answer from the {q.owner}" if q.owner else "an answer",
            do="get the answer and write it in the job file",
            why=f"It blocks: {q.blocks}." if q.blocks else "The design rests on an assumption.",
            bases=(said("open question", "job file"),),
            owner=q.owner,
            line=q.line,
        )
