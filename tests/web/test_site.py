"""Site mode: ticks, heights and slopes with their verdicts, notes, photos, gates; records survive a changed plan."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace

import pytest
from PIL import Image
from web_client import Browser

from stubout import units
from stubout.run_field.model import Drain, Field, Filling, Said, WallMark, Way
from stubout.store import jobs, records
from stubout.store.model import Entry, Kind, Record, StoreError
from stubout.web import gates, verdicts
from stubout.web.office import Office
from stubout.web.pages_site import slug
from stubout.web.photos import remade
from stubout.web.settings import Limits


@pytest.fixture
def field(starter: int, office: Office) -> Field:
    return office.plans.field(office.plans.key(jobs.revision(office.store, starter).text))


def said(kind: str, about: str, place: str, value: str = "", **more: str) -> dict[str, str]:
    return {"kind": kind, "about": about, "place": place, "value": value, "revision": "1", "wall": "", **more}


def stub_of(field: Field) -> tuple[str, WallMark]:
    return next((side.id, m) for side in field.walls for m in side.marks if m.kind == "stub")


def test_every_wall_with_work_has_its_screen(plumber: Browser, starter: int, field: Field) -> None:
    listed = plumber.get(f"/jobs/{starter}/site").text
    for side in field.walls:
        assert slug(side) in listed
        page = plumber.get(f"/jobs/{starter}/site/{slug(side)}").text
        assert "<svg" in page
        for m in side.marks:
            assert f'id="m{m.number}"' in page
            assert m.station.replace("'", "&#39;").replace('"', "&#34;") in page
    assert plumber.get(f"/jobs/{starter}/site/nowhere").status_code == 404


def test_what_can_be_ticked_is_what_the_packet_lists(field: Field, office: Office, starter: int) -> None:
    key = office.plans.key(jobs.revision(office.store, starter).text)
    design = json.loads(office.plans.file(key, "design.json"))
    lists = {
        "bore": "bores", "stub": "stubs", "glue": "fittings", "hanger": "hangers", "plate": "plates", "cap": "caps",
    }  # fmt: skip
    for kind, name in lists.items():
        ids = sorted(one.get("id", one.get("tag")) for one in design[name])
        assert sorted(t.about for t in field.tasks if t.kind == kind) == ids
    lying = {p["id"] for p in design["pipes"] if p["system"] == "drain" and not p["vertical"]}
    assert {d.about for d in field.drains} == lying
    assert len({t.place for t in field.tasks}) == len(field.tasks), "two tasks in one place: one tick would do for both"


def test_a_tick_is_set_and_taken_back(plumber: Browser, fresh: int, field: Field, office: Office) -> None:
    task = next(t for t in field.tasks if t.kind == "hanger")
    entry = said("tick", task.about, task.place, part="task", token="abc")
    part = plumber.post(f"/jobs/{fresh}/records", entry, headers={"HX-Request": "true"}).text
    assert 'aria-pressed="true"' in part
    assert "Plumber P" in part
    plumber.post(f"/jobs/{fresh}/records", entry)  # the same entry once more, as a phone does that got no answer
    (kept,) = records.listed(office.store, fresh)
    assert (kept.kind, kept.about, kept.author, kept.revision) == (Kind.TICK, task.about, "Plumber P", 1)
    back = said("taken back", task.about, task.place, part="task", takes_back=str(kept.id))
    part = plumber.post(f"/jobs/{fresh}/records", back, headers={"HX-Request": "true"}).text
    assert 'aria-pressed="false"' in part
    assert records.standing(records.listed(office.store, fresh)) == ()
    assert "taken back" in plumber.get(f"/jobs/{fresh}/records").text


@pytest.mark.parametrize("spelling", ["planned", "metric", "feet"])
def test_a_height_in_any_spelling_is_judged_at_once(plumber: Browser, fresh: int, field: Field, spelling: str) -> None:
    wall, mark = stub_of(field)
    assert mark.above_subfloor_mm is not None
    value = {
        "planned": mark.subfloor,
        "metric": f"{mark.above_subfloor_mm:.1f} mm",
        "feet": units.feet_inches(mark.above_subfloor_mm, 64),
    }[spelling]
    entry = said("height", mark.about, mark.place, value, wall=wall, datum="subfloor", part="mark")
    part = plumber.post(f"/jobs/{fresh}/records", entry, headers={"HX-Request": "true"}).text
    assert "WITHIN" in part
    assert 'id="m' in part


def test_a_height_out_of_its_window_says_which_rule(plumber: Browser, fresh: int, field: Field) -> None:
    wall, mark = next(
        (side.id, m) for side in field.walls for m in side.marks if m.up and m.up.bound and m.above_finished_mm
    )
    assert mark.up is not None
    assert mark.above_finished_mm is not None
    value = f"{mark.above_finished_mm + mark.up.amount_mm + 2.0:.1f} mm"
    entry = said("height", mark.about, mark.place, value, wall=wall, datum="finished", part="mark")
    part = plumber.post(f"/jobs/{fresh}/records", entry, headers={"HX-Request": "true"}).text
    assert "OUT" in part
    assert mark.up.words.split()[0] in part


@pytest.mark.parametrize("value", ["5-11 3/8", "high", "", "1e9", "12 kg"])
def test_what_is_no_height_is_not_kept(plumber: Browser, fresh: int, field: Field, office: Office, value: str) -> None:
    wall, mark = stub_of(field)
    entry = said("height", mark.about, mark.place, value, wall=wall, datum="subfloor", part="mark")
    part = plumber.post(f"/jobs/{fresh}/records", entry, headers={"HX-Request": "true"})
    assert "wanted a length" in part.text
    assert plumber.post(f"/jobs/{fresh}/records", {**entry, "part": ""}).status_code == 400
    assert records.listed(office.store, fresh) == ()


MARK = WallMark(
    1, "stub", "X", "X", "", "", "", "", "", stop=False, place="stub of X", above_subfloor_mm=300.0,
    above_finished_mm=290.0, up=Way(10.0, True, "ARM001 long"), down=Way(20.0, False),
)  # fmt: skip


@pytest.mark.parametrize(
    ("value", "state", "words"),
    [
        ("300 mm above subfloor", "within", "as planned"),
        ("310 mm above subfloor", "within", "10 mm high, may be 10 mm high"),
        ("311 mm above subfloor", "out", "ARM001 long"),
        ("300 mm above finished floor", "within", "10 mm high"),
        ("301 mm above finished floor", "out", "11 mm high"),
        ("280 mm above subfloor", "within", "no rule breaks within 20 mm"),
        ("279 mm above subfloor", "open", "farther was not looked"),
        ("300 above subfloor", "within", "as planned"),
    ],
)
def test_verdicts_of_heights(value: str, state: str, words: str) -> None:
    found = verdicts.height(MARK, value, "mm")
    assert (found.state, words in found.words) == (state, True), found


def test_a_mark_without_a_window_is_not_judged() -> None:
    assert verdicts.height(replace(MARK, up=None), "301 mm above subfloor", "mm").state == "open"
    assert verdicts.height(replace(MARK, above_finished_mm=None), "301 mm above finished floor", "mm").state == "open"


DRAIN = Drain("D1", "branch 2 in", 1 / 48, "1/4 in/ft", 1 / 48, "least 1/4 in/ft by X 7.3", 0.0005, "x", "3'", True)


@pytest.mark.parametrize(
    ("value", "state"),
    # 1/4 in/ft is 1.194 degrees, 2.083 %, 20.8 mm/m (by hand); a level may show 0.5 mm/m less.
    [("1/4 in/ft", "within"), ("2.1 %", "within"), ("1.2 deg", "within"), ("20.4 mm/m", "within"),
     ("20.2 mm/m", "out"), ("1.1 deg", "out"), ("1:50", "out"), ("3/16 in/ft", "out"), ("-2.1 %", "out")],
)  # fmt: skip
def test_verdicts_of_slopes(value: str, state: str) -> None:
    assert verdicts.slope(DRAIN, value, "inch").state == state
    assert verdicts.slope(replace(DRAIN, least=None), value, "inch").state == "open"


def test_a_slope_is_kept_as_the_level_shows_it(plumber: Browser, fresh: int, field: Field, office: Office) -> None:
    drain = field.drains[0]
    entry = said("slope", drain.about, drain.place, "0.2 deg", part="drain")
    part = plumber.post(f"/jobs/{fresh}/records", entry, headers={"HX-Request": "true"}).text
    assert "OUT" in part
    assert "too flat" in part
    wrong = {**entry, "value": "2"}
    assert "say in which unit" in plumber.post(f"/jobs/{fresh}/records", wrong, headers={"HX-Request": "true"}).text
    assert [r.value for r in records.listed(office.store, fresh)] == ["0.2 deg"]


FILLING = Filling("A", "all", "10 ft", 15.0, "15 min", (), "section A")


@pytest.mark.parametrize(
    ("start", "end", "minutes", "leaks", "state"),
    [
        ("10'-0\"", "10'-0\"", "15", "none", "within"),
        ("10'-0\"", "10'-0 1/16\"", "20", "None", "within"),
        ("10'-0\"", "9'-11 15/16\"", "15", "none", "out"),
        ("10'-0\"", "10'-0\"", "14.5", "none", "out"),
        ("10'-0\"", "10'-0\"", "15", "joint F3, made anew", "out"),
        ("top", "10'-0\"", "15", "none", "open"),
    ],
)
def test_verdicts_of_tests(start: str, end: str, minutes: str, leaks: str, state: str) -> None:
    value = verdicts.Tested(start, end, minutes, leaks, "Inspector I").value
    assert verdicts.tested(value).witness == "Inspector I"
    assert verdicts.test(FILLING, value, "inch").state == state
    if state == "within":
        assert verdicts.test(replace(FILLING, hold_min=None), value, "inch").state == "open"


def test_a_note_and_a_photo_stand_on_their_wall(
    plumber: Browser, fresh: int, field: Field, photo: bytes, office: Office
) -> None:
    side = field.walls[0]
    where = f"/jobs/{fresh}/site/{slug(side)}"
    plumber.post(f"/jobs/{fresh}/records", said("note", side.id, "", "wire <here>", wall=side.id, next=where))
    entry = {"revision": "1", "wall": side.id, "about": side.id, "value": "open wall", "next": where}
    page = plumber.post(f"/jobs/{fresh}/photos", entry, files={"photo": ("../x.jpg", photo)})
    assert page.url.path == where
    assert "wire &lt;here&gt;" in page.text
    (digest,) = set(re.findall(r"/photos/([0-9a-f]{64})\.jpg", page.text))
    answer = plumber.get(f"/photos/{digest}.jpg")
    assert answer.headers["content-type"] == "image/jpeg"
    assert plumber.get(f"/photos/{'0' * 64}.jpg").status_code == 404
    assert records.photo(office.store, digest).data == answer.content


def test_a_photo_of_a_mark_stands_at_the_mark(
    plumber: Browser, fresh: int, field: Field, photo: bytes, office: Office
) -> None:
    side = field.walls[0]
    mark, other = side.marks[:2]
    path = f"/jobs/{fresh}/site/{slug(side)}"
    sent = {"wall": side.id, "about": mark.about, "place": mark.place, "revision": "1", "token": "ph-1", "next": path,
            "value": "the hole, bored"}  # fmt: skip
    page = plumber.post(f"/jobs/{fresh}/photos", sent, files={"photo": ("x.jpg", photo)})
    assert page.status_code == 200
    items = re.split(r'<li class="item mark', page.text)
    at = next(i for i in items if f'id="m{mark.number}"' in i)
    assert "the hole, bored" in at
    assert page.text.count("the hole, bored") == 2  # beside the picture, and as its words for those who do not see it
    assert "/photos/" not in next(i for i in items if f'id="m{other.number}"' in i)
    (kept,) = records.listed(office.store, fresh)
    assert (kept.place, kept.wall) == (mark.place, side.id)
    needs = [n for g in gates.gates(field, (kept,)) for n in g.needs if n.words == "A photo of every wall, open"]
    assert side.id in needs[0].left  # a mark is no wall


def test_no_photo_is_asked_of_a_wall_with_nothing_in_it(field: Field) -> None:
    first = field.walls[0]
    bare = replace(field, walls=(replace(first, covered=False), *field.walls[1:]))
    (need,) = [n for g in gates.gates(bare, ()) for n in g.needs if n.words == "A photo of every wall, open"]
    assert (need.of, first.id in need.left) == (len(field.walls) - 1, False)


def test_a_photo_of_a_mark_that_has_gone_stays_on_its_wall(
    plumber: Browser, fresh: int, field: Field, photo: bytes, office: Office
) -> None:
    side = field.walls[0]
    path = f"/jobs/{fresh}/site/{slug(side)}"
    sent = {"wall": side.id, "about": "gone", "place": "bore of nowhere", "revision": "1", "token": "ph-2"}
    sent["next"] = path
    page = plumber.post(f"/jobs/{fresh}/photos", sent, files={"photo": ("x.jpg", photo)}).text
    assert "/photos/" in page[page.index('id="notes"') :]
    assert "/photos/" not in page[: page.index('id="notes"')].replace(f"/jobs/{fresh}/photos", "")


def test_nothing_hidden_comes_along_with_a_photo(photo: bytes) -> None:
    assert b"SECRET MAKER" in photo
    data, width, height = remade(photo, Limits())
    assert (width, height) == (300, 400)  # turned as it was held
    assert b"SECRET" not in data
    assert b"Exif" not in data
    assert not dict(Image.open(io.BytesIO(data)).getexif())
    small, *size = remade(photo, Limits(photo_side=100))
    assert size == [75, 100]
    assert len(small) < len(data)


def _bomb() -> bytes:
    out = io.BytesIO()
    Image.new("1", (9000, 9000)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a" + b"\0" * 99,
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\xff\xd8\xff\xe0broken",
        b"%!PS\n",
        _bomb(),
    ],
)
def test_what_is_no_photo_is_refused(plumber: Browser, fresh: int, data: bytes, office: Office) -> None:
    with pytest.raises(StoreError):
        remade(data, Limits())
    entry = {"revision": "1", "wall": "w", "about": "w"}
    assert plumber.post(f"/jobs/{fresh}/photos", entry, files={"photo": ("x.jpg", data)}).status_code == 400
    assert records.listed(office.store, fresh) == ()


@pytest.mark.parametrize("kind", ["", "photo", "nonsense"])
def test_a_record_of_no_kind_is_refused(plumber: Browser, fresh: int, kind: str) -> None:
    assert plumber.post(f"/jobs/{fresh}/records", said(kind, "x", "y")).status_code == 400


def test_a_record_of_a_place_that_moved_is_shown_and_does_not_count(field: Field) -> None:
    bore = next(t for t in field.tasks if t.kind == "bore")
    tick = Record(1, 1, Kind.TICK, bore.about, "", "", bore.place, "", 0, "P", "2030-01-01T00:00:00Z", 1)
    elsewhere = replace(tick, id=2, place=bore.place.replace("cm", "cm, before"))
    holes = next(n for n in gates.gates(field, [tick, elsewhere])[0].needs if n.words == "Holes bored")
    assert holes.done == 1
    assert gates.moved(field, [tick, elsewhere]) == (elsewhere,)


# The gates.


def all_done(field: Field) -> list[Record]:
    """Return records that say all is done, heights and slopes as planned."""
    out: list[Record] = []

    def add(kind: Kind, about: str, place: str, value: str = "", wall: str = "") -> None:
        out.append(Record(len(out) + 1, 1, kind, about, value, wall, place, "", 0, "P", "2030-01-01T00:00:00Z", 1))

    for t in field.tasks:
        add(Kind.TICK, t.about, t.place)
        if t.kind == "cap":
            add(Kind.TICK, t.about, gates.OUT + t.place)
    for side in field.walls:
        add(Kind.PHOTO, side.id, "", wall=side.id)
        for m in side.marks:
            if m.kind == "stub":
                add(Kind.HEIGHT, m.about, m.place, f"{m.above_subfloor_mm} mm above subfloor")
    for d in field.drains:
        add(Kind.SLOPE, d.about, d.place, f"{d.planned * 100} %")
    for f in field.fillings:
        add(Kind.TEST, f.letter, f.place, verdicts.Tested("3 m", "3 m", f"{f.hold_min}", "none", "I").value)
    for gate in gates.TITLES:
        add(Kind.SIGN, gate, "", "Inspector I")
    return out


def test_with_all_done_every_gate_is_open(field: Field) -> None:
    clean = replace(field, findings=(), questions=(), blocked=())
    for gate in gates.gates(clean, all_done(field)):
        assert gate.open, gate
        assert gate.signed is not None


def test_with_nothing_done_no_gate_is_open(field: Field) -> None:
    for gate in gates.gates(field, ()):
        assert not gate.open
        assert gate.signed is None


def test_each_missing_record_shuts_a_gate(field: Field) -> None:
    clean = replace(field, findings=(), questions=(), blocked=())
    every = all_done(field)
    unasked = {d.place for d in field.drains if not d.asked}
    for left_out in every:
        if left_out.place in unasked:
            continue
        if left_out.kind is Kind.SIGN and left_out.about == gates.FINISH:
            continue  # nothing comes after the last signature
        found = gates.gates(clean, [r for r in every if r is not left_out])
        assert not all(g.open for g in found), left_out


def test_findings_questions_and_blocked_parts_shut_the_first_gate(field: Field) -> None:
    every = all_done(field)
    clean = replace(field, findings=(), questions=(), blocked=())
    fix = Said("FIX", "ARM001", "long", ("LV1",), "f", "w", "", "", "", "", 0)
    spoiled = {
        "findings": (fix,), "questions": (replace(fix, level="ASK"),), "blocked": (replace(fix, level="NOT LAID OUT"),),
    }  # fmt: skip
    for name, value in spoiled.items():
        assert not gates.gates(replace(clean, **{name: value}), every)[0].open
    assert gates.gates(replace(clean, findings=(replace(fix, accepted="I, 2030-01-01"),)), every)[0].open
    assert gates.gates(replace(clean, findings=(replace(fix, level="NOTE"),)), every)[0].open


def test_bad_readings_shut_a_gate(field: Field) -> None:
    clean = replace(field, findings=(), questions=(), blocked=())
    short = replace(clean, drains=tuple(replace(d, asked=False) for d in clean.drains))
    unread = [r for r in all_done(field) if r.kind is not Kind.SLOPE]
    assert [g.open for g in gates.gates(short, unread)] == [True] * 4
    flat = [replace(r, value="0.1 %") if r.kind is Kind.SLOPE else r for r in all_done(field)]
    assert [g.open for g in gates.gates(clean, flat)] == [True, False, True, True]
    low = [replace(r, value="1 mm above subfloor") if r.kind is Kind.HEIGHT else r for r in all_done(field)]
    assert [g.open for g in gates.gates(clean, low)] == [False, True, True, True]
    leak = [replace(r, value=r.value.replace("none", "F3")) if r.kind is Kind.TEST else r for r in all_done(field)]
    assert [g.open for g in gates.gates(clean, leak)] == [True, True, False, True]


def test_a_gate_is_shown_and_signed(plumber: Browser, fresh: int, field: Field, office: Office) -> None:
    page = plumber.get(f"/jobs/{fresh}/gates").text
    assert page.count("It can be signed when every line is met") == 4
    for f in field.fillings:
        assert f"Section {f.letter}" in page
    test = field.fillings[0]
    entry = said("test", f"section {test.letter}", test.place, start="10 ft", end="10 ft", minutes="20", leaks="none",
                 witness="Inspector I")  # fmt: skip
    answer = plumber.post(f"/jobs/{fresh}/records", {**entry, "next": f"/jobs/{fresh}/gates"})
    assert "WITHIN" in answer.text
    signed = plumber.post(f"/jobs/{fresh}/records", said("sign-off", "glue", "", "Plumber P"))
    assert signed.status_code == 400
    assert "cannot be signed" in signed.text
    assert "Holes bored" in signed.text


def test_a_gate_with_all_met_is_signed_and_the_signature_taken_back(
    plumber: Browser, fresh: int, field: Field, office: Office
) -> None:
    for r in all_done(field):
        if r.kind is not Kind.SIGN:
            kind = Kind.NOTE if r.kind is Kind.PHOTO else r.kind
            records.add(office.store, fresh, 1, "P", Entry(kind, r.about, r.value, r.wall, r.place))
    where = f"/jobs/{fresh}/gates"
    page = plumber.post(f"/jobs/{fresh}/records", said("sign-off", "glue", "", "Plumber P, plumber", next=where)).text
    assert "Plumber P, plumber" in page
    signed = next(r for r in records.listed(office.store, fresh) if r.kind is Kind.SIGN)
    back = said("taken back", "glue", "", takes_back=str(signed.id), next=where)
    assert "Plumber P, plumber" not in plumber.post(f"/jobs/{fresh}/records", back).text
