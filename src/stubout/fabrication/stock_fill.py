"""A second way to lay pieces out: a given choice of sticks is filled, each stick as full as it gets.

Best fit looks at one piece after the other; this looks at one stick after the other, and often finds a plan as good as
the proven least where best fit is one stick off. Whole numbers, thousandths of a mm.
"""

from __future__ import annotations

from stubout.fabrication.stock_bound import Choice, Sizes

MOST_STEPS = 20_000  # of the search for the fullest stick: a count and no clock, so that the plan is always the same
Filled = list[tuple[int, list[int]]]  # place of the stick (`Sizes.hold`), pieces with their kerf


def fill(of: Sizes, choice: Choice) -> Filled | None:
    """Return the pieces laid out on a choice of sticks, None where this way does not get them all on.

    Every stick takes the longest piece left that it holds, and of the others those that fill it best; once from the
    longest sticks down, once from the shortest up, what is on hand before what is bought.

    Args:
        of: Pieces and stock lengths.
        choice: How many sticks of each stock length.
    """
    sticks = [k for k, n in enumerate(choice) for _ in range(n)]
    hand = [len(of.holds) + k for k in range(len(of.hand))]
    for order in ([*hand[::-1], *sticks[::-1]], [*hand, *sticks]):
        left = list(of.items)
        out: Filled = []
        for k in order:
            first = next((i for i in left if i <= of.hold(k)), None)
            if first is None:
                continue
            left.remove(first)
            chosen = [first, *fullest(left, of.hold(k) - first)]
            for item in chosen[1:]:
                left.remove(item)
            out.append((k, chosen))
        if not left:
            return out
    return None


def fullest(items: list[int], room: int) -> list[int]:
    """Return the pieces that fill a room best, of those found within a number of steps.

    Args:
        items: Pieces, longest first.
        room: What they may fill.
    Example:
        >>> fullest([60, 50, 40, 30], 100)
        [60, 40]
    """
    rest = [0] * (len(items) + 1)
    for k in range(len(items) - 1, -1, -1):
        rest[k] = rest[k + 1] + items[k]
    best: list[int] = []
    best_sum = steps = 0
    stack: list[tuple[int, int, list[int]]] = [(0, 0, [])]
    while stack and best_sum < room and steps < MOST_STEPS:
        k, filled, chosen = stack.pop()
        steps += 1
        if filled > best_sum:
            best, best_sum = chosen, filled
        while k < len(items) and filled + items[k] > room:
            k += 1
        if k == len(items) or filled + rest[k] <= best_sum:
            continue
        nxt = k + 1
        while nxt < len(items) and items[nxt] == items[k]:  # without this length at all
            nxt += 1
        stack.append((nxt, filled, chosen))
        stack.append((k + 1, filled + items[k], [*chosen, items[k]]))
    return best
