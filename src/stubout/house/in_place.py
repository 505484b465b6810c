"""What is taken of installed pipe while the job file does not say its size. Sizes in nominal inches."""

from __future__ import annotations

from stubout.job.model import Job
from stubout.job.piping import RouteSaid

SEWER = "sewer"


def assumed_size_in(job: Job, said: RouteSaid) -> float | None:
    """Return the size taken for an installed drain whose file does not say it, None where nothing tells.

    An old drain is at least as large as what was led into it and, where it is the last, as the connection: taken
    smaller, nothing new could join it. Arms and vents have their own measure and are not taken from here.

    Args:
        job: The job.
        said: The route.
    """
    if not said.installed or said.size is not None or said.system == "vent" or said.fixture:
        return None
    into: list[float] = [job.sewer.size] if said.into == SEWER else []
    seen, names = {said.id}, [said.id]
    while names:
        name = names.pop()
        for r in job.routes:
            if r.into == name and r.id not in seen:
                seen.add(r.id)
                names.append(r.id)
                into += [r.size] if r.size is not None else []
    return max(into, default=None)
