"""The use cases of the books on the bundled house: what is asked, confirmed, compared; one job under two books.

The house says in which order it is drawn, so that each of its jobs is drawn once: nothing here hangs on the search.
"""

from __future__ import annotations

import pytest
from laid_out import design_of

from stubout import run, run_books
from stubout.change.refine import choosing
from stubout.checks.registry import run_all
from stubout.design import Design
from stubout.job.model import AmendSaid, ConfirmSaid, Job
from stubout.layout.model import VentMethod
from stubout.problems import Level, RuleBookError, Status
from stubout.reports.books import job_compared_text
from stubout.reports.documents import documents
from stubout.reports.front import all_bases
from stubout.reports.judged import JobCompared
from stubout.reports.model import TableBlock
from stubout.reports.verification import sheet, sheet_text

ROOF = AmendSaid(
    value="terminal.above_roof", ask="How high, with our snow?", citation="by-law 9", author="Town", date="d"
)
HOLE = AmendSaid(
    value="stud_bore.nonbearing_fraction", ask="How large a hole?", citation="note", author="Town", date="d"
)
BEARING = HOLE.model_copy(update={"value": "stud_bore.bearing_fraction"})
WALL = AmendSaid(value="trap_arm[1.5]", is_="7 ft", citation="by-law 7", author="Town", date="2030-01-02", reason="r")

pytestmark = pytest.mark.usefixtures("laid_out_once")


def job_with(**more: object) -> Job:
    return choosing(run.demo_job(), ({"drawn": "as usual"},)).model_copy(update=more)


@pytest.fixture(scope="module")
def plain() -> Design:
    return design_of(job_with())


@pytest.fixture(scope="module")
def asked() -> Design:
    return run.design(job_with(amendments=(ROOF, HOLE, BEARING)))


def test_a_question_is_put_and_the_checks_that_need_the_answer_are_not_made(asked: Design) -> None:
    verdict = run.check(asked)
    put = {f.about[0]: f for f in verdict.findings if f.check == "ASK001"}
    assert put["ask-terminal.above_roof"].level is Level.ASK
    assert "How high, with our snow?" in put["ask-terminal.above_roof"].found
    reasons = {n.check: n.reason for n in verdict.not_checked}
    assert 'ask: "How high, with our snow?" (by-law 9, Town, d)' in reasons["TRM001"]
    assert 'ask: "How large a hole?"' in reasons["FRM001"]


def test_the_layout_goes_on_with_what_the_book_says_and_marks_it(plain: Design, asked: Design) -> None:
    assert asked.network == plain.network
    used = [b for _, b in all_bases(asked) if "stud_bore.nonbearing_fraction" in b.of]
    assert used
    assert all(b.status is not Status.READ and "assumed until the inspector answers" in b.note for b in used)


def test_one_question_where_the_book_and_the_layout_ask_the_same() -> None:
    """IPC 2021, 903.1.1 leaves the height to the town; the amendment has the words, the layout what it assumed."""
    head = run.demo_job().job.model_copy(update={"book": "ipc-2021"})
    design = run.design(job_with(job=head, amendments=(ROOF,)))
    (one,) = [q for q in design.questions if "terminal.above_roof" in q.about]
    assert (one.id, one.text) == ("ask-terminal.above_roof", "How high, with our snow?")
    assert one.assumed.endswith(" in")


STANDPIPE = ROOF.model_copy(update={"value": "standpipe.height_hi", "ask": "How high a standpipe?"})


def test_what_the_layout_reckoned_with_an_assumption_is_not_judged() -> None:
    """The band of a standpipe's stub-out hangs on how high it may be above its weir."""
    design = run.design(job_with(amendments=(STANDPIPE,)))
    reasons = {n.check: n.reason for n in run.check(design).not_checked}
    assert 'ask: "How high a standpipe?"' in reasons["STB001"]


def test_no_finding_rests_on_an_assumption(asked: Design) -> None:
    open_ids = {*asked.book.asked, *asked.framing.asked}
    assert not [f for f in run.check(asked).findings if any(open_ids & set(b.of) for b in f.bases)]


def test_every_other_check_says_what_it_said_before(plain: Design, asked: Design) -> None:
    before, after = run.check(plain), run.check(asked)
    assert [f for f in after.findings if f.check != "ASK001"] == [f for f in before.findings if f.check != "ASK001"]
    more = {n.check for n in after.not_checked} - {n.check for n in before.not_checked}
    assert {"TRM001", "FRM001"} <= more


def test_the_sheet_holds_each_book_value_nobody_read_that_decided_something(plain: Design) -> None:
    findings = run.check(plain).findings
    whole = sheet(plain, findings)
    lines = {n.cell.id: n for n in whole.open}
    assert lines
    books = {plain.book.id, *plain.book.parents, plain.framing.id}
    for about, basis in all_bases(plain, findings):
        if basis.status.verified:
            continue
        if basis.book in books and basis.of:
            weak = [lines[i] for i in basis.of if i in lines]
            assert weak, basis  # what was reckoned is there by the values it was reckoned from
            assert all(about in n.decides for n in weak)
        else:
            assert basis in whole.elsewhere
    assert all(n.cell.book in books and not n.cell.status.verified and n.decides for n in whole.open)


def test_a_confirmed_value_leaves_the_sheet_and_says_who_read_it(plain: Design) -> None:
    one = sheet(plain).open[0].cell
    said = ConfirmSaid(value=one.id, printed=one.printed, by="Plumber P", date="2030-01-05")
    design = run.design(job_with(confirmations=(said,)))
    assert design.network == plain.network
    whole = sheet(design)
    assert one.id not in {n.cell.id for n in whole.open}
    (read,) = whole.confirmed
    assert (read.cell.id, read.cell.confirmed_by, read.cell.status) == (
        one.id,
        "Plumber P, 2030-01-05",
        Status.CONFIRMED,
    )
    assert "Plumber P, 2030-01-05" in sheet_text(design, (), {})
    notes = [b.note for _, b in all_bases(design) if one.id in b.of]
    assert all(n.endswith("read in their own copy by Plumber P, 2030-01-05") for n in notes)


def test_the_packet_has_the_sheet_and_tells_what_lies_over_what() -> None:
    town = WALL.model_copy(update={"is_": "6 ft", "citation": "by-law 6", "source": "Town rules, town.yaml"})
    design = run.design(job_with(amendments=(town, WALL, ROOF)))
    pages = {d.id: d for d in documents(design, (), ())}
    assert "verification" in pages
    cells = [c for b in pages["rule-book"].blocks if isinstance(b, TableBlock) for r in b.rows for c in r]
    over = next(c for c in cells if "over the book's" in c)
    assert over.startswith("6 ft (by-law 6, Town, 2030-01-02 [Town rules, town.yaml]); over the book's ")
    assert "a later one lies over it" in cells
    assert "How high, with our snow?" in cells


@pytest.fixture(scope="module")
def compared() -> JobCompared:
    return run_books.compare_job(job_with(amendments=(WALL,)), "upc-2021", "irc-2021")


def test_a_job_under_two_books_tells_what_passes_in_one_and_fails_in_the_other(compared: JobCompared) -> None:
    """UPC 2021 707.4 wants a cleanout at the upper end of a lying drain, the IRC does not; 708.1 1/4 in/ft at 3 in."""
    assert compared.kept == "irc-2021"
    assert compared.kept_rows
    rows = {(r.check, r.differs) for r in compared.kept_rows}
    assert {("CLO002", "only a"), ("DRN007", "only a")} <= rows
    upper = next(r for r in compared.kept_rows if r.check == "CLO002")
    assert any("irc-2021 does not say" in reason for reason in upper.not_checked)
    assert upper.counts
    assert compared.differs


def test_a_layout_that_stands_is_not_resized_and_the_own_judgement_is_unharmed(compared: JobCompared) -> None:
    own = compared.b.judged
    assert own is not None
    again = run.design(job_with(amendments=(WALL,)))
    assert own.design.network == again.network
    assert own.findings == run.check(again).findings


def test_amendments_stay_with_their_book_and_answer_where_the_other_is_silent() -> None:
    roof = ROOF.model_copy(update={"ask": "", "is_": "12 in"})
    job = job_with(amendments=(WALL, roof, HOLE))
    changed, taken, left = run_books._under(job, "ipc-2021", framing=False)  # IPC 903.1.1 leaves the height to the town
    assert (taken, left) == (("terminal.above_roof",), ("trap_arm[1.5]",))
    assert [a.value for a in changed.amendments] == ["terminal.above_roof", "stud_bore.nonbearing_fraction"]
    assert changed.job.book == "ipc-2021"
    same, taken, left = run_books._under(job, "irc-2021", framing=False)
    assert (same, taken, left) == (job, (), ())


def test_a_book_by_which_nothing_can_be_laid_out_says_why() -> None:
    """IPC 2021, 903.1.1: no height above the roof until the town gives one; the kept layout is judged all the same."""
    done = run_books.compare_job(job_with(), "irc-2021", "ipc-2021")
    text = job_compared_text(done, "House")
    if done.b.judged is None:  # the layout may learn to ask for it on the sheets instead
        assert "terminal.above_roof" in done.b.silent
        assert "ipc-2021: not laid out: " in text
        assert done.blocked
    assert done.kept == "irc-2021"
    assert done.kept_rows or not done.kept_silent


def test_two_framing_books_judge_the_same_house(compared: JobCompared) -> None:
    done = run_books.compare_job(job_with(), "irc-framing-2021", "nbc-9.23.5")
    assert {t.book for t in (done.a, done.b)} == {"irc-framing-2021", "nbc-9.23.5"}
    assert done.a.judged is not None
    assert done.b.judged is not None
    assert done.a.judged.design.book.id == done.b.judged.design.book.id == "irc-2021"


def test_books_of_different_kinds_are_not_compared() -> None:
    with pytest.raises(RuleBookError, match="speak of different things"):
        run_books.compare("irc-2021", "nbc-9.23.5")


def test_rows_of_sizes_are_true_to_the_designs(compared: JobCompared) -> None:
    a, b = compared.a.judged, compared.b.judged
    assert a is not None
    assert b is not None
    methods = [{t.tag: t.method for t in side.design.network.traps} for side in (a, b)]
    for row in compared.sizes:
        if row.what == "vented by" and "not laid out" not in (row.a, row.b):
            assert (VentMethod(row.a), VentMethod(row.b)) == (methods[0][row.about], methods[1][row.about])
        assert row.a != row.b


def test_a_value_by_which_a_check_let_something_pass_is_to_be_compared_too(plain: Design) -> None:
    verdict = run.check(plain)
    assert not [f for f in verdict.findings if f.check == "TRM001"]
    assert "TRM001" in verdict.used["terminal.above_roof"]  # every terminal was held against it
    whole = sheet(plain, verdict.findings, verdict.used)
    assert not {n.cell.id for n in whole.open} & {n.cell.id for n in whole.judged}
    for line in whole.judged:
        assert not line.cell.status.verified
        assert set(line.decides) <= set(verdict.used[line.cell.id])
    weak = {i for i in verdict.used if (c := plain.book.find(i)) is not None and not c.status.verified}
    assert weak <= {n.cell.id for n in (*whole.open, *whole.judged)}


def test_watching_changes_no_verdict(plain: Design) -> None:
    verdict = run.check(plain)
    findings, silent = run_all(plain)
    assert set(verdict.findings) == set(findings)
    assert verdict.not_checked == silent
    assert plain.book.watch is None
