"""How long the stages take, for the examples and for a house that grows: `make bench`.

Prints one line a house, best of a few runs, in milliseconds, with ratios that do not hang on the machine: the whole
plan against reading the job file, and the packet against the typesetter alone on the same pages. Then the growth when
the fixtures of a house are repeated.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import typst

from stubout import run
from stubout.design import Design
from stubout.export import packet as packets
from stubout.files.fonts import font_folder, template
from stubout.job.model import Job
from stubout.reports.documents import documents
from stubout.sheets.all import sheets

ROOT = Path(__file__).parents[1]
RUNS = 3


def best_ms(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the best time of a few runs [ms] and the last result."""
    times, result = [], None
    for _ in range(RUNS):
        start = time.perf_counter()
        result = work()
        times.append((time.perf_counter() - start) * 1000)
    return min(times), result


def typeset_ms(design: Design, verdict: run.Verdict) -> float:
    """Return the time of one bare compile of the finished pages [ms]."""
    papers, drawn = documents(design, verdict.findings, verdict.not_checked), sheets(design)
    bound = packets.packet(design, papers, drawn, template=template("packet.typ"), fonts=font_folder(), doubtful=0)
    ask = packets.request(design, papers, drawn, bound.drawings, template("packet.typ"), font_folder())
    return best_ms(lambda: typst.compile(**ask, format="pdf"))[0]


def measure(name: str, read: Callable[[], Job]) -> None:
    """Print the line of one house."""
    read_ms, job = best_ms(read)
    design_ms, design = best_ms(lambda: run.design(job))
    check_ms, verdict = best_ms(lambda: run.check(design))
    out_ms, files = best_ms(lambda: run.outputs(design, verdict))
    set_ms = typeset_ms(design, verdict)
    whole = read_ms + design_ms + check_ms + out_ms
    print(
        f"{name:<26}{len(design.network.pipes):>6}{read_ms:>8.0f}{design_ms:>8.0f}{check_ms:>8.0f}{out_ms:>8.0f}{whole:>8.0f}"
        f"{whole / read_ms:>8.1f}{out_ms / set_ms:>8.1f}{sum(map(len, files.values())) / 1e6:>7.1f}"
    )


def grown(job: Job, times: int) -> Job:
    """Return the house with its fixtures repeated under new tags in the same places: a load test, no real house."""
    more = [f.model_copy(update={"tag": f"{f.tag}x{i}"}) for i in range(1, times) for f in job.fixtures]
    return job.model_copy(update={"fixtures": job.fixtures + tuple(more)})


def main() -> None:
    """Measure the bundled house, the examples, and the growth."""
    head = ("pipes", "read", "design", "check", "write", "whole", "/read", "/set", "MB")
    print(f"{'house (ms)':<26}" + "".join(f"{h:>{w}}" for h, w in zip(head, (6, 8, 8, 8, 8, 8, 8, 8, 7), strict=True)))
    measure("demo", run.demo_job)
    for path in sorted((ROOT / "examples").glob("*.yaml")):
        measure(path.stem, partial(run.read, str(path)))
    print("\ngrowth of the demo house: fixtures, design ms, check ms")
    job = run.demo_job()
    for times in (1, 2, 4):
        large = grown(job, times)
        design_ms, design = best_ms(partial(run.design, large))
        check_ms, _ = best_ms(partial(run.check, design))
        print(f"{len(large.fixtures):>4}{design_ms:>10.0f}{check_ms:>10.0f}")


if __name__ == "__main__":
    main()
