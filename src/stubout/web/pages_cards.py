"""Do-not-cover and do-not-nail cards for the walls: looked at, and printed in one language or in all of them."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stubout.run_field.card_words import ALL, KINDS, Kind
from stubout.run_field.cards import cards_file
from stubout.run_field.words import LANGUAGES
from stubout.web.office import Office, Opened, Who, office_of, page
from stubout.web.pages_see import inline, planned

router = APIRouter()
CHOICES: Final[dict[str, tuple[Kind, ...]]] = {"both": KINDS, "cover": ("cover",), "nail": ("nail",)}


@router.get("/jobs/{job_id}/cards")
def cards_page(request: Request, job_id: int, who: Who) -> Response:
    """Show what lies behind each face of a wall, and offer the cards for it."""
    at = planned(request, job_id)
    assert at.field is not None
    plans = office_of(request).plans
    pictures = {c.picture: inline(plans.file(at.key, c.picture)) for c in at.field.cards}
    return page("cards.html", who, at=at, pictures=pictures, every=ALL, here="site")


@router.get("/jobs/{job_id}/cards.pdf")
def cards_pdf(request: Request, job_id: int, who: Who, of: str = "both", language: str = ALL) -> Response:
    """Give out the cards as PDF."""
    if of not in CHOICES or language not in (ALL, *LANGUAGES):
        raise HTTPException(404, "there are no such cards")
    return given(office_of(request), planned(request, job_id), of, language)


def given(office: Office, at: Opened, of: str, language: str) -> Response:
    """Give out the cards of a planned job as PDF; `of` is one of `CHOICES`."""
    assert at.field is not None
    pictures = {c.picture: office.plans.file(at.key, c.picture) for c in at.field.cards}
    data = cards_file(at.field, pictures, CHOICES[of], language)
    headers = {"Content-Disposition": f'inline; filename="cards-{at.job.id}-{of}-{language}.pdf"'}
    return Response(data, media_type="application/pdf", headers=headers)
