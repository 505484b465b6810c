"""DRN011 branch-below-least-size."""

from stubout.checks.base import Findings, Review, check
from stubout.checks.facts import fixture
from stubout.layout.model import Role
from stubout.problems import Level
from stubout.rulebooks import queries


@check("DRN011", "branch-below-least-size", Level.FIX)
def rule(on: Review) -> Findings:
    """A branch is smaller than the book asks for a fixture on it, whatever its load.

    ## What it checks
    Every drain beyond the trap arm against the least branch size the book names for kinds of fixtures.

    ## Why it matters
    Grease and lint narrow these pipes within years.

    ## Fails
    A 1-1/2 in branch below a kitchen sink where the book asks for 2 in beyond the arm.

    ## Passes
    A 2 in branch below the 1-1/2 in arm.

    ## Does not check
    Books that name no such size.
    """
    own = on.ask(queries.branch_least_from_joint, on.book)
    let_off = own is not None and own.value is True
    for pipe in on.net.drains():
        if pipe.role in (Role.TRAP_ARM, Role.FIXTURE_DRAIN, Role.CLEANOUT_EXT):
            continue
        for tag in pipe.tags:
            body = fixture(on, tag)
            least = None if body is None else on.ask(queries.branch_least_size, on.book, body.kind)
            if let_off and pipe.tags == (tag,) and pipe.role in (Role.BRANCH, Role.DRAIN):
                continue  # its own drain: what that joins is meant
            if body is not None and least is not None and pipe.size_in < least.number - 1e-6:
                yield on.finding(
                    about=(pipe.id, tag),
                    found=f"{pipe.id} is {on.size(pipe.size_in)} below the {body.kind.value} {tag}",
                    wanted=f"at least {on.size(least.number)} beyond the trap arm",
                    do=f"lay {pipe.id} in {on.size(least.number)}",
                    why="Grease and lint narrow the pipe within years.",
                    bases=(least,),
                    at=pipe.a,
                )
                break
