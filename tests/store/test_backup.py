"""A backup is proved by restoring it, from each database into each."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select

from stubout.store import jobs, records
from stubout.store.backup import backup, restore
from stubout.store.engine import Store, open_store
from stubout.store.model import Entry, Kind, StoreError
from stubout.store.tables import KEPT


def filled(store: Store) -> None:
    job = jobs.create(store, "House ⅜", "text 1", "P").id
    jobs.save(store, job, 1, "text 2", "Q", "why")
    first = records.add(store, job, 1, "P", Entry(Kind.TICK, "B1", token="t"))
    records.add(store, job, 2, "Q", Entry(Kind.BACK, "B1", takes_back=first.id))
    digest = records.keep_photo(store, bytes(range(256)) * 50, 4, 3)
    records.add(store, job, 2, "Q", Entry(Kind.PHOTO, "LV1", photo=digest))
    listed = records.keep_paper(store, "currency: CAD\nprices: []\n")
    records.add(store, job, 2, "Q", Entry(Kind.PRICES, "prices", "CAD", paper=listed))
    jobs.create(store, "Other", "x", "P")


def everything(store: Store) -> list[list[tuple[object, ...]]]:
    with store.reading() as connection:
        return [[tuple(r) for r in connection.execute(select(t).order_by(*t.primary_key.columns))] for t in KEPT]


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_all_comes_back(store: Store, tmp_path: Path, into: str, request: pytest.FixtureRequest) -> None:
    filled(store)
    before = everything(store)
    file = tmp_path / "kept" / "stubout-backup.db"
    assert backup(store, file) == {"jobs": 2, "revisions": 3, "records": 4, "photos": 1, "papers": 1}
    assert [p.name for p in file.parent.iterdir()] == [file.name]
    if into == "postgresql":
        other = open_store(url=request.getfixturevalue("postgres"))
        request.getfixturevalue("emptier")(other)
    else:
        other = open_store(tmp_path / "other")
    assert restore(other, file) == {"jobs": 2, "revisions": 3, "records": 4, "photos": 1, "papers": 1}
    assert everything(other) == before
    # Life goes on: the next ids come after those restored.
    assert jobs.create(other, "Next", "x", "P").id == 3
    assert jobs.save(other, 1, 2, "text 3", "P").number == 3
    other.close()


def test_nothing_is_written_over(store: Store, tmp_path: Path) -> None:
    filled(store)
    file = tmp_path / "b.db"
    file.write_bytes(b"mine")
    with pytest.raises(StoreError, match="already there"):
        backup(store, file)
    assert file.read_bytes() == b"mine"
    good = tmp_path / "good.db"
    backup(store, good)
    with pytest.raises(StoreError, match="jobs already"):
        restore(store, good)


def test_a_damaged_backup_is_refused_whole(tmp_path: Path) -> None:
    store = open_store(tmp_path / "one")
    filled(store)
    good = tmp_path / "good.db"
    backup(store, good)
    store.close()
    changed = tmp_path / "changed.db"
    changed.write_bytes(good.read_bytes())
    with closing(sqlite3.connect(changed)) as connection:
        connection.execute("UPDATE revisions SET text = 'forged' WHERE number = 2")
        connection.commit()
    cut = tmp_path / "cut.db"
    cut.write_bytes(good.read_bytes()[:9000])
    other = tmp_path / "other.db"
    other.write_bytes(b"%PDF-1.7 no database")
    empty = open_store(tmp_path / "two")
    for bad in (changed, cut, other, tmp_path / "missing.db", tmp_path):
        with pytest.raises(StoreError):
            restore(empty, bad)
    assert jobs.listed(empty) == ()
    assert restore(empty, good)["jobs"] == 2
    empty.close()
