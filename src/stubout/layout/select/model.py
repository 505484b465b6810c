"""A choice to be made all at once: one candidate for each of several things, some of which get along and some not."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Choice:
    """For each group exactly one of its candidates, at the least cost.

    A candidate is named by its group and its place in it. Costs are whole numbers, so that every solver reckons alike.
    """

    costs: tuple[tuple[int, ...], ...]  # by group, by candidate
    conflicts: frozenset[tuple[tuple[int, int], tuple[int, int]]] = frozenset()  # pairs that cannot both be
    savings: tuple[tuple[tuple[int, int], tuple[int, int], int], ...] = ()  # pairs that share something: what it spares

    def __post_init__(self) -> None:
        if any(not group for group in self.costs):
            raise ValueError("a group without a candidate: nothing can be chosen")
        if any(spared < 0 for _, _, spared in self.savings):
            raise ValueError("a saving below nothing is a cost")

    def cost(self, picks: tuple[int, ...]) -> int | None:
        """Return what one candidate a group costs together, None if two of them cannot both be."""
        chosen = set(enumerate(picks))
        if any(a in chosen and b in chosen for a, b in self.conflicts):
            return None
        spared = sum(mm for a, b, mm in self.savings if a in chosen and b in chosen)
        return sum(self.costs[g][k] for g, k in enumerate(picks)) - spared


@dataclass(frozen=True, slots=True)
class Picked:
    """What was chosen: the candidate of each group, its cost, and what no choice can cost less than."""

    picks: tuple[int, ...]
    cost: int
    bound: int
    by: str  # the solver

    @property
    def proven(self) -> bool:
        """Return whether nothing cheaper can be."""
        return self.bound >= self.cost


@dataclass(frozen=True, slots=True)
class Selection:
    """How near a layout is to the cheapest that the ways of all candidates make, by the engine's own prices [min]."""

    candidates: int
    ways: int  # that differ, of all fixtures
    cost: float
    bound: float  # no layout made of ways about which nothing is found, and of this one's, costs less

    @property
    def gap(self) -> float:
        """Return how much of the cost lies above the bound, as a share of the cost."""
        return max(0.0, 1.0 - self.bound / self.cost)
