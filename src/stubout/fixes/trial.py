"""One finding at work: which changes clear it, by how little, and which of those all other checks let pass."""

from __future__ import annotations

import heapq
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

from stubout.checks.base import Check
from stubout.design import Design
from stubout.fixes.bared import newly_bared
from stubout.fixes.bench import GRAVE, Bench, Key, applied, key
from stubout.fixes.concrete import newly_cast
from stubout.fixes.follow import followed, jointed, moves_installed, touched, with_growth
from stubout.fixes.model import Candidate, Case, Edit
from stubout.fixes.moves import Shift
from stubout.fixes.near import round_about
from stubout.fixes.redraw import Redraw
from stubout.network.model import Pipe
from stubout.problems import Finding
from stubout.windows.judge import Judge
from stubout.windows.near import Surroundings, local

LOOKED = 90  # candidates of one kind put before the check that spoke
PROBE = 3  # each length tried is so many times the one before, until the finding is gone
REACH_MM = 60.0  # surroundings are looked at no smaller than this
SAME_MM = 1e-6
GROWN = (1, 2, 4, 8, 16, 32, 64, 128)  # steps a length is let grow where other checks speak at the least one
OF_HOLES = ("FRM001", "FRM002", "FRM003", "FRM007")  # they read holes and what stands round a pipe
FOLLOWING = ("FRM004", "FRM005", "SUP", "FIT")  # what they ask for follows a change: only all checks can tell
CAST = "a pipe is lifted into the slab or out of it"  # said of a change by no check: common practice
BARED = "a pipe comes out of its wall"  # likewise
OF_JOINTS = ("FIT", "FLG001", "SUP")  # they read fittings and pieces


@dataclass(frozen=True, slots=True)
class Found:
    """A candidate with the least amount at which the finding is gone."""

    one: Candidate
    mm: float
    edits: tuple[Edit, ...]

    @property
    def cost(self) -> float:
        """Return what it costs with its length."""
        return self.one.cost + self.mm


class Ground:
    """Some pipes of a trial in what stands round them, and what its check says of them there."""

    def __init__(self, trial: Trial, pipes: frozenset[str], most_mm: float) -> None:
        """Look at some pipes within some distance [mm]."""
        self._trial, self._pipes, self._most = trial, pipes, most_mm
        self._known: dict[tuple[Pipe, ...], bool] = {}

    @cached_property
    def _around(self) -> Surroundings:
        return round_about(self._trial.bench.design, self._pipes, self._most)

    @cached_property
    def _before(self) -> Counter[Key]:
        return self._said(self._trial.bench.design)

    def cleared(self, design: Design) -> bool:
        """Return whether the finding is gone and nothing like it has come; candidates alike here are judged once."""
        laid = tuple(p for p in design.network.pipes if p.id in self._pipes)
        if laid not in self._known:
            self._known[laid] = self._judged(design)
        return self._known[laid]

    def _judged(self, design: Design) -> bool:
        mine = key(self._trial.finding)
        now = self._said(design)
        return not now - self._before and now[mine] < self._before[mine]

    def _said(self, design: Design) -> Counter[Key]:
        known = {(b.pipe, b.member): b for b in self._trial.bench.design.fabrication.bores}
        found, _ = self._trial.check.run(local(design, self._pipes, self._around, known))
        return Counter(key(f) for f in found if f.level in GRAVE)


@dataclass(slots=True)
class Trial:
    """One finding at work."""

    bench: Bench
    case: Case
    check: Check
    moving: Candidate | None = None
    within: float = 0.0  # how far it is moved in its surroundings [mm]
    grounds: list[Ground] = field(default_factory=list)  # of the pipes that `moving` moves
    looked: dict[tuple[frozenset[str], float], Ground] = field(default_factory=dict)  # all of them, by their reach
    runs: frozenset[str] | None = None  # of the pieces the finding names, once asked for
    screening: Candidate | None = None
    judge: Judge = field(init=False)  # the checks that can react to `screening`
    stays: Counter[str] = field(default_factory=Counter)  # by kind: changes after which the finding is still there

    @property
    def finding(self) -> Finding:
        """Return the finding."""
        return self.case.finding

    @property
    def hints(self) -> tuple[int, ...]:
        """Return the lengths that the finding tells, in steps: tried first."""
        told = re.findall(r"(\d+(?:\.\d+)?) mm", self.finding.do)
        return tuple(dict.fromkeys(math.ceil((float(mm) + 0.6) / self.case.step_mm) for mm in told))

    def own(self, design: Design) -> bool:
        """Return whether the check that spoke is now silent about the place."""
        if self._stays(design):
            return False
        found, unable = self.check.run(design)
        spoken = Counter(key(f) for f in found if f.level in GRAVE)
        if any(spoken[k] > self.bench.known[k] for k in spoken):
            return False
        if any((n.check, n.reason) not in self.bench.silent for n in unable):
            return False
        return spoken[key(self.finding)] < self.bench.known[key(self.finding)]

    def _stays(self, design: Design) -> bool:
        """Return whether the finding stays already where of all that stands in the way only what it names is there."""
        named = tuple(o for o in design.house.obstacles if o.id in self.case.about)
        if not named or len(named) == len(design.house.obstacles):
            return False
        found, _ = self.check.run(replace(design, house=replace(design.house, obstacles=named)))
        mine = key(self.finding)
        return sum(key(f) == mine for f in found if f.level in GRAVE) >= self.bench.known[mine]

    def made(self, one: Candidate, mm: float) -> tuple[tuple[Edit, ...], Design] | None:
        """Return the design with a candidate made, lists as they were; None where no such part can be bought."""
        try:
            edits = one.edits(mm)
            changed = applied(self.bench.design, edits, follow=False, measure=False)
        except (LookupError, ValueError):
            return None
        return None if moves_installed(self.bench.design, changed) else (edits, changed)

    def clears(self, one: Candidate, mm: float) -> bool:
        """Return whether the check that spoke is silent once a candidate is made."""
        made = self.made(one, mm)
        if made is None:
            return False
        if self.check.id in OF_HOLES and one.most_mm:
            return self._unbored(one, made[1], mm)
        if self.check.id == "FIT006" and one.most_mm:
            return self._longer_or_shorter(made[1]) and self.own(with_growth(self.bench.design, made[1]))
        bored = self.check.id.startswith("FRM") and any(isinstance(e, Redraw) for e in made[0])
        if bored or self.check.id.startswith(OF_JOINTS):
            try:
                if self.check.id.startswith("SUP") or bored:
                    return self.own(followed(self.bench.design, made[1], joints_only=not bored))
                return self.own(jointed(self.bench.design, made[1]))
            except (LookupError, ValueError):
                return False
        return self.own(made[1])

    def _longer_or_shorter(self, design: Design) -> bool:
        """Return whether a run of the finding, of which a piece is cut, has another length."""
        if self.runs is None:
            pieces = self.bench.design.fabrication.pieces
            ours = (p for p in pieces if self.case.about & {p.pipe, *p.pipes, p.start_fitting, p.end_fitting})
            self.runs = frozenset(i for p in ours for i in (p.pipes or (p.pipe,)) if i)
        was, now = self.bench.design.network, design.network
        return not self.runs or any(abs(now.pipe(i).length_mm - was.pipe(i).length_mm) > SAME_MM for i in self.runs)

    def _unbored(self, one: Candidate, design: Design, mm: float) -> bool:
        """Return whether the check is silent about the moved pipes, bored anew in what stands round them."""
        pipes = touched(self.bench.design, design)
        if one is not self.moving or mm > self.within:
            self.moving, self.within = one, min(one.most_mm, max(REACH_MM, 2.0 * mm))
            named = pipes & self.case.about
            self.grounds = [self._ground(p) for p in ((named, pipes) if named else (pipes,))]
        return all(ground.cleared(design) for ground in self.grounds)  # on the pipe it names alone first: quick

    def _ground(self, pipes: frozenset[str]) -> Ground:
        at = (pipes, self.within)
        if at not in self.looked:
            self.looked[at] = Ground(self, pipes, self.within)
        return self.looked[at]

    def cheapest_first(self, some: Iterable[Candidate]) -> Iterator[Found]:
        """Yield the candidates that clear the finding in order of cost, lengths looked for no sooner than needed."""
        waiting: list[tuple[float, int, Candidate, Found | None]] = [(c.cost, i, c, None) for i, c in enumerate(some)]
        heapq.heapify(waiting)
        seen: Counter[str] = Counter()
        while waiting:
            _, i, one, found = heapq.heappop(waiting)
            if found is not None:
                yield found
                continue
            if seen[one.family] >= LOOKED:
                continue
            seen[one.family] += 1
            least = self.least(one)
            if least is None:
                self.stays[one.family] += 1
            else:
                heapq.heappush(waiting, (least.cost, i, one, least))

    def least(self, one: Candidate) -> Found | None:
        """Return the candidate with its least amount; None where no amount clears the finding."""
        mm = 0.0
        if one.most_mm:
            steps = self._steps(one)
            if steps is None:
                return None
            mm = steps * self.case.step_mm
        elif not self.clears(one, 0.0):
            return None
        made = self.made(one, mm)
        return None if made is None else Found(one, mm, made[0])

    def _steps(self, one: Candidate) -> int | None:
        most = int(one.most_mm / self.case.step_mm)
        for hint in self.hints:
            if hint <= most and self.clears(one, hint * self.case.step_mm):
                return self._halved(one, 0, hint)
        lo, hi = 0, 2
        while not self.clears(one, hi * self.case.step_mm):
            lo, hi = hi, hi * PROBE
            if hi > most:
                return None
        return self._halved(one, lo, hi)

    def _halved(self, one: Candidate, lo: int, hi: int) -> int:
        while hi - lo > 1:
            mid = (lo + hi) // 2
            lo, hi = (lo, mid) if self.clears(one, mid * self.case.step_mm) else (mid, hi)
        return hi

    def confirmed(self, found: Found) -> tuple[Found | None, str]:
        """Return a candidate that all checks let pass, a greater length if need be; else the check that spoke."""
        said = self._all(found)
        if said == "":
            return found, ""
        if not said or not found.one.most_mm:
            return None, said or ""
        short = 0
        for more in GROWN:
            longer = self._longer(found, more)
            if longer is None:
                break
            if self._all(longer) == "":
                return self._shortest(found, short, more), ""
            short = more
        return None, said

    def _longer(self, found: Found, steps: int) -> Found | None:
        mm = found.mm + steps * self.case.step_mm
        made = self.made(found.one, mm) if mm <= found.one.most_mm else None
        return None if made is None else Found(found.one, mm, made[0])

    def _shortest(self, found: Found, short: int, enough: int) -> Found:
        """Return the least longer one that all checks let pass, between a length too short and one that is enough."""
        best = self._longer(found, enough) or found
        while enough - short > 1:
            mid = (short + enough) // 2
            one = self._longer(found, mid)
            if one is not None and self._all(one) == "":
                enough, best = mid, one
            else:
                short = mid
        return best

    def _screened(self, found: Found) -> str:
        """Return a check that speaks up, of those that can react to points moved together; "" where unsure."""
        (edit,) = found.edits[:1]
        if len(found.edits) > 1 or not isinstance(edit, Shift) or edit.fixtures:
            return ""
        ways = {by for _, by in edit.by}
        if len(ways) > 1:
            return ""
        (by,) = ways
        if found.one is not self.screening:
            judge = Judge(self.bench.design, frozenset(i for i, _ in edit.by), found.one.most_mm)
            self.screening, self.judge = found.one, judge
        said = self.judge.first(by)
        if said is None or key(said) in self.bench.known or said.check.startswith(FOLLOWING):
            return ""
        return said.check

    def _all(self, found: Found) -> str | None:
        quick = self._screened(found)
        if quick:
            return quick
        try:
            said, design = self.bench.raised_by(found.edits, self.finding)
        except (LookupError, ValueError):
            return None
        if said == "" and design is not None:
            if newly_cast(self.bench.design, design):
                return CAST
            if newly_bared(self.bench.design, design):
                return BARED
        return said
