"""`stubout books` end to end, in process."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from stubout.cli.exits import Exit
from stubout.cli.main import app
from stubout.files.books import book_ids
from stubout.files.demo import demo_text

RAN = (Exit.CLEAN, Exit.FINDINGS, Exit.BLOCKED)

pytestmark = pytest.mark.usefixtures("laid_out_once")


def stubout(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("job") / "job.yaml"
    path.write_text(demo_text() + "\nchoices:\n  - drawn: as usual\n", encoding="utf-8")  # drawn once, not searched
    return path


def test_every_book_is_counted_and_the_word_show_may_be_left_away() -> None:
    result = stubout("books")
    assert result.exit_code == Exit.CLEAN
    assert all(f"\n{book_id} " in result.output for book_id in book_ids())
    assert stubout("books", "show").output == result.output
    data = json.loads(stubout("books", "--json").stdout)
    assert [b["id"] for b in data["books"]] == list(book_ids())
    for one in data["books"]:
        for kind in ("values", "cells", "clauses"):
            assert {"read", "derived", "secondary", "estimate", "memory"} <= set(one[kind])


@pytest.mark.parametrize("book_id", book_ids())
def test_a_book_is_printed_whole(book_id: str) -> None:
    result = stubout("books", book_id)
    assert result.exit_code == Exit.CLEAN, result.output
    data = json.loads(stubout("books", book_id, "--json").stdout)
    assert {"schema", "book", "count", "tables", "values", "clauses"} <= set(data)
    assert all(t["rows"] and t["section"] and t["status"] for t in data["tables"])
    for t in data["tables"]:
        assert f"{t['id']}: " in result.output
    for v in data["values"]:
        assert f"{v['id']}: " in result.output
        assert v["status"]
        assert v["value"] is not None or v["printed"] == "not limited"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("npc-2002",), "did you mean 'npc-2020'"),
        (("diff", "npc-2020", "upc"), "did you mean 'upc-2021'"),
        (("diff", "npc-2020", "nbc-9.23.5"), "speak of different things"),
        (("verify", "nowhere.yaml"), "no such file"),
        (("diff", "npc-2020", "upc-2021", "nowhere.yaml"), "no such file"),
    ],
)
def test_what_is_wrong_is_one_sentence_and_code_two(words: tuple[str, ...], said: str) -> None:
    result = stubout("books", *words)
    assert result.exit_code == Exit.INPUT, result.output
    assert said in result.output
    assert "Traceback" not in result.output
    assert set(json.loads(stubout("books", *words, "--json").stdout)) == {"schema", "error", "faults"}


def test_the_verification_sheet_is_printed_written_and_confirmed(job: Path, tmp_path: Path) -> None:
    printed = stubout("books", "verify", job)
    assert printed.exit_code == Exit.CLEAN, printed.output
    assert "initials ____" in printed.output
    data = json.loads(stubout("books", "verify", job, "--json").stdout)
    first = data["compare"][0]
    assert f"[{first['value']}]" in " ".join(printed.output.split())
    assert {"value", "what", "printed", "book", "section", "table", "status", "decides"} <= set(first)

    out = tmp_path / "sheet.txt"
    assert stubout("books", "verify", job, "-o", out).exit_code == Exit.CLEAN
    assert out.read_text(encoding="utf-8") == printed.output
    again = stubout("books", "verify", job, "-o", out)
    assert again.exit_code == Exit.INPUT
    assert "already there" in again.output

    mine = tmp_path / "mine.yaml"
    mine.write_text(
        f"confirmations:\n  - value: '{first['value']}'\n    printed: '{first['printed']}'\n    book: {first['book']}\n"
        "    by: Plumber P\n    date: 2030-01-05\n",
        encoding="utf-8",
    )
    after = json.loads(stubout("books", "verify", job, "--confirmations", mine, "--json").stdout)
    assert first["value"] not in {n["value"] for n in after["compare"]}
    assert [n["value"] for n in after["confirmed"]] == [first["value"]]
    assert stubout("check", job, "--confirmations", mine).exit_code in RAN
    mine.write_text(mine.read_text(encoding="utf-8").replace(first["printed"], "999 ft"), encoding="utf-8")
    wrong = stubout("check", job, "--confirmations", mine)
    assert wrong.exit_code == Exit.INPUT
    assert "write it as an amendment" in wrong.output


def test_two_books_side_by_side() -> None:
    result = stubout("books", "diff", "npc-2020", "irc-2021")
    assert result.exit_code == Exit.CLEAN
    data = json.loads(stubout("books", "diff", "npc-2020", "irc-2021", "--json").stdout)
    assert {"schema", "a", "b", "same", "differ"} <= set(data)
    text = " ".join(result.output.split())
    assert all(f"{d['id']}: " in text for d in data["differ"])


def test_a_job_under_two_books_has_a_code_and_the_same_rows_as_json(job: Path) -> None:
    result = stubout("books", "diff", "irc-2021", "npc-2020", job)
    data = json.loads(stubout("books", "diff", "irc-2021", "npc-2020", job, "--json").stdout)
    rows = [r for r in (*data["each"], *data["kept_rows"]) if r["level"] in ("STOP", "FIX")]
    blocked = any(data[side]["blocked"] or data[side]["silent"] for side in ("a", "b"))
    differs = any(r["differs"].startswith("only") for r in rows)
    assert result.exit_code == (Exit.BLOCKED if blocked else Exit.FINDINGS if differs else Exit.CLEAN)
    assert rows  # NPC 2020 2.4.9.4: a building drain is 4 in at least, by IRC the house has 3 in
    drain = next(r for r in data["kept_rows"] if r["check"] == "DRN006")
    assert (drain["differs"], drain["a"], bool(drain["b"])) == ("only b", [], True)
    assert "LAID OUT BY EACH BOOK" in result.output
    assert "AS IT STANDS, JUDGED BY npc-2020" in result.output
