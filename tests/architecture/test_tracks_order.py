"""The rooms inside ``tracks`` know only those before them, as DEVELOPERS.md lists them."""

from __future__ import annotations

import ast
import pathlib
from collections.abc import Iterator

from architecture.test_layers import imports

ORDER = [
    {"limits", "sphere", "wording"},
    {"headings"},
    {"values"},
    {"containers", "times"},
    {"clocks"},
    {"altitude", "flights"},
    {"igc", "mending", "nmea", "table", "xml"},
    {"call_types", "choosing", "reader"},
    {"summary"},
]
PLACE = {part: number for number, parts in enumerate(ORDER) for part in parts}


def part_of(file: pathlib.Path, tracks: pathlib.Path) -> str:
    return file.relative_to(tracks).parts[0].removesuffix(".py")


def faults(part: str, tree: ast.AST) -> Iterator[str]:
    for name in imports(tree, typing_too=True):
        if name.startswith("legwise.tracks."):
            target = name.split(".")[2]
            if target != part and PLACE[target] >= PLACE[part]:
                yield f"{part} imports {name}, which does not stand before it"


def test_inside_tracks_no_import_points_up_or_sideways(source: pathlib.Path) -> None:
    tracks = source / "tracks"
    found = [
        f"{file.relative_to(tracks)}: {fault}"
        for file in sorted(tracks.rglob("*.py"))
        if file.parent != tracks or file.stem != "__init__"
        for fault in faults(part_of(file, tracks), ast.parse(file.read_text(encoding="utf-8")))
    ]

    assert found == []


def test_every_part_of_tracks_has_its_place_and_a_line_over_its_door(root: pathlib.Path, source: pathlib.Path) -> None:
    tracks = source / "tracks"
    parts = {part_of(file, tracks) for file in tracks.rglob("*.py")} - {"__init__"}
    picture = (root / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert parts == set(PLACE)
    assert [part for part in parts if (tracks / part).is_dir() and f"`{part}/`" not in picture] == []
    assert all(init.read_text(encoding="utf-8").startswith('"""') for init in tracks.rglob("__init__.py"))


def test_the_test_itself_sees_what_it_should() -> None:
    assert list(faults("table", ast.parse("from legwise.tracks.times.dates import read"))) == []
    assert len(list(faults("times", ast.parse("from legwise.tracks.table import rows")))) == 1
    assert len(list(faults("igc", ast.parse("from legwise.tracks.nmea import rows")))) == 1
