"""Reading job files: every fault in one run, in plain words, and never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stubout.files import job_tree
from stubout.files.jobs import read_job, read_job_text
from stubout.job.model import Job
from stubout.job.starter import starter_text
from stubout.problems import Fault, JobFileError

INCH, MM = starter_text("inch"), starter_text("mm")
BOOKS = ("upc-2021", "npc-2020", "irc-framing-2021", "nbc-9.23.5")


def swapped(*changes: tuple[str, str], text: str = INCH) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def faults(text: str) -> list[Fault]:
    with pytest.raises(JobFileError) as caught:
        read_job_text(text, "house.yaml", BOOKS)
    return caught.value.faults


def only(text: str) -> str:
    (fault,) = faults(text)
    return str(fault)


def line_of(part: str, text: str = INCH) -> int:
    return text[: text.index(part)].count("\n") + 1


# A good file ---------------------------------------------------------------------------------------------------------


def test_reads_a_job_with_lines_and_source(tmp_path: Path) -> None:
    path = tmp_path / "house.yaml"
    path.write_text(INCH, encoding="utf-8")
    job = read_job(path, BOOKS)
    assert job.source == "house.yaml"
    assert job.levels[1].wall_height == pytest.approx((8 * 12 + 1 + 1 / 8) * 25.4)
    assert job.sewer.size == 4.0
    wall = next(w for w in job.walls if w.id == "P")
    assert wall.line == line_of("- id: P")
    assert next(f for f in job.fixtures if f.tag == "WC1").line == line_of("- tag: WC1")


def test_bare_numbers_are_in_the_jobs_units() -> None:
    assert read_job_text(MM).walls[0].stud == 140.0
    assert read_job_text(swapped(('stud: 5 1/2"', "stud: 5 1/2"))).walls[0].stud == pytest.approx(139.7)


def test_keys_may_be_written_with_blanks_hyphens_underscores_or_capitals() -> None:
    text = swapped(
        ("wall height", "Wall-Height"), ("attic above", "attic_above"), ("ground at house", "ground-at_house")
    )
    assert read_job_text(text).model_dump(exclude={"source"}) == read_job_text(INCH).model_dump(exclude={"source"})


def test_words_may_be_written_with_capitals() -> None:
    assert read_job_text(swapped(("material: abs", "material: ABS"))).job.material == "abs"


def test_byte_order_mark_and_dos_line_ends_change_nothing(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + INCH.replace("\n", "\r\n").encode())
    assert read_job(path).model_dump() == read_job_text(INCH).model_dump()
    assert read_job(path).walls[-1].line == line_of("- id: T")


def test_heading_with_nothing_under_it_is_an_empty_list() -> None:
    assert read_job_text(INCH + "\nquestions:   # none yet\n").questions == ()


def test_anchors_and_aliases_work_in_reason() -> None:
    text = swapped(('left: 1/2"', 'left: &board 1/2"'), ('right: 1/2"', "right: *board"))
    assert any(w.right and w.right[0].thick == pytest.approx(12.7) for w in read_job_text(text).walls)


# Faults of single values ---------------------------------------------------------------------------------------------


def test_length_with_two_readings() -> None:
    text = swapped(('stud: 5 1/2"', "stud: 5-11 3/8"))
    assert only(text) == (
        f'house.yaml:{line_of("stud: 5-11", text)}: walls[S].stud: found "5-11 3/8", wanted a length such as 14 3/4", '
        '5\'-11" or 375 mm. Two readings: write 5\'-11 3/8" or 5" to 11 3/8".'
    )


def test_unknown_key_and_what_was_meant() -> None:
    # The key it stands for is not reported as missing on top.
    assert only(swapped(("    level: main", "    levl: main"))).endswith(
        'walls[S].levl: found a key that is not known here, wanted a known one. Did you mean "level"?'
    )


@pytest.mark.parametrize(
    ("whole", "key"), [("what: boards, painted}", "painted"), ("""what: "13'-6", 25'-4"}""", """25'-4\"""")]
)
def test_what_a_comma_or_an_inch_mark_cut_off_a_value_is_told_as_that(whole: str, key: str) -> None:
    told = only(swapped(("what: cladding}", whole)))
    assert f"walls[S].right.{key}: found a key that is not known here" in told
    assert "Is it the rest of the value before it?" in told
    assert told.endswith("""an inch mark in it left away: "13'-6, 25'-4".""")


def test_unknown_key_without_a_neighbour_lists_the_known_ones() -> None:
    assert "wanted one of at, invert, size" in only(swapped(("  runs: south\n", "  runs: south\n  qqqq: 1\n")))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("material: abs", "material: apb", 'job.material: found "apb", wanted one of abs, pvc. Did you mean "abs"?'),
        ("kind: lavatory", "kind: lavatry", 'fixtures[LV1].kind: found "lavatry", wanted one of water closet, '),
        ("kind: lavatory", "kind: lavatry", 'Did you mean "lavatory"?'),
        ('outlet: 1 1/4"', "outlet: 1 3/4\"", "fixtures[LV1].outlet: found \"1 3/4\"\", wanted one of the sizes"),
        ("aav: no ", "aav: never ", 'wishes.aav: found "never", wanted one of no, last resort, ask, yes'),
        ("opens: yes", "opens: maybe", 'openings[D1].opens: found "maybe", wanted yes or no'),
        ("count: 12", "count: many", 'frames[main floor].members.count: found "many", wanted a whole number'),
        ("gpf: 1.28", "gpf: low", 'fixtures[WC1].gpf: found "low", wanted a number'),
        ("winter design: 36 F", "winter design: cold", 'found "cold", wanted a temperature such as -5 F or -20 C'),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 20'-0\"", "found too few, wanted two lengths with a comma between"),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 1', 2', 3'", "found 3 of them, wanted two lengths"),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 20', x", 'site.footprint: found "x", wanted a length such as'),
        ("stubout: 1", "stubout: 2", 'stubout: found "2", wanted 1'),
        ("  - id: V1\n", "  - id: V1\n    id: V2\n", "found the key a second time, wanted every key once"),
        ("  units: inch\n", "", "job.units: found nothing, wanted one of mm, inch"),
        ("    subfloor: -3'-4\"", "    subfloor:", "levels[crawl].subfloor: found nothing, wanted a length such as"),
        ("    stud: 5 1/2\"", "    stud: [1, 2]", "walls[S].stud: found a list of 2, wanted a length"),
        ("    stud: 5 1/2\"", "    stud: {a: 1}", "walls[S].stud: found lines of `key: value`, wanted a length"),
        ("  book: upc-2021", "  book: upc-2020", 'job.book: found "upc-2020", wanted a rule book at hand: '),
        ("  framing: irc", "  framing: irk", "Did you mean \"irc-framing-2021\"?"),
    ],
)  # fmt: skip
def test_fault_of_one_value(old: str, new: str, said: str) -> None:
    assert said in only(swapped((old, new)))


def test_every_fault_in_one_run_in_the_order_of_the_file() -> None:
    text = swapped(
        ("units: inch", "units: inches"),
        ("material: abs", "material: apb"),
        ('stud: 5 1/2"', "stud: 5-11 3/8"),
        ("wall: S", "wall: Q"),
        ("  - tag: WC1", "  - tag: LV1"),
        ('    rim: 15"', '    rym: 15"'),
    )
    found = faults(text)
    assert [f.path for f in found] == [
        "job.units", "job.material", "walls[S].stud", "openings[D1].wall", "fixtures[LV1].tag", "fixtures[BT1].rym",
    ]  # fmt: skip
    assert [f.line for f in found] == sorted(f.line for f in found)
    marked = [text.splitlines()[f.line - 1].split("#")[0].strip(" -") for f in found]
    assert marked == ["units: inches", "material: apb", "stud: 5-11 3/8", "wall: Q", "tag: LV1", 'rym: 15"']


def test_empty_file_names_what_a_job_needs() -> None:
    assert "an empty file" in only("")
    assert {f.path for f in faults("a: 1")} >= {"a", "stubout", "job", "site", "levels", "walls", "rooms", "sewer"}
    assert "Write `stubout: 1` as the first line." in "\n".join(str(f) for f in faults("job: {}"))


# Faults between entries ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("carries: main", "carries: man", 'wanted a level of this job (crawl, main). Did you mean "main"?'),
        ("    room: bath\n    from", "    room: bat\n    from", 'cabinets[V1].room: found "bat"'),
        ("wall: T", "wall: TT", 'openings[D2].wall: found "TT", wanted a wall of this job (S, N, W, E, P, T)'),
        ("  - id: N\n", "  - id: S\n", "walls[S].id: found \"S\" again, wanted a name of its own"),
        ("  - id: N\n", "  - id: ''\n", "found nothing, wanted a short name"),
        ("stack walls: P", "stack walls: PP", 'wishes.stack walls: found "PP"'),
        ("role: interior", "role: inside", 'found "inside", wanted one of bearing'),
        ("  aav: no ", "  methods not wanted: wett\n  aav: no ", 'Did you mean "wet"?'),
        ("  aav: no ", "  cold spaces: atic\n  aav: no ", 'Did you mean "attic"?'),
        ("sewer:  ", "questions:\n  - {id: Q, ask: X, text: why}\nsewer:  ", "wanted one of the people of this job (B"),
    ],
)  # fmt: skip
def test_fault_between_entries(old: str, new: str, said: str) -> None:
    assert said in "\n".join(str(f) for f in faults(swapped((old, new))))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("    at: 2'-0\"\n    counter", "    counter", "fixtures[LV1].at: found nothing, wanted the station"),
        ("    at: 2'-0\"\n    counter", "    at: 12'-0\"\n    counter", "station 12'-0\", wanted 0 to 9'-6 1/2\""),
        ("    at: 4'-0\"", "    at: 14'-0\"", "found an opening from 14'-0\" to 18'-0\", wanted one within wall \"E\""),
        ("    sill: 2'-0\"", "    sill: 7'-0\"", "wanted the head above the sill"),
        ("    head: 6'-8\"", "    head: 9'-8\"", "wanted one below the plate at 8'-1 1/8\""),
        ("    x: 0'-6\", 5'-5\"", "    x: 5'-5\", 0'-6\"", "found 5'-5\", 6\", wanted the smaller one first"),
        ('      - width: 24"', '      - width: 20"', "found boxes that add up to 1'-8\", wanted 2'-0\", the length"),
        ("    to: 3'-0\"\n    counter", "    to: 0'-3\"\n    counter", "cabinets[V1].to: found 3\", wanted more than"),
        ("    wall: P\n    side: left\n    room: bath\n    from: 1'-0\"\n    to: 3'-0\"\n", "", "is an island"),
        ("subfloor: 0\" ", "subfloor: -4' ", "wanted the levels from the bottom up"),
        ("    rise: 4:12", "    rise: steep", 'roof[south].rise: found "steep", wanted a rise such as 5:12'),
        ("    hold: 15 min", "    hold: a while", 'job.test.hold: found "a while", wanted a time such as 15 min'),
        ("  at most terminals: 1", "  at most terminals: 0", "wanted 1 or more"),
        ("    spacing: 16\"\n    role", "    spacing: 0\"\n    role", "walls[S].spacing: found 0\", wanted at least"),
        ("      first: 8\"\n", "", "frames[main floor].members: found no places for them"),
        ("    to: 20'-0\", 0'-2 3/4\"", "    to: 0'-0\", 0'-2 3/4\"", "found the point the wall starts from"),
        ("  stock: 10 ft, 20 ft", "  stock: -1 ft", "job.stock: found no usable length"),
        ("    wall: P\n    side: left\n    from: 8'-1 1/2\"", "    from: 8'-1 1/2\"", "obstacles[O1]: found no place"),
        ("    from wall: 8\" ", "    from wall: -8\" ", "fixtures[LV1].from wall: found -8\", wanted no minus here"),
    ],
)  # fmt: skip
def test_fault_of_what_cannot_be_built(old: str, new: str, said: str) -> None:
    assert said in "\n".join(str(f) for f in faults(swapped((old, new))))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("winter design: 36 F", "winter design: 900 F", "climate.winter design: found 900 F"),
        ("footprint: 20'-0\", 16'-0\"", "footprint: 0\", 16'", 'site.footprint: found 0", wanted the size'),
        ("gpf: 1.28", "gpf: 0", "fixtures[WC1].gpf: found 0, wanted gallons a flush"),
        ("gpf: 1.28", "gpf: nan", "fixtures[WC1].gpf: found nan, wanted gallons a flush"),
        ("    to: 20'-0\", 0'-2 3/4\"", "    to: 2000', 0'-2 3/4\"", "wanted at most 1000'-0\""),
        ("    role: interior", "    studs: 12\", 99'\n    role: interior", "walls[P].studs: found station 99'-0\""),
        ("      spacing: 16\"", "      spacing: 1\"", 'members.spacing: found 1", wanted at least 2"'),
        ("      count: 12", "      count: 0", "frames[main floor].members.count: found 0, wanted 1 to 1000"),
        ("    what: bath door", "    what: bath door\n    header to: 6'", "found 6'-0\" under a head at 6'-10\""),
        ("    from: 1'-0\"\n    to: 3'-0\"\n", "    from: 1'-0\"\n", "cabinets[V1].to: found nothing"),
        ("    from: 1'-0\"\n    to: 3'-0\"\n", "    from: 8'\n    to: 10'\n", "cabinets[V1].to: found station 10'-0\""),
        ("    wall: P                       # the valve wall\n", "    wall: ''\n", "READS"),
        ("    drain: 5'-3\", 14'-3 1/2\"\n", "", "READS"),
        ("    title: Living room\n    level: main", "    title: Living room\n    level: crawl", "READS"),
        ("    title: Bath\n    level: main", "    title: Bath\n    level: crawl", 'found wall "P" on level "main"'),
        ("    from: 8'-1 1/2\"", "    from: 8'-6\"", "O1].to: found 8'-5 1/2\", wanted more than `from`, 8'-6\""),
        ("    to: 8'-5 1/2\"", "    to: 18'", "obstacles[O1].to: found station 18'-0\""),
        ("    B: builder", "    B: builder\n    B: boss", "job.people.B: found the key a second time"),
        ("    B: builder", "    B: [a, b]", "job.people.B: found a list of 2, wanted a text"),
    ],
)  # fmt: skip
def test_more_of_what_cannot_be_built(old: str, new: str, said: str) -> None:
    text = swapped((old, new))
    if said == "READS":  # the neighbours of a fault that are none
        read_job_text(text)
    else:
        assert said in "\n".join(str(f) for f in faults(text))


def test_fixture_without_wall_or_drain_has_no_place() -> None:
    text = swapped(
        ("    wall: P                       # the valve wall\n", ""), ("    drain: 5'-3\", 14'-3 1/2\"\n", "")
    )
    assert "fixtures[BT1].drain: found no place, wanted `wall` and `at`, or `drain`" in only(text)


def test_run_without_boxes() -> None:
    text = INCH[: INCH.index("    boxes:")] + "    boxes: []\n" + INCH[INCH.index("fixtures:") :]
    assert "cabinets[V1].boxes: found none, wanted the boxes of the run" in only(text)


def test_list_without_dashes() -> None:
    text = INCH + "roof zones:\n  id: Z\n  why: panels\n"
    assert only(text).endswith("roof zones: found lines of `key: value`, wanted a list, each entry begun with a dash.")


def test_text_longer_than_any_job_is_stopped() -> None:
    assert "2000001 characters" in only("#" * 2_000_001)


def test_openings_do_not_overlap_unless_one_is_above_the_other() -> None:
    more = "  - {id: G9, wall: E, at: 5', width: 2', sill: %s, head: %s}\n"
    text = INCH[: INCH.index("rooms:")] + more + INCH[INCH.index("rooms:") :]
    assert 'openings[G9].at: found an opening across "G1"' in only(text % ("3'", "6'"))
    assert read_job_text(text % ('6"', "1'-6\""))


ROUTES = """
routes:
  - id: R1
    system: drain
    through:
      - 0", 0", 0"
      - 10", 0", 0"
    into: {into}
    fittings:
      {point}: cleanout
  - id: R2
    system: drain
    through:
      - 0", 0", 0"
      - 10", 0", 0"
    into: R1
"""


def test_routes_end_at_the_sewer() -> None:
    assert read_job_text(INCH + ROUTES.format(into="sewer", point=2)).routes[1].into == "R1"
    assert "found 1 points, wanted two or more" in only(
        INCH + ROUTES.format(into="sewer", point=1).replace('      - 10", 0", 0"\n    into: R1', "    into: R1")
    )
    assert "not in a ring" in str(faults(INCH + ROUTES.format(into="R2", point=2))[0])
    assert 'found "9", wanted the number of a point, 1 to 2' in only(INCH + ROUTES.format(into="sewer", point=9))
    assert "wanted a route of this job (R1, R2, sewer)" in only(INCH + ROUTES.format(into="X9", point=1))


# Broken text ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("new", "line", "said"),
    [
        ("\tpaper: letter", 0, "found a tab"),
        ("  paper: [letter", 1, "brackets that are not closed"),
        ("  paper letter", 1, "a line without `key:`"),
        ("  paper: @letter", 0, "a mark that no text may begin with"),
        ("  paper: *letter", 0, "Put a text that begins with * in quotes."),
        ("  paper: a: b", 0, "a colon too many"),
        ('  paper: "5\'-11" wide"', 0, "A value that begins with a quote must end with it."),
        ("  paper: le\x07tter", 0, "the unprintable character U+0007"),
    ],
)
def test_broken_text_has_a_line_and_a_reason(new: str, line: int, said: str) -> None:
    text = swapped(("  paper: letter", new))
    (fault,) = faults(text)
    assert said in str(fault)
    assert abs(fault.line - line_of("  paper: letter")) <= line


def test_two_documents_are_one_too_many() -> None:
    assert "a second document" in only("---\na: 1\n---\nb: 2\n")


@pytest.mark.parametrize("text", ["[]", "just words", "- a\n- b", "42"])
def test_a_file_that_is_no_job(text: str) -> None:
    assert "wanted lines of `key: value`" in only(text)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    for path, said in ((tmp_path / "none.yaml", "no such file"), (tmp_path, "a folder"), ("a\0b", "no path")):
        with pytest.raises(JobFileError, match=said):
            read_job(path)
    bad = tmp_path / "bad.yaml"
    bad.write_bytes(b"title: x\nname: \xff\xfe\n")
    with pytest.raises(JobFileError, match=r"bad\.yaml:2: file: found a character that is not UTF-8"):
        read_job(bad)
    bad.write_bytes(b"#" * 5_000_000)
    with pytest.raises(JobFileError, match="too large"):
        read_job(bad)


# Hostile text --------------------------------------------------------------------------------------------------------


def test_repeated_aliases_are_stopped() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    assert "more than 200000 values" in only("\n".join(lines))


def test_deep_nesting_is_stopped() -> None:
    assert any(part in only("a: " + "[" * 100_000) for part in ("levels inside each other", "brackets inside brackets"))
    deep = ["a0: &a0 " + "[" * 20 + "x" + "]" * 20]
    deep += [f"a{n}: &a{n} {'[' * 20}*a{n - 1}{']' * 20}" for n in range(1, 200)]
    assert "levels inside each other" in only("\n".join(deep))


def test_an_anchor_inside_itself_is_stopped() -> None:
    assert only("a: &a [*a]")


def test_thousands_of_faults_are_cut_short() -> None:
    found = faults(INCH + "".join(f"k{n}: x\n" for n in range(20_000)))
    assert len(found) == 201
    assert found[-1].found == "more faults than these"


def test_lists_without_end_are_stopped() -> None:
    text = INCH.replace("openings:  ", "openings:\n" + "  - {id: D1, wall: S, at: 1, width: 2, head: 3}\n" * 2100 + "#")
    assert "wanted at most 2000" in "\n".join(str(f) for f in faults(text))


def test_tags_build_nothing() -> None:
    assert all(isinstance(f, Fault) for f in faults("a: !!python/object/apply:os.getcwd []"))


def test_reads_the_same_without_the_c_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job_tree, "LOADER", yaml.BaseLoader)
    assert read_job_text(MM) == plain_reading
    assert "levels inside each other" in only("a: " + "[" * 1000)
    assert "a tab" in only(swapped(("  paper: letter", "\tpaper: letter")))


plain_reading = read_job_text(MM)


def accepted_or_told(text: str) -> None:
    try:
        job = read_job_text(text, "house.yaml", BOOKS)
    except JobFileError as error:
        told = error.faults
    else:
        assert isinstance(job, Job)
        return
    assert told
    lines = text.count("\n") + text.count("\r") + 2
    for fault in told:
        assert 0 <= fault.line <= lines
        assert fault.path
        assert fault.found
        assert fault.wanted
        assert len(str(fault)) < 2000
        assert "Error" not in str(fault)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_a_job_or_faults(text: str) -> None:
    accepted_or_told(text)


YAML_BITS = st.sampled_from(
    ["- ", ": ", "{", "}", "[", "]", "&a ", "*a", "!!set ", "? ", "| ", "> ", "'", '"', "#", "\n", "\n  ", "\t", ",",
     "---\n", "...", "%YAML 9.9\n", "<<: ", "5'-11 3/8\"", "5-11 3/8", "1e999", "nan", "-0\"", "yes", "٣", "\u2028",
     "\x85", "\ud800"]
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.lists(YAML_BITS, max_size=40).map("".join))
def test_any_heap_of_yaml_marks_is_a_job_or_faults(text: str) -> None:
    accepted_or_told(text)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_good_job_with_random_damage_is_a_job_or_faults(data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from([INCH, MM])).splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(lines) - 1))
        kind = data.draw(st.sampled_from(["delete", "double", "value", "insert", "indent", "swap", "cut"]))
        if kind == "delete" and len(lines) > 1:
            del lines[at]
        elif kind == "double":
            lines.insert(at, lines[at])
        elif kind == "value":
            lines[at] = lines[at].partition(":")[0] + ": " + data.draw(st.one_of(st.text(max_size=12), YAML_BITS))
        elif kind == "insert":
            where = data.draw(st.integers(0, len(lines[at])))
            lines[at] = lines[at][:where] + data.draw(YAML_BITS) + lines[at][where:]
        elif kind == "indent":
            lines[at] = "  " + lines[at]
        elif kind == "swap":
            other = data.draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == "cut":
            del lines[at + 1 :]
    accepted_or_told("\n".join(lines))
