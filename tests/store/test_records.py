"""Records, photos, sessions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from stubout.store import jobs, records, sessions
from stubout.store.engine import Store, open_store
from stubout.store.model import Brought, Entry, Kind, NoSuch, StoreError


@pytest.fixture
def job(store: Store) -> int:
    return jobs.create(store, "A", "0", "P").id


def test_a_record_has_author_time_and_revision(store: Store, job: int) -> None:
    made = records.add(store, job, 1, "Plumber P", Entry(Kind.HEIGHT, "LV1", '18 3/4"', "wall-P-L", "LV1"))
    assert records.listed(store, job) == (made,)
    assert (made.author, made.revision, made.value) == ("Plumber P", 1, '18 3/4"')
    assert made.at.endswith("Z")


def test_the_same_entry_sent_twice_is_kept_once(store: Store, job: int) -> None:
    entry = Entry(Kind.TICK, "B1", token="abc")
    assert records.add(store, job, 1, "P", entry) == records.add(store, job, 1, "P", entry)
    records.add(store, job, 1, "P", Entry(Kind.TICK, "B2"))
    records.add(store, job, 1, "P", Entry(Kind.TICK, "B3"))
    assert len(records.listed(store, job)) == 3


def test_a_record_is_taken_back_by_another_and_stays_to_be_seen(store: Store, job: int) -> None:
    wrong = records.add(store, job, 1, "P", Entry(Kind.TICK, "B1"))
    right = records.add(store, job, 1, "P", Entry(Kind.TICK, "B2"))
    back = records.add(store, job, 1, "Q", Entry(Kind.BACK, "B1", takes_back=wrong.id))
    every = records.listed(store, job)
    assert every == (wrong, right, back)
    assert records.standing(every) == (right,)
    with pytest.raises(StoreError, match="already"):
        records.add(store, job, 1, "Q", Entry(Kind.BACK, "B1", takes_back=wrong.id))
    with pytest.raises(StoreError, match="itself"):
        records.add(store, job, 1, "Q", Entry(Kind.BACK, "B1", takes_back=back.id))
    with pytest.raises(StoreError, match="names it"):
        records.add(store, job, 1, "Q", Entry(Kind.BACK, "B1"))


def test_a_record_of_another_job_cannot_be_taken_back(store: Store, job: int) -> None:
    theirs = records.add(store, job, 1, "P", Entry(Kind.TICK, "B1"))
    mine = jobs.create(store, "B", "0", "P").id
    with pytest.raises(NoSuch):
        records.add(store, mine, 1, "P", Entry(Kind.BACK, "B1", takes_back=theirs.id))


def test_revision_and_photo_must_be_there(store: Store, job: int) -> None:
    with pytest.raises(NoSuch, match="no revision 2"):
        records.add(store, job, 2, "P", Entry(Kind.NOTE, "wall"))
    with pytest.raises(NoSuch, match="photo"):
        records.add(store, job, 1, "P", Entry(Kind.PHOTO, "wall", photo="0" * 64))


def test_photos_are_named_by_what_is_in_them(store: Store, job: int) -> None:
    digest = records.keep_photo(store, b"picture", 3, 2)
    assert digest == sha256(b"picture").hexdigest()
    assert records.keep_photo(store, b"picture", 3, 2) == digest
    assert records.photo(store, digest).data == b"picture"
    made = records.add(store, job, 1, "P", Entry(Kind.PHOTO, "LV1", photo=digest))
    assert made.photo == digest
    with pytest.raises(NoSuch):
        records.photo(store, "0" * 64)


def test_sessions_end(tmp_path: Path) -> None:
    clock = [datetime(2030, 1, 1, tzinfo=UTC)]
    store = open_store(tmp_path, clock=lambda: clock[0])
    token = sessions.begin(store, "Plumber P")
    found = sessions.session(store, token)
    assert found is not None
    assert found.name == "Plumber P"
    assert sessions.session(store, token + "x") is None
    sessions.rename(store, token, "Plumber Q")
    clock[0] += sessions.LASTS - timedelta(seconds=1)
    assert sessions.session(store, token) is not None
    clock[0] += timedelta(seconds=1)
    assert sessions.session(store, token) is None
    other = sessions.begin(store, "R")
    sessions.end(store, other)
    assert sessions.session(store, other) is None
    store.close()


def test_the_database_does_not_know_the_token(tmp_path: Path) -> None:
    store = open_store(tmp_path)
    token = sessions.begin(store, "P")
    store.close()
    assert all(token.encode() not in p.read_bytes() for p in tmp_path.iterdir())


def test_a_record_brought_later_stands_at_its_own_time(tmp_path: Path) -> None:
    clock = [datetime(2030, 1, 1, 12, tzinfo=UTC)]
    store = open_store(tmp_path, clock=lambda: clock[0])
    job = jobs.create(store, "A", "0", "P").id
    clock[0] += timedelta(hours=2)
    here = records.add(store, job, 1, "P", Entry(Kind.HEIGHT, "LV1", "2"))
    clock[0] += timedelta(hours=1)
    away = Brought("2030-01-01T13:00:00Z", "Q")
    brought = records.add(store, job, 1, "R", Entry(Kind.HEIGHT, "LV1", "1", token="along-1"), away)
    assert records.listed(store, job) == (brought, here)
    assert (brought.author, brought.at) == ("R", "2030-01-01T13:00:00Z")
    assert (brought.brought_by, brought.brought_at) == ("Q", "2030-01-01T15:00:00Z")
    assert (here.brought_by, here.brought_at) == ("", "")
    assert records.by_token(store, job, "along-1") == brought
    assert records.by_token(store, job, "") is None
    store.close()
