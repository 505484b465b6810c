"""What each check looks at: found by making it once on a design that notes what is asked of it.

A check is a function of the design. One that never asks where a thing lies says the same wherever that thing is moved,
so it need not be made again. Whether a pipe stands or lies is not noted: who moves a pipe sees himself that it still
does the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar

from stubout.checks.base import Check
from stubout.design import Design
from stubout.fabrication.model import CutPiece, FittingUse
from stubout.layout.model import StubMark, TrapPlan
from stubout.network.model import Network, Node, Pipe
from stubout.windows.moves import marked_nodes

Thing = tuple[str, str]  # kind and id
Looks = Mapping[str, frozenset[Thing]]  # id of a check -> all things whose place or length it asked for

T = TypeVar("T")


def looks_of(design: Design, checks: Iterable[Check]) -> Looks:
    """Return what each of some checks looks at in a design, as it stands."""
    told: set[Thing] = set()
    return asked_by(checks, _noting(design, told), told)


def asked_by(checks: Iterable[Check], noting: Design, told: set[Thing]) -> Looks:
    """Return what each of some checks asks of a design that notes it in `told`."""
    out: dict[str, frozenset[Thing]] = {}
    for one in checks:
        told.clear()
        one.run(noting)
        out[one.id] = frozenset(told)
    return out


def changed(design: Design, nodes: frozenset[str], touched: frozenset[str]) -> frozenset[Thing]:
    """Return the things whose place or length a move of some nodes changes.

    Args:
        design: The design.
        nodes: The nodes moved.
        touched: The pipes that end at them.
    """
    net, fab = design.network, design.fabrication
    tags = {t.tag for t in net.traps if t.weir in nodes}
    vents = [p.id for p in net.pipes if p.system == "vent"]  # each may be a part of the others' developed length
    return frozenset(
        (
            *(("node", i) for i in nodes),
            *(("pipe", i) for i in touched),
            *(("length", i) for i in (vents if touched.intersection(vents) else ())),
            *(("trap", tag) for tag in tags),
            *(("stub", tag) for tag, node in marked_nodes(design).items() if node in nodes),
            *(("fitting", f.id) for f in fab.fittings if f.node in nodes or (f.in_run and f.pipes[0] in touched)),
            *(("piece", p.id) for p in fab.pieces if touched.intersection(p.pipes or (p.pipe,))),
        )
    )


def _noting(design: Design, told: set[Thing]) -> Design:
    """Return the same design, which notes in `told` whose place or length it is asked for."""
    net, fab = design.network, design.fabrication
    return replace(
        design,
        network=Network(
            each_noting(net.nodes, _NODE, told),
            each_noting(net.pipes, _PIPE, told),
            each_noting(net.traps, _TRAP, told),
        ),
        stubs=each_noting(design.stubs, _STUB, told),
        fabrication=replace(
            fab, fittings=each_noting(fab.fittings, _FITTING, told), pieces=each_noting(fab.pieces, _PIECE, told)
        ),
    )


def each_noting(items: tuple[T, ...], kind: type[Any], told: set[Thing]) -> tuple[T, ...]:
    """Return records as ones of a noting kind, which note in `told` what is read of them."""
    names = [f.name for f in fields(kind) if not isinstance(vars(kind).get(f.name), property)]
    out = []
    for item in items:
        one = object.__new__(kind)
        for name, value in (("told", told), ("plain", item), *((n, getattr(item, n)) for n in names)):
            object.__setattr__(one, name, value)  # the record is frozen
        out.append(one)
    return tuple(out)


def noting_kind(base: type, key: str, *free: str, **hidden: str) -> type[Any]:
    """Return a kind of a frozen record that notes when some of its fields are read.

    Args:
        base: The record.
        key: The field with its id.
        free: Properties that read hidden fields and are not noted.
        hidden: The fields, each with the kind of thing that is noted.
    """

    def noted(name: str, thing: str) -> property:
        def read(one: Any) -> object:
            one.told.add((thing, getattr(one, key)))
            return getattr(one.plain, name)

        return property(read)

    def unnoted(name: str) -> property:
        return property(lambda one: getattr(one.plain, name))

    def copied(_kind: type, **values: object) -> Any:  # what a check makes of one is a plain record again
        return base(**values)

    body: dict[str, object] = {"__slots__": ("told", "plain"), "__new__": copied}
    body.update({name: noted(name, thing) for name, thing in hidden.items()})
    body.update({name: unnoted(name) for name in free})
    return type(f"Noting{base.__name__}", (base,), body)


_NODE = noting_kind(Node, "id", at="node")
_PIPE = noting_kind(Pipe, "id", "vertical", a="pipe", b="pipe", vent_length_mm="length")
_TRAP = noting_kind(TrapPlan, "tag", weir_z_mm="trap")
_STUB = noting_kind(StubMark, "tag", mark_z_mm="stub", station_mm="stub")
_FITTING = noting_kind(FittingUse, "id", at="fitting")
_PIECE = noting_kind(CutPiece, "id", centre_mm="piece", cut_mm="piece", fits="piece")
