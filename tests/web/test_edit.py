"""Edit as text and by forms; revisions, undo, two people at once."""

from __future__ import annotations

import difflib
import re

import pytest
from markupsafe import escape
from web_client import Browser, waited

from stubout import run, run_change
from stubout.job.model import FixtureSaid
from stubout.run_field import texts
from stubout.store import jobs
from stubout.web import diff, forms, yaml_edit
from stubout.web.office import Office


def text_of(office: Office, job: int, number: int = 0) -> str:
    return jobs.revision(office.store, job, number).text


def save(who: Browser, job: int, base: int, text: str, note: str = "") -> object:
    fields = {"base": str(base), "text": text.replace("\n", "\r\n"), "note": note}
    return who.post(f"/jobs/{job}/edit", fields)


def test_a_text_is_saved_as_the_next_revision(plumber: Browser, fresh: int, office: Office) -> None:
    changed = text_of(office, fresh).replace("title: Starter house", "title: Other house") + "# end\n"
    answer = save(plumber, fresh, 1, changed, "renamed")
    assert answer.url.path == f"/jobs/{fresh}"  # type: ignore[attr-defined]
    last = jobs.revision(office.store, fresh)
    assert (last.number, last.text, last.author, last.note) == (2, changed, "Plumber P", "renamed")


def test_nothing_changed_is_no_revision(plumber: Browser, fresh: int, office: Office) -> None:
    save(plumber, fresh, 1, text_of(office, fresh))
    assert jobs.job(office.store, fresh).head == 1


def test_line_ends_of_the_file_stay(plumber: Browser, office: Office) -> None:
    text = texts.starter("mm").replace("\n", "\r\n")
    answer = plumber.post("/jobs/import", files={"file": ("j.yaml", text.encode())}, follow_redirects=False)
    job = int(answer.headers["location"].rpartition("/")[2])
    save(plumber, job, 1, text.replace("\r\n", "\n").replace("revision:", "revision: "))
    assert text_of(office, job).count("\r\n") == text.count("\r\n")


def test_a_text_with_faults_is_kept_and_all_are_shown(plumber: Browser, fresh: int, office: Office) -> None:
    changed = text_of(office, fresh).replace("kind: lavatory", "kind: lavatry").replace("material: abs", "material: x")
    answer = save(plumber, fresh, 1, changed)
    page = answer.text  # type: ignore[attr-defined]
    assert answer.url.path.endswith("/edit")  # type: ignore[attr-defined]
    assert jobs.job(office.store, fresh).head == 2
    assert page.count('data-line="') == len(texts.faults_of(changed)) >= 2
    assert "Did you mean" in page


def test_faults_are_told_before_saving(plumber: Browser, fresh: int, office: Office) -> None:
    part = plumber.post(f"/jobs/{fresh}/faults", {"text": "stubout: 1\n<b>: x\n"}).text
    assert "line" in part
    assert "<b>:" not in part
    good = plumber.post(f"/jobs/{fresh}/faults", {"text": text_of(office, fresh)}).text
    assert "no fault" in good
    assert jobs.job(office.store, fresh).head == 1


def test_of_two_people_the_second_gets_both_texts(
    plumber: Browser, helper: Browser, fresh: int, office: Office
) -> None:
    before = text_of(office, fresh)
    save(plumber, fresh, 1, before.replace("material: abs", "material: pvc"))
    mine = before + "# mine\n"
    answer = save(helper, fresh, 1, mine)
    assert answer.status_code == 409  # type: ignore[attr-defined]
    page = answer.text  # type: ignore[attr-defined]
    assert "Saved meanwhile by Plumber P" in page
    assert "# mine" in page
    assert "material: pvc" in page
    assert jobs.job(office.store, fresh).head == 2
    assert "material: abs" in jobs.revision(office.store, fresh, 1).text
    # What came back is based on the newer revision, so that it can be saved once it is merged.
    assert 'name="base" value="2"' in page
    save(helper, fresh, 2, text_of(office, fresh) + "# mine\n")
    assert jobs.job(office.store, fresh).head == 3


def test_undo_is_a_revision_of_its_own(plumber: Browser, fresh: int, office: Office) -> None:
    before = text_of(office, fresh)
    save(plumber, fresh, 1, before + "# more\n")
    answer = plumber.post(f"/jobs/{fresh}/revisions/1/back", {"base": "2"})
    assert answer.status_code == 200
    assert jobs.job(office.store, fresh).head == 3
    assert text_of(office, fresh) == before
    assert jobs.revision(office.store, fresh).note == "back to revision 1"
    assert plumber.post(f"/jobs/{fresh}/revisions/1/back", {"base": "2"}).status_code == 409
    page = plumber.get(f"/jobs/{fresh}/revisions/3").text
    assert "# more" in page
    assert "Undo: back to revision 2" in page


def test_a_revision_says_what_moved(plumber: Browser, fresh: int, office: Office) -> None:
    before = text_of(office, fresh)
    changed = yaml_edit.change(before, "LV1", {"at": "1'-7\""})  # a place no other test plans
    jobs.save(office.store, fresh, 1, changed, "P")
    path = f"/jobs/{fresh}/revisions/2"
    assert "Plan both and say what moved" in plumber.get(path).text
    assert 'id="progress"' in plumber.get(f"{path}?plans=true").text
    waited(plumber, f"{path}/progress")
    page = plumber.get(path).text
    # By hand: the lavatory goes 5 in towards the corner, along wall P.
    assert "wall P, left: LV1 stub-out 1-1/2 in: 5&#34; (127 mm) towards the corner" in page
    sheets = page[page.index("Sheets to print again") : page.index("Changed lines")]
    assert "Wall P, left side" in sheets
    assert told_by_the_command_line(before, changed) == sorted(LINE.findall(page[page.index("What moved") :]))


def test_a_revision_is_compared_with_any_earlier_one(plumber: Browser, fresh: int, office: Office) -> None:
    before = text_of(office, fresh)
    jobs.save(office.store, fresh, 1, yaml_edit.change(before, "LV1", {"at": "1'-6\""}), "P")
    jobs.save(office.store, fresh, 2, before, "P")
    path = f"/jobs/{fresh}/revisions/3"
    waited(plumber, f"{path}/progress?since=1")
    page = plumber.get(f"{path}?since=1").text
    assert re.search(r"\b(\d+) of \1 lie as before", page)
    assert "Sheets to print again" in page
    assert "Stale" not in page, "nothing moved"
    assert "Undo: back to revision 2" in page
    assert plumber.get(f"{path}?since=3").status_code == 400
    assert plumber.get(f"{path}?since=9").status_code == 400


LINE = re.compile(r"<li>(wall [^<]*)</li>")


def told_by_the_command_line(before: str, after: str) -> list[str]:
    """Return what `stubout changed` says of marks, as a page writes it."""
    was, now = (run.judged(texts.read_text(t)) for t in (before, after))
    found = run_change.between(was, now, lambda _: None)
    marks = next(p for p in run_change.changed_parts(found) if p.key == "marks")
    return sorted(str(escape(line)) for line in marks.lines)


def test_while_the_last_revision_is_planned_the_one_before_is_shown(
    plumber: Browser, fresh: int, office: Office
) -> None:
    changed = text_of(office, fresh) + "# not planned yet\n"
    jobs.save(office.store, fresh, 1, changed, "P")
    page = plumber.get(f"/jobs/{fresh}/site").text
    assert "this is revision 1" in page
    office.plans.wait(changed, fresh, 120)
    assert "this is revision 1" not in plumber.get(f"/jobs/{fresh}/site").text


# The forms.


def test_the_form_of_a_fixture_changes_its_lines_and_no_other(plumber: Browser, fresh: int, office: Office) -> None:
    before = text_of(office, fresh)
    item = next(i for i in yaml_edit.items(before) if i.tag == "LV1")
    fields = {f.key: item.values.get(f.key, "") for _, group in forms.fields(forms.PARTS["fixtures"]) for f in group}
    fields |= {"of": "fixtures", "base": "1", "tag": "LV1", "counter": '33 1/2"', "may move": '2"'}
    answer = plumber.post(f"/jobs/{fresh}/part", fields)
    assert answer.url.path == f"/jobs/{fresh}/parts", answer.text
    lines = [x for x in difflib.ndiff(before.splitlines(), text_of(office, fresh).splitlines()) if x[0] in "+-"]
    assert [x.strip() for x in lines] == ['-     counter: 34"', '+     counter: 33 1/2"', '+     may move: 2"']
    assert jobs.revision(office.store, fresh).note == "fixture LV1"


def test_a_length_that_cannot_be_read_is_told_at_its_field(plumber: Browser, fresh: int, office: Office) -> None:
    fields = {"of": "fixtures", "base": "1", "tag": "LV1", "kind": "lavatory", "room": "bath", "counter": "5-11 3/8"}
    answer = plumber.post(f"/jobs/{fresh}/part", fields)
    assert answer.status_code == 422
    assert "two readings" in answer.text
    assert 'value="5-11 3/8"' in answer.text
    assert jobs.job(office.store, fresh).head == 1


def test_a_form_that_would_spoil_the_file_asks_first(plumber: Browser, fresh: int, office: Office) -> None:
    item = next(i for i in yaml_edit.items(text_of(office, fresh)) if i.tag == "LV1")
    fields = {**item.values, "of": "fixtures", "base": "1", "tag": "LV1", "drain": "4'"}  # a point has two
    unread = plumber.post(f"/jobs/{fresh}/part", {**fields, "drain": "4', nonsense"})
    assert unread.status_code == 422
    assert 'id="w-f-drain"' in unread.text
    answer = plumber.post(f"/jobs/{fresh}/part", fields)
    assert answer.status_code == 422
    assert "would put faults" in answer.text
    assert jobs.job(office.store, fresh).head == 1
    assert plumber.post(f"/jobs/{fresh}/part", {**fields, "anyway": "yes"}).status_code == 200
    assert jobs.job(office.store, fresh).head == 2


def test_a_fixture_is_added_and_taken_out(plumber: Browser, fresh: int, office: Office) -> None:
    before = text_of(office, fresh)
    fields = {
        "of": "fixtures",
        "base": "1",
        "tag": "",
        "new": "FD1",
        "kind": "floor drain",
        "room": "bath",
        "drain": "4'-0\", 10'-0\"",
    }
    assert plumber.post(f"/jobs/{fresh}/part", {**fields, "new": ""}).status_code == 422
    answer = plumber.post(f"/jobs/{fresh}/part", {**fields, "anyway": "yes"})
    assert "FD1" in answer.text
    assert [i.tag for i in yaml_edit.items(text_of(office, fresh))][-1] == "FD1"
    plumber.post(f"/jobs/{fresh}/part/out", {"of": "fixtures", "base": "2", "tag": "FD1"})
    assert text_of(office, fresh) == before


def test_a_stale_form_is_not_saved_and_comes_back(
    plumber: Browser, helper: Browser, fresh: int, office: Office
) -> None:
    item = next(i for i in yaml_edit.items(text_of(office, fresh)) if i.tag == "LV1")
    jobs.save(office.store, fresh, 1, text_of(office, fresh) + "# theirs\n", "P")
    answer = helper.post(
        f"/jobs/{fresh}/part", {**item.values, "of": "fixtures", "base": "1", "tag": "LV1", "counter": '33"'}
    )
    assert answer.status_code == 409
    assert "Nothing was saved" in answer.text
    assert 'name="base" value="2"' in answer.text
    assert jobs.job(office.store, fresh).head == 2


# The YAML beneath.

ODD = """\
# head
rooms: [{id: bath}]
fixtures:   # mine
  # the first
  - tag: A   # tag
    title: 'it''s'   # said
    at: 1'-0"
    nested:
      deep: x   # kept

  - {tag: B, at: 2'-0", kind: lavatory}   # in braces
  # the last
  - tag: C
    drain: [1, 2]
    note: >
      folded
      text
other: 1
"""


def changed_lines(after: str) -> list[str]:
    return [x for x in difflib.unified_diff(ODD.splitlines(), after.splitlines(), n=0, lineterm="") if x[:3] not in
            ("---", "+++", "@@ ")]  # fmt: skip


@pytest.mark.parametrize(
    ("tag", "values", "lines"),
    [
        ("A", {"at": '3"'}, ["-    at: 1'-0\"", '+    at: 3"']),
        ("A", {"title": "a: b # c"}, ["-    title: 'it''s'   # said", "+    title: 'a: b # c'   # said"]),
        ("A", {"title": ""}, ["-    title: 'it''s'   # said"]),
        ("A", {"kind": "sink"}, ["+    kind: sink"]),
        ("A", {"title": "it's"}, []),
        ("B", {"at": "4'-0\""}, ["-  - {tag: B, at: 2'-0\", kind: lavatory}   # in braces",
                                 "+  - {tag: B, at: 4'-0\", kind: lavatory}   # in braces"]),
        ("B", {"at": ""}, ["-  - {tag: B, at: 2'-0\", kind: lavatory}   # in braces",
                           "+  - {tag: B, kind: lavatory}   # in braces"]),
        ("B", {"drain": "1, 2"}, ["-  - {tag: B, at: 2'-0\", kind: lavatory}   # in braces",
                                  "+  - {tag: B, at: 2'-0\", kind: lavatory, drain: '1, 2'}   # in braces"]),
        ("C", {"drain": "3, 4"}, ["-    drain: [1, 2]", "+    drain: 3, 4"]),
    ],
)  # fmt: skip
def test_one_value_is_changed_and_nothing_else(tag: str, values: dict[str, str], lines: list[str]) -> None:
    assert changed_lines(yaml_edit.change(ODD, tag, values)) == lines


def test_an_entry_goes_with_its_lines() -> None:
    assert changed_lines(yaml_edit.remove(ODD, "B")) == ["-  - {tag: B, at: 2'-0\", kind: lavatory}   # in braces"]
    with_d = yaml_edit.add(ODD, {"tag": "D", "kind": "sink", "title": ""})
    assert changed_lines(with_d) == ["+  - tag: D", "+    kind: sink"]


@pytest.mark.parametrize(
    ("text", "tag", "values"),
    [
        (ODD, "A", {"nested": "x"}),
        (ODD, "Z", {"at": "1"}),
        (ODD.replace("tag: C", "tag: A"), "A", {"at": "1"}),
        (ODD.replace("- tag: A", "- &x\n    tag: A"), "A", {"at": "1"}),
        ("a: [", "A", {"at": "1"}),
        ("- a\n", "A", {"at": "1"}),
        ("fixtures: x\n", "A", {"at": "1"}),
    ],
)
def test_what_only_a_person_can_change_is_left_alone(text: str, tag: str, values: dict[str, str]) -> None:
    with pytest.raises(yaml_edit.EditError):
        yaml_edit.change(text, tag, values)


def test_every_key_of_a_fixture_is_in_the_form() -> None:
    keys = [f.key for _, group in forms.fields(forms.PARTS["fixtures"]) for f in group]
    said = {n.rstrip("_").replace("_", " ") for n in FixtureSaid.model_fields} - {"tag", "line"}
    assert sorted(keys) == sorted(said)


@pytest.mark.parametrize("listed", list(forms.PARTS))
@pytest.mark.parametrize("text", [texts.starter("inch"), texts.demo()], ids=["starter", "demo"])
def test_the_form_of_every_part_leaves_the_file_as_it_is(text: str, listed: str) -> None:
    part = forms.PARTS[listed]
    if f"\n{listed}:" not in text:
        return
    for item in yaml_edit.items(text, listed):
        asked = [f.key for _, group in forms.fields(part, nested=item.nested) for f in group]
        assert set(item.values) - {part.name} - set(item.nested) <= set(asked), "a key that the form would hide"
        same = {key: item.values.get(key, "") for key in asked}
        assert yaml_edit.change(text, item.tag, same, listed) == text


def test_a_wall_and_a_room_are_changed_by_their_forms(plumber: Browser, fresh: int, office: Office) -> None:
    for number, (listed, tag, key, value) in enumerate(
        (("walls", "P", "spacing", '24"'), ("rooms", "bath", "floor", '3/4"')), 1
    ):
        page = plumber.get(f"/jobs/{fresh}/part?of={listed}&tag={tag}").text
        assert f'name="{key}"' in page
        base = text_of(office, fresh)
        item = next(i for i in yaml_edit.items(base, listed) if i.tag == tag)
        sent = {k: v for k, v in item.values.items() if k not in ("id", *item.nested)}
        plumber.post(f"/jobs/{fresh}/part", {**sent, key: value, "of": listed, "base": str(number), "tag": tag})
        lines = [x for x in difflib.ndiff(base.splitlines(), text_of(office, fresh).splitlines()) if x[0] in "+-"]
        assert len(lines) == 2
        assert f"{key}: {value}" in lines[1]
    assert plumber.get(f"/jobs/{fresh}/parts?of=costs").status_code == 404


def test_rows_of_a_comparison() -> None:
    before = "\n".join(map(str, range(1, 21)))
    rows = diff.rows(before, before.replace("\n10\n", "\n10 a\n"))
    assert [(r.kind, r.before, r.after, r.text) for r in rows] == [
        ("gap", 0, 0, ""),
        ("same", 8, 8, "8"), ("same", 9, 9, "9"), ("out", 10, 0, "10"), ("in", 0, 10, "10 a"),
        ("same", 11, 11, "11"), ("same", 12, 12, "12"),
    ]  # fmt: skip
    assert diff.rows(before, before) == ()
