"""An empty desk of a house: what single parts of the layout are drawn on."""

from __future__ import annotations

from stubout.files.books import load_book
from stubout.house.resolve import resolve
from stubout.job.model import Job
from stubout.layout.cavity import Cavity
from stubout.layout.draft import Board
from stubout.layout.needs import Demands, gauges
from stubout.layout.space import Space
from stubout.layout.stubs import stub_marks
from stubout.layout.work import Work


def desk_of(job: Job, *, marked: bool = False) -> Work:
    """Return an empty desk for the house of a job; with the marks of its stub-outs if they are wanted."""
    house, _ = resolve(job)
    book, framing = load_book(house.job.book_id, house.amendments), load_book(house.job.framing_id)
    demands = Demands(house, book, framing, gauges(house.job.material))
    limits, edges = demands.joist_limits()
    space = Space(house, limits, edges, demands.stud_limit)
    cavity = Cavity(house, space, demands.stud_limit)
    needs = {f.tag: demands.need(f) for f in house.fixtures}
    marks = stub_marks(house, book, {t: n.arm_in for t, n in needs.items()}) if marked else ()
    return Work(house, book, framing, demands, space, cavity, Board(), needs, {m.tag: m for m in marks})
