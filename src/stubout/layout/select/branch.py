"""Branch and bound without any library: group by group, the candidates in order, what cannot win cut off."""

from __future__ import annotations

from stubout.layout.select.model import Choice, Picked

MOST_STEPS = 200_000  # then the best so far is returned, with what is proven: never a clock


class _Search:
    def __init__(self, choice: Choice, most_steps: int) -> None:
        self.choice, self.most_steps = choice, most_steps
        n = len(choice.costs)
        self.against: dict[tuple[int, int], set[tuple[int, int]]] = {}
        for a, b in choice.conflicts:
            self.against.setdefault(a, set()).add(b)
            self.against.setdefault(b, set()).add(a)
        self.spared: dict[tuple[int, int], list[tuple[tuple[int, int], int]]] = {}
        most = [0] * n  # what a group may still spare, at most, with the groups before it
        for a, b, mm in choice.savings:
            late, early = max(a, b), min(a, b)
            self.spared.setdefault(late, []).append((early, mm))
        for (g, _), pairs in self.spared.items():
            most[g] = max(most[g], sum(mm for _, mm in pairs))
        self.rest = [0] * (n + 1)
        for g in range(n - 1, -1, -1):
            self.rest[g] = self.rest[g + 1] + min(choice.costs[g]) - most[g]
        self.best: tuple[int, tuple[int, ...]] | None = None
        self.steps = 0
        self.cut_at: int | None = None  # least that a branch not looked into might have cost

    def run(self, picks: tuple[int, ...] = (), cost: int = 0) -> None:
        """Look into everything below some picks."""
        g = len(picks)
        if self.best is not None and cost + self.rest[g] >= self.best[0]:
            return  # equal is no better: the first in order stays
        if g == len(self.choice.costs):
            self.best = (cost, picks)
            return
        self.steps += 1
        if self.steps > self.most_steps:
            low = cost + self.rest[g]
            self.cut_at = low if self.cut_at is None else min(self.cut_at, low)
            return
        chosen = set(enumerate(picks))
        for k, price in enumerate(self.choice.costs[g]):
            if self.against.get((g, k), set()) & chosen:
                continue
            less = sum(mm for early, mm in self.spared.get((g, k), ()) if early in chosen)
            self.run((*picks, k), cost + price - less)


def solve(choice: Choice, most_steps: int = MOST_STEPS) -> Picked | None:
    """Return the cheapest choice, the first in order of those that cost the same; None if none is possible or found.

    Args:
        choice: What is to be chosen.
        most_steps: How many sets of picks are looked into.
    """
    search = _Search(choice, most_steps)
    search.run()
    if search.best is None:
        return None
    cost, picks = search.best
    return Picked(picks, cost, cost if search.cut_at is None else min(cost, search.cut_at), "branch and bound")
