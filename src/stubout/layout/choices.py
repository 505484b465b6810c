"""What the job file chooses of a layout, and what the engine chose, in the words of the one and of the other. [mm].

The engine takes back a choice by a ban (`work.Ban`); a job file says the same in places and lengths. Both name a place
by about a hand's breadth, so that a length rounded to what a tape shows still means it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stubout.house.facts import Choice
from stubout.layout.judge import choices_of
from stubout.layout.model import Chosen
from stubout.layout.work import (
    BAN_MM,
    BY_WET,
    COMMON,
    STACK,
    THROUGH,
    Ban,
    Order,
    Work,
    joint_key,
    place_key,
    stack_key,
)

ORDERS = {
    "as usual": Order(),
    "short ways": Order(short=True),
    "last first": Order(last_first=True),
    "near first": Order(near_first=True),
    "through walls": Order(in_walls=True),
    "short ways through walls": Order(short=True, in_walls=True),
    "last first through walls": Order(last_first=True, in_walls=True),
    "near first through walls": Order(near_first=True, in_walls=True),
}
WORDS = {order: word for word, order in ORDERS.items()}


def order_said(choices: Sequence[Choice]) -> Order | None:
    """Return the order a house is to be drawn in, None if the engine is to find one."""
    return next((ORDERS[c.drawn] for c in choices if c.drawn), None)


def bans_said(choices: Sequence[Choice]) -> frozenset[Ban]:
    """Return what the engine is not to choose."""
    return frozenset(b for c in choices for b in _bans(c))


def _bans(c: Choice) -> Iterator[Ban]:
    if c.vent_not_in:
        yield c.tag, place_key(c.vent_not_in, c.near_mm)
    if c.joins_not_near is not None:
        yield c.tag, joint_key(c.joins_not_near)
    if c.not_vented_by:
        yield c.tag, BY_WET if c.not_vented_by == "wet" else COMMON
    if c.not_through_walls:
        yield c.tag, THROUGH
    if c.stack_not_near is not None:
        yield STACK, stack_key(c.stack_not_near)


def choice_of(ban: Ban) -> Choice:
    """Return a ban as a job file says it: the middle of its place."""
    whose, what = ban
    if what in (BY_WET, COMMON):
        return Choice(tag=whose, not_vented_by="wet" if what == BY_WET else "common")
    if what == THROUGH:
        return Choice(tag=whose, not_through_walls=True)
    if whose == STACK:
        x, y = (float(c) for c in what.split(","))
        return Choice(stack_not_near=(x, y))
    place, _, at = what.rpartition("@")
    if "," in at:
        x, y = (float(c) * BAN_MM for c in at.split(","))
        return Choice(tag=whose, joins_not_near=(x, y))
    return Choice(tag=whose, vent_not_in=place, near_mm=float(at) * BAN_MM)


def chosen(work: Work) -> Chosen:
    """Return how a drawing came about."""
    made = dict.fromkeys(b for tag in sorted(work.traps) for b in choices_of(work, tag))
    return Chosen(WORDS[work.order], tuple(sorted(work.bans)), tuple(made))
