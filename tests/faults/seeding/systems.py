"""The clean systems that faults are seeded into: drawn by hand and designed by the program, under every book.

Each is made once a run. What a system needs to be clean under a book (a washer drain one size larger, say) is the
difference between the books and stands in `SIZES`.
"""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from string import Template

from laid_out import once

from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.fabrication.build import fabricate
from stubout.files.books import book_ids, load_book
from stubout.files.jobs import read_job
from stubout.house.model import House
from stubout.house.resolve import resolve
from stubout.job.starter import starter_text
from stubout.layout.engine import lay_out
from stubout.layout.model import Layout
from stubout.network.build import build, faults_of
from stubout.network.model import Network
from stubout.problems import Derivation, Finding, Level, Question
from stubout.rulebooks.model import RuleBook
from stubout.sizing.size import size

HERE = Path(__file__).parents[1]
EXAMPLES = HERE.parents[1] / "examples"
BOOKS = ("npc-2020", "upc-2021", "ipc-2021", "irc-2021")
GRAVE = (Level.STOP, Level.FIX)

# The building drain of the NPC is 4 in at least; under the IPC what a washer shares with others is 3 in, and its drop
# is drawn so.
SIZES = {
    "npc-2020": {"main": '4"', "washer": '2"', "framing": "nbc-9.23.5"},
    "upc-2021": {"main": '3"', "washer": '2"', "framing": "irc-framing-2021"},
    "ipc-2021": {"main": '3"', "washer": '3"', "framing": "irc-framing-2021"},
    "irc-2021": {"main": '3"', "washer": '2"', "framing": "irc-framing-2021"},
}
# The IPC leaves the height of a terminal above the roof to the town.
TOWN = """
amendments:
  - {value: terminal.above_roof, is: 152 mm, citation: town rule 7, author: Inspector I, date: 2026-01-15}
"""
SINK_CLEANOUT = """\
  - id: CO2                   # in the drop of the kitchen sink, reached through the sink base
    system: drain
    size: 2"
    through:
      - 8'-5 1/2", 12'-0 3/4", 10.115"
      - 8'-0", 12'-0 3/4", 10"
    fittings:
      1: cleanout
    into: D-KS
  # Vents: all join"""


@dataclass(frozen=True)
class Made:
    """One finished system, with the stages it came through and what the checks say of it."""

    house: House
    book: RuleBook
    framing: RuleBook
    layout: Layout
    questions: tuple[Question, ...]
    network: Network
    derivations: tuple[Derivation, ...]
    design: Design
    findings: tuple[Finding, ...]


def text(name: str, book: str) -> str:
    """Return the job file of a system under a book."""
    town = TOWN if book == "ipc-2021" else ""
    if name == "demo":
        said = (HERE.parents[1] / "src/stubout/demo/demo.yaml").read_text(encoding="utf-8")
    elif name == "bath":
        said = (EXAMPLES / "drawn-bath.yaml").read_text(encoding="utf-8").replace("  # Vents: all join", SINK_CLEANOUT)
        for leg in ("BD", "CO1"):
            said = re.sub(rf"(- id: {leg}\b.*\n +system: drain\n +size: )3\"", rf"\g<1>{SIZES[book]['main']}", said)
    elif name.startswith("starter"):
        said = starter_text("inch" if name.endswith("inch") else "mm").replace("head: 3000", "head: 3050")
    else:
        page = (HERE / "jobs" / f"{name}.yaml").read_text(encoding="utf-8")
        return Template(page).substitute(SIZES[book], book=book, amendments=town)
    said = re.sub(r"(?m)^( +book:\s+)\S+", rf"\g<1>{book}", said, count=1)
    return re.sub(r"(?m)^climate:", f"{town.lstrip()}\nclimate:", said, count=1) if town else said


@cache
def system(name: str, book: str) -> Made:
    """Return a clean system under a book."""
    return once(f"system {name} {book} {text(name, book)}", lambda: _system(name, book))


def _system(name: str, book: str) -> Made:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}-{book}.yaml"
        path.write_text(text(name, book), encoding="utf-8")
        job = read_job(path, book_ids())
    house, questions = resolve(job)
    rules, framing = load_book(house.job.book_id, house.amendments), load_book(house.job.framing_id)
    layout = lay_out(house, rules, framing)
    return finish(house, rules, framing, layout, questions=tuple(dict.fromkeys(questions + layout.questions)))


def finish(
    house: House, book: RuleBook, framing: RuleBook, layout: Layout, *, questions: tuple[Question, ...] = ()
) -> Made:
    """Return the finished system of a layout: network, sizes, fabrication, and what the checks say."""
    network, derivations = size(build(layout, house, book), layout, house, book, framing)
    design = Design(
        house=house,
        book=book,
        framing=framing,
        network=network,
        stubs=layout.stubs,
        cleanouts=layout.cleanouts,
        fabrication=fabricate(network, layout, house, book, framing),
        derivations=derivations,
        questions=questions,
        blocked=tuple(dict.fromkeys(layout.blocked + faults_of(layout))),
    )
    return Made(house, book, framing, layout, questions, network, derivations, design, run_all(design)[0])
