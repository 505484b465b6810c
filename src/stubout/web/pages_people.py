"""Who is at work: a name, on a network a pairing code besides."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from stubout.run_field.words import LANGUAGES
from stubout.store import sessions
from stubout.store.model import StoreError
from stubout.web.office import Form, Office, office_of, page, who_of
from stubout.web.people import FIELD, NotPaired, Person, give, language_of, prove, speak, take

router = APIRouter()


def own_path(path: str) -> str:
    """Return a path of ours to go on to, never an address of somebody else."""
    plain = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if plain else "/"


@router.get("/hello")
def hello(request: Request, next: str = "/") -> Response:
    """Ask who is at work."""
    office = office_of(request)
    try:
        who = who_of(request)
    except NotPaired:
        who = None
    words = {"network": office.settings.network, "after": own_path(next), "wrong": "", "name": ""}
    return page("hello.html", who, **words, language=language_of(request))


@router.post("/hello")
async def greet(request: Request) -> Response:
    """Begin a session."""
    form = await request.form(max_files=0, max_fields=6)
    called, code, after, said = (str(form.get(k) or "") for k in ("name", "code", "next", FIELD))
    language = str(form.get("language") or "")
    office = office_of(request)
    onward = RedirectResponse(own_path(after), 303)
    known = _known(request, said)
    wrong = "" if known else refused(office, request.client.host if request.client else "", code)
    if not wrong:
        try:
            if known:
                office.known.rename(known.token, called)
            else:
                give(onward, sessions.begin(office.store, called))
        except StoreError as error:
            wrong = f"{str(error)[:1].upper()}{str(error)[1:]}."
        else:
            if language in LANGUAGES:
                speak(onward, language)
            return onward
    words = {"network": office.settings.network, "after": own_path(after), "wrong": wrong, "name": called[:80]}
    return page("hello.html", known, 400, **words, language=language_of(request))


def _known(request: Request, said: str) -> Person | None:
    """Return who is at work already and only takes another name; the form has to prove it."""
    try:
        who = who_of(request)
    except NotPaired:
        return None
    prove(request, who, said)
    return who


def refused(office: Office, client: str, code: str) -> str:
    """Return why a client may not begin a session, "" if it may."""
    if not office.settings.network:
        return ""
    fits = office.pairing.fits(client, code)
    if fits is None:
        return "Too many tries. Wait a minute."
    return "" if fits else "That is not the code the server shows."


@router.post("/leave")
def leave(request: Request, form: Form) -> Response:
    """End the session of this browser."""
    office_of(request).known.end(form.who.token)
    response = RedirectResponse("/hello", 303)
    take(response)
    return response
