"""Who is at work in which browser. The database knows only the hash of what the browser holds."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from secrets import token_urlsafe
from typing import Final

from sqlalchemy import bindparam, delete, insert, select, update

from stubout.store.engine import Store, stamp
from stubout.store.model import Session, name
from stubout.store.tables import sessions

LASTS: Final = timedelta(days=14)
_TOKEN_BYTES: Final = 32
_KNOWN: Final = select(sessions.c.name, sessions.c.ends_at).where(
    sessions.c.token_sha256 == bindparam("hash"), sessions.c.ends_at > bindparam("now")
)


def begin(store: Store, called: str) -> str:
    """Return the token of a new session; those that have ended are swept away."""
    token = token_urlsafe(_TOKEN_BYTES)
    ends = stamp(store.clock() + LASTS)
    with store.writing() as connection:
        connection.execute(delete(sessions).where(sessions.c.ends_at <= store.now()))
        row = {"token_sha256": _hash(token), "name": name(called, "your name"), "ends_at": ends}
        connection.execute(insert(sessions).values(row))
    return token


def session(store: Store, token: str) -> Session | None:
    """Return the session of a token, None if there is none or it has ended."""
    if not token:
        return None
    with store.glancing() as connection:
        row = connection.execute(_KNOWN, {"hash": _hash(token), "now": store.now()}).mappings().one_or_none()
    return Session(**row) if row is not None else None


def rename(store: Store, token: str, called: str) -> None:
    """Change who is at work: from now on records carry the new name."""
    with store.writing() as connection:
        changed = update(sessions).where(sessions.c.token_sha256 == _hash(token)).values(name=name(called, "your name"))
        connection.execute(changed)


def end(store: Store, token: str) -> None:
    """End a session."""
    with store.writing() as connection:
        connection.execute(delete(sessions).where(sessions.c.token_sha256 == _hash(token)))


def _hash(token: str) -> str:
    return sha256(token.encode()).hexdigest()
