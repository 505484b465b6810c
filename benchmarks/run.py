"""How long the stages take, for the examples, for a house that grows, and to start: `make bench`.

Prints processor times in milliseconds, the best of a few runs, with ratios that do not hang on the machine: every stage
against reading the same job file, and the packet against the typesetter alone on the same pages. Then the growth where
the upper floor of the bundled house is stacked again and again, and what a command takes to start against the bare
interpreter.
"""

from __future__ import annotations

import multiprocessing
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import typst
from growing import stacked

from stubout import run
from stubout.design import Design
from stubout.export import packet as packets
from stubout.files.fonts import font_folder, template
from stubout.job.model import Job
from stubout.reports.documents import documents
from stubout.sheets.all import sheets

ROOT = Path(__file__).parents[1]
RUNS = 3
STAGES = ("house", "rule books", "layout", "network and sizes", "fittings, pieces, bores", "checks")
OUTPUTS = ("windows of marks", "sheets", "schedules and lists", "packet")
SHORT = ("house", "books", "layout", "size", "pieces", "check", "windows", "sheets", "lists", "packet")
STARTS = (
    ("-c", "pass"),
    ("-m", "stubout", "--help"),
    ("-m", "stubout", "calc", "fall", "--help"),
    ("-m", "stubout", "lookup", "--help"),
    ("-m", "stubout", "check", "--help"),
)


def best_ms(work: Callable[[], Any], runs: int = RUNS) -> tuple[float, Any]:
    """Return the least processor time of a few runs [ms] and the last result."""
    times, result = [], None
    for _ in range(runs):
        start = time.process_time()
        result = work()
        times.append((time.process_time() - start) * 1000)
    return min(times), result


class Stages:
    """Notes what each stage of a run takes [ms]: handed to it as its progress."""

    def __init__(self) -> None:
        self.ms: dict[str, float] = {}
        self._name, self._since = "", 0.0

    def __call__(self, name: str) -> None:
        """End the stage before and begin another."""
        now = time.process_time()
        if self._name:
            self.ms[self._name] = (now - self._since) * 1000
        self._name, self._since = name, now


def staged(job: Job) -> tuple[dict[str, float], Design, run.Verdict]:
    """Return what each stage of one plan took [ms], the design and the verdict."""
    noted = Stages()
    _, design, verdict = run.plan(job, noted)
    noted("")
    return noted.ms, design, verdict


def typeset_ms(design: Design, verdict: run.Verdict) -> float:
    """Return the processor time of one bare compile of the finished pages, where nothing was set yet [ms]."""
    papers, drawn = documents(design, verdict.findings, verdict.not_checked), sheets(design)
    bound = packets.packet(design, papers, drawn, template=template("packet.typ"), fonts=font_folder(), doubtful=0)
    ask = packets.request(design, papers, drawn, bound.drawings, template("packet.typ"), font_folder())
    with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as fresh:
        return fresh.submit(_compiled_ms, ask).result()


def _compiled_ms(ask: dict[str, Any]) -> float:
    return best_ms(lambda: typst.compile(**ask, format="pdf"), 1)[0]


def measure(name: str, read: Callable[[], Job], runs: int) -> None:
    """Print the lines of one house: times, and how often each holds the time of reading the file."""
    read_ms, job = best_ms(read)
    all_runs = [staged(job) for _ in range(runs)]
    best = {stage: min(ms[stage] for ms, _, _ in all_runs) for stage in (*STAGES, *OUTPUTS)}
    set_ms = typeset_ms(*all_runs[-1][1:])
    whole = read_ms + sum(best.values())
    pipes = len(all_runs[-1][1].network.pipes)
    print(f"{name:<28}{read_ms:>7.0f}" + "".join(f"{v:>9.0f}" for v in best.values()) + f"{whole:>9.0f}")
    ratios = "".join(f"{v / read_ms:>9.2f}" for v in best.values())
    print(f"{f'  {pipes} pipes; by reading':<28}{1:>7}{ratios}{whole / read_ms:>9.2f}")
    by_set = f"packet {best['packet'] / set_ms:.1f}, all outputs {sum(best[s] for s in OUTPUTS) / set_ms:.1f}"
    print(f"{'':<28}{by_set} times the bare typesetter ({set_ms:.0f} ms)\n", flush=True)


def grow(most: int) -> None:
    """Print how time grows with the house: upper floors, fixtures, and processor time by reading the bundled one."""
    read_ms, job = best_ms(run.demo_job)
    print(f"{'upper floors':<14}{'fixtures':>9}{'pipes':>7}{'design':>9}{'check':>8}   by reading the file once")
    times = 1
    while times <= most:
        large = stacked(job, times)
        design_ms, design = best_ms(partial(run.design, large), 1)
        check_ms, _ = best_ms(partial(run.check, design))
        counts = f"{times:<14}{len(large.fixtures):>9}{len(design.network.pipes):>7}"
        print(f"{counts}{design_ms / read_ms:>9.1f}{check_ms / read_ms:>8.2f}", flush=True)
        times *= 2


def start() -> None:
    """Print what commands take to start, as a ratio to the bare interpreter."""
    print("start of a process, by the bare interpreter")
    bare = 0.0
    for arguments in STARTS:
        took = []
        for _ in range(RUNS * 2):
            since = time.perf_counter()
            subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
            took.append(time.perf_counter() - since)
        bare = bare or min(took)
        print(f"  {' '.join(arguments):<36}{min(took) / bare:>6.1f}  ({min(took) * 1000:.0f} ms)")


def main() -> None:
    """Measure the bundled house, the examples, the growth and the start."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    most = int(sys.argv[2]) if len(sys.argv) > 2 else 4
    print(f"{'house (processor ms)':<28}{'read':>7}" + "".join(f"{s:>9}" for s in SHORT) + f"{'all':>9}")
    measure("demo", run.demo_job, runs)
    for path in sorted((ROOT / "examples").glob("*.yaml")):
        measure(path.stem, partial(run.read, str(path)), runs)
    grow(most)
    print()
    start()


if __name__ == "__main__":
    main()
