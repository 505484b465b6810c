"""Amendments: what may be changed, how it is cited, and what is said when it cannot be."""

import pytest

from stubout.files.books import load_book
from stubout.problems import RuleBookError, Status
from stubout.rulebooks import queries as q
from stubout.rulebooks.amend import read_value
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.overlay import Amend


def amend(value_id: str, text: str, reason: str = "") -> Amend:
    return Amend(value_id, text, "By-law 1", "Town of Sample", "2026-02-03", reason)


def test_town_rule_of_house_01() -> None:
    """Vent terminals end 450 above the roof (snow): house 01, job table."""
    book = load_book("npc-2020", [amend("terminal.above_roof", "450 mm", "snow")])
    cell = q.terminal_above_roof(book)
    assert (cell.number, cell.printed, cell.status) == (450, "450 mm", Status.JOB)
    assert cell.amended_by == "By-law 1, Town of Sample, 2026-02-03"
    assert cell.section == "2.5.6.5"
    assert cell.basis.note == "amended: By-law 1, Town of Sample, 2026-02-03; over the book's 150 mm (6 in)"
    assert book.amendments == ("terminal.above_roof = 450 mm (By-law 1, Town of Sample, 2026-02-03)",)


def test_shipped_book_stays_as_it_was(npc: RuleBook) -> None:
    load_book("npc-2020", [amend("terminal.above_roof", "450 mm")])
    assert q.terminal_above_roof(load_book("npc-2020")).number == 150
    assert load_book("npc-2020") is npc


def test_later_amendment_wins() -> None:
    book = load_book("npc-2020", [amend("terminal.above_roof", "450 mm"), amend("terminal.above_roof", "600 mm")])
    assert q.terminal_above_roof(book).number == 600
    assert len(book.amendments) == 2


@pytest.mark.parametrize(
    ("value_id", "text", "value"),
    [
        ("terminal.frost_least", "4 in", 4.0),
        ("wet_vent.slope", "1:40", 1 / 40),
        ("test.hold", "30 min", 30.0),
        ("cleanout.turn", "45 deg", 45.0),
        ("wet_vent.storey_load", "5 FU", 5.0),
        ("vent.stack_fraction", "1/2", 0.5),
        ("aav.allowed", "no", "no"),
        ("wet_vent.same_floor", "yes", True),
        ("terminal.above_roof", "1'-6\"", 457.2),
    ],
)
def test_text_is_read_in_the_unit_of_the_value(value_id: str, text: str, value: object) -> None:
    got = load_book("npc-2020", [amend(value_id, text)]).value(value_id).value
    assert got == pytest.approx(value) if isinstance(value, float) else got is value or got == value


def test_value_the_book_is_silent_on_may_be_added() -> None:
    book = load_book("npc-2020", [amend("plate.trigger", "32 mm")])
    cell = q.plate_trigger(book)
    assert (cell.number, cell.status, cell.section) == (32, Status.JOB, "")
    assert cell.what == "Shield plate where pipe is nearer to the member's face than"


@pytest.mark.parametrize("cell_id", ["trap_arm[1.5]", "trap_arm[size_in=1.5]", "trap_arm[1.50]"])
def test_table_cell(cell_id: str) -> None:
    book = load_book("npc-2020", [amend(cell_id, "1.5 m")])
    cell = q.arm_max_length(book, 1.5)
    assert (cell.id, cell.number, cell.status) == ("trap_arm[1.5]", 1500, Status.JOB)
    assert cell.note == "book: 1.8 m"
    assert q.arm_max_length(book, 2.0).status is Status.SECONDARY


def test_table_cell_with_words_and_one_not_permitted() -> None:
    book = load_book("npc-2020", [amend("fixture_load[clothes washer]", "2 FU"), amend("vent_length[42,1.25]", "3 m")])
    from stubout.house.model import FixtureKind  # noqa: PLC0415

    assert q.fixture_load(book, FixtureKind.CLOTHES_WASHER).number == 2
    free = q.vent_max_length(book, vent_in=1.25, load=42, stack=False, stack_in=2.0)
    assert free is not None
    assert (free.number, free.note) == (3000, "book: not permitted")


@pytest.mark.parametrize(
    ("value_id", "text", "message"),
    [
        ("terminal.above_rof", "1 m", r"no value 'terminal.above_rof' to amend; did you mean 'terminal.above_roof'"),
        ("trap_arm[1.6]", "1 m", r"no value 'trap_arm\[1.6\]' to amend; did you mean 'trap_arm\[1.5\]'"),
        ("trap_arms[1.5]", "1 m", r"did you mean 'trap_arm\[1.5\]'"),
        ("terminal.above_roof", "tall", r"amendment of terminal.above_roof: found 'tall'"),
        ("aav.allowed", "maybe", r"found 'maybe', wanted yes \| no \| ask"),
        ("wet_vent.same_floor", "perhaps", r"wanted yes or no"),
        ("stack[3]", "many", r"wanted a number \(FU\)"),
        ("vent.stack_fraction", "1/0", r"wanted a number"),
    ],
)
def test_what_cannot_be_amended_is_said(value_id: str, text: str, message: str) -> None:
    with pytest.raises(RuleBookError, match=message):
        load_book("npc-2020", [amend(value_id, text)])


def test_parent_value_is_amended_in_the_child() -> None:
    book = load_book("irc-2021", [amend("cleanout_spacing[15]", "50 ft")])
    cell = q.cleanout_spacing(book, 3.0)
    assert cell.number == pytest.approx(50 * 304.8)
    assert q.cleanout_spacing(load_book("ipc-2021"), 3.0).number == pytest.approx(100 * 304.8)


def test_an_amended_value_has_the_unit_it_is_kept_in() -> None:
    said = [amend("terminal.above_roof", "450 mm"), amend("wet_vent.same_floor", "yes"), amend("stack[3]", "90 FU")]
    book = load_book("npc-2020", said)
    assert [book.value(i).unit for i in ("terminal.above_roof", "wet_vent.same_floor")] == ["mm", ""]
    assert q.stack_capacity(book, 3.0).unit == "FU"


def test_what_an_amendment_lies_over_where_the_book_has_no_figure() -> None:
    """NPC 2020 is silent on shield plates; a 1-1/4 in vent of 42 FU is not permitted (table 2.5.8.3)."""
    book = load_book("npc-2020", [amend("plate.trigger", "32 mm"), amend("vent_length[42,1.25]", "3 m")])
    silent = q.plate_trigger(book)
    assert (silent.note, silent.over, silent.book) == ("the book itself is silent", (), "npc-2020")
    barred = q.vent_max_length(book, vent_in=1.25, load=42, stack=False, stack_in=2.0)
    assert barred is not None
    assert (barred.note, barred.over) == ("book: not permitted", ("the book's: not permitted",))


@pytest.mark.parametrize("text", ["1-1/2 in", "1 1/2", '1-1/2"'])
def test_a_size_is_read_as_the_trade_writes_it(text: str) -> None:
    assert read_value("terminal.frost_least", text, "in", ()) == 1.5


def test_a_rule_in_words_wants_words() -> None:
    with pytest.raises(RuleBookError, match=r"amendment of a.b: found '', wanted words$"):
        read_value("a.b", "  ", "", ())
    assert read_value("a.b", " as drawn ", "", ()) == "as drawn"
