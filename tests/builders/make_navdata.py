"""Write the invented navigation data of the Tarn Islands: ``sample_tracks/tarn_islands.dat`` and a plain list of fixes.

Run as ``python tests/builders/make_navdata.py [--out DIR]``. The same bytes every time.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders.tarn_navdata.build import file_text, fixes_text  # found beside this script

ROOT = Path(__file__).resolve().parents[2]


def files(root: Path) -> dict[Path, str]:
    """The files of a checkout at ``root`` and their text."""
    return {
        root / "sample_tracks" / "tarn_islands.dat": file_text(),
        root / "tests" / "data" / "lessons" / "tarn_fixes.csv": fixes_text(),
    }


def main() -> int:
    """Parse the call, write, say what was written."""
    parser = argparse.ArgumentParser(description="Write the invented navigation data of the Tarn Islands.")
    parser.add_argument("--out", type=Path, default=ROOT, help="checkout to write into (default: this one)")
    for path, text in files(parser.parse_args().out).items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode("ascii"))
        sys.stdout.write(f"{path}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
