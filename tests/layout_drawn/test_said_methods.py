"""What the job says of a drawn drain (`vents by`): whose air comes through it, and how far a trap arm goes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from string import Template

import pytest

from stubout.files.books import load_book
from stubout.files.jobs import read_job_text
from stubout.house.resolve import resolve
from stubout.layout.drawn import read_drawing
from stubout.layout.engine import lay_out
from stubout.layout.model import VentMethod
from stubout.network.build import build
from stubout.problems import JobFileError
from stubout.sizing.size import size

JOB = Path(__file__).parents[1] / "faults" / "jobs" / "circuit.yaml"
WORDS = {"book": "upc-2021", "framing": "irc-framing-2021", "main": '3"', "washer": '2"', "amendments": ""}
TEXT = Template(JOB.read_text(encoding="utf-8")).substitute(WORDS)


def house(text: str = TEXT):
    return resolve(read_job_text(text))[0]


def test_three_showers_get_their_air_through_the_branch() -> None:
    traps = {t.tag: t for t in read_drawing(house()).traps}
    assert {t: p.method for t, p in traps.items()} == {
        "SH1": VentMethod.CIRCUIT,
        "SH2": VentMethod.CIRCUIT,
        "SH3": VentMethod.CIRCUIT,
        "LV": VentMethod.INDIVIDUAL,
    }
    assert traps["SH1"].arm_runs == ("A-SH1",)  # the arm ends where the branch begins, not at the vent below
    assert traps["SH1"].wet_through == ("C.1",)  # air comes up to it from below
    assert traps["SH3"].wet_through == ("C.3", "C.2")


def test_without_the_word_the_first_arm_runs_on_to_the_vent() -> None:
    traps = {t.tag: t for t in read_drawing(house(TEXT.replace("    vents by: circuit\n", ""))).traps}
    assert traps["SH1"].method is VentMethod.INDIVIDUAL
    assert traps["SH1"].arm_runs == ("A-SH1", "C.1")
    assert traps["SH3"].method is VentMethod.WET


def test_a_drain_of_a_method_without_a_vent_vents_nobody() -> None:
    h = house()
    bare = replace(h, routes=tuple(r for r in h.routes if r.id != "V-C"))
    assert {t.method for t in read_drawing(bare).traps if t.tag != "LV"} == {VentMethod.NONE}


def test_the_word_goes_with_the_pipes_and_is_sized_as_a_drain() -> None:
    h = house()
    book, framing = load_book("upc-2021"), load_book("irc-framing-2021")
    layout = lay_out(h, book, framing)
    net, _ = size(build(layout, h, book), layout, h, book, framing)
    assert {p.id for p in net.pipes if p.vents_by is VentMethod.CIRCUIT} == {"C.1", "C.2", "C.3", "C.4"}
    assert {p.size_in for p in net.pipes if p.id.startswith("C.")} == {3.0}


def test_a_partly_drawn_house_keeps_the_word() -> None:
    text = TEXT[: TEXT.index("  - id: A-LV\n")] + TEXT[TEXT.index("  - id: BD\n") : TEXT.index("  - id: V-LV\n")]
    h = house(text)
    layout = lay_out(h, load_book("upc-2021"), load_book("irc-framing-2021"))
    assert {r.vents_by for r in layout.runs if r.id.startswith("C.")} == {VentMethod.CIRCUIT}
    assert {t.method for t in layout.traps if t.tag.startswith("SH")} == {VentMethod.CIRCUIT}


def test_a_vent_cannot_be_said_to_vent_what_joins_it() -> None:
    text = TEXT.replace("  - id: V-C\n    system: vent\n", "  - id: V-C\n    system: vent\n    vents by: circuit\n")
    with pytest.raises(JobFileError) as fault:
        house(text)
    assert any("vents by" in str(f) for f in fault.value.faults)


def test_an_unknown_method_is_refused() -> None:
    with pytest.raises(JobFileError) as fault:
        read_job_text(TEXT.replace("vents by: circuit", "vents by: hope"))
    assert any("circuit" in str(f) for f in fault.value.faults)
