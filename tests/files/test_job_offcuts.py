"""Offcuts on hand: read, refused with file and line, and used by the stock plan of a whole job."""

from __future__ import annotations

import pytest

from stubout import run
from stubout.catalog.model import MM_PER_INCH as IN
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.job.starter import starter_text
from stubout.problems import JobFileError
from stubout.reports.model import Paragraph, TableBlock
from stubout.reports.stock import stock_page

STARTER = starter_text("inch")
LINES = STARTER.count("\n")


def read(more: str):
    return read_job_text(STARTER + more, "house.yaml", book_ids(), framing_ids())


def test_lengths_of_a_size_are_read() -> None:
    job = read('offcuts:\n  - size: 1 1/2\n    lengths: 4\'-3", 31"\n  - {size: 2, lengths: [22 in]}\n')
    assert [o.size for o in job.offcuts] == [1.5, 2.0]
    assert [mm for o in job.offcuts for mm in o.lengths] == pytest.approx([51 * IN, 31 * IN, 22 * IN])
    assert read("").offcuts == ()


@pytest.mark.parametrize(
    ("more", "line", "said"),
    [
        ("offcuts:\n  - size: 2\n    lengths: 31\", -4\"\n", 3, "offcuts[no. 1].lengths: found -4\", wanted the"),
        ("offcuts:\n  - size: 2\n    lengths: []\n", 3, "no length"),
        ("offcuts:\n  - lengths: 31\"\n", 2, "size"),
        ("offcuts:\n  - size: 2\n    length: 31\"\n", 3, 'Did you mean "lengths"?'),
        ("offcuts:\n  - size: 7\n    lengths: 31\"\n", 2, "size"),
        ("offcuts:\n  - size: 2\n    lengths: 31 parrots\n", 3, "31 parrots"),
        ("offcuts:\n  - size: 2\n    lengths: 3100'\n", 3, "1000'-0\""),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_line(more: str, line: int, said: str) -> None:
    with pytest.raises(JobFileError) as caught:
        read(more)
    told = [str(f) for f in caught.value.faults]
    assert any(t.startswith(f"house.yaml:{LINES + line}") and said in t for t in told), told


def test_a_job_is_cut_from_them_first() -> None:
    bare = run.design(read("")).fabrication
    design = run.design(
        read('offcuts:\n  - size: 1 1/2\n    lengths: 4\'-3", 31", 1"\n  - {size: 4, lengths: 20 in}\n')
    )
    fab = design.fabrication
    used = [s for s in fab.sticks if s.on_hand]
    assert {round(s.stock_mm / IN, 6) for s in used} <= {51.0, 31.0}
    assert used
    of, was = (next(s for s in f.stock if s.size_in == 1.5) for f in (fab, bare))
    assert of.on_hand == len(used)
    assert of.bought_mm <= was.bought_mm
    assert of.bound_mm <= of.bought_mm
    assert len({i for s in fab.sticks for i in s.pieces}) == len({i for s in bare.sticks for i in s.pieces})
    lines = [m for m in fab.materials if m.group == "pipe"]
    assert sum(m.quantity for m in lines) == sum(not s.on_hand for s in fab.sticks)
    assert any("on hand" in m.note for m in lines if m.size == "1-1/2") or of.sticks == 0
    blocks = stock_page(design).blocks
    assert any(isinstance(b, Paragraph) and 'Not used: 4" 1\'-8", 1-1/2" ' in b.text for b in blocks)
    table = [b for b in blocks if isinstance(b, TableBlock)][-1]
    assert any("on hand" in cell for row in table.rows for cell in row)
