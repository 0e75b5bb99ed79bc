"""Real excerpts, and records written column by column, for the tests of this room."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

EXCERPTS = Path(__file__).resolve().parents[1] / "data" / "arinc424"
EVERY_EXCERPT = sorted(path.name for path in EXCERPTS.glob("*.txt"))


def excerpt(name: str) -> Path:
    """An excerpt by a part of its name."""
    (path,) = (EXCERPTS / one for one in EVERY_EXCERPT if name in one)
    return path


def lines_of(name: str) -> list[str]:
    """The lines of an excerpt."""
    return excerpt(name).read_text(encoding="latin-1").splitlines()


def record(fields: Mapping[int, str]) -> str:
    """A record of 132 columns with texts put in from their first column on, counted from 1."""
    columns = list(f"{'S':<123}{'00001':>5}{'2601':>4}")
    for first, text in {2: "EUR", **fields}.items():
        columns[first - 1 : first - 1 + len(text)] = text
    return "".join(columns)


def leg(fields: Mapping[int, str] | None = None, *, sequence: str = "010", path: str = "TF") -> str:
    """A leg of the invented approach R27 of XTBN."""
    return record({
        5: "P", 7: "XTBNXT", 13: "F", 14: "R27", 20: "R", 27: sequence, 30: "BRAKO", 35: "XT", 37: "PC", 39: "0",
        40: "E", 48: path, **(fields or {}),
    })  # fmt: skip


def waypoint(ident: str = "BRAKO", lat: str = "N46304428", lon: str = "W028001476", **fields: str) -> str:
    """A waypoint of XTBN; more as ``c75="W0101"``, by its first column."""
    more = {int(name[1:]): text for name, text in fields.items()}
    return record({5: "P", 7: "XTBNXT", 13: "C", 14: ident, 20: "XT", 22: "0", 27: "W", 33: lat, 42: lon, **more})


def airway(ident: str, sequence: str, fix: str, fields: Mapping[int, str] | None = None) -> str:
    """A point of an airway."""
    more = fields or {}
    return record({5: "ER", 14: ident, 26: sequence, 30: fix, 35: "XT", 37: "EA", 39: "0", 40: "E", 45: "O", **more})


def en_route(ident: str, lat: str, lon: str) -> str:
    """A waypoint en route."""
    return record({5: "EA", 7: "ENRT", 14: ident, 20: "XT", 22: "0", 27: "W", 33: lat, 42: lon})


def written(folder: Path, lines: Iterable[str], *, name: str = "tarn.dat", end: str = "\n") -> Path:
    """A file of those lines."""
    path = folder / name
    path.write_bytes("".join(line + end for line in lines).encode("latin-1"))
    return path
