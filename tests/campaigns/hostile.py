"""What large and hostile files cost: time and peak memory of reading and mending, and how time grows with size.

    python tests/campaigns/hostile.py                        every hostile shape at 1 and 4 MB
    python tests/campaigns/hostile.py --honest --sizes 500   a log of 500 MB of every format
    python tests/campaigns/hostile.py csv- --sizes 2 8 32    the shapes whose name begins so

Each is read in a process of its own. Growth is the power of size that time goes with: 1 is linear, 2 is quadratic.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
sys.path.insert(0, str(Path(__file__).parents[1]))

from peak_memory import peak_mb

from campaigns.hostile_shapes import HONEST, honest
from campaigns.hostile_table import SHAPES

TIMEOUT_S = 900
MEMORY_BYTES = 8_000_000_000
"""More is a failure."""

TOO_STEEP = 1.4
SLOW_S_PER_MB = 1.5


def inside(file: str) -> None:
    """The measured process: read, mend, and say what became of it."""
    import datetime as dt

    import pandas as pd

    from legwise.errors import LegwiseError
    from legwise.tracks import mend, read_raw_track

    del pd
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY_BYTES, MEMORY_BYTES))
    before_mb = peak_mb()
    start_s = time.process_time()
    read_s = 0.0
    try:
        raw = read_raw_track(Path(file), utc_offset="+00:00", date=dt.date(2026, 4, 18))
        read_s = time.process_time() - start_s
        track = mend(raw)
        faults = ", ".join(f"{fault.count} {fault.kind}" for fault in track.faults)
        words = f"{len(raw.samples)} records, {len(track)} kept; {faults[:120]}"
    except LegwiseError as error:
        words = f"refused: {error.message[:150]}"
    seconds = time.process_time() - start_s
    print(json.dumps([seconds, read_s, peak_mb() - before_mb, words]))


def measured(name: str, size: int, folder: Path) -> float:
    """One file, read once; its time in seconds, not a number where it did not end well."""
    path = folder / "log"
    with path.open("wb") as file:
        file.writelines(honest(name, size) if name in HONEST else SHAPES[name].pieces(size))
    size_mb = path.stat().st_size / 1e6
    try:
        done = subprocess.run(
            [sys.executable, __file__, "--inside", str(path)],
            check=False, capture_output=True, text=True, timeout=TIMEOUT_S,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        print(f"{name:24s} {size_mb:6.1f} MB: NO END after {TIMEOUT_S} s", flush=True)
        return math.nan
    if done.returncode:
        print(f"{name:24s} {size_mb:6.1f} MB: FAILED {done.stderr.strip()[-400:]}", flush=True)
        return math.nan
    seconds, read_s, memory_mb, words = json.loads(done.stdout.splitlines()[-1])
    parted = f"{seconds:7.2f} s ({read_s:.2f} read)" if read_s else f"{seconds:7.2f} s"
    print(f"{name:24s} {size_mb:6.1f} MB: {parted}, peak {memory_mb:5.0f} MB; {words}", flush=True)
    return float(seconds)


def main() -> None:
    """Measure what was asked for; exit status 1 where something fails, has no end or grows too steeply."""
    if sys.argv[1:2] == ["--inside"]:
        inside(sys.argv[2])
        return
    parser = argparse.ArgumentParser(description="What large and hostile files cost.")
    parser.add_argument("beginning", nargs="?", default="", help="only shapes whose name begins so")
    parser.add_argument("--honest", action="store_true", help="honest logs instead")
    parser.add_argument("--sizes", type=float, nargs="+", default=[1.0, 4.0], help="in MB")
    args = parser.parse_args()
    bad: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        for name in HONEST if args.honest else SHAPES:
            if not name.startswith(args.beginning):
                continue
            times_s = [measured(name, round(size * 1e6), Path(folder)) for size in args.sizes]
            growth = 0.0
            if len(times_s) > 1 and times_s[-1] > 1.0:
                growth = math.log(times_s[-1] / times_s[-2]) / math.log(args.sizes[-1] / args.sizes[-2])
            if not times_s[-1] < SLOW_S_PER_MB * max(args.sizes[-1], 2.0) or growth > TOO_STEEP:
                print(f"{'':24s} TOO MUCH: growth {growth:.2f}", flush=True)
                bad.append(name)
    print(f"too much: {', '.join(bad) or 'nothing'}")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
