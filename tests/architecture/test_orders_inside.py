"""The parts inside the large rooms know only those before them, as DEVELOPERS.md lists them."""

from __future__ import annotations

import ast
import pathlib
from collections.abc import Iterator

import pytest

from architecture.test_layers import imports

ORDERS = {
    "tracks": [
        {"limits", "sphere", "wording"},
        {"headings"},
        {"values"},
        {"containers", "times"},
        {"clocks"},
        {"altitude", "flights"},
        {"igc", "mending", "nmea", "table", "xml"},
        {"call_types", "choosing", "reader"},
        {"summary"},
    ],
    "plan": [
        {"variation"},
        {"fixes"},
        {"legs"},
        {"approaches", "briefing"},
        {"route"},
        {"making"},
    ],
}
PLACES = {
    room: {part: number for number, parts in enumerate(order) for part in parts} for room, order in ORDERS.items()
}


def part_of(file: pathlib.Path, room: pathlib.Path) -> str:
    return file.relative_to(room).parts[0].removesuffix(".py")


def faults(room: str, part: str, tree: ast.AST) -> Iterator[str]:
    for name in imports(tree, typing_too=True):
        if name.startswith(f"legwise.{room}."):
            target = name.split(".")[2]
            if target != part and PLACES[room][target] >= PLACES[room][part]:
                yield f"{part} imports {name}, which does not stand before it"


@pytest.mark.parametrize("name", ORDERS)
def test_inside_a_room_no_import_points_up_or_sideways(source: pathlib.Path, name: str) -> None:
    room = source / name
    found = [
        f"{file.relative_to(room)}: {fault}"
        for file in sorted(room.rglob("*.py"))
        if file.parent != room or file.stem != "__init__"
        for fault in faults(name, part_of(file, room), ast.parse(file.read_text(encoding="utf-8")))
    ]

    assert found == []


@pytest.mark.parametrize("name", ORDERS)
def test_every_part_has_its_place_and_a_line_over_its_door(root: pathlib.Path, source: pathlib.Path, name: str) -> None:
    room = source / name
    parts = {part_of(file, room) for file in room.rglob("*.py")} - {"__init__"}
    picture = (root / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert parts == set(PLACES[name])
    assert [part for part in parts if (room / part).is_dir() and f"`{part}/`" not in picture] == []
    assert all(init.read_text(encoding="utf-8").startswith('"""') for init in room.rglob("__init__.py"))


def test_the_test_itself_sees_what_it_should() -> None:
    assert list(faults("tracks", "table", ast.parse("from legwise.tracks.times.dates import read"))) == []
    assert len(list(faults("tracks", "times", ast.parse("from legwise.tracks.table import rows")))) == 1
    assert len(list(faults("tracks", "igc", ast.parse("from legwise.tracks.nmea import rows")))) == 1
