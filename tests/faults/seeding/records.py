"""Reach into frozen records by a path of names, and make records of plain data: what the fault tables are written in.

`house/fixtures/LV1/faucet` is the faucet of the fixture whose tag is LV1. Lists become points and boxes where the
record holds points and boxes.
"""

from __future__ import annotations

import enum
import types
import typing
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

from stubout.geometry.vec import Box, Vec
from stubout.house.facts import Reading, RouteLeg
from stubout.house.framing import Opening, Stud
from stubout.house.model import CabinetBox, Drawer, HouseFixture, Obstacle, Room
from stubout.house.outside import RoofOpening, RoofZone
from stubout.network.model import Network

NEW = {
    "obstacles": Obstacle,
    "roof_openings": RoofOpening,
    "roof_zones": RoofZone,
    "readings": Reading,
    "fixtures": HouseFixture,
    "rooms": Room,
    "routes": RouteLeg,
    "cabinets": CabinetBox,
    "openings": Opening,
    "studs": Stud,
    "drawers": Drawer,
}


def put(thing: Any, path: str, value: Any) -> Any:
    """Return a record with the value at a path changed; a number with a sign as text, "+12", is added."""
    return _put(thing, path.split("/"), value)


def _put(thing: Any, steps: list[str], value: Any) -> Any:
    head, *rest = steps
    if isinstance(thing, tuple) and not hasattr(thing, "_fields"):
        i = _place(thing, head)
        new = _put(thing[i], rest, value) if rest else value
        return (*thing[:i], new, *thing[i + 1 :])
    old = getattr(thing, head)
    new = _put(old, rest, value) if rest else _as(old, value, _hints(type(thing)).get(head))
    if isinstance(thing, tuple):
        return thing._replace(**{head: new})
    if isinstance(thing, Network):  # its look-up tables are made anew
        parts = {"nodes": thing.nodes, "pipes": thing.pipes, "traps": thing.traps, head: new}
        return Network(**parts)
    return replace(thing, **{head: new})


def add(thing: Any, path: str, data: dict[str, Any]) -> Any:
    """Return a record with one more entry in the list at a path."""
    steps = path.split("/")
    old = get(thing, path)
    return _put(thing, steps, (*old, make(NEW[steps[-1]], data)))


def take(thing: Any, path: str) -> Any:
    """Return a record without the entry at a path."""
    *steps, name = path.split("/")
    old = get(thing, "/".join(steps))
    i = _place(old, name)
    return _put(thing, steps, (*old[:i], *old[i + 1 :]))


def get(thing: Any, path: str) -> Any:
    """Return what stands at a path."""
    for step in path.split("/"):
        thing = (
            thing[_place(thing, step)]
            if isinstance(thing, tuple) and not hasattr(thing, "_fields")
            else getattr(thing, step)
        )
    return thing


def _place(things: tuple[Any, ...], name: str) -> int:
    for i, t in enumerate(things):
        if name in (getattr(t, "id", None), getattr(t, "tag", None)):
            return i
    if name.lstrip("-").isdigit() and -len(things) <= int(name) < len(things):
        return int(name) % len(things)
    raise KeyError(f"nothing is called {name} here")


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind) if is_dataclass(kind) or hasattr(kind, "_fields") else {}


def _as(old: Any, value: Any, hint: Any) -> Any:
    if isinstance(value, str) and value[:1] in "+-" and isinstance(old, int | float):
        return old + float(value)
    if isinstance(old, enum.Enum):
        return type(old)(value)
    return _typed(value, hint)


def make(kind: type, data: dict[str, Any]) -> Any:
    """Return a record of a kind from plain data."""
    known = {f.name for f in fields(kind)}
    if not set(data) <= known:
        raise KeyError(f"{kind.__name__} has no {', '.join(sorted(set(data) - known))}")
    return kind(**{k: _typed(v, _hints(kind).get(k)) for k, v in data.items()})


def _typed(value: Any, hint: Any) -> Any:
    args = typing.get_args(hint)
    if typing.get_origin(hint) in (types.UnionType, typing.Union):
        return None if value in (None, "none") else _typed(value, next(a for a in args if a is not type(None)))
    if hint is Vec and isinstance(value, list):
        return Vec(*map(float, value))
    if hint is Box and isinstance(value, list):
        return Box(Vec(*map(float, value[0])), Vec(*map(float, value[1])))
    if isinstance(hint, type) and issubclass(hint, enum.Enum):
        return hint(value)
    if isinstance(value, dict) and is_dataclass(hint):
        return make(hint, value)
    if isinstance(value, list):
        return tuple(_typed(v, args[0] if args else None) for v in value)
    return value
