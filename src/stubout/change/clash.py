"""Why a part of a layout is blocked, by trying: constraints let go one by one on copies of the job. Lengths [mm].

The answer is an irreducible set of constraints that clash - with all others let go they still block, and each of them
let go frees - found by deletion, and what frees the part: one constraint, by how much where it is a length, or the
fewest together. Deletion filtering, as for infeasible systems of constraints; the layout stands for the solver.
Effort is a fixed number of drawings, never a clock.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from stubout import units
from stubout.change.relax import Relaxation
from stubout.job.model import Job, Record
from stubout.layout.model import Blocked
from stubout.problems import StuboutError

MOST_DRAWINGS = 60  # for one part
STEPS = 6  # halvings of a length
Lay = Callable[[Job], tuple[Blocked, ...]]


@dataclass(frozen=True, slots=True)
class Clash:
    """What blocks one part, and what frees it."""

    blocked: Blocked
    clash: tuple[
        Relaxation, ...
    ]  # the constraints that clash; empty where letting go of all that is known frees nothing
    alone: tuple[str, ...]  # what frees it alone, in words
    together: tuple[str, ...]  # what frees it only together, where nothing does alone
    tried: int  # drawings


class Tries:
    """Drawings of one job with constraints let go, remembered and counted."""

    def __init__(self, job: Job, base: Sequence[Blocked], lay: Lay) -> None:
        self.job, self.base, self.lay = job, base, lay
        self.known: dict[frozenset[tuple[str, float]], tuple[Blocked, ...] | None] = {}
        self.count = self.most = 0

    def another_part(self) -> int:
        """Allow the drawings of one part more; return how many were made so far."""
        self.most = self.count + MOST_DRAWINGS
        return self.count

    def blocked(self, free: Iterable[tuple[Relaxation, float]]) -> tuple[Blocked, ...] | None:
        """Return what is blocked with some constraints let go; None where that cannot be drawn."""
        wanted = tuple(free)
        key = frozenset((r.id, by) for r, by in wanted)
        if key not in self.known and self.count < self.most:
            self.count += 1
            try:
                self.known[key] = self.lay(_merged(self.job, wanted))
            except StuboutError:
                self.known[key] = None
        return self.known.get(key)

    def frees(self, one: Blocked, free: Iterable[tuple[Relaxation, float]]) -> bool:
        """Return whether a part is blocked no more, and nothing else instead, with some constraints let go."""
        still = self.blocked(free)
        if still is None or any(set(b.about) & set(one.about) for b in still):
            return False
        known = [set(b.about) for b in self.base]
        return all(any(set(b.about) & k for k in known) for b in still)


def _merged(job: Job, free: Sequence[tuple[Relaxation, float]]) -> Job:
    """Return a job with several constraints let go: each changes other keys, or adds to or takes from a list."""
    out = job
    for r, by in free:
        now = r.applied(by)
        changes = {k: _both(getattr(job, k), getattr(out, k), getattr(now, k)) for k in type(job).model_fields}
        out = out.model_copy(update=changes)
    return out


def _both(base: object, one: object, two: object) -> object:
    """Return a value with what two changes made of it; where both changed the same, the later."""
    if two == base:
        return one
    if one == base:
        return two
    if isinstance(base, tuple) and isinstance(one, tuple) and isinstance(two, tuple):
        return _lists(base, one, two)
    if isinstance(base, Record) and isinstance(one, Record) and isinstance(two, Record):
        fields = type(base).model_fields
        return base.model_copy(update={k: _both(getattr(base, k), getattr(one, k), getattr(two, k)) for k in fields})
    return two


def _lists(base: tuple[object, ...], one: tuple[object, ...], two: tuple[object, ...]) -> tuple[object, ...]:
    if len(base) == len(one) == len(two):
        return tuple(_both(b, x, y) for b, x, y in zip(base, one, two, strict=True))
    gone = [b for b in base if b not in one or b not in two]
    return (*(b for b in base if b not in gone), *(x for x in (*one, *two) if x not in base))


def clash_of(one: Blocked, known: Sequence[Relaxation], tries: Tries) -> Clash:
    """Return what blocks a part of a job.

    Args:
        one: The part.
        known: The constraints that may have to do with it.
        tries: The drawings of the job; what was drawn for another part is not drawn again.
    """
    job, before = tries.job, tries.another_part()
    whole = tuple((r, r.most_mm) for r in known)
    single = [r for r in known if tries.frees(one, [(r, r.most_mm)])]
    if single:
        rest = tuple((r, r.most_mm) for r in known if r not in single)
        # where what frees it alone blocks with all others let go, it is all that clashes
        needed = _needed(tries, one, whole) if tries.frees(one, rest) else single
        alone = tuple(_words(tries, job, one, r) for r in single)
        return Clash(one, tuple(_no_doubles(needed)), tuple(dict.fromkeys(alone)), (), tries.count - before)
    if not tries.frees(one, whole):
        return Clash(one, (), (), (), tries.count - before)
    together = _fewest(tries, one, known)
    clash = _no_doubles([*_needed(tries, one, whole), *together])
    return Clash(
        one, tuple(clash), (), tuple(r.frees.format(_some(job, r.most_mm)) for r in together), tries.count - before
    )


def _no_doubles(found: Iterable[Relaxation]) -> list[Relaxation]:
    """Return constraints, those that say the same of the job once: two ways of moving one fixture."""
    return list({r.has: r for r in found}.values())


def _needed(tries: Tries, one: Blocked, whole: Sequence[tuple[Relaxation, float]]) -> list[Relaxation]:
    """Return constraints that block together with all others let go, none of which can be left away."""
    free: list[tuple[Relaxation, float]] = []
    needed: list[Relaxation] = []
    for r, by in whole:
        if tries.frees(one, [*free, (r, by)]):
            needed.append(r)  # the others block only with it
        else:
            free.append((r, by))
    return needed


def _fewest(tries: Tries, one: Blocked, known: Sequence[Relaxation]) -> list[Relaxation]:
    """Return constraints that free a part together, none of which can be left away."""
    kept = list(known)
    for r in known:
        less = [k for k in kept if k is not r]
        if tries.frees(one, [(k, k.most_mm) for k in less]):
            kept = less
    return kept


def _some(job: Job, mm: float) -> str:
    return f"up to {units.both(mm, job.job.units)}"


def _words(tries: Tries, job: Job, one: Blocked, r: Relaxation) -> str:
    """Return what frees a part, with the length it takes, found by halving."""
    if not r.most_mm:
        return r.frees
    low, high = 0.0, r.most_mm
    for _ in range(STEPS):
        middle = (low + high) / 2
        if tries.frees(one, [(r, middle)]):
            high = middle
        else:
            low = middle
    return r.frees.format(f"{units.both(high, job.job.units)}")


def told(found: Clash) -> Blocked:
    """Return the blocked part with what clashes and what frees it in words."""
    one = found.blocked
    if not found.clash and not found.alone:
        more = f"none of the constraints tried frees it ({found.tried} drawings)"
        return replace(one, free=f"{one.free}; {more}")
    why = f"{one.constraint}. What clashes: {'; '.join(r.has for r in found.clash)}" if found.clash else one.constraint
    way = " or ".join(found.alone) if found.alone else f"together: {' and '.join(found.together)}"
    return replace(one, constraint=why, free=f"found by trying: {way}")
