"""Small houses made from a seed: the starter with some of its fixtures, another book, another connection, own costs."""

from __future__ import annotations

import random
from typing import Any

import yaml

from stubout.files.books import book_ids, framing_ids
from stubout.files.jobs import read_job_text
from stubout.job.model import Job
from stubout.job.starter import starter_text

BOOKS = ("npc-2020", "upc-2021", "ipc-2021", "irc-2021")


def small_house(seed: int) -> Job:
    """Return the job of a small house; the same seed always gives the same."""
    rnd = random.Random(seed)
    job: dict[str, Any] = yaml.load(starter_text("mm"), Loader=yaml.BaseLoader)
    job["job"]["book"] = BOOKS[seed % len(BOOKS)]
    tags = [f["tag"] for f in job["fixtures"]]
    kept = set(rnd.sample(tags, rnd.randint(1, len(tags))))
    job["fixtures"] = [f for f in job["fixtures"] if f["tag"] in kept]
    job.pop("questions", None)
    job["sewer"]["at"] = f"{rnd.randint(400, 5700)}, {-rnd.randint(1500, 6000)}"
    if seed % 3 == 0:
        job["costs"] = [{"item": "pipe", "work": str(rnd.randint(1, 30))}, {"item": "joint", "work": "1"}]
    return read_job_text(yaml.safe_dump(job, sort_keys=False), "small.yaml", book_ids(), framing_ids())
