"""A coverage-guided campaign against one reader, from its bytes to a mended track; or against mending alone.

    python tests/campaigns/readers.py csv                           10^6 runs, finds beside the corpus
    python tests/campaigns/readers.py nmea --runs 50000 --seed 7    a short one
    python tests/campaigns/readers.py gpx --replay FILE --shrink    one find again, and the shortest that shows it

A find is an exception that is no LegwiseError, a warning, an error whose text is long or does not print, a track
that breaks its own rules (tests/tracks/track_promises.py), a second of the processor for one input, or memory past
the limit. The campaign goes on after a find; each place counts once. It needs the dependency group "campaign".
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from campaigns import child, seeds, target

READERS = tuple(target.TARGETS)
LONGEST = {"columns": 600, "container": 3000, "mending": 90}
LONGEST_OTHER = 800
"""Bytes of an input. The readers look at lines and records, of which some ten show what a thousand would."""

MOST_KILLED = 10
INTERRUPTED = 72
"""How libFuzzer ends when it is stopped from outside: no find."""

_SHAPE = re.compile(r"cov: (\d+) ft: (\d+) corp: (\d+)/(\S+)")


@dataclass
class Summary:
    """What the processes of a campaign did together."""

    runs: int = 0
    read: int = 0
    killed: int = 0
    peak_mb: float = 0.0
    shape: tuple[str, ...] = ("?", "?", "?", "?")
    finds: dict[str, int] = field(default_factory=dict)

    def add(self, folder: Path, status: int, asked: int) -> None:
        """Count in what a process left in its folder; ``status`` is how it ended."""
        said = (folder / "log.txt").read_text(encoding="utf-8", errors="replace")
        tally = child.Tally()
        if (folder / "tally.json").exists():
            tally = child.Tally(**json.loads((folder / "tally.json").read_text(encoding="utf-8")))
        self.runs += asked if status == 0 else tally.runs
        self.read += tally.read
        self.peak_mb = max(self.peak_mb, tally.peak_mb)
        shapes = _SHAPE.findall(said)
        if shapes and (self.shape[0] == "?" or int(shapes[-1][1]) > int(self.shape[1])):
            self.shape = shapes[-1]
        for key, count in tally.finds.items():
            self.finds[key] = self.finds.get(key, 0) + count
        if status:
            self.killed += 1
        if status not in (0, INTERRUPTED):
            last = said.splitlines()[-1:]
            self.finds[f"a process ended with {status}: {last}"] = 1
            name = f"killed-{self.killed}"
            (folder.parent / "finds" / name).write_bytes(child.read_last(folder))
            (folder / "log.txt").replace(folder.parent / "finds" / f"{name}.txt")


def campaign(reader: str, runs: int, seed: int, workers: int, folder: Path) -> bool:
    """Run processes until the runs are done, again after each that was killed; print the summary.

    Gives whether all is well.
    """
    for name in ("corpus", "seeds", "finds"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    for data in seeds.seeds(reader, LONGEST.get(reader, LONGEST_OTHER)):
        (folder / "seeds" / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)
    start_s, summary = time.monotonic(), Summary()
    while summary.runs < runs and summary.killed < MOST_KILLED:
        left, before = runs - summary.runs, summary.runs
        shares = [left // workers + (index < left % workers) for index in range(workers)]
        started = [
            (_started(reader, share, seed + 1000 * summary.killed + index, folder / f"worker-{index}"), share, index)
            for index, share in enumerate(shares)
            if share
        ]
        for process, share, index in started:
            summary.add(folder / f"worker-{index}", process.wait(), share)
        if summary.runs == before:
            break
    seconds = time.monotonic() - start_s
    cpu_s = sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2])
    coverage, features, inputs, size = summary.shape
    print(
        f"{reader}: {summary.runs} runs in {seconds:.0f} s ({summary.runs / seconds:.0f} a second; "
        f"{cpu_s:.0f} s of the processor, {1000 * cpu_s / max(summary.runs, 1):.2f} ms a run), seed {seed}, "
        f"{summary.read / max(summary.runs, 1):.0%} became a track, coverage {coverage}, features {features}, "
        f"corpus {inputs} inputs ({size}), peak memory {summary.peak_mb:.0f} MB, "
        f"finds {len(summary.finds)} ({sum(summary.finds.values())} inputs)",
        flush=True,
    )
    for key, count in summary.finds.items():
        print(f"  {count} x {key}")
    if summary.finds:
        print(f"  inputs and tracebacks: {folder / 'finds'}")
    return not summary.finds


def _started(reader: str, runs: int, seed: int, folder: Path) -> subprocess.Popen[bytes]:
    folder.mkdir(exist_ok=True)
    (folder / "tally.json").unlink(missing_ok=True)
    arguments = (reader, runs, seed, LONGEST.get(reader, LONGEST_OTHER), folder)
    with (folder / "log.txt").open("wb") as log:
        return subprocess.Popen(
            [sys.executable, child.__file__, *map(str, arguments)], stdout=log, stderr=log, env=child.environment()
        )


def replay(reader: str, file: Path, is_shrunk: bool) -> bool:
    """One input again. Whether all is well."""
    warnings.simplefilter("error")
    run, data = target.always(reader), file.read_bytes()
    if is_shrunk:
        data = target.shrunk(run, data)
    _is_read, found = target.tried(run, data)
    print(f"{len(data)} bytes: {data!r}")
    print(found.text if found is not None else "nothing is wrong with it")
    return found is None


def main() -> None:
    """Run what was asked for; exit status 1 where there are finds."""
    parser = argparse.ArgumentParser(description="A coverage-guided campaign against one reader.")
    parser.add_argument("reader", choices=READERS)
    parser.add_argument("--runs", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=1, help="processes that share the runs and the corpus")
    parser.add_argument("--corpus", type=Path, help="folder for corpus and finds (default: a temporary one)")
    parser.add_argument("--replay", type=Path, metavar="FILE", help="run one input again instead")
    parser.add_argument("--shrink", action="store_true", help="with --replay: shorten it first")
    args = parser.parse_args()
    folder = args.corpus or Path(tempfile.gettempdir()) / "legwise-campaigns" / args.reader
    if args.replay:
        sys.exit(0 if replay(args.reader, args.replay, args.shrink) else 1)
    else:
        sys.exit(0 if campaign(args.reader, args.runs, args.seed, args.workers, folder) else 1)


if __name__ == "__main__":
    main()
