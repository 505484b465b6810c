"""Entries that `keep` writes into a job file: put there line by line, the rest letter for letter.

Expected: by hand.
"""

from __future__ import annotations

import pytest
import yaml

from stubout.files.job_tree import read_tree
from stubout.files.kept import kept_before, with_entries
from stubout.problems import JobFileError

NEW = [{"id": "D9", "through": ["1'-2\", 0, 3", "-4, 5, 6"], "installed": "2030-03-01, Plumber P", "kept": "yes"}]
LISTED = """\
# a job
routes:               # by hand
  - id: A             # mine
    through:
      - 0, 0, 0
      - 1, 1, 1
  - id: B
    kept: yes
    through: [0, 0, 0, 1]

# the end
sewer: {at: 1}
"""


def test_a_list_is_begun_at_the_end_of_a_file_that_has_none() -> None:
    text = with_entries("sewer: {at: 1}", "routes", NEW)
    assert text.startswith("sewer: {at: 1}\n")
    assert yaml.safe_load(text)["routes"][0]["through"] == NEW[0]["through"]
    assert yaml.safe_load(text)["routes"][0]["installed"] == NEW[0]["installed"]


def test_what_was_kept_before_goes_and_what_is_drawn_by_hand_stays() -> None:
    text = with_entries(LISTED, "routes", NEW, kept_before)
    assert [r["id"] for r in yaml.safe_load(text)["routes"]] == ["A", "D9"]
    for line in ("# a job", "routes:               # by hand", "  - id: A             # mine", "# the end"):
        assert line in text.splitlines()
    assert text.endswith("\n# the end\nsewer: {at: 1}\n")


def test_an_empty_list_takes_entries() -> None:
    text = with_entries("routes:\nsewer: 1\n", "routes", NEW)
    assert [r["id"] for r in yaml.safe_load(text)["routes"]] == ["D9"]


def test_nothing_to_write_changes_nothing() -> None:
    assert with_entries("sewer: 1\n", "routes", []) == "sewer: 1\n"


def test_what_the_reader_of_jobs_understands_is_understood_here() -> None:
    # a question mark at the end of a value in braces; keys as a person may write them
    text = "questions:\n  - {id: Q1, ask: B, text: Does it?}\nRoutes:\n  - {ID: A, Kept: yes, through: [0?]}\n"
    read_tree(text, "job.yaml")
    out = with_entries(text, "routes", NEW, kept_before)
    assert out.startswith("questions:\n  - {id: Q1, ask: B, text: Does it?}\nRoutes:\n  - id: D9\n")
    assert "ID: A" not in out
    assert out.lower().count("routes:") == 1
    empty = with_entries("Routes:\nsewer: {what: x?}\n", "routes", NEW)
    assert empty.startswith("sewer: {what: x?}\n\nroutes:\n  - id: D9\n")


def test_an_anchor_given_twice_is_a_fault_and_not_one_of_the_program() -> None:
    text = "a: &x 1\nb: &x 2\n"
    read_tree(text, "job.yaml")
    with pytest.raises(JobFileError, match=r":2: .*the same anchor twice"):
        with_entries(text, "routes", NEW)


def test_a_list_in_brackets_is_refused() -> None:
    with pytest.raises(JobFileError, match=r"house.yaml:1: routes: .*one entry a line"):
        with_entries("routes: [{id: A}]\n", "routes", NEW, path="house.yaml")


def test_only_routes_written_kept_may_be_written_anew() -> None:
    assert kept_before({"id": "A", "kept": "yes"})
    assert not kept_before({"id": "A", "installed": "2030-03-01"})
    assert not kept_before({"id": "A"})
