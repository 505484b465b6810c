"""The table of windows on the wall sheets: every mark and every rule that binds is on it, by the number of the mark."""

from itertools import pairwise

from stubout.sheets.model import LETTER, Text
from stubout.sheets.titleblock import body
from stubout.sheets.wall import wall_marks
from stubout.sheets.wall_facts import marks, sides_with_work
from stubout.sheets.wall_windows import amount, gathered_pages, window_table

HEAD = "How far a mark may be off"


def words(sheet):
    return [i.text for i in sheet.items if isinstance(i, Text)]


def holding(sheets, wall, side):
    """Return the sheets with the windows of a wall side: behind its marks, under them, or with those of other walls."""
    code, title = f"wall-{wall.id}-{side[0].upper()}", f"Wall {wall.id}, {side} side: how far a mark may be off"
    own = [s for s in sheets if s.id.startswith((f"{code}-marks", f"{code}-windows")) and HEAD in words(s)]
    return own or [s for s in sheets if title in words(s)]


def test_a_table_behind_the_marks_of_every_side(demo, demo_windows):
    sheets = wall_marks(demo, demo_windows)
    ids = [s.id for s in sheets]
    for wall in demo.house.walls:
        for side in sides_with_work(demo, wall):
            found = holding(sheets, wall, side)
            assert found
            assert all(ids.index(s.id) > ids.index(f"wall-{wall.id}-{side[0].upper()}") for s in found)


def test_no_table_where_no_window_is_known(demo):
    assert not [s for s in wall_marks(demo) if "windows" in s.id or HEAD in words(s)]


def test_every_amount_with_its_rule_and_number(demo, demo_windows):
    sheets = wall_marks(demo, demo_windows)
    for wall in demo.house.walls:
        for side in sides_with_work(demo, wall):
            on = [w for s in holding(sheets, wall, side) for w in words(s)]
            here = [w for w in demo_windows if (w.wall, w.side) == (wall.id, side)]
            assert {f"{amount(demo, w)} {w.check}".strip() for w in here} <= set(on)
            told = {(w.kind, w.about) for w in here}
            numbers = {str(m.number) for m in marks(demo, wall, side) if (m.kind, m.about) in told}
            assert numbers <= set(on)
            assert all(w.name in " ".join(on) for w in here if w.bound)


def test_short_tables_share_a_page_and_none_is_lost(demo, demo_windows):
    tables = [
        (wall, side, table)
        for wall in demo.house.walls
        for side in sides_with_work(demo, wall)
        if (table := window_table(demo, wall, side, marks(demo, wall, side), demo_windows)) is not None
    ]
    pages = gathered_pages(tables, LETTER)
    assert len({s.id for s in pages}) == len(pages) <= len(tables)
    for wall, side, table in tables:
        head = f"Wall {wall.id}, {side} side: how far a mark may be off"
        (page,) = (s for s in pages if head in words(s))
        assert {c for r in table.grid.rows for c in r if c} <= set(words(page))
        assert all(rule in " ".join(words(page)) for rule in table.rules)
    low = body(LETTER)[1]
    for page in pages:
        heads = [i.at[1] for i in page.items if isinstance(i, Text) and i.layer == "table:title"]
        assert all(a > b for a, b in pairwise(heads))
        assert all(i.at[1] > low for i in page.items if isinstance(i, Text))
