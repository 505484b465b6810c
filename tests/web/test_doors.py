"""Every verb and option of the command line has its place in the JSON door, or a reason; and every path its place here.

Expected: the verbs as typer knows them, and the description that the server itself gives.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import typer.main
from starlette.testclient import TestClient

from stubout.cli.main import app
from stubout.web.doors import BESIDE, DOORS, EVERYWHERE, Door, Not


def verbs(command: Any, name: str = "") -> Iterator[tuple[str, list[str]]]:
    """Yield each verb with its arguments and the long names of its options."""
    inner = getattr(command, "commands", None)
    if inner is None:
        yield name, [next((o for o in p.opts if o.startswith("--")), p.name.rstrip("_")) for p in command.params]
        return
    for sub, said in inner.items():
        yield from verbs(said, f"{name} {sub}".strip())


SAID = {**dict(verbs(typer.main.get_command(app))), "--version": []}


@pytest.fixture(scope="module")
def described(served: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = served.get("/api/openapi.json").json()
    return found


def taken(described: dict[str, Any], way: str) -> set[str]:
    """Return the names of what a path takes: in itself, in the query, in the body."""
    method, path = way.split()
    said = described["paths"][path][method.lower()]
    names = {p["name"] for p in said.get("parameters", ())}
    for content in said.get("requestBody", {}).get("content", {}).values():
        schema = content["schema"]
        for one in (schema, *schema.get("anyOf", ())):
            model = one.get("$ref", "").rpartition("/")[2]
            names |= set(described["components"]["schemas"][model]["properties"]) if model else set()
    return names


def test_every_verb_has_its_door_or_a_reason() -> None:
    assert [d.verb for d in DOORS] == list(dict.fromkeys(d.verb for d in DOORS))
    assert {d.verb for d in DOORS} == set(SAID)
    assert all(bool(d.ways) != bool(d.why) for d in DOORS)


@pytest.mark.parametrize("door", [d for d in DOORS if d.ways], ids=lambda d: d.verb)
def test_every_option_is_taken_or_has_a_reason(described: dict[str, Any], door: Door) -> None:
    there = set().union(*(taken(described, way) for way in door.ways))
    assert set(door.takes) <= set(SAID[door.verb]), "no such option"
    for name in SAID[door.verb]:
        here = door.takes.get(name, EVERYWHERE.get(name, name.removeprefix("--").replace("-", "_")))
        assert isinstance(here, Not) or here in there, f"{door.verb} {name}"


def test_every_path_stands_in_the_table(described: dict[str, Any]) -> None:
    paths = {f"{m.upper()} {path}" for path, methods in described["paths"].items() for m in methods}
    assert paths == {w for d in DOORS for w in d.ways} | {w for ways in BESIDE.values() for w in ways}
    for word in EVERYWHERE:
        assert any(word in names for names in SAID.values()), word
