"""One direction in which a set of points is moved: at which step a check speaks first, found with few runs of checks.

Each check is taken for itself. Where it is silent at one place and speaks at the next looked at, its limit lies between
them and is halved down to one step; the next check is then asked only whether it speaks nearer still. Places are looked
at in steps shorter than any pipe is thick, so that no body is jumped over; what another check takes over soon is asked
one step away as well.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from stubout.geometry.vec import Vec
from stubout.problems import Finding
from stubout.windows.judge import Asked, Judge, Stand

LOOKS = 3  # how often on the way it is looked: every 34 mm, and the thinnest drain pipe is 42 mm thick


@dataclass(slots=True)
class Course:
    """The points of a judge on their way along a direction."""

    judge: Judge
    way: Vec  # length one
    step_mm: float
    most: int  # steps
    _stands: dict[int, Stand] = field(default_factory=dict)
    _said: dict[tuple[Asked, int], Finding | None] = field(default_factory=dict)

    def first(self) -> tuple[int, Finding | None]:
        """Return how many steps the points may go, and what is said one step farther; None if nothing is."""
        limit, said = self._first_of_lines()
        always = tuple(asked for asked in self.judge.asked if not asked.ends)
        handing_over = tuple(asked for asked in always if asked.hands_over)
        at_once = limit > 1 and self._nearest(handing_over, 0, 1) is not None
        lo = 0
        for place in (1,) if at_once else (-(-self.most * k // LOOKS) for k in range(1, LOOKS + 1)):
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
        lines = (asked for asked in self.judge.asked if asked.ends)
        speak = tuple(asked for asked in lines if self._new(asked, self.most) is not None)
        return self._nearest(speak, 0, self.most) or (self.most + 1, None)

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

    def _new(self, asked: Asked, steps: int) -> Finding | None:
        key = asked, steps
        if key not in self._said:
            if steps not in self._stands:
                self._stands[steps] = self.judge.stand(self.way.times(steps * self.step_mm))
            self._said[key] = self.judge.new(asked, self._stands[steps])
        return self._said[key]
