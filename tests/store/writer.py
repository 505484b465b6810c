"""Saves revisions and records for ever and says each that was accepted; the test kills it."""

from __future__ import annotations

import sys
from pathlib import Path

from stubout.store import jobs, records
from stubout.store.engine import open_store
from stubout.store.model import Entry, Kind

url, folder, job = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
store = open_store(None if url else folder, url)
head = jobs.job(store, job).head
while True:
    head = jobs.save(store, job, head, f"revision {head + 1}\n" * 400, "P").number
    print(f"revision {head}", flush=True)
    made = records.add(store, job, head, "P", Entry(Kind.TICK, f"B{head}"))
    print(f"record {made.id}", flush=True)
