"""What is left of a sum where some of its terms may share: as little as any choice of pairs can leave."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

Pair = tuple[int, int]  # the lower number first
MOST_EXACT = 12  # in one cluster: every set of them is looked at


def most_spared(spared: Mapping[Pair, float]) -> float:
    """Return the most that pairs of which none has a member in common can spare together.

    A vent fitting takes two fixtures at most (`common_vent.py`), so that those of a wall share it in pairs. Larger
    clusters than `MOST_EXACT` are told too much: half of the dearest pair of every member, which no choice exceeds.
    """
    return sum(_most(cluster, spared) for cluster in _clusters(spared))


def _clusters(spared: Mapping[Pair, float]) -> list[list[int]]:
    """Return the members in clusters between which there is no pair."""
    left = sorted({n for pair in spared for n in pair})
    out: list[list[int]] = []
    while left:
        cluster, queue = {left[0]}, [left[0]]
        while queue:
            n = queue.pop()
            near = {m for pair in spared if n in pair for m in pair} - cluster
            cluster |= near
            queue += sorted(near)
        out.append(sorted(cluster))
        left = [n for n in left if n not in cluster]
    return out


def _most(cluster: list[int], spared: Mapping[Pair, float]) -> float:
    if len(cluster) > MOST_EXACT:
        return sum(max(v for pair, v in spared.items() if n in pair) for n in cluster) / 2
    pairs = {(cluster.index(a), cluster.index(b)): v for (a, b), v in spared.items() if a in cluster}

    @cache
    def best(free: int) -> float:
        if not free:
            return 0.0
        first = (free & -free).bit_length() - 1
        rest = free & (free - 1)
        out = best(rest)  # the first stays alone
        for (a, b), v in pairs.items():
            if a == first and rest >> b & 1:
                out = max(out, v + best(rest & ~(1 << b)))
        return out

    return best((1 << len(cluster)) - 1)
