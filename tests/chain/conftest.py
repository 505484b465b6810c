"""The five complete jobs of the repository, designed and checked once a run; every test reads the finished design."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import laid_out
import pytest

from stubout import run
from stubout.design import Design
from stubout.house.model import HouseFixture
from stubout.job.model import Job
from stubout.layout.model import PointKind, TrapPlan
from stubout.network.model import Pipe
from stubout.problems import Finding
from stubout.run import Verdict

sys.path.insert(0, str(Path(__file__).parents[1] / "houses"))  # how pieces are put together again
EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = {
    "01": "01-two-storey-basement.yaml",
    "02": "02-slab-bungalow.yaml",
    "03": "03-crawlspace-cottage.yaml",
    "drawn": "drawn-bath.yaml",
}


@dataclass(frozen=True)
class Chain:
    """One job with its finished design and what the checks say, and the questions the tests put to them."""

    job: Job
    design: Design
    verdict: Verdict

    def said(self, checks: str, *about: str) -> list[Finding]:
        """Return the findings of some checks (`ARM001 ARM002`) that name one of the ids."""
        wanted = set(checks.split())
        return [f for f in self.verdict.findings if f.check in wanted and (not about or set(about) & set(f.about))]

    def blocked(self, *about: str) -> bool:
        """Return whether the design says that it could not lay out one of these."""
        return any(set(about) & set(b.about) for b in self.design.blocked)

    def trap(self, tag: str) -> TrapPlan:
        """Return how a fixture is trapped; nothing to test where the design says that it could not lay it out."""
        for t in self.design.network.traps:
            if t.tag == tag:
                return t
        assert self.blocked(tag) or self.said("DRN013 BLK001", tag), f"{tag} is not laid out and nobody says so"
        pytest.skip(f"{tag} is not laid out, and the design says so")

    def all_drained(self) -> None:
        """Stop here if a fixture does not come to the sewer, after making sure that the design says so."""
        for f in self.design.house.fixtures:
            if f.tag not in self.sewer_pipe().tags:
                way = [p.id for p in self.way_down(f.tag)]
                assert self.said("DRN010 DRN013 BLK001", f.tag, *way), f"{f.tag} is lost and nobody says so"
                pytest.skip(f"{f.tag} does not come to the sewer, and the design says so")

    def arm(self, tag: str) -> list[Pipe]:
        return [self.design.network.pipe(i) for i in self.trap(tag).arm_runs]

    def fixture(self, tag: str) -> HouseFixture:
        return self.design.house.fixture(tag)

    def sewer_pipe(self) -> Pipe:
        """Return the last pipe, the one that ends at the sewer connection."""
        net = self.design.network
        return next(p for p in net.drains() if net.node(p.end).kind is PointKind.SEWER)

    def way_down(self, tag: str) -> list[Pipe]:
        """Return the drains from a trap's weir on, in flow order."""
        net = self.design.network
        first = [net.pipe(i) for i in net.node(self.trap(tag).weir).outflow if net.pipe(i).system == "drain"]
        return [*first, *net.downstream(first[0])] if first else []


def chained(job: Job) -> Chain:
    return judged(job, run.design(job))


def judged(job: Job, design: Design) -> Chain:
    return Chain(job, design, run.check(design))


def chained_first(job: Job) -> Chain:
    return judged(job, run.judged(job).design)


@cache
def first_of(name: str) -> Chain:
    return chained_first(laid_out.job_named(name))


@cache
def finished(name: str) -> Chain:
    return judged(laid_out.job_named(name), laid_out.design_named(name))


@cache
def made(name: str) -> dict[str, bytes]:
    whole = finished(name)
    return run.outputs(whole.design, whole.verdict)


@pytest.fixture(scope="session")
def job_named() -> Callable[[str], Job]:
    return laid_out.job_named


@pytest.fixture(scope="session")
def chain() -> Callable[[str], Chain]:
    """Return a complete job by name: 01, 02, 03, drawn, demo."""
    return finished


@pytest.fixture(scope="session")
def chain_of() -> Callable[[Job], Chain]:
    """Design and check any job."""
    return chained


@pytest.fixture(scope="session")
def first() -> Callable[[str], Chain]:
    """Return a complete job by name as it is laid out first, before others are tried."""
    return first_of


@pytest.fixture(scope="session")
def first_of_job() -> Callable[[Job], Chain]:
    """Lay any job out, and design and check what comes out first."""
    return chained_first


@pytest.fixture(scope="session")
def files_of() -> Callable[[str], dict[str, bytes]]:
    """Return all output files of a complete job by name."""
    return made


@pytest.fixture(scope="session")
def c01() -> Chain:
    return finished("01")


@pytest.fixture(scope="session")
def c02() -> Chain:
    return finished("02")


@pytest.fixture(scope="session")
def c03() -> Chain:
    return finished("03")


@pytest.fixture(scope="session")
def example_path() -> Callable[[str], str]:
    """Return the path of a job by name; `demo` stands for itself."""
    return lambda name: name if name == "demo" else str(EXAMPLES / FILES[name])
