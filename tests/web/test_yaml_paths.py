"""Values set, added and taken out by a path: what they touch, and that they touch nothing else."""

from __future__ import annotations

import difflib

import pytest
from ruamel.yaml import YAML

from stubout.run_field import texts
from stubout.web import yaml_paths
from stubout.web.yaml_edit import EditError

FILE = """# a house
job:
  title: Sample   # its name
  people:
    B: builder
wishes:
  aav: "no"
cabinets:
  - id: V1          # vanity
    boxes:
      - width: 24"
        drawers:
          - from: 16"   # low
            to: 24"
          - {from: 25", to: 30"}
      - {width: 12", what: filler}

routes:
  - id: A
    through:
      - 1", 2", 3"
      - 4", 5", 6"
    size: 2"

  - id: B
    size: 3"
# end
"""


def changed(before: str, after: str) -> tuple[list[str], list[str]]:
    """Return lines taken out and lines put in."""
    lines = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [x[2:] for x in lines if x.startswith("- ")], [x[2:] for x in lines if x.startswith("+ ")]


def read(text: str) -> object:
    return YAML(typ="safe").load(text)


@pytest.mark.parametrize(
    ("path", "value", "out", "into"),
    [
        (("job", "title"), "Other: a # house", ["  title: Sample   # its name"],
         ["  title: 'Other: a # house'   # its name"]),
        (("cabinets", "V1", "boxes", 1, "drawers", 1, "cut out width"), '3 1/2"', [],
         ['            cut out width: 3 1/2"']),
        (("cabinets", "V1", "boxes", 1, "drawers", 2, "cut out width"), '3 1/2"',
         ['          - {from: 25", to: 30"}'], ['          - {from: 25", to: 30", cut out width: 3 1/2"}']),
        (("routes", "A", "through", 2), '4", 5", 7"', ['      - 4", 5", 6"'], ['      - 4", 5", 7"']),
        (("routes", "A", "through"), ['1", 2", 3"', '2", 3", 4"', '4", 5", 6"'], [], ['      - 2", 3", 4"']),
        (("job", "test", "method"), "water", [], ["  test:", "    method: water"]),
        (("wishes", "cold spaces"), "crawl, attic", [], ["  cold spaces: crawl, attic"]),
        (("wishes", "cold spaces"), (), [], ["  cold spaces: []"]),
        (("routes", "B"), None, ["  - id: B", '    size: 3"'], []),
        (("routes", "A", "size"), None, ['    size: 2"'], []),
        (("routes", "+"), {"id": "C", "through": ['0, 0, 0', '1, 1, 1'], "fittings": {"1": "cleanout"}}, [],
         ["  - id: C", "    through:", "      - 0, 0, 0", "      - 1, 1, 1", "    fittings:", "      1: cleanout"]),
        (("questions", "+"), {"id": "Q", "ask": "B"}, [], ["questions:", "  - id: Q", "    ask: B"]),
    ],
)  # fmt: skip
def test_one_value_and_nothing_else(
    path: tuple[str | int, ...], value: object, out: list[str], into: list[str]
) -> None:
    new = yaml_paths.put(FILE, path, value)
    assert changed(FILE, new) == (out, into)
    assert new.count("#") - FILE.count("#") == str(value).count("#")  # every comment is there


def test_what_is_put_there_is_read_back() -> None:
    new = yaml_paths.said(
        FILE, [(("routes", "+"), {"id": "C"}), (("routes", "C", "size"), '2"'), (("site", "ground"), "1'-0\"")]
    )
    found = read(new)
    assert isinstance(found, dict)
    assert found["routes"][-1] == {"id": "C", "size": '2"'}
    assert found["site"] == {"ground": "1'-0\""}
    assert yaml_paths.written(new, ("routes", "C", "size")) == '2"'
    assert yaml_paths.written(new, ("routes", "X", "size")) == ""
    assert yaml_paths.count(new, ("routes",)) == 3


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("cabinets", "V1", "boxes", 3, "width"), '3"', "no entry 3"),
        (("cabinets", "V1", "boxes"), [{"width": '36"'}], "comments"),
        (("wishes", "aav"), None, "only thing"),
        (("cabinets", "V1", "boxes"), '36"', "comments"),
        (("routes", "A", "through"), '36"', "several lines"),
    ],
)
def test_what_only_a_person_can_change_is_refused(path: tuple[str | int, ...], value: object, words: str) -> None:
    with pytest.raises(EditError, match=words):
        yaml_paths.put(FILE, path, value)


def test_anchors_are_left_to_a_person() -> None:
    with pytest.raises(EditError, match="anchors"):
        yaml_paths.put("a: &x {b: 1}\nc: *x\n", ("a", "b"), "2")


def test_the_first_key_of_an_entry_goes_without_its_dash() -> None:
    new = yaml_paths.put("a:\n  - b: 1\n    c: 2\n", ("a", 1, "b"), None)
    assert new == "a:\n  - c: 2\n"


def test_line_ends_of_the_file_stay() -> None:
    new = yaml_paths.said(FILE.replace("\n", "\r\n"), [(("job", "address"), "a"), (("routes", "+"), {"id": "C"})])
    assert new.count("\n") == new.count("\r\n") == FILE.count("\n") + 2


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_starters_can_be_added_to(units: str) -> None:
    text = texts.starter("mm" if units == "mm" else "inch")
    entry = {"id": "Q9", "ask": "B", "text": "Is it?"}
    new = yaml_paths.put(text, ("questions", "+"), entry)
    assert [q.id for q in texts.read_text(new).questions][-1:] == ["Q9"]
