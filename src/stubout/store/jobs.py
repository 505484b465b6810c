"""Jobs and their revisions: a job only ever gets one more."""

from __future__ import annotations

from hashlib import sha256
from typing import Final

from sqlalchemy import Connection, bindparam, func, insert, select, update

from stubout.store.engine import Store
from stubout.store.model import LONGEST_WORDS, Job, NoSuch, Revision, Stale, known, name, whole_text, words
from stubout.store.tables import jobs, records, revisions

_COUNTED: Final = select(func.count()).select_from(records).where(records.c.job == bindparam("job")).scalar_subquery()
_AT: Final = select(jobs, _COUNTED.label("records")).where(jobs.c.id == bindparam("job"))
_REVISION: Final = select(revisions).where(
    revisions.c.job == bindparam("job"), revisions.c.number == bindparam("number")
)


def create(store: Store, called: str, text: str, author: str, note: str = "") -> Job:
    """Return a new job with its first revision."""
    who, at = name(author, "the author"), store.now()
    with store.writing() as connection:
        made = connection.execute(
            insert(jobs).values(name=name(called, "the name"), head=1, made_by=who, made_at=at)
        ).inserted_primary_key
        assert made is not None
        _revise(connection, Revision(made[0], 1, whole_text(text), "", who, at, words(note, LONGEST_WORDS, "the note")))
        return _job(connection, made[0])


def save(store: Store, job: int, base: int, text: str, author: str, note: str = "") -> Revision:
    """Return the new revision of a job.

    Args:
        store: The store.
        job: Id of the job.
        base: Number of the revision that was edited.
        text: The job file as a whole.
        author: Who saves it.
        note: Why.

    Raises:
        Stale: If `base` is not the last revision any more; nothing is saved.
        NoSuch: If there is no such job.
    """
    made = Revision(
        job, base + 1, whole_text(text), "", name(author, "the author"), store.now(),
        words(note, LONGEST_WORDS, "the note"),
    )  # fmt: skip
    known(job, "job")
    with store.writing() as connection:
        # Both databases let one of two writers through here: the other then finds another head.
        moved = connection.execute(update(jobs).where(jobs.c.id == job, jobs.c.head == base).values(head=base + 1))
        if moved.rowcount != 1:
            raise Stale(base, _job(connection, job).head)
        return _revise(connection, made)


def _revise(connection: Connection, one: Revision) -> Revision:
    digest = sha256(one.text.encode()).hexdigest()
    row = (
        {"job": one.job, "number": one.number, "text": one.text, "sha256": digest}
        | {"author": one.author, "at": one.at, "note": one.note}
    )  # fmt: skip
    connection.execute(insert(revisions).values(row))
    return Revision(one.job, one.number, one.text, digest, one.author, one.at, one.note)


def rename(store: Store, job: int, called: str) -> None:
    """Give a job another name in the list; its file is not touched."""
    with store.writing() as connection:
        done = connection.execute(
            update(jobs).where(jobs.c.id == known(job, "job")).values(name=name(called, "the name"))
        )
        if done.rowcount != 1:
            raise NoSuch(f"there is no job {job}")


def listed(store: Store) -> tuple[Job, ...]:
    """Return all jobs, the youngest first."""
    with store.reading() as connection:
        return tuple(Job(**row) for row in connection.execute(select(jobs).order_by(jobs.c.id.desc())).mappings())


def job(store: Store, job_id: int) -> Job:
    """Return one job; raises NoSuch."""
    with store.reading() as connection:
        return _job(connection, job_id)


def _job(connection: Connection, job_id: int) -> Job:
    row = connection.execute(select(jobs).where(jobs.c.id == known(job_id, "job"))).mappings().one_or_none()
    if row is None:
        raise NoSuch(f"there is no job {job_id}")
    return Job(**row)


def at(store: Store, job_id: int) -> tuple[Job, int]:
    """Return one job and how many records it has; raises NoSuch.

    Revisions and records are only added: as long as the two are the same, nothing about the job has changed.
    """
    with store.glancing() as connection:
        row = connection.execute(_AT, {"job": known(job_id, "job")}).mappings().one_or_none()
    if row is None:
        raise NoSuch(f"there is no job {job_id}")
    return Job(**{k: v for k, v in row.items() if k != "records"}), int(row["records"])


def revision(store: Store, job_id: int, number: int = 0) -> Revision:
    """Return one revision of a job, the last if no number is given; raises NoSuch."""
    with store.reading() as connection:
        head = _job(connection, job_id).head
        wanted = known(number, "revision") if number else head
        row = connection.execute(_REVISION, {"job": job_id, "number": wanted}).mappings().one_or_none()
    if row is None:
        raise NoSuch(f"job {job_id} has no revision {number}")
    return Revision(**row)


def history(store: Store, job_id: int) -> tuple[Revision, ...]:
    """Return the revisions of a job, the last first, without their texts."""
    wanted = [c for c in revisions.c if c.name != "text"]
    with store.reading() as connection:
        query = select(*wanted).where(revisions.c.job == known(job_id, "job")).order_by(revisions.c.number.desc())
        return tuple(Revision(**row, text="") for row in connection.execute(query).mappings())


def noted(store: Store, begins: str) -> tuple[Revision, ...]:
    """Return the revisions of all jobs whose note begins with some words, the oldest first, without their texts."""
    wanted = [c for c in revisions.c if c.name != "text"]
    with store.reading() as connection:
        like = revisions.c.note.startswith(begins, autoescape=True)
        query = select(*wanted).where(like).order_by(revisions.c.job, revisions.c.number)
        return tuple(Revision(**row, text="") for row in connection.execute(query).mappings())
