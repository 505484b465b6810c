"""What the view from all sides says of a plan: its pipes as a list, its levels, the words of its script."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final

from stubout.run_field.words import Say, noted
from stubout.web.along.spoken import said_in

MODEL: Final = "model.glb"  # of the files of a plan
KINDS: Final = (
    ("drain", noted("drains")), ("vent", noted("vents")), ("fitting", noted("fittings")),
    ("wood", noted("walls and frames")), ("cabinet", noted("cabinets")), ("fixture", noted("fixtures")),
)  # fmt: skip
TURNS: Final = (
    ("left", "↺", noted("Left")), ("right", "↻", noted("Right")), ("up", "↑", noted("Up")),
    ("down", "↓", noted("Down")), ("nearer", "+", noted("Nearer")), ("farther", "−", noted("Farther")),
    ("top", "", noted("Top")), ("front", "", noted("Front")), ("whole", "", noted("Whole")),
)  # fmt: skip
# What the model says of a pipe.
PIPE_WORDS: Final = (
    noted("fixture drain"), noted("trap arm"), noted("drain"), noted("branch"), noted("stack"), noted("building drain"),
    noted("building sewer"), noted("vent"), noted("branch vent"), noted("stack vent"), noted("foot vent"),
    noted("vent header"), noted("cleanout extension"), noted("plumb"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Solids:
    """The bodies of a plan, as they are listed."""

    pipes: tuple[dict[str, Any], ...]  # what the model says of each
    levels: tuple[str, ...]  # that something stands on, from below

    kinds = KINDS
    turns = TURNS


def document_of(data: bytes) -> dict[str, Any]:
    """Return the description of a GLB file of ours."""
    size = int(struct.unpack_from("<I", data, 12)[0])
    found: dict[str, Any] = json.loads(data[20 : 20 + size])
    return found


def nodes_of(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what stands beside every body."""
    return [n["extras"] for n in document.get("nodes", [])]


def solids_of(data: bytes) -> Solids:
    """Return what a model of ours is listed by."""
    document = document_of(data)
    told = nodes_of(document)
    named = {n["level"] for n in told}
    levels = document["scenes"][0]["extras"]["levels"]
    return Solids(tuple(n for n in told if n["kind"] == "pipe"), tuple(v for v in levels if v in named))


@lru_cache(maxsize=1)
def script_words() -> tuple[str, ...]:
    """Return the labels that the script of the view speaks."""
    return said_in(files("stubout.web").joinpath("static", "model.js").read_text(encoding="utf-8"))


def spoken(say: Say) -> str:
    """Return the words of the script in a language, as JSON; those that stay English are not among them."""
    every = (*script_words(), *PIPE_WORDS)
    return json.dumps({w: say(w) for w in every if say(w) != w}, ensure_ascii=False)
