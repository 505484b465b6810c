"""The documents hold what the design holds, each thing once, with clause and status."""

from __future__ import annotations

from dataclasses import replace

import pytest
from laid_out import design_named

from stubout.design import Design
from stubout.house.facts import Answered
from stubout.kinds import FixtureKind
from stubout.problems import Finding, NotChecked, Status
from stubout.reports import cuts, front, pipes, records, shop, venting, verdicts
from stubout.reports.documents import documents
from stubout.reports.model import Checklist, Document, Heading, Paragraph, TableBlock
from stubout.reports.plain import check_text, why_text
from stubout.reports.show import NONE
from stubout.reports.waivers import waiver_of


def words(document: Document) -> str:
    out: list[str] = [document.title]
    for b in document.blocks:
        match b:
            case Heading() | Paragraph():
                out.append(b.text)
            case TableBlock():
                out += [b.title, *b.head, *(c for r in b.rows for c in r)]
            case Checklist():
                out += [b.title, *b.lines]
    return "\n".join(out)


def tables(document: Document) -> list[TableBlock]:
    return [b for b in document.blocks if isinstance(b, TableBlock)]


def test_every_table_is_square(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> None:
    for document in documents(small_design, small_findings, small_not_checked):
        for t in tables(document):
            assert all(len(r) == len(t.head) for r in t.rows), (document.id, t.head)
            assert len(t.widths) == len(t.head), (document.id, t.head)
            assert len(t.align) in (0, len(t.head)), (document.id, t.head)


def test_pipe_in_the_ground_is_bedded_all_along() -> None:
    design = design_named("02")
    beds = {h.pipe for h in design.fabrication.hangers if h.kind == "bed"}
    (rows,) = (t.rows for t in tables(shop.hangers_page(design)))
    assert beds
    assert {r[0] for r in rows if r[5] == shop.WHOLE_RUN and r[3] == NONE} == beds


@pytest.mark.parametrize(("name", "most"), [("03", "not set for closets"), ("06", "upright")])
def test_a_closet_is_not_held_to_the_length_of_a_trap_arm(name: str, most: str) -> None:
    """IRC P3105.1 sets none for closets (from memory); the NPC has a reach of its own, flat and upright (2.5.6.3)."""
    design = design_named(name)
    (arms,) = [t for t in tables(venting.vents_page(design)) if t.head[0] == "Trap"]
    closets = {f.tag for f in design.house.fixtures if f.kind is FixtureKind.WATER_CLOSET}
    rows = {r[0]: r for r in arms.rows if r[1] != NONE}
    assert closets & rows.keys()
    for tag, row in rows.items():
        if tag in closets:
            assert most in row[4]
            assert row[5] == row[7] == "not set for closets"
        else:
            assert "not set for closets" not in row


def test_document_ids_are_unique(small_design: Design) -> None:
    ids = [d.id for d in documents(small_design, (), ())]
    assert len(ids) == len(set(ids))


def test_findings_carry_clause_status_and_acceptance(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> None:
    text = words(verdicts.findings_page(small_design, small_findings, small_not_checked))
    assert "test-book 2.5.6.3 (memory)" in text
    assert "ACCEPTED by Inspector I, 2030-02-02: accepted as drawn" in text
    assert text.index("STOP: ") < text.index("FIX: ") < text.index("ASK: ")
    assert "the job says nothing of valves" in text
    assert "move the sink by 70 mm" in text


def test_a_waiver_nobody_signed_is_none(small_design: Design, small_findings: tuple[Finding, ...]) -> None:
    readings = tuple(replace(r, author="") for r in small_design.house.readings)
    assert waiver_of(small_findings[0], small_design.house.readings) is not None
    assert waiver_of(small_findings[0], readings) is None
    assert waiver_of(small_findings[1], small_design.house.readings) is None


def test_rule_book_page_lists_each_unverified_value_once(
    small_design: Design, small_findings: tuple[Finding, ...]
) -> None:
    weak = front.unverified(small_design, small_findings)
    assert [(b.what, ids) for b, ids in weak] == [
        ("make-up of sanitary tee 3 x 3 x 1-1/2", ("D1-1", "D2-1", "D3-1")),
        ("trap arm", ("D1", "LV1", "CO1", "B2", "KS", "ARM001")),
    ]
    text = words(front.rule_book(small_design, small_findings))
    for said in ("terminal.above_roof", "450 mm", "town rule 7", "Inspector I", "2030-01-02", "memory", "2.5.6.3"):
        assert said in text


def test_make_ups_in_doubt_are_listed_until_measured(small_design: Design) -> None:
    """A cut length hangs on make-ups: what is from memory stands in the list, what the job measured does not."""

    def listed(design: Design) -> dict[str, tuple[str, ...]]:
        return {b.what: ids for b, ids in front.unverified(design) if b.what.startswith("make-up")}

    tee = "sanitary tee 3 x 3 x 1-1/2"
    assert listed(small_design) == {f"make-up of {tee}": ("D1-1", "D2-1", "D3-1")}
    text = words(front.rule_book(small_design, ()))
    assert "make-up of sanitary tee" in text
    own = tuple((tee, port, 50.0) for port in ("upper", "lower", "branch"))
    read = tuple(replace(f, status=Status.JOB) for f in small_design.fabrication.fittings)
    measured = replace(
        small_design,
        house=replace(small_design.house, measured=own),
        fabrication=replace(small_design.fabrication, fittings=read),
    )
    assert listed(measured) == {}


def test_a_band_that_is_none_says_where_its_ends_are(small_design: Design) -> None:
    (stub,) = small_design.stubs
    none = replace(stub, lo_z_mm=520.0, feasible=False)
    assert "NO HEIGHT" not in words(pipes.stubs_page(small_design)) + words(records.records_page(small_design))
    design = replace(small_design, stubs=(none,))
    text = words(pipes.stubs_page(design)).replace("\u00a0", " ")
    assert "NO HEIGHT FITS: at least 1'-7 3/4\" at the trap, at most 1'-6 15/16\" at the wall" in text
    assert "NO HEIGHT FITS" in words(records.records_page(design))


def test_street_fitting_is_no_piece_of_no_length(small_design: Design) -> None:
    """Where a street fitting takes the place of pipe the cut list says so, and never prints a length of nothing."""

    def cut_column(design: Design) -> dict[str, str]:
        (table,) = tables(cuts.cuts_page(design))
        at = table.head.index("CUT")
        return {r[0]: r[at] for r in table.rows}

    plain = cut_column(small_design)
    assert "street =" not in words(cuts.cuts_page(small_design))
    first, *rest = small_design.fabrication.pieces
    street = replace(first, cut_mm=0.0, street="F1", note="no pipe: street 1/4 bend")
    design = replace(small_design, fabrication=replace(small_design.fabrication, pieces=(street, *rest)))
    said = cut_column(design)
    assert said["D1-1"].split("\u00a0")[0] == "street"
    assert "0" not in said["D1-1"]
    assert {i: c for i, c in said.items() if i != "D1-1"} == {i: c for i, c in plain.items() if i != "D1-1"}
    assert "street = no pipe is cut" in words(cuts.cuts_page(design))


def test_inverts_are_centre_less_half_the_bore(small_design: Design) -> None:
    # 3 in DWV pipe, average bore 3.042 in (pipe standard, read): invert 38.63 mm below the centre
    d3 = small_design.network.pipe("D3")
    assert pipes.invert_mm(small_design, d3, -600.0) == pytest.approx(-600.0 - 3.042 * 25.4 / 2, abs=0.01)


def test_stub_heights_from_both_floors(small_design: Design) -> None:
    row = tables(pipes.stubs_page(small_design))[0].rows[0]
    assert row[3].startswith('18\u00a01/8"')  # 480 - 19 = 461 mm above finished floor
    assert row[4].startswith('18\u00a07/8"')  # 480 mm above subfloor
    assert "low: cabinet floor" in row[6]


def test_bore_list_says_stop_for_engineered_members(small_design: Design) -> None:
    text = words(shop.bores_page(small_design))
    assert "STOP: maker's chart or engineer first" in text
    assert "ok, nail plate" in text


def test_a_piece_that_does_not_fit_is_not_given_a_length(small_design: Design) -> None:
    rows = {r[0]: r for r in tables(cuts.cuts_page(small_design))[0].rows}
    assert rows["D3-1"][5].startswith("DOES NOT FIT")
    assert "921\u00a0mm" in rows["D2-1"][5]


def test_as_built_prints_measured_beside_planned(small_design: Design) -> None:
    row = tables(records.records_page(small_design))[0].rows[0]
    assert row[4] == "480 mm"
    assert row[5] == '+0"'
    assert row[6] == "2030-02-01, crew"


def test_check_text_is_short_sorted_and_has_the_clause(
    small_design: Design, small_findings: tuple[Finding, ...], small_not_checked: tuple[NotChecked, ...]
) -> None:
    text = check_text(small_design, small_findings, small_not_checked, width=80)
    assert all(len(line) <= 80 for line in text.splitlines())
    for said in (
        "by         test-book 2.5.6.3 (memory)",
        "owed by",
        "ACCEPTED",
        "1 to put right before glue.",
        "jurisdiction",
    ):
        assert said in text
    assert "the job says nothing of valves" not in text
    assert "the job says nothing of valves" in check_text(small_design, small_findings, small_not_checked, full=True)


def test_why_says_steps_and_doubt(small_design: Design) -> None:
    text = why_text(d for d in small_design.derivations if d.about == "D1")
    assert '1-1/2"' in text
    assert "1. trap 1-1/4" in text
    assert "look it up in your own copy" in text


def test_an_answer_stands_beside_its_question_with_who_and_when(small_design: Design) -> None:
    given = (
        Answered("Q7", "Is the crawl space heated?", "builder", "It stays vented.", "Builder B", "2030-02-01"),
        Answered("Q8", "Which head?", "", "10 ft", "", ""),
    )
    house = replace(small_design.house, answers=given)
    page = verdicts.questions_page(replace(small_design, house=house), ())
    open_, answered = tables(page)
    assert [r[0] for r in open_.rows] == ["Q1"], "what is answered is open no more"
    assert answered.rows == (
        ("Q7", "builder", "Is the crawl space heated?", "It stays vented.", "Builder B, 2030-02-01"),
        ("Q8", "nobody named", "Which head?", "10 ft", "nobody named, no date"),
    )
    alone = replace(small_design, house=house, questions=())
    assert [r[0] for r in tables(verdicts.questions_page(alone, ()))[0].rows] == ["Q7", "Q8"]
    assert len(tables(verdicts.questions_page(small_design, ()))) == 1


def test_a_cleanout_is_measured_from_what_one_stands_on(small_design: Design) -> None:
    (plan, *_), house = small_design.cleanouts, small_design.house
    z = min(v.subfloor_z_mm for v in house.levels) + 100.0
    at = house.footprint.centre.at_z(z)
    nodes = tuple(replace(n, at=at) if n.id == plan.point else n for n in small_design.network.nodes)
    for kind, zero in (("ground", "above the ground"), ("frame", "above subfloor")):
        levels = tuple(replace(v, kind=kind) for v in house.levels)
        made = replace(
            small_design,
            house=replace(house, levels=levels),
            network=replace(small_design.network, nodes=nodes),
            cleanouts=(plan,),
        )
        assert zero in words(pipes.cleanouts_page(made))


def test_a_standpipe_is_no_stub_and_its_rim_and_box_stand_in_the_schedule() -> None:
    # 38 in and 42 in above the subfloor stand in the job file; the floor is 1/2 in thick there.
    page = pipes.stubs_page(design_named("04"))
    first, second = tables(page)
    row = next(r for r in first.rows if r[0] == "AW")
    assert row[-1].startswith("inside the wall")
    assert next(r for r in first.rows if r[0] == "LV1")[-1].startswith("3")
    (washer,) = second.rows
    said = [c.replace("\u00a0", " ") for c in washer]
    assert said[0] == "AW"
    assert said[2:] == ["3'-1 1/2\" (953 mm)", "3'-2\" (965 mm)", "3'-5 1/2\" (1054 mm)", "3'-6\" (1067 mm)"]


def test_the_schedule_has_the_size_of_the_trap_that_is_ordered() -> None:
    """A tub on an arm of 2 in gets a trap of 2 in, as the order list has it, where 1-1/2 in would do by the book."""
    design = design_named("04")
    page = pipes.fixtures_page(design)
    rows = {r[0]: r[3] for r in tables(page)[0].rows}
    ordered = {u.node: u.sizes_in[0] for u in design.fabrication.fittings if u.pattern == "P-trap"}
    tub = next(t for t in design.network.traps if t.tag == "BT1")
    assert (tub.trap_in, ordered[tub.weir], rows["BT1"]) == (1.5, 2.0, '2"')
    assert 'The trap of BT1 is ordered in 2", as its arm; 1-1/2" would do.' in words(page)
    assert rows["LV1"] == '1-1/4"'  # on a tailpiece, nothing is cemented there


def test_no_table_of_standpipes_where_there_is_none(small_design: Design) -> None:
    assert len(tables(pipes.stubs_page(small_design))) == 1


def test_the_words_of_the_owner_are_printed(small_design: Design) -> None:
    assert "own words" not in words(verdicts.questions_page(small_design, ()))
    wishes = replace(small_design.house.wishes, said=("no cleanout seen in the kitchen floor", "no valves"))
    house = replace(small_design.house, wishes=wishes)
    text = words(verdicts.questions_page(replace(small_design, house=house), ())).replace("\u00a0", " ")
    assert '"no cleanout seen in the kitchen floor"' in text
    assert '"no valves"' in text
