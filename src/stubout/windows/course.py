"""One direction in which a set of points is moved: at which step a check speaks first, found with few runs of checks.

Each check is taken for itself. Where it is silent at one place and speaks at the next looked at, its limit lies between
them and is halved down to one step; the next check is then asked only whether it speaks nearer still. Places are looked
at in steps shorter than any pipe is thick, so that no body is jumped over.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from stubout.checks.base import Check
from stubout.geometry.vec import Vec
from stubout.problems import Finding
from stubout.windows.judge import Judge, Stand

LOOKS = 3  # how often on the way it is looked: every 34 mm, and the thinnest drain pipe is 42 mm thick

Asked = tuple[str, Check]  # the part of the design a check is made on, and the check


@dataclass(slots=True)
class Course:
    """The points of a judge on their way along a direction."""

    judge: Judge
    way: Vec  # length one
    step_mm: float
    most: int  # steps
    _stands: dict[int, Stand] = field(default_factory=dict)

    def first(self) -> tuple[int, Finding | None]:
        """Return how many steps the points may go, and what is said one step farther; None if nothing is."""
        limit, said = self._first_of_lines()
        always = tuple(self._asked(ends=False))
        lo = 0
        for place in (1, *(-(-self.most * k // LOOKS) for k in range(1, LOOKS + 1))):
            hi = min(place, limit - 1)
            if hi <= lo:
                break
            found = self._nearest(always, lo, hi)
            if found is not None:
                limit, said = found
                break
            lo = hi
        return limit - 1, said

    def _first_of_lines(self) -> tuple[int, Finding | None]:
        """Return the step at which a check speaks that is silent all the way if it is silent at the far end."""
        speak = tuple(asked for asked in self._asked(ends=True) if self._new(asked, self.most) is not None)
        return self._nearest(speak, 0, 1) or self._nearest(speak, 1, self.most) or (self.most + 1, None)

    def _nearest(self, some: Iterable[Asked], silent: int, hi: int) -> tuple[int, Finding] | None:
        """Return the first step at which one of some checks speaks, of equals the first; None if none does up to `hi`.

        Args:
            some: The checks.
            silent: A step at which they are silent.
            hi: The last step asked for.
        """
        out: tuple[int, Finding] | None = None
        for asked in some:
            if hi <= silent:
                break
            said = self._new(asked, hi)
            if said is None:
                continue
            lo = silent
            while hi - lo > 1:
                mid = (lo + hi) // 2
                nearer = self._new(asked, mid)
                if nearer is None:
                    lo = mid
                else:
                    hi, said = mid, nearer
            out = hi, said
            hi -= 1  # another check counts only if it speaks nearer
        return out

    def _asked(self, *, ends: bool) -> Iterator[Asked]:
        return ((g.scope, one) for g in self.judge.groups if g.ends is ends for one in g.checks)

    def _new(self, asked: Asked, steps: int) -> Finding | None:
        if steps not in self._stands:
            self._stands[steps] = self.judge.stand(self.way.times(steps * self.step_mm))
        scope, one = asked
        return self.judge.new(one, scope, self._stands[steps])
