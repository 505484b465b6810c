"""Looking values up by words."""

from dataclasses import replace

from small_books import CELL, only

from stubout.files.books import load_book
from stubout.rulebooks import lookup
from stubout.rulebooks.model import RuleBook
from stubout.rulebooks.overlay import Amend


def test_finds_a_row_with_value_clause_and_status(npc: RuleBook) -> None:
    lines = lookup.search(npc, "trap arm 2 in longest")
    assert any(
        line.startswith(
            "trap_arm[2]: Longest trap arm, weir to vent fitting, 2 in: 2.4 m (npc-2020 2.5.6.3; secondary †"
        )
        for line in lines
    )


def test_finds_by_section_and_by_id(npc: RuleBook) -> None:
    assert any("terminal.above_roof:" in line for line in lookup.search(npc, "2.5.6.5"))
    assert lookup.search(npc, "terminal.lot_line")[0].startswith(
        "terminal.lot_line: Vent terminal from the lot line: 1.8 m"
    )


def test_says_not_permitted_and_not_limited(npc: RuleBook) -> None:
    assert any("not permitted" in line for line in lookup.search(npc, "vent_length[42,1.25]"))
    assert any("not limited" in line for line in lookup.search(npc, "vent_length[8,3]"))


def test_suggests_near_words(npc: RuleBook) -> None:
    (line,) = lookup.search(npc, "termnal")
    assert line == "npc-2020 has nothing on 'termnal'; did you mean terminal?"
    assert lookup.search(npc, "")[0].startswith("npc-2020 has nothing on")


def test_parent_book_is_named(irc: RuleBook) -> None:
    assert any("ipc-2021 708.1" in line for line in lookup.search(irc, "cleanouts apart"))


def test_limit(npc: RuleBook) -> None:
    lines = lookup.search(npc, "vent", limit=5)
    assert len(lines) == 6
    assert lines[-1].startswith("... and ")


def test_ids_and_silence(npc: RuleBook) -> None:
    ids = lookup.all_ids(npc)
    assert ids == tuple(sorted(ids))
    assert {"trap_arm[1.5]", "terminal.above_roof", "fixture_load[dishwasher,joined]"} <= set(ids)
    assert "plate.trigger" in lookup.silent_on(npc)


def test_amended_value_names_its_citation() -> None:
    book = load_book("npc-2020", [Amend("terminal.above_roof", "450 mm", "By-law 1", "town", "2026-02-03")])
    (line,) = lookup.search(book, "terminal.above_roof:")[:1]
    assert "450 mm" in line
    assert "amended: By-law 1, town, 2026-02-03" in line
    assert "†" not in line


def test_how_many_lines_there_are_more(npc: RuleBook) -> None:
    every = lookup.search(npc, "vent", limit=9999)
    assert lookup.search(npc, "vent", limit=len(every)) == every
    assert lookup.search(npc, "vent", limit=len(every) - 1) == (*every[:-1], "... and 1 more")
    many = lookup.search(npc, "FU", limit=9999)
    assert len(many) > 202
    assert lookup.search(npc, "FU") == (*many[:200], f"... and {len(many) - 200} more")


def test_the_parts_of_an_id_are_words_to_look_for() -> None:
    book = only({"zig.zag_zug": replace(CELL, id="zig.zag_zug", what="x", note="")})
    for word in ("zig", "zag", "zug", "zig.zag"):
        assert lookup.search(book, word)[0].startswith("zig.zag_zug: x")


def test_words_of_two_letters_are_not_suggested_and_two_at_most() -> None:
    book = only({"a.b": replace(CELL, id="a.b", what="wye up trap traps trapped", note="")})
    assert lookup.suggestions(book, ["wyes"]) == ("wye",)
    assert lookup.suggestions(book, ["upp"]) == ()
    assert lookup.suggestions(book, ["trapp"]) == ("trap", "trapped")
