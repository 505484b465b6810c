"""Quick sums over HTTP, and the fixes of a job with their one tap."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel

from stubout import run_calc
from stubout.export.json_ import SCHEMA, error_data, plain
from stubout.store.model import Stale
from stubout.web import api, mending, pages_fixes
from stubout.web.api import WAITS, Acting, JobId, Number, not_yet, stale
from stubout.web.mending import Mend, Outcome
from stubout.web.office import Opened, Who, office_of, opened

router = APIRouter(prefix="/api", responses=api.router.responses)
Said = Annotated[str, Query(min_length=1, max_length=80)]
May = Annotated[str, Query(max_length=80)]
System = Literal["inch", "mm"]
Angle = Annotated[float, Query(allow_inf_nan=False)]
Finding = Annotated[int, Path(ge=1, le=100_000)]


class Tap(BaseModel):
    """One fix applied, and the revision it was worked out for."""

    base: Number


@router.get("/calc/fall")
def fall(who: Who, length: Said, slope: May = "", drop: May = "", units: System = "inch") -> dict[str, Any]:
    """Say how far a pipe falls over a length; with `drop` which slope that makes."""
    return run_calc.as_data(run_calc.fall(length, slope, drop, units))


@router.get("/calc/offset")
def offset(who: Who, offset: Said, angle: Angle = 45.0, units: System = "inch") -> dict[str, Any]:
    """Say travel and setback of an offset with two equal fittings."""
    return run_calc.as_data(run_calc.offset(offset, angle, units))


@router.get("/calc/rolling")
def rolling(who: Who, roll: Said, rise: Said, angle: Angle = 45.0, units: System = "inch") -> dict[str, Any]:
    """Say true offset, travel and roll of an offset that goes sideways and up at once."""
    return run_calc.as_data(run_calc.rolling(roll, rise, angle, units))


@router.get("/calc/bore")
def bore(
    who: Who,
    depth: Said,
    framing: Said,
    size: May = "",
    member: Literal["stud", "joist"] = "stud",
    bearing: bool = False,
    exterior: bool = False,
    doubled: bool = False,
    units: System = "inch",
) -> dict[str, Any]:
    """Say the largest hole a sawn stud or joist may have, and whether a pipe passes."""
    made = run_calc.bore(
        depth, framing, size, member, units, bearing=bearing, exterior=exterior, doubled=doubled
    )  # fmt: skip
    return run_calc.as_data(made)


@router.get("/calc/head")
def head(who: Who, height: Said, size: May = "", units: System = "inch") -> dict[str, Any]:
    """Say the pressure under a column of water, and the push on a plug."""
    return run_calc.as_data(run_calc.head(height, size, units))


@router.get("/calc/band")
def band(
    who: Who,
    outlet: Said,
    floor: Said,
    from_wall: Said,
    size: Said = '1-1/2"',
    slope: Said = "1/4 in/ft",
    units: System = "inch",
) -> dict[str, Any]:
    """Say the heights above finished floor that the stub-out of a sink may have."""
    return run_calc.as_data(run_calc.band(outlet, floor, from_wall, size, slope, units))


@router.get("/jobs/{job_id}/fixes", responses=WAITS)
def fixes(request: Request, job_id: JobId, who: Who) -> Response:
    """Say what was tried for each finding of the last revision, and what the job file would say for it."""
    office = office_of(request)
    at = opened(office, job_id)
    if at.plan.state != "done":
        return not_yet(at.plan)
    looked = mending.asked(office.plans, at.revision)
    if looked.state != "done":
        return not_yet(looked)
    found = mending.mends(office.plans, at.revision)
    return JSONResponse({"schema": SCHEMA, "revision": at.revision.number, "fixes": [_fix(at, m) for m in found]})


def _fix(at: Opened, mend: Mend, outcome: Outcome | None = None) -> dict[str, Any]:
    assert at.field is not None
    said = at.field.findings[mend.offer.finding - 1]
    of = {"level": said.level, "check": said.check, "about": list(said.about), "changes": list(mend.changes)}
    more = {"unsaid": mend.unsaid, "plan": None if outcome is None else plain(outcome)}
    return {**plain(mend.offer), **of, **more}


@router.get("/jobs/{job_id}/fixes/{finding}", responses=WAITS)
def fix(request: Request, job_id: JobId, finding: Finding, who: Who) -> Response:
    """Say what was tried for one finding, and what a whole plan with it says: `gone` where it may be applied."""
    office = office_of(request)
    at = opened(office, job_id)
    if at.plan.state != "done":
        return not_yet(at.plan)
    found = pages_fixes.fix_of(office, at, finding)
    if found is None or (found.mend is None and found.looked.state == "done"):
        return JSONResponse(error_data("no fix is looked for: it is no fault, or accepted in writing", []), 404)
    if found.mend is None:
        return not_yet(found.looked)
    if found.outcome is not None and found.outcome.state == "waiting":
        return not_yet(found.outcome.plan)
    return JSONResponse({"schema": SCHEMA, "fix": _fix(at, found.mend, found.outcome)})


@router.post("/jobs/{job_id}/fixes/{finding}", status_code=201)
def apply(request: Request, job_id: JobId, finding: Finding, who: Acting, said: Tap) -> Response:
    """Write a fix into the job file as the next revision; 409 with the last one if `base` is not that any more."""
    office = office_of(request)
    try:
        made = pages_fixes.applied(office, job_id, said.base, finding, who.name)
    except Stale as error:
        return stale(request, job_id, error)
    return JSONResponse({"schema": SCHEMA, "revision": plain(made)}, 201)
