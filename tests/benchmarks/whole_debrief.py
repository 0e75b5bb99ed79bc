"""The whole debrief over its floor: time and peak memory, each in a process of its own.

The floor is what can't be had for less with the same libraries: pandas reading the same CSV and writing a table of as
many rows with 21 columns, and Plotly writing a page of four lines with as many points; for GPX that plus gpxpy's parse.

    python tests/benchmarks/whole_debrief.py                       1 h at 1 Hz and 12 h at 10 Hz, CSV and GPX
    python tests/benchmarks/whole_debrief.py --hours 1 --rate 10   one length alone
"""

from __future__ import annotations

import argparse
import json
import math
import pathlib
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass

import made_flight
import numpy as np

COLUMNS = 21
GOAL_TIME, GOAL_MEMORY, GOAL_GROWTH, GOAL_HELP_S = 1.5, 2.0, 1.1, 0.1
MB_PER_KB = 1 / 1024


@dataclass(frozen=True)
class Cost:
    """What a process took."""

    seconds: float
    peak_mb: float


def floor(track: pathlib.Path, csv: pathlib.Path, folder: pathlib.Path) -> None:
    """The least: read, write a table, write a page."""
    import pandas as pd
    import plotly.graph_objects as go

    if track.suffix == ".gpx":
        import gpxpy

        with track.open(encoding="utf-8") as file:
            points = sum(1 for _ in gpxpy.parse(file).walk())
        print(f"{points} points", file=sys.stderr)
    read = pd.read_csv(csv)
    noise = np.random.default_rng(1).normal(size=(len(read), COLUMNS)).round(6)
    pd.DataFrame(noise, columns=[f"column_{n}" for n in range(COLUMNS)]).to_csv(folder / "table.csv", index=False)
    figure = go.Figure([go.Scatter(x=read.iloc[:, 0], y=read.iloc[:, 2 + n]) for n in range(4)])
    figure.write_html(folder / "page.html", include_plotlyjs=True)


def debrief(track: pathlib.Path, lesson: pathlib.Path, folder: pathlib.Path) -> None:
    """The main job, as the command line does it."""
    from legwise.cli import main

    status = main(["debrief", str(track), "--lesson", str(lesson), "--out", str(folder), "--quiet"])
    if status:
        sys.exit(status)


def measured(*arguments: str | pathlib.Path) -> Cost:
    """One process, from its start to its end."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, __file__, "--inside", *map(str, arguments)], check=True, stdout=subprocess.PIPE, text=True
    )
    return Cost(time.perf_counter() - start, json.loads(done.stdout.splitlines()[-1]))


def inside(job: str, *paths: str) -> None:
    """The measured process: does the job, then says its peak memory."""
    {"floor": floor, "debrief": debrief}[job](*map(pathlib.Path, paths))
    print(json.dumps(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * MB_PER_KB))


def compare(folder: pathlib.Path, hours: float, rate_hz: float, repeats: int) -> dict[str, tuple[int, Cost]]:
    """Print one line a format; returns rows and cost of the debrief by format."""
    table = made_flight.rows(hours, rate_hz)
    csv, gpx, lesson = folder / "track.csv", folder / "track.gpx", folder / "lesson.toml"
    made_flight.write_csv(csv, table)
    made_flight.write_gpx(gpx, table)
    made_flight.write_lesson(lesson, hours)
    found: dict[str, tuple[int, Cost]] = {}
    for track in (csv, gpx):
        least = best([measured("floor", track, csv, folder) for _ in range(repeats)])
        whole = best([measured("debrief", track, lesson, folder / "out") for _ in range(repeats)])
        ratio_s, ratio_mb = whole.seconds / least.seconds, whole.peak_mb / least.peak_mb
        verdict = "within the goal" if ratio_s <= GOAL_TIME and ratio_mb <= GOAL_MEMORY else "OUTSIDE THE GOAL"
        print(
            f"{track.suffix[1:].upper()} {hours:g} h at {rate_hz:g} Hz, {len(table):7d} rows: "
            f"{whole.seconds:6.2f} s over {least.seconds:6.2f} s = {ratio_s:4.2f} (goal {GOAL_TIME}); "
            f"{whole.peak_mb:5.0f} MB over {least.peak_mb:5.0f} MB = {ratio_mb:4.2f} (goal {GOAL_MEMORY}): {verdict}",
            flush=True,
        )
        found[track.suffix] = (len(table), whole)
    return found


def help_time() -> None:
    """The time of ``legwise --help`` beside the bare interpreter's, best of ten each."""

    def once(*arguments: str) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
        return time.perf_counter() - start

    bare_s = min(once("-c", "") for _ in range(10))
    help_s = min(once("-m", "legwise", "--help") for _ in range(10))
    print(f"legwise --help: {help_s:.3f} s (goal {GOAL_HELP_S}); the bare interpreter {bare_s:.3f} s", flush=True)


def best(costs: list[Cost]) -> Cost:
    """The least of each: what else the machine does only ever adds."""
    return Cost(min(cost.seconds for cost in costs), min(cost.peak_mb for cost in costs))


def main() -> None:
    """Measure what was asked for."""
    if sys.argv[1:2] == ["--inside"]:
        inside(*sys.argv[2:])
        return
    parser = argparse.ArgumentParser(description="The whole debrief over its floor.")
    parser.add_argument("--hours", type=float, help="length of the flight; with --rate, one length alone")
    parser.add_argument("--rate", type=float, help="samples a second")
    parser.add_argument("--repeats", type=int, default=1, help="runs of each, of which the least counts")
    args = parser.parse_args()
    one = args.hours is not None or args.rate is not None
    lengths = [(args.hours or 1.0, args.rate or 1.0)] if one else [(1.0, 1.0), (1.0, 10.0), (12.0, 10.0)]
    help_time()
    found = []
    for hours, rate_hz in lengths:
        with tempfile.TemporaryDirectory() as folder:
            found.append(compare(pathlib.Path(folder), hours, rate_hz, args.repeats))
    for suffix in found[0] if len(found) > 1 else ():
        (rows, small), (more_rows, large) = found[-2][suffix], found[-1][suffix]
        growth = math.log(large.seconds / small.seconds) / math.log(more_rows / rows)
        span = f"{rows} to {more_rows}; goal {GOAL_GROWTH}"
        print(f"{suffix[1:].upper()}: time grows with the {growth:.2f} power of rows ({span})")


if __name__ == "__main__":
    main()
