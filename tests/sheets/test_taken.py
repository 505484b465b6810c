"""Where paper is taken, at its edges and off it: nothing that lies off the sheet disturbs what lies on it."""

from __future__ import annotations

import pytest

from stubout.sheets.taken import CELL_MM, Taken

WIDE, HIGH = 200.0, 150.0
BOX = (60.0, 70.0, 80.0, 75.0)


@pytest.fixture
def paper() -> Taken:
    taken = Taken(WIDE, HIGH)
    taken.take(BOX, "hard")
    return taken


@pytest.mark.parametrize("y", [-6.8, -60.0, HIGH + 6.8, HIGH + 400.0])
@pytest.mark.parametrize("at", [0.0, 3.0])
def test_a_line_off_the_paper_takes_nothing_and_forgets_nothing(paper: Taken, y: float, at: float) -> None:
    before = paper.count(paper.patch(BOX), "hard")
    paper.take_line((130.0, y), (130.0 + at, y), "firm")
    assert paper.free((100.0, 100.0, 120.0, 105.0)) is not None
    assert paper.free(BOX) is None
    assert paper.count(paper.patch(BOX), "hard") == before
    assert paper.count(paper.patch((120.0, 0.0, 140.0, HIGH)), "firm") == 0


@pytest.mark.parametrize(
    "box",
    [(-30.0, -20.0, -10.0, -5.0), (10.0, HIGH + 20.0, 30.0, HIGH + 25.0), (WIDE + 60.0, 20.0, WIDE + 70.0, 25.0)],
)
def test_a_box_off_the_paper_can_be_asked_for_and_taken(paper: Taken, box: tuple[float, float, float, float]) -> None:
    assert paper.free(box) is not None
    paper.take(box, "hard")
    assert paper.free(BOX) is None


def test_a_line_that_leaves_the_paper_is_taken_as_far_as_it_is_on_it(paper: Taken) -> None:
    paper.take_line((10.0, -20.0), (10.0, 20.0), "firm")
    assert paper.count(paper.patch((9.0, 0.0, 11.0, 30.0)), "firm") == pytest.approx(20.0 / CELL_MM, abs=2)
