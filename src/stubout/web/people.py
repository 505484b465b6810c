"""Who is at work: a name for the records, a session in a cookie, a token against forged forms, a code to pair with."""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Final

from starlette.requests import Request
from starlette.responses import Response

from stubout.run_field.words import ENGLISH, LANGUAGES
from stubout.store import sessions
from stubout.store.engine import Store
from stubout.store.model import Session
from stubout.web.guard import SAFE, Budget
from stubout.web.memory import Memory
from stubout.web.settings import Limits

COOKIE: Final = "stubout"
LANGUAGE: Final = "stubout-language"  # cookie
HEADER: Final = "x-csrf-token"
FIELD: Final = "csrf"
_LETTERS: Final = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"  # none that looks like another
_CODE_LETTERS: Final = 8
BELIEVED_S: Final = 5.0  # so long a session that was found is believed without asking again
_BROWSERS: Final = 2000  # whose session is held


class NotPaired(Exception):  # noqa: N818 - reads as a sentence where it is caught
    """Nobody has said who is at work in this browser."""


class Forged(Exception):  # noqa: N818 - reads as a sentence where it is caught
    """A changing request without the token of its session."""


@dataclass(frozen=True, slots=True)
class Person:
    """Who sends a request."""

    name: str
    token: str  # of the session
    csrf: str  # what its forms carry
    language: str = ENGLISH  # of the labels

    @property
    def mark(self) -> str:
        """Return what tells this session and name from others, and nothing of either."""
        return sha256(f"page\0{self.csrf}\0{self.name}".encode()).hexdigest()[:24]


class Known:
    """Who is at work in which browser, asked of the database again when a few seconds have gone by.

    A session that is ended or renamed through this server is asked for anew at once; one that another server on the
    same database ends is believed for those seconds.
    """

    def __init__(self, store: Store, clock: Callable[[], float] = time.monotonic) -> None:
        self.store, self.clock = store, clock
        self._held: Memory[tuple[Session, float]] = Memory(_BROWSERS)
        self._changes = 0

    def glance(self, token: str) -> Session | None:
        """Return the session of a token if it was asked for a moment ago and has not ended."""
        held = self._held.get(token)
        if held is None or self.clock() - held[1] > BELIEVED_S or held[0].ends_at <= self.store.now():
            return None
        return held[0]

    def session(self, token: str) -> Session | None:
        """Return the session of a token, None if there is none or it has ended."""
        found = self.glance(token)
        if found is None:
            changes = self._changes
            found = sessions.session(self.store, token)
            if found is not None and changes == self._changes:
                self._held.put(token, (found, self.clock()))
        return found

    def rename(self, token: str, called: str) -> None:
        """Change who is at work."""
        sessions.rename(self.store, token, called)
        self._forget(token)

    def end(self, token: str) -> None:
        """End a session."""
        sessions.end(self.store, token)
        self._forget(token)

    def _forget(self, token: str) -> None:
        self._changes += 1  # what another request has just read of the database is not held
        self._held.forget(token)


def csrf_of(token: str) -> str:
    """Return the token of the forms of a session: nobody who does not hold the session can make it."""
    return hmac.new(token.encode(), b"stubout form", sha256).hexdigest()


def person(request: Request, known: Known, *, held: bool = False) -> Person:
    """Return who sends a request; raises NotPaired, or Forged for a changing request without its token in the header.

    A form carries the token as a field: it is checked where the form is read. `held` does not ask the database.
    """
    token = request.cookies.get(COOKIE, "")
    found = known.glance(token) if held else known.session(token)
    if found is None:
        raise NotPaired
    return Person(found.name, token, csrf_of(token), language_of(request))


def language_of(request: Request) -> str:
    """Return the language that this browser has chosen, English where it has chosen none that is known."""
    chosen = request.cookies.get(LANGUAGE, "")
    return chosen if chosen in LANGUAGES else ENGLISH


def speak(response: Response, language: str) -> None:
    """Put the language into the browser; it is no secret and says nothing about who is at work."""
    age = int(sessions.LASTS.total_seconds()) * 26
    response.set_cookie(LANGUAGE, language, max_age=age, path="/", httponly=True, samesite="strict")


def prove(request: Request, who: Person, said: str) -> None:
    """Raise Forged unless a changing request carries the token of its session."""
    if request.method not in SAFE and not hmac.compare_digest(said.encode(), who.csrf.encode()):
        raise Forged


def give(response: Response, token: str) -> None:
    """Put a session into the browser; scripts cannot read it, other sites cannot send it."""
    age = int(sessions.LASTS.total_seconds())
    response.set_cookie(COOKIE, token, max_age=age, path="/", httponly=True, samesite="strict")


def take(response: Response) -> None:
    """Take the session out of the browser."""
    response.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict")


def new_code() -> str:
    """Return a pairing code that can be read from a screen and typed on a phone: 31^8 of them."""
    return "".join(secrets.choice(_LETTERS) for _ in range(_CODE_LETTERS))


@dataclass(slots=True)
class Pairing:
    """The code that a browser of the network has to say once; guessed at too often, it is changed."""

    limits: Limits
    code: str = field(default_factory=new_code)
    misses: int = 0
    changed: bool = False  # since the one who started the server was last told
    _tries: Budget = field(init=False)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        self._tries = Budget(self.limits.pairing_tries, self.limits.pairing_tries / 60)

    def fits(self, client: str, said: str) -> bool | None:
        """Return whether a code is right; None where this client has to wait before the next try."""
        with self._lock:
            if not self._tries.take(client):
                return None
            plain = "".join(said.upper().replace("-", " ").split())
            if hmac.compare_digest(plain.encode(), self.code.encode()):
                return True
            self.misses += 1
            if self.misses >= self.limits.pairing_misses:
                self.code, self.misses, self.changed = new_code(), 0, True
            return False

    @property
    def shown(self) -> str:
        """Return the code as it is shown."""
        return f"{self.code[:4]}-{self.code[4:]}"
