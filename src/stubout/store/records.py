"""Records of the site and photos: added, never changed; a wrong one is taken back by another one."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

from sqlalchemy import Connection, RowMapping, insert, select

from stubout.store.engine import Store
from stubout.store.model import (
    LONGEST_NAME,
    LONGEST_PAPER,
    LONGEST_WORDS,
    Brought,
    Entry,
    Kind,
    NoSuch,
    Photo,
    Record,
    StoreError,
    known,
    name,
    whole_text,
    words,
)
from stubout.store.tables import papers, photos, records, revisions


def add(store: Store, job: int, revision: int, author: str, entry: Entry, brought: Brought | None = None) -> Record:
    """Return a record, kept.

    Args:
        store: The store.
        job: Id of the job.
        revision: Of the job, which was on the screen.
        author: Who says so.
        entry: What; one whose token is there already is not kept twice, the earlier one is returned.
        brought: For a record that was made away from the server.

    Raises:
        NoSuch: If job, revision, photo, or what it takes back is not there.
        StoreError: If a text is too long or missing, or the record was taken back already.
    """
    now = store.now()
    row = {
        "job": known(job, "job"),
        "kind": entry.kind.value,
        "about": name(entry.about, "what the record is about"),
        "value": words(entry.value, LONGEST_WORDS, "the record"),
        "wall": words(entry.wall, LONGEST_NAME, "the wall"),
        "place": words(entry.place, LONGEST_WORDS, "the place"),
        "photo": entry.photo or None,
        "paper": entry.paper or None,
        "takes_back": known(entry.takes_back, "record") if entry.takes_back else None,
        "author": name(author, "the author"),
        "at": brought.at if brought else now,
        "revision": known(revision, "revision"),
        "brought_by": name(brought.by, "who brings it") if brought else None,
        "brought_at": now if brought else None,
        "token": words(entry.token, LONGEST_NAME, "the token") or None,
    }
    with store.writing() as connection:
        one = select(revisions.c.number).where(revisions.c.job == job, revisions.c.number == revision)
        if connection.execute(one.with_for_update()).first() is None:  # PostgreSQL: one after the other
            raise NoSuch(f"job {job} has no revision {revision}")
        earlier = _by_token(connection, job, row["token"])
        if earlier is not None:
            return earlier
        _refuse(connection, job, entry)
        made = connection.execute(insert(records).values(row)).inserted_primary_key
        assert made is not None
        return _one(connection, job, made[0])


def by_token(store: Store, job: int, token: str) -> Record | None:
    """Return the record of a job that carries a token, None if there is none."""
    with store.reading() as connection:
        return _by_token(connection, known(job, "job"), token or None)


def tokens(store: Store, job: int) -> dict[str, int]:
    """Return the token of every record of a job that has one, those taken back among them, with its number."""
    with store.reading() as connection:
        query = select(records.c.token, records.c.id).where(
            records.c.job == known(job, "job"), records.c.token.is_not(None)
        )
        return {row.token: row.id for row in connection.execute(query)}


def _by_token(connection: Connection, job: int, token: object) -> Record | None:
    if token is None:
        return None
    row = connection.execute(select(records).where(records.c.job == job, records.c.token == token)).mappings().first()
    return _record(row) if row is not None else None


def _refuse(connection: Connection, job: int, entry: Entry) -> None:
    """Raise where a record names what is not there, or takes back what is gone."""
    if entry.photo:
        query = select(photos.c.sha256).where(photos.c.sha256 == entry.photo)
        if connection.execute(query).first() is None:
            raise NoSuch("there is no such photo")
    if (entry.kind is Kind.PRICES) != bool(entry.paper):
        raise StoreError("prices name their list, and no other record does")
    if entry.paper:
        query = select(papers.c.sha256).where(papers.c.sha256 == entry.paper)
        if connection.execute(query).first() is None:
            raise NoSuch("there is no such list")
    if (entry.kind is Kind.BACK) != bool(entry.takes_back):
        raise StoreError("a record that takes one back names it, and no other does")
    if entry.takes_back:
        if _one(connection, job, entry.takes_back).kind is Kind.BACK:
            raise StoreError("that record takes another back itself; record the thing anew")
        gone = select(records.c.id).where(records.c.takes_back == entry.takes_back)
        if connection.execute(gone).first() is not None:
            raise StoreError("that record has been taken back already")


def _one(connection: Connection, job: int, record: int) -> Record:
    row = connection.execute(select(records).where(records.c.job == job, records.c.id == record)).mappings().first()
    if row is None:
        raise NoSuch(f"job {job} has no record {record}")
    return _record(row)


def _record(row: RowMapping) -> Record:
    kept = {k: v for k, v in row.items() if k != "token"}
    kept |= {"kind": Kind(row["kind"]), "takes_back": row["takes_back"] or 0}
    return Record(**kept | {k: row[k] or "" for k in ("photo", "paper", "brought_by", "brought_at")})


def listed(store: Store, job: int) -> tuple[Record, ...]:
    """Return all records of a job in the order they were made, those taken back among them.

    One that is brought later takes its place by its time, so that the last reading is the one that was read last.
    """
    with store.reading() as connection:
        query = select(records).where(records.c.job == known(job, "job")).order_by(records.c.at, records.c.id)
        return tuple(_record(row) for row in connection.execute(query).mappings())


def standing(found: Iterable[Record]) -> tuple[Record, ...]:
    """Return the records that count: not taken back, and no takings-back."""
    every = tuple(found)
    gone = {r.takes_back for r in every if r.takes_back}
    return tuple(r for r in every if r.id not in gone and r.kind is not Kind.BACK)


def keep_photo(store: Store, data: bytes, width: int, height: int) -> str:
    """Return the name of a picture, the sha256 of its bytes; the same picture is kept once."""
    digest = sha256(data).hexdigest()
    with store.writing() as connection:
        if connection.execute(select(photos.c.sha256).where(photos.c.sha256 == digest)).first() is None:
            connection.execute(insert(photos).values(sha256=digest, data=data, width=width, height=height))
    return digest


def photo(store: Store, digest: str) -> Photo:
    """Return a picture by its name; raises NoSuch."""
    with store.reading() as connection:
        row = connection.execute(select(photos).where(photos.c.sha256 == digest)).mappings().one_or_none()
    if row is None:
        raise NoSuch("there is no such photo")
    return Photo(**row)


def keep_paper(store: Store, text: str) -> str:
    """Return the name of a text, the sha256 of its bytes; the same text is kept once."""
    plain = whole_text(text, LONGEST_PAPER, "the list")
    digest = sha256(plain.encode()).hexdigest()
    with store.writing() as connection:
        if connection.execute(select(papers.c.sha256).where(papers.c.sha256 == digest)).first() is None:
            connection.execute(insert(papers).values(sha256=digest, text=plain))
    return digest


def paper(store: Store, digest: str) -> str:
    """Return a text by its name; raises NoSuch."""
    with store.reading() as connection:
        found = connection.execute(select(papers.c.text).where(papers.c.sha256 == digest)).scalar_one_or_none()
    if found is None:
        raise NoSuch("there is no such list")
    return str(found)
