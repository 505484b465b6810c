"""Asking the inspector as the value of a rule: what is asked, what is assumed meanwhile, and the book without it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stubout.problems import Question, Status, weakest
from stubout.rulebooks.frozen import Frozen
from stubout.rulebooks.model import Asked, Cell, RuleBook
from stubout.rulebooks.overlay import Amend
from stubout.rulebooks.spots import Spot, put, spot


def lay(book: RuleBook, place: Spot, one: Amend, cite: str) -> RuleBook:
    """Return the book with a value left to the inspector; what lay there is assumed, and says so."""
    under = place.cell
    silent = "that there is no such rule" if place.row is None else "that it is not permitted"
    asked = Asked(
        id=place.id,
        what=place.what,
        question=" ".join(one.ask.split()),
        cite=cite,
        book=book.id,
        under=under,
        assumed=f"{under.printed} ({_by(under)})" if under is not None else silent,
        line=one.line,
        source=one.source,
    )
    assumed = None if under is None else _assumed(under, asked)
    return replace(put(book, place, assumed), asked=Frozen({**book.asked, place.id: asked}))


def _by(cell: Cell) -> str:
    return cell.amended_by or f"{cell.book} {cell.section}".strip()


def _assumed(under: Cell, asked: Asked) -> Cell:
    """Return the value the layout goes on with: at best a guess of the answer, whatever its source."""
    note = f'assumed until the inspector answers: "{asked.question}" ({asked.cite}); from {_by(under)}'
    return replace(under, status=weakest((under.status, Status.ESTIMATE)), note=note, amended_by="", over=())


def closed(book: RuleBook) -> RuleBook:
    """Return the book with the view that the checks read: no value at all where the inspector's answer is out."""
    if not book.asked:
        return replace(book, unanswered=None) if book.unanswered is not None else book
    view = replace(book, unanswered=None, strict=True)
    for asked in book.asked.values():
        view = put(view, spot(view, asked.id), None, asked.reason)
    return replace(book, unanswered=view)


def questions(book: RuleBook, inspector: str) -> tuple[Question, ...]:
    """Return the question to put for every value that is left to the inspector.

    Args:
        book: The book, amendments laid over it.
        inspector: Who answers, as the job calls him.
    """
    return tuple(
        Question(
            id=f"ask-{asked.id}",
            text=asked.question,
            owner=inspector,
            blocks=f"every check that needs it: {asked.what} ({asked.id}; left open by {asked.cite})",
            assumed=asked.assumed,
            about=(asked.id,),
            line=0 if asked.source else asked.line,
        )
        for _, asked in sorted(book.asked.items())
    )


def merged(asked: Sequence[Question], others: Sequence[Question]) -> tuple[Question, ...]:
    """Return the questions of the books and those of another stage, one for a value that both ask about.

    The words are those of the amendment; what the other stage assumed for want of a value is told with them.
    """
    about = {i: q for q in others for i in q.about}
    own = {i for q in asked for i in q.about}
    told = [replace(q, assumed=about[q.about[0]].assumed or q.assumed) if q.about[0] in about else q for q in asked]
    return (*told, *(q for q in others if not own.intersection(q.about)))
