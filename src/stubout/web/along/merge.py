"""Entries made away from the server, brought into a job: each once, each with its author and time, none over another.

They go the way of every other record, through `records.add`: what is there already stays, what was taken back stays
taken back, and what cannot be kept is told with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from stubout import units
from stubout.run_field import texts
from stubout.store import jobs, records
from stubout.store.engine import Store, stamp
from stubout.store.model import Brought, Entry, Kind, Record, Revision, StoreError
from stubout.web import verdicts
from stubout.web.along.album import Album
from stubout.web.along.sheaf import EntrySaid, Sheaf
from stubout.web.settings import Limits

State = Literal["added", "there", "refused"]
AHEAD: Final = timedelta(minutes=5)  # a phone's clock may run ahead by so much
_LIMITS: Final = Limits()
_TIME: Final = "%Y-%m-%dT%H:%M:%SZ"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one entry."""

    said: EntrySaid
    state: State
    words: str = ""  # why it was refused; what else has to be known
    record: Record | None = None


def merge(
    store: Store, job_id: int, sheaf: Sheaf, who: str, *, own: bool = False, limits: Limits = _LIMITS
) -> tuple[Outcome, ...]:
    """Bring every entry of a file into a job and return what became of each, in the order of the file.

    Args:
        store: The store.
        job_id: Where to.
        sheaf: The file.
        who: Who brings it.
        own: The entries were made in this session, out of reach of the server: their author is `who`.
        limits: How many photos are taken, and how large they may be.

    Raises:
        NoSuch: If there is no such job.
        StoreError: If the file was made for another job, or from a text that this job never had.
    """
    revision = _revision(store, job_id, sheaf)
    desk = _Desk(store, revision, texts.units_of(revision.text), Album(store, job_id, limits))
    return tuple(_one(desk, said, who, own=own) for said in sheaf.entries)


@dataclass(frozen=True, slots=True)
class _Desk:
    """What every entry of a file is held against."""

    store: Store
    revision: Revision  # on the screen of the one who made them
    system: units.Units
    album: Album


def _revision(store: Store, job_id: int, sheaf: Sheaf) -> Revision:
    """Return the revision that was on the screen of the one who made the entries."""
    job = jobs.job(store, job_id)
    if sheaf.job.id and sheaf.job.id != job_id:
        raise StoreError(f"these entries were made for job {sheaf.job.id} ({sheaf.job.name}), not for {job.name}")
    known = jobs.history(store, job_id)
    digest = sheaf.job.sha256
    found = [r for r in known if r.number == sheaf.job.revision and digest in ("", r.sha256)]
    found += [r for r in known if r.sha256 == digest]
    if not found:
        raise StoreError(
            "these entries were made from a job file that is no revision of this job; save that file as a revision "
            "first, or choose the job it belongs to"
        )
    return found[0]


def _one(desk: _Desk, said: EntrySaid, who: str, *, own: bool) -> Outcome:
    store, revision = desk.store, desk.revision
    earlier = records.by_token(store, revision.job, said.token)
    if earlier is not None:
        return _known(earlier, said, desk.system)
    at, words = _time(store, revision, said)
    try:
        entry = _entry(desk, said)
        same = desk.album.same(entry)
        if same is not None:
            return Outcome(said, "there", "", same)
        author = who if own else said.author
        made = records.add(store, revision.job, revision.number, author, entry, Brought(at, who))
    except (units.UnitError, StoreError) as error:
        return Outcome(said, "refused", str(error))
    return Outcome(said, "added", words, made)


def _known(earlier: Record, said: EntrySaid, system: units.Units) -> Outcome:
    """Return that an entry is there already; where it says something else now, that it stays as it was."""
    try:
        same = said.kind == earlier.kind and said.place == earlier.place and _value(said, system) == earlier.value
    except (units.UnitError, StoreError):
        same = False
    return Outcome(said, "there", "" if same else "kept as it first came: this one says something else", earlier)


def _time(store: Store, revision: Revision, said: EntrySaid) -> tuple[str, str]:
    """Return when an entry was made; one that cannot be right, by a wrong clock, is given the time it came."""
    now = store.clock()
    try:
        at = datetime.strptime(said.at, _TIME).replace(tzinfo=now.tzinfo)
    except ValueError:
        return stamp(now), f"its time, {said.at}, is none: kept with the time it came"
    if stamp(at) < revision.at or at > now + AHEAD:
        return stamp(now), f"its time, {said.at}, cannot be right: kept with the time it came"
    return stamp(min(at, now)), ""


def _value(said: EntrySaid, system: units.Units) -> str:
    """Return what a record says; UnitError or StoreError where it says nothing that can be read."""
    if said.kind == "height":
        return verdicts.height_value(said.value, said.datum, system)
    if said.kind == "slope":
        units.parse_slope(said.value)
    elif said.kind == "test":
        if said.test is None:
            raise StoreError("a test without its readings")
        fields = {k: " ".join(v.split()) for k, v in said.test.model_dump().items()}
        return verdicts.Tested(**fields).value
    elif said.kind == "note" and not said.value.strip():
        raise StoreError("there is nothing written in it")
    return said.value


def _entry(desk: _Desk, said: EntrySaid) -> Entry:
    back = 0 if said.takes_back is None else _taken(desk.store, desk.revision.job, said).id
    value = _value(said, desk.system)
    photo = desk.album.kept(said) if said.kind == "photo" or said.photo else ""
    return Entry(Kind(said.kind), said.about, value, said.wall, said.place, photo, back, said.token)


def _taken(store: Store, job: int, said: EntrySaid) -> Record:
    """Return the record that an entry takes back; it has to be about the same thing, whatever its number says."""
    back = said.takes_back
    assert back is not None
    if back.token:
        found = records.by_token(store, job, back.token)
    else:
        found = next((r for r in records.listed(store, job) if r.id == back.record), None)
    if found is None or (found.about, found.place) != (said.about, said.place):
        raise StoreError("what it takes back is not there")
    return found
