"""Places in a row that keep their order and a least distance."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], gap: float, lo: float, hi: float) -> list[float]:
    """Return places in the order of `wanted` at least `gap` apart, as near to the wanted ones as can be.

    Args:
        wanted: Places in rising order [mm].
        gap: Least distance [mm]; made smaller if the span cannot hold all.
        lo: Low end of the span [mm].
        hi: High end of the span [mm].
    """
    n = len(wanted)
    if n == 0:
        return []
    if n > 1:
        gap = min(gap, (hi - lo) / (n - 1))
    # Groups of touching places sit on the mean of what their members want (pool adjacent violators).
    groups: list[tuple[float, int]] = []  # (sum of wanted places less own offset, members)
    for k, w in enumerate(wanted):
        groups.append((w - k * gap, 1))
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            a, b = groups.pop(), groups.pop()
            groups.append((a[0] + b[0], a[1] + b[1]))
    top = hi - (n - 1) * gap
    out: list[float] = []
    for total, count in groups:
        base = max(lo, min(top, total / count))
        first = len(out)
        out.extend(base + (first + i) * gap for i in range(count))
    return out
