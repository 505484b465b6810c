"""The first pages of the packet: cover, cautions, rule book."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stubout.catalog import queries as catalog
from stubout.design import Design
from stubout.problems import Basis, CatalogError, Finding, Level, several
from stubout.reports.amended import amendment_blocks
from stubout.reports.model import Block, Document, Heading, Paragraph, TableBlock
from stubout.reports.show import book_name
from stubout.reports.waivers import waiver_of
from stubout.rulebooks.model import RuleBook

AUTHORITY = (
    "This packet is an aid. The authority having jurisdiction decides; nothing here is an approval. "
    "Measure on site before you cut, bore or glue."
)

AUTHORITY_SHORT = "An aid, not an approval: the authority having jurisdiction decides."

LEVEL_MEANS = {
    Level.STOP: "unsafe, or cannot be built",
    Level.FIX: "breaks a rule",
    Level.ASK: "someone must decide or supply",
    Level.NOTE: "worth knowing",
}

# common practice, no source: what the trade says before this kind of work
CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "Water in the pipe is heavy and pushes",
        "A plug under a water test holds back the whole column above it; the test plan prints the push in "
        "numbers. Stand to "
        "the side of a plug, never in line with it. Lower the water before you loosen a plug. Tie plugs that "
        "must hold.",
    ),
    (
        "No compressed air on plastic pipe",
        "Plastic drain pipe under compressed air can burst into splinters. Test with water. If a book or the "
        "authority asks for "
        "air, only at the few kilopascals it names, with a relief valve, and with nobody near.",
    ),
    (
        "Solvent cement and cleaner",
        "Fumes burn and make you faint. Air the place, no flame or spark, gloves and glasses; in a crawl space or pit "
        "a second person outside. Let joints cure before water goes in.",
    ),
    (
        "Trenches",
        "Soil falls without warning. Have buried lines located before you dig; slope, bench or shore the sides "
        "as the safety law "
        "asks; keep the spoil back; never work alone in a trench; do not dig below the bearing of a footing.",
    ),
    (
        "Hidden wires, gas and water lines",
        "Look on both sides of a wall or floor before you bore. Turn off what runs there. Use a clutch drill "
        "with a side handle: a "
        "hole saw that bites can break a wrist.",
    ),
    (
        "The frame carries the house",
        "Bore and notch only what the bore list allows. I-joists, trusses, beams, laminated members and posts: "
        "no hole and no cut without "
        "the maker's chart or the engineer, in writing.",
    ),
    (
        "Sewer gas and sewage",
        "Keep open ends capped. Gas from a sewer can poison and explode; test the air before you enter a pit or tank, "
        "and do not enter alone. Wash; treat every old drain as infectious.",
    ),
    (
        "Heights, dust, noise",
        "Tie off on the roof; guard openings in floors; masonry and board dust needs a mask, hole saws need ear "
        "and eye protection.",
    ),
)


def cover(design: Design, findings: tuple[Finding, ...]) -> Document:
    """Return the cover: the job, the book, where it stands. The index of sheets is added by the packet."""
    job = design.house.job
    rows: list[tuple[str, ...]] = [
        ("Job", job.title),
        ("Address", job.address or "not given"),
        ("Permit", job.permit or "not given"),
        ("Revision", job.revision + (f", issued {job.issued}" if job.issued else "")),
        ("Rule book", book_name(design.book) + _amended(design.book)),
        ("Framing cuts by", book_name(design.framing) + _amended(design.framing)),
        ("Pipe material", f"{job.material.upper()} DWV"),
        ("Units", "millimetres govern, inches are for reading" if job.units == "mm" else "feet and inches"),
    ]
    if job.people:
        rows.append(("Who answers", "; ".join(f"{letter} = {who}" for letter, who in job.people)))
    return Document(
        "cover",
        "Rough-in packet",
        (
            TableBlock(("", ""), tuple(rows), (1, 3.4)),
            Heading("Where this revision stands", 2),
            *_state(design, findings),
            Paragraph(AUTHORITY, "box"),
        ),
    )


def _amended(book: RuleBook) -> str:
    return f" with {several(len(book.amendments), 'amendment')}" if book.amendments else ""


def _state(design: Design, findings: tuple[Finding, ...]) -> Iterable[Block]:
    rows = []
    for level in Level:
        of_level = [f for f in findings if f.level is level]
        waived = sum(1 for f in of_level if waiver_of(f, design.house.readings))
        rows.append(
            (
                level.value,
                str(len(of_level)),
                LEVEL_MEANS[level] + (f"; {waived} accepted in writing" if waived else ""),
            )
        )
    yield TableBlock(("Level", "Findings", "Meaning"), tuple(rows), (1, 1, 5), ("left", "right", "left"))
    yield Paragraph(
        f"{several(len(design.questions), 'open question')}. "
        f"{several(len(design.blocked), 'part')} could not be laid out. "
        f"{several(len(unverified(design, findings)), 'unverified value')} decided something in this packet: see the "
        f"verification sheet and the rule book page."
    )


def cautions() -> Document:
    """Return the page of cautions for work that can hurt."""
    blocks: list[Block] = [
        Paragraph("Read this page to the crew before work starts. The safety law of the place governs.")
    ]
    for title, text in CAUTIONS:
        blocks += [Heading(title, 3), Paragraph(text, "caution")]
    return Document("cautions", "Cautions", tuple(blocks))


def all_bases(design: Design, findings: tuple[Finding, ...] = ()) -> list[tuple[str, Basis]]:
    """Return every value that decided something, with the id of what it decided."""
    used = [(d.about, b) for d in design.derivations for b in d.bases]
    used += [(s.tag, b) for s in design.stubs for b in s.derivation.bases]
    used += [(c.id, b) for c in design.cleanouts for b in c.basis]
    used += [(x.id, b) for x in design.fabrication.bores for b in x.bases]
    used += [(x.id, b) for x in design.fabrication.plates for b in x.bases]
    used += [(x.id, b) for x in design.fabrication.hangers for b in x.bases]
    used += [(", ".join(x.about), b) for x in design.blocked for b in x.bases]
    used += _make_ups(design)
    used += [(f.check, b) for f in findings for b in f.bases]
    return used


def _make_ups(design: Design) -> Iterator[tuple[str, Basis]]:
    """Yield the make-ups that every cut length hangs on, with the piece."""
    parts = catalog.measured_catalog(design.house.measured)
    uses = {f.id: f for f in design.fabrication.fittings}
    for piece in design.fabrication.pieces:
        for use in (uses[i] for i in dict.fromkeys((piece.start_fitting, piece.end_fitting)) if i in uses):
            try:
                basis = catalog.make_up_basis(use.pattern, use.sizes_in, use.status, design.house.job.units, parts)
            except CatalogError:
                basis = Basis(f"make-up of {use.pattern}", "as cut", "catalog", "", use.status, use.note)
            yield piece.id, basis


def unverified(design: Design, findings: tuple[Finding, ...] = ()) -> list[tuple[Basis, tuple[str, ...]]]:
    """Return each unverified value that decided something, with what it decided, sorted by book and section."""
    where: dict[Basis, dict[str, None]] = {}
    for about, basis in all_bases(design, findings):
        if not basis.status.verified:
            where.setdefault(basis, {})[about] = None
    ranked = sorted(where, key=lambda b: (b.book, b.section, b.what, b.value, b.note))
    return [(b, tuple(where[b])) for b in ranked]


def rule_book(design: Design, findings: tuple[Finding, ...]) -> Document:
    """Return the page that says which book, which amendments and which unverified values decided."""
    blocks: list[Block] = [
        TableBlock(
            ("Use", "Book", "Edition", "Counts load in", "Where it is silent"),
            tuple(
                (
                    use,
                    b.title,
                    b.edition,
                    b.load_unit if use == "plumbing" else "",
                    ", ".join(b.parents) or "no other book asked",
                )
                for use, b in (("plumbing", design.book), ("framing cuts", design.framing))
            ),
            (1.1, 4, 1.2, 1.2, 2),
        ),
        *(Paragraph(b.note, "note") for b in (design.book, design.framing) if b.note),
        Heading("Amendments"),
        *amendment_blocks(design),
        Heading("Unverified values that decided something"),
    ]
    all_weak = unverified(design, findings)
    weak = [(b, ids) for b, ids in all_weak if not _on_sheet(design, b)]
    if len(weak) < len(all_weak):
        blocks.append(Paragraph("Those that stand in the rule books are listed on the verification sheet."))
    if weak:
        blocks += [
            Paragraph(
                f"Not compared with the page of the code or the maker's sheet: {several(len(weak), 'value')}. "
                "Look each up in your own copy before you rely on it. secondary = taken from a work that quotes it; "
                "derived = computed from other values; "
                "estimate = a fair guess of a dimension; memory = written down from general knowledge."
            ),
            TableBlock(
                ("Value", "As printed", "Book and section", "Status", "Decides", "Note"),
                tuple(
                    (b.what, b.value, f"{b.book} {b.section}".strip(), b.status.value, few(ids), b.note)
                    for b, ids in weak
                ),
                (2.4, 1.3, 1.6, 1, 2, 2.4),
            ),
        ]
    elif not all_weak:
        blocks.append(
            Paragraph("None: every value that decided something was read on its page or given by the job file.")
        )
    return Document("rule-book", "Rule book, amendments, unverified values", tuple(blocks))


def _on_sheet(design: Design, basis: Basis) -> bool:
    """Return whether a value stands in a book of the job, and so on the verification sheet."""
    return bool(basis.of) and basis.book in {b for r in (design.book, design.framing) for b in (r.id, *r.parents)}


def few(ids: tuple[str, ...], most: int = 8) -> str:
    """Return the first of some ids, and how many more there are."""
    return ", ".join(ids[:most]) + (f" and {len(ids) - most} more" if len(ids) > most else "")
