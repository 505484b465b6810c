"""FIT009 branch-off-its-point."""

from stubout.checks.base import LENGTH_TOL_MM, Findings, Review, check
from stubout.checks.facts import pipe_of
from stubout.fabrication.model import FittingUse
from stubout.geometry.vec import Vec
from stubout.network.model import Pipe
from stubout.problems import Basis, Level


@check("FIT009", "branch-off-its-point", Level.FIX)
def rule(on: Review) -> Findings:
    """A tee or wye cannot stand where its branch is drawn.

    ## What it checks
    Every fitting that a branch leaves by, where it has to stand beside its point: no single fitting turns a run and
    takes a branch at once, so a bend takes the turn and the tee stands before or after it; and of two fittings of one
    point one stands beside the other.

    ## Why it matters
    The hole for the vent is marked and bored where it is drawn. The pipe comes out of the tee a hand's breadth beside.

    ## Fails
    A vent that rises where its closet's drain turns 45 degrees: the tee stands 133 mm down stream of the turn.

    ## Passes
    The same vent off the straight drain, with the turn as far down stream as fittings take.

    ## Does not check
    Bends without a branch; whether the hole may be where the branch really comes out: draw it there, and see.
    """
    for use in on.design.fabrication.fittings:
        out = tuple(p for p in (pipe_of(on.net, i) for i in use.pipes[2:]) if p is not None)
        along = pipe_of(on.net, use.pipes[1 if use.beside_mm > 0.0 else 0]) if out else None
        if along is None or abs(use.beside_mm) <= LENGTH_TOL_MM:
            continue
        far, way = on.mm(abs(use.beside_mm)), "down stream" if use.beside_mm > 0.0 else "up stream"
        names = ", ".join(p.id for p in out)
        drawn = f"{names} {'is' if len(out) == 1 else 'are'} drawn from {use.node}"
        yield on.finding(
            about=(use.id, *(p.id for p in out), use.node),
            found=f"{drawn}; the {use.pattern} there stands {far} {way} of it, in {along.id}",
            wanted="a branch that leaves where it is drawn",
            do=f"set {names} off the straight pipe, {far} or more from the turn or the other fitting; or mark the hole "
            f"{far} {way}, along {along.id}",
            why="The hole is bored where the branch is drawn, and the pipe comes out beside it.",
            bases=(_basis(on, use),),
            at=_stands(use, along),
        )


def _basis(on: Review, use: FittingUse) -> Basis:
    """Return the basis of how far a fitting stands beside its point: the make-ups it is reckoned with."""
    far = f"{on.mm(abs(use.beside_mm))} by the make-ups of the fittings"
    return Basis(f"{use.pattern} beside {use.node}", far, "catalog", "", use.status)


def _stands(use: FittingUse, along: Pipe) -> Vec:
    """Return where a fitting stands that does not stand at its point."""
    way = (along.b if use.beside_mm > 0.0 else along.a).minus(use.at)
    if way.length < LENGTH_TOL_MM:  # a fix tried may leave a pipe without length
        return use.at
    return use.at.plus(way.unit().times(abs(use.beside_mm)))
