"""Slips of the unit, of a sign and of a place: told as faults before anything is laid out."""

from __future__ import annotations

from pathlib import Path

import pytest

from stubout import run
from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job, read_job_text
from stubout.job.starter import starter_text
from stubout.problems import JobFileError

INCH = starter_text("inch")
EXAMPLES = Path(__file__).parents[2] / "examples"


def faults_of(text: str, part: str) -> list[str]:
    """Return the faults of a job file that say something; none where it can be read."""
    try:
        read_job_text(text, "house.yaml", book_ids(), framing_ids())
    except JobFileError as caught:
        return [str(f) for f in caught.faults if part in str(f)]
    return []


def told(*changes: tuple[str, str]) -> list[str]:
    text = INCH
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    with pytest.raises(JobFileError) as caught:
        read_job_text(text, "house.yaml", book_ids(), framing_ids())
    return [str(f) for f in caught.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("footprint: 20'-0\"", "footprint: 20000000'-0\"", "found 20000000'-0\", wanted at most 1000'-0\""),
        ("footprint: 20'-0\"", "footprint: 999'-0\"", "wanted a house of at most 200'-0\" a side. Is the unit right?"),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 240 mm, 192 mm", "wanted a house of at least 5'-0\" a side"),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 240 mm, 192 mm", "A bare number counts in `units`, here inch."),
        ("invert: -2'-10 1/2\"", "invert: -9999 ft", "sewer.invert: found -9999'-0\""),
        ("invert: -2'-10 1/2\"", "invert: 2'-10 1/2\"", "what lies below it has a minus"),
        ("at: 3/4\", 15'-11 1/4\"", "at: 3/4\", 15000'-11 1/4\"", "frames[main floor].members.at: found 15000'"),
        ("invert: -2'-10 1/2\"", "invert: -1'-0\"", "`ground at sewer`: the connection lies in the ground. Heights"),
        ("top: -3/4\"", "top: 3/4\"", "wanted -3/4\" at most: subfloor of \"main\" less `panel`"),
        ("stock: 10 ft, 20 ft", "stock: 1 in", "job.stock: found 1\", wanted the lengths pipe is bought in, 2'-0\""),
        ("drain: 4'-5\", 10'-8\"", "drain: 54'-5\", 10'-8\"", "The point counts from the origin of the house"),
        ("    x: 0'-6\", 5'-5\"", "    x: 50'-6\", 55'-5\"", "a place in the house, which is 20'-0\" by 16'-0\""),
        ("to: 19'-9 1/4\", 15'-6 1/2\"", "to: 19'-9 1/4\", 215'-6 1/2\"", "walls[E].to: found x 19'-9 1/4\", y 215'"),
        ("to: 5'-8 1/4\", 15'-6 1/2\"", "to: 5'-8 1/4\", 25'-6 1/2\"", "walls[P].to: found x 5'-8 1/4\", y 25'"),
        ("from: 0'-2 3/4\", 0'-5 1/2\"", "from: 0'-2 3/4\", -5'-0\"", "overhang may pass the footprint, by 4'-0\""),
        ("    y: 6'-4\", 15'-6\"", "    y: 6'-4\", 25'-6\"", "rooms[bath].x: found a room from x"),
        ("trap: 1 1/2\"", "trap: 6\"", "fixtures[LV1].trap: found 6, wanted a size traps are made in, one of 1-1/4"),
        ("  aav: no ", "  said: no wall, no pipe\n  aav: no ", "wanted a list, each text on a line of its own"),
        ("  aav: no ", "  said: no pipe\n  aav: no ", "Write it under the key, as a line of its own: - no pipe"),
        ("rise: 4:12", "rise: 4", "found \"4\", wanted a rise such as 5:12 or 1/4:12. Write 4:12 for 4 in 12."),
        ("rise: 4:12", "rise: 4/12", "Write 4:12."),
        ("rise: 4:12", "rise: 4 in 12", "Write 4:12."),
        ("rise: 4:12", "rise: 1/0:12", "found \"1/0:12\", wanted a rise such as 5:12 or 1/4:12"),
        ("rise: 4:12", "rise: 400:12", "found \"400:12\""),
        ("title: Starter bath", f"title: {'x' * 5000}", "found a text of 5000 characters, wanted at most 4000"),
    ],
)  # fmt: skip
def test_a_slip_of_measure(old: str, new: str, said: str) -> None:
    assert any(said in line for line in told((old, new))), told((old, new))


def test_a_size_no_trap_is_made_in_is_told_on_its_line() -> None:
    (line,) = told(('trap: 1 1/2"', 'trap: 2 1/2"'))
    assert line.startswith(
        f"house.yaml:{INCH[: INCH.index('    trap: 1 1/2')].count(chr(10)) + 1}: fixtures[LV1].trap: "
    )


def test_a_bay_may_pass_the_footprint() -> None:
    text = INCH.replace("from: 0'-2 3/4\", 0'-5 1/2\"", "from: 0'-2 3/4\", -3'-11\"")
    assert text != INCH
    read_job_text(text, "house.yaml", book_ids(), framing_ids())


def test_a_room_that_is_lost_is_told_once() -> None:
    # The bath's fixtures lie outside of it then, but that is not a second fault.
    assert len(told(("    x: 0'-6\", 5'-5\"", "    x: 50'-6\", 55'-5\""))) == 1


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("kind: water closet", "kind: toilet", 'Did you mean "water closet"?'),
        ("kind: lavatory", "kind: basin", 'Did you mean "lavatory"?'),
        ("kind: bathtub", "kind: Tub", 'Did you mean "bathtub"?'),
        ("units: inch", "units: metric", 'Did you mean "mm"?'),
        ("floor: ground", "floor: crawl space", 'Did you mean "ground"?'),
    ],
)
def test_words_of_the_trade_lead_to_the_word_of_the_file(old: str, new: str, said: str) -> None:
    assert said in told((old, new))[0]


def test_a_framing_book_is_no_plumbing_book_and_the_other_way_round() -> None:
    (line,) = told(("book: upc-2021", "book: irc-framing-2021"))
    assert "job.book" in line
    assert "irc-framing-2021, nbc" not in line
    (line,) = told(("framing: irc-framing-2021", "framing: upc-2021"))
    assert "wanted a framing book at hand: irc-framing-2021, nbc-9.23.5" in line


def test_names_that_are_offered_stand_once() -> None:
    lines = told(("  - id: T ", "  - id: P "))
    assert any("(S, N, W, E, P)" in line for line in lines)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"%PDF-1.7\n\xe2\xe3", "a PDF"),
        (INCH.encode("utf-16"), "UTF-16 text"),
        (b"PK\x03\x04....", "a zip or office file"),
        (b"\x89PNG\r\n", "a picture"),
        (b"stubout: 1\0", "no text"),
        (INCH.replace("Example", "Exämple").encode("latin-1"), "not UTF-8"),
        (b'[job]\ntitle = "x"\n', "another kind of file"),
        (b"", "`stubout new`"),
    ],
)
def test_a_file_of_another_kind_is_called_by_its_name(data: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes(data)
    with pytest.raises(JobFileError, match=said):
        read_job(path)


def test_a_folder_is_no_job_file(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="found a folder"):
        read_job(tmp_path)


ROUTE = """routes:
  - id: A
    system: drain
    size: 2"
    through: ["0, 0, 0", "10, 0, -1"]
    fittings: {1: Cleanout, 2: FITTING}
    into: sewer
"""


@pytest.mark.parametrize(
    ("word", "said"),
    [("clean out", 'Did you mean "cleanout"?'), ("sanitary tee", "follow from the run itself")],
)
def test_a_word_at_a_point_of_a_run_is_not_passed_over(word: str, said: str) -> None:
    (line,) = told(("\nwishes:", f"\n{ROUTE.replace('FITTING', word)}\nwishes:"))
    assert "routes[A].fittings.2" in line
    assert said in line


@pytest.mark.parametrize(
    ("through", "points"),
    [
        ('["60, 100, 20", "60, 100, 20"]', ["1 and 2"]),
        ('["60, 100, 20", "60, 90, 20", "60, 90, 20.02", "60, 0, 19"]', ["2 and 3"]),  # half a millimetre
        ('["60, 90, 20", "60, 90, 20", "60, 90, 20", "60, 0, 19"]', ["1 and 2", "2 and 3"]),
    ],
)
def test_two_points_of_a_run_in_the_same_place(through: str, points: list[str]) -> None:
    text = f"routes:\n  - {{id: R1, system: drain, through: {through}, fixture: LV1, into: sewer}}\n"
    lines = told(("\nwishes:", f"\n{text}\nwishes:"))
    assert len(lines) == len(points)
    for line, two in zip(lines, points, strict=True):
        assert "routes[R1].through[no. " in line
        assert f"found points {two} in the same place" in line


AMENDS = """amendments:
  - {value: terminal.above_rof, is: 450 mm, citation: c, author: a, date: d}
  - {value: terminal.above_roof, is: 450, citation: c, author: a, date: d}
  - {value: terminal.above_roof, is: -450 mm, citation: c, author: a, date: d}
  - {value: trap_arm.vent_not_below_weir, is: perhaps, citation: c, author: a, date: d}
  - {value: terminal.above_roof, is: 450 mm, citation: c, author: a, date: d}
"""


def test_faults_of_amendments_have_their_line(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    text = INCH.replace("\nsite:\n", f"\n{AMENDS}site:\n", 1)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobFileError) as caught:
        run.read(str(path))
    first = text[: text.index("  - {value: terminal.above_rof,")].count("\n") + 1
    faults = caught.value.faults
    assert [f.line for f in faults] == [first, first + 1, first + 2, first + 3]
    assert faults[0].path == "amendments[no. 1].value"
    assert faults[0].do == 'Did you mean "terminal.above_roof"?'
    assert faults[1].found == '"450"'
    assert "450 mm" in faults[1].do
    assert faults[2].wanted == "no minus here"
    assert faults[3].wanted == "yes or no"


@pytest.mark.parametrize(
    ("tag", "key", "changed", "n"),
    [
        ("LV1", "at", "", 1), ("LV1", "at", "at: 2'-0 3/4\"", 1), ("LV1", "at", "at: 2'-3\"", 0),
        ("LV1", "at", "side: right", 0), ("LV1", "at", "kind: sink", 0), ("BT1", "drain", "", 1),
        ("WC1", "drain", "kind: bidet", 1), ("BT1", "drain", "drain: 5'-5\", 14'-3 1/2\"", 1),
    ],
)  # fmt: skip
def test_two_fixtures_in_one_place(tag: str, key: str, changed: str, n: int) -> None:
    """Copied and not moved: a tub on the wall of another is told by its station, where its outlet is another."""
    rest = INCH[INCH.index(f"  - tag: {tag}") :]
    entry = rest[: rest.index("\n  - tag:", 5) if "\n  - tag:" in rest[5:] else rest.index("\n\n")]
    copy = entry.replace(f"tag: {tag}", "tag: X9")
    if changed:
        name = changed.split(":", maxsplit=1)[0]
        old = next(line for line in copy.splitlines() if line.strip().startswith(f"{name}:"))
        copy = copy.replace(old, f"    {changed}")
    text = INCH.replace(entry, f"{entry}\n{copy}", 1)
    lines = faults_of(text, "in the same place")
    assert len(lines) == n
    for line in lines:
        assert f'"X9" in the same place as "{tag}" of line ' in line
        assert f".{'at' if 'drain:' in changed else key}: found" in line


def test_a_floor_amid_the_walls_under_it_is_a_slip() -> None:
    # House 06, its upper floor typed two metres too low, and as one half of a split level: no room over another.
    text = (EXAMPLES / "06-duplex-half.yaml").read_text()
    low = text.replace("subfloor: 2787", "subfloor: 787").replace("top: 2769", "top: 769")
    with pytest.raises(JobFileError) as caught:
        read_job_text(low, "house.yaml", book_ids(), framing_ids())
    told_of = [str(f) for f in caught.value.faults if f.path == "levels[upper].subfloor"]
    assert len(told_of) == 1
    assert 'found 787 mm, wanted 2467 mm at least, where the walls of "main" under it end' in told_of[0]
    lines = low.splitlines()
    beside = "\n".join(
        x.replace("x: [2383, 5428]", "x: [153, 2217]") if "title: Bedroom" in x else x for x in lines
    ).replace("y: 5917.5, 7749", "y: 9917.5, 10749")
    with pytest.raises(JobFileError) as caught:  # bath and laundry still lie beside the kitchen only
        read_job_text(beside.replace("[153, 10847]", "[153, 5000]"), "house.yaml", book_ids(), framing_ids())
    assert not [f for f in caught.value.faults if f.path == "levels[upper].subfloor"]


DEMO = Path(run.__file__).parent / "demo" / "demo.yaml"
DISHWASHER = """\
  - tag: DW1
    kind: dishwasher
    room: kitchen
    wall: P
    side: right
    at: 7'-0"
    outlet: 1 1/2"
    from wall: 10"
    rim: 34"
    bowl: 20"
    bowl from: rim
"""
BOX = '      - {width: 24 1/4", what: dishwasher}\n'


@pytest.mark.parametrize(
    ("change", "n"),
    [
        (("", ""), 1),
        (("    dishwasher: disposer\n", "    dishwasher: air gap\n"), 1),
        (("    dishwasher: disposer\n", ""), 0),  # it drains by itself, and the sink says nothing of one
        (("    kind: dishwasher\n    room: kitchen\n", "    kind: dishwasher\n    room: bath\n"), 0),
        ((BOX, BOX.replace("24 1/4", "12 1/8") * 2), 0),  # two of them, each a box of the run
    ],
)  # fmt: skip
def test_a_dishwasher_drains_once(change: tuple[str, str], n: int) -> None:
    """A sink that takes one in says so; the same one drawn as a fixture would get a trap and a drain besides."""
    text = DEMO.read_text(encoding="utf-8").replace("  - tag: WC2\n", f"{DISHWASHER}  - tag: WC2\n", 1)
    text = text.replace(*change, 1)
    lines = faults_of(text, "fixtures[DW1].kind")
    assert len(lines) == n
    for line in lines:
        number = text[: text.index("    kind: dishwasher")].count("\n") + 1
        sink = text[: text.index("  - tag: KS")].count("\n") + 1
        assert line.startswith(f"house.yaml:{number}: ")
        assert 'found "DW1" with a drain of its own, and `dishwasher: ' in line
        assert f'of "KS", line {sink}, wanted one drain for one dishwasher' in line
        assert 'Take "DW1" out' in line
