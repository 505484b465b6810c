"""The prices that hold for a job, and what its plan costs by them."""

from __future__ import annotations

from dataclasses import dataclass

from stubout.run_field import ordering
from stubout.run_field.ordering import Ordered
from stubout.store import records
from stubout.store.model import Kind, Record
from stubout.web import mending
from stubout.web.along.data import table
from stubout.web.office import Office, Opened, standing
from stubout.web.plans import Plan


@dataclass(frozen=True, slots=True)
class Priced:
    """What the plan on the screen costs by the prices that hold, as far as it is worked out."""

    record: Record  # that keeps the prices
    plan: Plan
    order: Ordered | None


def held(office: Office, at: Opened) -> Record | None:
    """Return the record of the prices that hold for a job, None where it has none."""
    return next((r for r in reversed(standing(office, at)) if r.kind is Kind.PRICES), None)


def priced(office: Office, at: Opened) -> Priced | None:
    """Return what the plan on the screen costs, and have it worked out; None where the job has no prices."""
    record = held(office, at)
    if record is None or at.field is None:
        return None
    text = records.paper(office.store, record.paper)
    key = office.plans.key(at.shown.text, kind=ordering.KIND, before=text)
    plan = office.plans.ask(at.shown.text, mending.slot_of(key), kind=ordering.KIND, beside=at.job.id, before=text)
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
