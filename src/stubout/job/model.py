"""The job as the user said it: one pydantic record per thing of the job file, nothing resolved.

Keys are written with spaces in the file (`wall height`); the reader turns blanks and hyphens into underscores. How
scalars are read stands in `scalars.py`, the records by subject in `papers.py`, `building.py`, `site.py` and
`piping.py`; whoever reads a job takes them from here.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from stubout.job.building import (
    BoxSaid,
    CabinetSaid,
    DrawerSaid,
    Finish,
    FinishSaid,
    FrameSaid,
    LevelSaid,
    MembersSaid,
    ObstacleSaid,
    OpeningSaid,
    RecessSaid,
    RoomSaid,
    StudsSaid,
    WallSaid,
)
from stubout.job.charts import ChartSaid, PassSaid
from stubout.job.papers import (
    AmendSaid,
    ChoiceSaid,
    ClimateSaid,
    ConfirmSaid,
    CostSaid,
    JobSaid,
    MeasuredSaid,
    OffcutSaid,
    QuestionSaid,
    RecordSaid,
    TestSaid,
    WishesSaid,
)
from stubout.job.piping import FixtureSaid, InstalledSaid, RouteSaid
from stubout.job.scalars import (
    Length,
    Lengths,
    Placed,
    PlanPoint,
    Range,
    Record,
    SideWord,
    Size,
    Slope,
    SpacePoint,
    Temperature,
    Words,
    YesNo,
)
from stubout.job.site import RoofOpeningSaid, RoofSaid, RoofZoneSaid, SewerSaid, SiteSaid

__all__ = [
    "AmendSaid",
    "BoxSaid",
    "CabinetSaid",
    "ChartSaid",
    "ChoiceSaid",
    "ClimateSaid",
    "ConfirmSaid",
    "CostSaid",
    "DrawerSaid",
    "Finish",
    "FinishSaid",
    "FixtureSaid",
    "FrameSaid",
    "InstalledSaid",
    "Job",
    "JobSaid",
    "Length",
    "Lengths",
    "LevelSaid",
    "MeasuredSaid",
    "MembersSaid",
    "ObstacleSaid",
    "OffcutSaid",
    "OpeningSaid",
    "PassSaid",
    "Placed",
    "PlanPoint",
    "QuestionSaid",
    "Range",
    "RecessSaid",
    "Record",
    "RecordSaid",
    "RoofOpeningSaid",
    "RoofSaid",
    "RoofZoneSaid",
    "RoomSaid",
    "RouteSaid",
    "SewerSaid",
    "SideWord",
    "SiteSaid",
    "Size",
    "Slope",
    "SpacePoint",
    "StudsSaid",
    "Temperature",
    "TestSaid",
    "WallSaid",
    "WishesSaid",
    "Words",
    "YesNo",
]


class Job(Record):
    """One job file."""

    stubout: Literal["1"]
    job: JobSaid
    climate: ClimateSaid = ClimateSaid()
    site: SiteSaid
    amendment_files: tuple[str, ...] = ()  # undermost first; the job's own `amendments` lie on top
    amendments: tuple[AmendSaid, ...] = ()
    confirmation_files: tuple[str, ...] = ()
    confirmations: tuple[ConfirmSaid, ...] = ()
    levels: tuple[LevelSaid, ...]
    frames: tuple[FrameSaid, ...] = ()
    walls: tuple[WallSaid, ...]
    openings: tuple[OpeningSaid, ...] = ()
    rooms: tuple[RoomSaid, ...]
    cabinets: tuple[CabinetSaid, ...] = ()
    fixtures: tuple[FixtureSaid, ...]
    obstacles: tuple[ObstacleSaid, ...] = ()
    roof: tuple[RoofSaid, ...] = ()
    roof_openings: tuple[RoofOpeningSaid, ...] = ()
    roof_zones: tuple[RoofZoneSaid, ...] = ()
    sewer: SewerSaid
    wishes: WishesSaid = WishesSaid()
    choices: tuple[ChoiceSaid, ...] = ()
    questions: tuple[QuestionSaid, ...] = ()
    routes: tuple[RouteSaid, ...] = ()
    installed: tuple[InstalledSaid, ...] = ()
    records: tuple[RecordSaid, ...] = ()
    measured: tuple[MeasuredSaid, ...] = ()
    offcuts: tuple[OffcutSaid, ...] = ()
    costs: tuple[CostSaid, ...] = ()
    source: str = Field(default="job.yaml", exclude=True)
    file_lines: tuple[int, ...] = Field(default=(), exclude=True)  # of its amendment files, then confirmation files
