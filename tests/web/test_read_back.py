"""What the program laid out, written into the job file as drawn routes and planned again, is the same house.

Expected is the layout itself; the file goes its own way there: reader, resolver, routes kept as drawn, sizes, checks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest
from laid_out import design_named

from stubout import run
from stubout.design import Design
from stubout.fixes import said_facts, said_routes
from stubout.fixes.bench import GRAVE, Bench
from stubout.fixes.said import Statement
from stubout.fixes.stated import stated
from stubout.fixes.tried import tried
from stubout.layout.model import Role
from stubout.network.model import Network, Pipe
from stubout.problems import Finding
from stubout.run_field import texts
from stubout.web import yaml_paths

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("demo", "01-two-storey-basement", "02-slab-bungalow", "03-crawlspace-cottage")
NEAR_MM = 0.1
LOWEST = (Role.BUILDING_DRAIN, Role.SEWER)  # one drain: where it leaves the house is told by the outline alone
FALLING = (Role.DRAIN, Role.BRANCH)  # a branch that drops is a drain where it stands upright


@cache
def text_of(name: str) -> str:
    return texts.demo() if name == "demo" else (EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8")


@cache
def laid_out(name: str) -> Design:
    return design_named(name)


def said(name: str, says: Iterable[Statement]) -> Design:
    return run.design(texts.read_text(yaml_paths.said(text_of(name), ((s.path, s.value) for s in says))))


@cache
def drawn(name: str) -> Design:
    before = laid_out(name)
    boxes = said_facts.of_boxes(texts.read_text(text_of(name)), before)
    return said(name, (*said_routes.routes(before, before), *boxes))


def pairs(name: str) -> list[tuple[Pipe, Pipe]]:
    """Return every pipe with the one drawn in its place."""
    left = list(drawn(name).network.pipes)
    out = []
    for pipe in laid_out(name).network.pipes:
        other = next((p for p in left if p.a.to(pipe.a) < NEAR_MM and p.b.to(pipe.b) < NEAR_MM), None)
        assert other is not None, pipe
        left.remove(other)
        out.append((pipe, other))
    assert left == []
    return out


def role(p: Pipe) -> object:
    if p.role in LOWEST:
        return LOWEST
    return FALLING if p.vertical and p.role in FALLING else p.role


def grave(findings: Iterable[Finding]) -> Counter[str]:
    return Counter(f.check for f in findings if f.level in GRAVE)


@pytest.mark.parametrize("name", NAMES)
def test_every_pipe_lies_in_its_place_in_its_size(name: str) -> None:
    assert not drawn(name).blocked
    assert all(p.drawn for p in drawn(name).network.pipes)
    assert [(a.id, a.size_in) for a, b in pairs(name) if a.size_in != b.size_in] == []


@pytest.mark.parametrize("name", NAMES)
def test_every_drain_is_read_as_what_it_is(name: str) -> None:
    """The return of a loop vent is drawn as a vent: it carries no water of its own."""
    both = [(a, b) for a, b in pairs(name) if a.system == b.system == "drain"]
    assert len(both) >= len(laid_out(name).network.drains()) - 1
    assert [(a.id, a.role, b.role) for a, b in both if role(a) != role(b)] == []
    assert [(a.id, a.load, b.load) for a, b in both if abs(a.load - b.load) > 1e-6] == []
    assert [(a.id, a.tags, b.tags) for a, b in both if a.tags != b.tags] == []


def takeoffs(net: Network) -> dict[str, tuple[float, str]]:
    """Return the size of every trap, and the height of the point where it meets its vent."""
    at = {t.tag: net.node(t.takeoff).at.z if t.takeoff else 0.0 for t in net.traps}
    return {t.tag: (t.trap_in, f"{at[t.tag]:.0f}") for t in net.traps}


@pytest.mark.parametrize("name", NAMES)
def test_every_trap_has_its_size_and_its_vent(name: str) -> None:
    assert takeoffs(drawn(name).network) == takeoffs(laid_out(name).network)


@pytest.mark.parametrize("name", NAMES)
def test_the_checks_find_the_same(name: str) -> None:
    assert grave(run.check(drawn(name)).findings) == grave(run.check(laid_out(name)).findings)


def test_a_fix_drawn_into_the_file_clears_its_finding_and_raises_none() -> None:
    """A stack's foot raised from under a footing's load plane: its drain lies steeper then than a plan draws it."""
    name, check = "01-two-storey-basement", "GRD002"
    before = run.check(laid_out(name))
    bench = Bench(laid_out(name), before.findings, before.not_checked)
    told, edits = tried(bench, next(f for f in before.findings if f.check == check))
    assert told.cleared
    after = said(name, stated(texts.read_text(text_of(name)), laid_out(name), edits))
    assert not after.blocked
    assert grave(run.check(after).findings) == grave(before.findings) - Counter([check])
