"""A country of coded navigation data: first opening, later ones, look-ups, memory; over a bare pass of its lines.

    python tests/benchmarks/navdata.py                       400,000 records
    python tests/benchmarks/navdata.py --records 40000

The country is made of the excerpts in tests/data by replication under changed idents: nothing in it is real. Every
measurement is a process of its own; time is the processor's, memory the peak over what the imports took. The bare pass
reads the file, splits it and counts the lines by their first 13 characters: what no reader can do without.
"""

from __future__ import annotations

import argparse
import json
import pathlib
import string
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator

from peak_memory import peak_mb

EXCERPTS = pathlib.Path(__file__).resolve().parents[1] / "data" / "arinc424"
BARE, FIRST, LATER, ASKED = "bare pass", "first opening", "later opening", "later, and asked"


def made_lines(records: int) -> Iterator[str]:
    """Records of the excerpts again and again: aerodromes, idents en route and airways renamed in each round."""
    source = [
        line
        for path in sorted(EXCERPTS.glob("*.txt"))
        for line in path.read_text(encoding="latin-1").splitlines()
        if line.startswith("S")
    ]
    letters = string.ascii_uppercase + string.digits
    for number in range(records):
        round_, place = divmod(number, len(source))
        mark = letters[round_ // 36 % 36] + letters[round_ % 36]
        line = source[place]
        if line[4] == "P":
            yield line[:6] + mark + line[8:]
        else:
            yield line[:13] + mark + line[15:]


def bare_pass(path: pathlib.Path) -> int:
    """The floor."""
    counts: dict[bytes, int] = {}
    for line in path.read_bytes().splitlines():
        counts[line[:13]] = counts.get(line[:13], 0) + 1
    return sum(counts.values())


def opened(path: pathlib.Path, cache: pathlib.Path, *, asks: bool) -> int:
    """Open, and ask what a lesson asks: a route of twenty fixes, two airways, an approach with all its fixes."""
    from legwise.model.navdata import ProcedureKind
    from legwise.navdata import open_navdata

    data = open_navdata(path, cache=cache)
    if asks:
        for number in range(20):
            data.fixes(f"{string.ascii_uppercase[number]}ANAK")
        data.airways("A22")
        data.nearest_idents("ABCDX", "fix")
        airport = "AAHS"
        for ident in data.procedures(airport, ProcedureKind.APPROACH):
            found = data.procedure(airport, ident, ProcedureKind.APPROACH)
            for part in found.parts if found else ():
                for leg in part.legs:
                    if leg.fix:
                        data.fix(leg.fix)
        data.runways(airport)
    return sum(data.summary.counts.values())


def inside(name: str, path: pathlib.Path, cache: pathlib.Path) -> None:
    """The measured process."""
    if name != BARE:
        import legwise.navdata  # noqa: F401
    before_mb = peak_mb()
    start_s, start_wall_s = time.process_time(), time.perf_counter()
    records = bare_pass(path) if name == BARE else opened(path, cache, asks=name == ASKED)
    taken_s, wall_s = time.process_time() - start_s, time.perf_counter() - start_wall_s
    print(json.dumps([taken_s, wall_s, peak_mb() - before_mb, records]))


def measured(name: str, path: pathlib.Path, cache: pathlib.Path) -> tuple[float, float, float, int]:
    """One process: processor's time, wall time, memory, records."""
    done = subprocess.run(
        [sys.executable, __file__, "--inside", name, str(path), str(cache)], check=True, capture_output=True, text=True
    )
    seconds, wall_s, memory_mb, records = json.loads(done.stdout.splitlines()[-1])
    return seconds, wall_s, memory_mb, records


def main() -> None:
    """Make the country, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--records", type=int, default=400_000)
    parser.add_argument("--inside", nargs=3, help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.inside:
        name, path, cache = args.inside
        inside(name, pathlib.Path(path), pathlib.Path(cache))
        return
    with tempfile.TemporaryDirectory() as folder:
        path, cache = pathlib.Path(folder) / "country.dat", pathlib.Path(folder) / "cache"
        with path.open("w", encoding="latin-1", newline="") as stream:
            stream.writelines(f"{line}\r\n" for line in made_lines(args.records))
        print(f"{args.records:,} records, {path.stat().st_size / 1e6:.1f} MB")
        floor_s = min(measured(BARE, path, cache)[0] for _ in range(3))
        for name, turns in ((BARE, 1), (FIRST, 1), (LATER, 3), (ASKED, 3)):
            seconds, wall_s, memory_mb, records = min(measured(name, path, cache) for _ in range(turns))
            if records != args.records:
                raise SystemExit(f"{name}: {records} records were counted")
            print(
                f"{name:18}{seconds:9.3f} s of processor {wall_s:9.3f} s of wall {seconds / floor_s:8.2f} bare passes"
                f"{memory_mb:8.1f} MB"
            )
        index_mb = sum(place.stat().st_size for place in cache.iterdir()) / 1e6
        print(f"index {index_mb:.1f} MB")


if __name__ == "__main__":
    main()
