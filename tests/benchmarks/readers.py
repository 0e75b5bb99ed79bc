"""Each reader against the fastest general parsers of its format, in one run: time and memory of each.

    python tests/benchmarks/readers.py                       1 h at 1 Hz and 12 h at 10 Hz (IGC: 12 h at 1 Hz)
    python tests/benchmarks/readers.py --format gpx --hours 1 --rate 10

Every measurement is a process of its own; the parsers take turns, and the best of several turns counts. Time is the
processor's, of reading alone, without the imports; memory is the peak over what the imports took. It needs the
dependency group "campaign" (for pynmea2, fastkml, lxml), or leaves out what is not installed.
"""

from __future__ import annotations

import argparse
import importlib
import json
import pathlib
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import general_parsers
import made_flight
import made_logs
import numpy as np
from peak_memory import peak_mb

WRITERS: Mapping[str, Callable[[pathlib.Path, np.ndarray], None]] = {
    "csv": made_flight.write_csv, "gpx": made_flight.write_gpx, "igc": made_logs.write_igc,
    "nmea": made_logs.write_nmea, "kml": made_logs.write_kml,
}  # fmt: skip
MODULES = {
    "pandas, C engine": "pandas", "gpxpy": "gpxpy", "lxml iterparse": "lxml.etree", "aerofiles": "aerofiles.igc",
    "pynmea2": "pynmea2", "fastkml": "fastkml.kml",
}  # fmt: skip
MOST_RECORDS = {"fastkml": 50_000, "pynmea2": 200_000}
"""Of more the slowest are left out: they take minutes."""

READ, MEND = "Legwise, read", "Legwise, read and mended"


@dataclass(frozen=True)
class Cost:
    """What reading took."""

    seconds: float
    peak_mb: float
    records: int


def legwise_read(path: pathlib.Path) -> int:
    """The file to its records."""
    from legwise.tracks import read_raw_track

    return len(read_raw_track(path).samples)


def legwise_mend(path: pathlib.Path) -> int:
    """The file to a track that can be debriefed."""
    from legwise.tracks import mend, read_raw_track

    return len(mend(read_raw_track(path)))


def inside(name: str, suffix: str, file: str) -> None:
    """The measured process."""
    parse = {READ: legwise_read, MEND: legwise_mend, **general_parsers.PARSERS[suffix]}[name]
    if name == "gpxpy":
        sys.modules["lxml"] = None  # type: ignore[assignment]
    for module in ("pandas", "legwise.tracks") if name in (READ, MEND) else (MODULES.get(name, "numpy"),):
        importlib.import_module(module)
    before_mb = peak_mb()
    start_s = time.process_time()
    records = parse(pathlib.Path(file))
    seconds = time.process_time() - start_s
    print(json.dumps([seconds, peak_mb() - before_mb, records]))


def measured(name: str, path: pathlib.Path) -> Cost | None:
    """One process; None where the parser is not installed or fails."""
    done = subprocess.run(
        [sys.executable, __file__, "--inside", name, path.suffix[1:], str(path)],
        check=False, capture_output=True, text=True,
    )  # fmt: skip
    if done.returncode:
        print(f"  {name}: {done.stderr.strip().splitlines()[-1:]}")
        return None
    return Cost(*json.loads(done.stdout.splitlines()[-1]))


def compare(suffix: str, hours: float, rate_hz: float, turns: int) -> None:
    """Print one line a parser."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / f"track.{suffix}"
        table = made_flight.rows(hours, rate_hz)
        WRITERS[suffix](path, table)
        size_mb = path.stat().st_size / 1e6
        print(f"{suffix.upper()} {hours:g} h at {rate_hz:g} Hz, {len(table)} records, {size_mb:.1f} MB:", flush=True)
        known = general_parsers.PARSERS[suffix]
        names = [READ, MEND, *(name for name in known if len(table) <= MOST_RECORDS.get(name, len(table)))]
        costs: dict[str, list[Cost]] = {name: [] for name in names}
        for _turn in range(turns):
            for name in list(costs):
                cost = measured(name, path)
                if cost is None:
                    del costs[name]
                else:
                    costs[name].append(cost)
    best = {
        name: Cost(min(c.seconds for c in some), min(c.peak_mb for c in some), some[0].records)
        for name, some in costs.items()
    }
    for name, cost in best.items():
        per_us = cost.seconds / max(cost.records, 1) * 1e6
        words = f"{cost.seconds:7.3f} s, {per_us:6.2f} us a record, {cost.peak_mb:5.0f} MB, {cost.records} records"
        print(f"  {name:24s} {words}")
    others = {name: cost for name, cost in best.items() if name not in (READ, MEND)}
    if READ in best and others:
        fastest = min(others, key=lambda name: others[name].seconds)
        read, mended = best[READ].seconds / others[fastest].seconds, ""
        if MEND in best:
            mended = f", reads and mends in {best[MEND].seconds / others[fastest].seconds:.2f} times"
        print(f"  Legwise reads in {read:.2f} times{mended} the time of the fastest ({fastest})", flush=True)


def main() -> None:
    """Measure what was asked for."""
    if sys.argv[1:2] == ["--inside"]:
        inside(*sys.argv[2:])
        return
    parser = argparse.ArgumentParser(description="Each reader against the fastest general parsers of its format.")
    parser.add_argument("--format", choices=list(WRITERS), action="append", help="one format alone (may be repeated)")
    parser.add_argument("--hours", type=float, help="length of the flight; with --rate, one length alone")
    parser.add_argument("--rate", type=float, help="records a second")
    parser.add_argument("--turns", type=int, default=3, help="turns of each parser, of which the best counts")
    args = parser.parse_args()
    for suffix in args.format or WRITERS:
        if args.hours is not None or args.rate is not None:
            lengths = [(args.hours or 1.0, args.rate or 1.0)]
        else:
            lengths = [(1.0, 1.0), (12.0, 1.0 if suffix == "igc" else 10.0)]
        for hours, rate_hz in lengths:
            compare(suffix, hours, rate_hz, args.turns)


if __name__ == "__main__":
    main()
