"""Fly the invented flights of the Tarn Islands and write ``sample_tracks``. The same seeds give the same bytes.

Run as ``python tests/builders/make_samples.py [--out DIR]``.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders.tarn import clean_lpv, nothing_said, vectors_and_dip  # found beside this script

BUILDERS = (clean_lpv.build, vectors_and_dip.build, nothing_said.build)


def write_samples(out: Path) -> list[Path]:
    """Fly every flight and write its folder under ``out``; the folders written."""
    folders = []
    for build in BUILDERS:
        sample = build()
        folder = out / sample.name
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in sample.files.items():
            (folder / name).write_bytes(text.encode())
        folders.append(folder)
    return folders


def main() -> int:
    """Parse the call, write, say what was written."""
    parser = argparse.ArgumentParser(description="Fly the invented flights and write the sample tracks.")
    default = Path(__file__).resolve().parents[2] / "sample_tracks"
    parser.add_argument("--out", type=Path, default=default, help="folder to write into (default: sample_tracks)")
    for folder in write_samples(parser.parse_args().out):
        sys.stdout.write(f"{folder}\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
