"""The table of windows on the wall sheets: every mark and every rule that binds is on it, by the number of the mark."""

from stubout.sheets.model import Text
from stubout.sheets.wall import wall_marks
from stubout.sheets.wall_facts import marks, sides_with_work
from stubout.sheets.wall_windows import amount


def words(sheet):
    return [i.text for i in sheet.items if isinstance(i, Text)]


def test_a_table_behind_the_marks_of_every_side(demo, demo_windows):
    ids = [s.id for s in wall_marks(demo, demo_windows)]
    for wall in demo.house.walls:
        for side in sides_with_work(demo, wall):
            code = f"wall-{wall.id}-{side[0].upper()}"
            assert ids.index(f"{code}-windows") > ids.index(code)


def test_no_table_where_no_window_is_known(demo):
    assert not [s for s in wall_marks(demo) if "windows" in s.id]


def test_every_amount_with_its_rule_and_number(demo, demo_windows):
    sheets = {s.id: s for s in wall_marks(demo, demo_windows)}
    for wall in demo.house.walls:
        for side in sides_with_work(demo, wall):
            on = words(sheets[f"wall-{wall.id}-{side[0].upper()}-windows"])
            here = [w for w in demo_windows if (w.wall, w.side) == (wall.id, side)]
            assert {f"{amount(demo, w)} {w.check}".strip() for w in here} <= set(on)
            numbers = {str(m.number) for m in marks(demo, wall, side) if m.about in {w.about for w in here}}
            assert numbers <= set(on)
            assert all(w.name in " ".join(on) for w in here if w.bound)
