"""Every procedure of a folder of real ARINC 424 records: whether it resolves or why not, and coded against computed.

    python tests/benchmarks/real_procedures.py FOLDER            the tally, and each value that does not agree
    python tests/benchmarks/real_procedures.py FOLDER --all      every procedure by name as well

Files whose names carry one cycle (``..._2101_...``) are read as one. The reasons of what differs stand in
tests/plan/test_real_procedures.py.
"""

from __future__ import annotations

import argparse
import collections
import pathlib
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))

from plan.procedure_tally import COURSE_DEG, DISTANCE_NM, grouped, tally


def main() -> None:
    """Print the tally."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=pathlib.Path, help="a folder of ARINC 424 files (*.txt, *.dat)")
    parser.add_argument("--all", action="store_true", help="name every procedure that resolves")
    chosen = parser.parse_args()
    files = [file for file in chosen.folder.iterdir() if file.suffix in (".txt", ".dat")]
    with tempfile.TemporaryDirectory() as folder:
        result = tally(grouped(files, pathlib.Path(folder)))
    if chosen.all:
        for name in result.resolved:
            print(f"resolved  {name}")
    for name, reason in result.failed.items():
        print(f"failed    {name}: {reason}")
    for item in result.differing():
        print(
            f"differs   {item.leg}: {item.what} coded {item.coded:.1f}, computed {item.computed:.2f} ({item.off:+.2f})"
        )
    print(f"\n{len(result.resolved)} resolved, {len(result.failed)} not")
    agree: collections.Counter[str] = collections.Counter()
    every: collections.Counter[str] = collections.Counter()
    for item in result.compared:
        every[item.what] += 1
        agree[item.what] += item.agrees
    for what, count in every.items():
        limit = DISTANCE_NM if what.endswith("distance") else COURSE_DEG
        print(f"{what}: {agree[what]} of {count} agree within {limit:g}")


if __name__ == "__main__":
    main()
