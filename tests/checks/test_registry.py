"""The list of checks against the folder, and every check's page."""

import importlib.util
import re
from dataclasses import replace
from pathlib import Path

import pytest

from stubout.checks.base import HEADS, check
from stubout.checks.registry import ALIASES, CHECKS, by_id
from stubout.problems import Level, NotInBook

FOLDER = Path(importlib.util.find_spec("stubout.checks.rules").submodule_search_locations[0])
FILES = {p.stem for p in FOLDER.glob("*.py") if p.stem != "__init__"}


def test_registry_is_the_folder():
    assert {c.id.lower() for c in CHECKS} == FILES
    assert len(CHECKS) == len(FILES) >= 45


def test_ids_and_names_are_unique_and_in_order():
    assert [c.id for c in CHECKS] == sorted(c.id for c in CHECKS)
    assert len({c.name for c in CHECKS}) == len(CHECKS)
    assert not set(ALIASES) & {c.id for c in CHECKS}
    assert all(by_id(c.id.lower()) is c for c in CHECKS)
    assert by_id("XXX999") is None


@pytest.mark.parametrize("one", CHECKS, ids=lambda c: c.id)
def test_page_of_a_check(one):
    assert re.fullmatch(r"[A-Z]{3}\d{3}", one.id)
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.name)
    assert (
        not one.name.startswith(
            ("check", "no-"),
        )
        or one.name == "no-height-for-stub-out"
    )
    assert one.title.endswith(".")
    parts = re.split(r"^ *## (.+)$", one.page, flags=re.M)
    assert tuple(parts[1::2]) == HEADS
    assert all(len(text.strip()) > 3 for text in parts[2::2])


def test_checks_do_not_import_each_other():
    for stem in FILES:
        text = (FOLDER / f"{stem}.py").read_text()
        assert "stubout.checks.rules" not in text
        assert "stubout.layout." not in text.replace("stubout.layout.model", "")
        assert "stubout.sizing" not in text
        assert text.startswith(f'"""{stem.upper()} ')


def test_no_number_of_a_code_in_a_check():
    """Numbers are zero, halves, counts, or a named tolerance with its reason beside it."""
    free = {"0.0", "1.0", "0.5", "2.0", "-1.0", "1", "2", "0", "3", "25.4", "60", "45.0", "1000"}
    for stem in FILES:
        source = (FOLDER / f"{stem}.py").read_text()
        code = re.sub(r'""".*?"""', "", source, flags=re.S)
        lines = [ln for ln in code.splitlines() if not re.match(r"^[A-Z_]+\b.*=", ln)]
        for ln in lines:
            bare = re.sub(r'f?"[^"]*"', "", ln.split("#")[0])
            for number in re.findall(r"(?<![\w.])\d+\.\d+", bare):
                assert float(number) <= 100 or number in free, (stem, ln)


def test_silent_book_becomes_not_checked(kit):
    @check("ZZZ999", "made-up", Level.FIX)
    def silent(on):
        """Ask for what no book has."""
        yield on.finding(about=("X",), found="f", wanted="w", do="d", why="y")
        raise NotInBook("the book has no such value")

    findings, unjudged = silent.run(kit.design())
    assert [f.about for f in findings] == [("X",)]
    assert [n.reason for n in unjudged] == ["the book has no such value"]


def test_every_check_runs_with_an_empty_book(kit):
    """A book that knows nothing raises nothing: every question it cannot answer is reported or judged without it."""
    d = kit.design()
    bare = replace(d.book, tables={}, values={}, clauses={})
    findings, silent = kit.run_all(replace(d, book=bare))
    asked = {n.check for n in silent}
    assert {"ARM001", "ARM002", "ARM003", "DRN001", "DRN007", "VNT005", "TRM001"} <= asked
    assert {f.check for f in findings} <= {"FIT005"}


def test_clause_of_the_book_comes_first(kit):
    d = kit.design(edit={"A1": {"a": (1900, 609, 533.4)}}, kinds={(1900, 609, 533.4): "trap"})
    (f,) = kit.found("ARM001", d)
    assert f.bases[0].book == d.book.id
    assert f.bases[0].section


@pytest.mark.parametrize("book", ["npc-2020", "upc-2021", "irc-2021", "ipc-2021"])
def test_all_books_run(kit, book):
    kit.run_all(kit.design(book=book))
