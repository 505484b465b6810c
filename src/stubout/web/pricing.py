"""The prices that hold for a job, and what its plan costs by them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stubout.problems import several
from stubout.run_field import ordering, texts
from stubout.run_field.ordering import Ordered
from stubout.run_field.words import noted
from stubout.store import jobs, records
from stubout.store.engine import Store
from stubout.store.model import Entry, Kind, Record
from stubout.web import mending
from stubout.web.along.data import table
from stubout.web.office import Office, Opened, standing
from stubout.web.plans import Plan

ABOUT: Final = noted("prices")


@dataclass(frozen=True, slots=True)
class Said:
    """A list of prices as it is handed in."""

    job: int
    revision: int  # that was on the screen
    author: str
    text: str
    token: str = ""


@dataclass(frozen=True, slots=True)
class Priced:
    """What the plan on the screen costs by the prices that hold, as far as it is worked out."""

    record: Record  # that keeps the prices
    plan: Plan
    order: Ordered | None


def held(office: Office, at: Opened) -> Record | None:
    """Return the record of the prices that hold for a job, None where it has none."""
    return next((r for r in reversed(standing(office, at)) if r.kind is Kind.PRICES), None)


def text_of(office: Office, record: Record | None) -> str:
    """Return the list of prices of a record, "" where there is none."""
    return records.paper(office.store, record.paper) if record else ""


def copy(store: Store, record: Record, job: int, author: str) -> Record:
    """Let the prices of a record hold for another job too, from its first revision on."""
    return records.add(store, job, 1, author, Entry(Kind.PRICES, ABOUT, record.value, paper=record.paper))


def keep(store: Store, said: Said) -> Record:
    """Return the record of a list of prices that holds from now on; raises JobFileError with each fault of the list.

    The same list sent twice with one token is kept once.
    """
    text = said.text.replace("\r\n", "\n").replace("\r", "\n")
    prices = texts.prices_of(text)
    value = f"{prices.currency}, {several(len(prices.prices), 'price')}"
    revision = jobs.revision(store, said.job, said.revision).number
    entry = Entry(Kind.PRICES, ABOUT, value, token=said.token, paper=records.keep_paper(store, text))
    return records.add(store, said.job, revision, said.author, entry)


def take_back(office: Office, at: Opened, number: int, author: str) -> Record | None:
    """Take the prices that hold back, if they are those of a record: those before them hold again, or none."""
    last = held(office, at)
    if last is None or last.id != number:
        return None
    return records.add(office.store, at.job.id, at.shown.number, author, Entry(Kind.BACK, ABOUT, takes_back=number))


def priced(office: Office, at: Opened) -> Priced | None:
    """Return what the plan on the screen costs, and have it worked out; None where the job has no prices."""
    record = held(office, at)
    if record is None or at.field is None:
        return None
    text = text_of(office, record)
    plan = mending.beside(office.plans, at.shown, ordering.KIND, text)
    order = ordering.read(office.plans.file(plan.key, ordering.ORDER)) if plan.state == "done" else None
    return Priced(record, plan, order)


def skeleton(office: Office, at: Opened) -> str:
    """Return a list of prices to be filled in: the currency, and every line of the material list as a remark."""
    head, rows = table(office.plans.file(at.key, "lists/materials.csv"))
    item, size = (head.index(k) for k in ("item", "size"))
    lines = ["currency:  # as you write it", "prices:"]
    for row in rows:
        lines += [f"  # - item: {quoted(row[item])}", f"  #   size: {quoted(row[size])}", "  #   each: "]
    return "\n".join(lines) + "\n"


def quoted(words: str) -> str:
    """Return words as one value of the file."""
    return "'" + words.replace("'", "''") + "'"
