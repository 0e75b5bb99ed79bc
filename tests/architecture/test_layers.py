"""Data flows one way, a room knows only the rooms below it, and each library has its owners."""

from __future__ import annotations

import ast
import pathlib
import sys
from collections.abc import Iterator

import pytest

FLOORS = [
    {"errors", "units"},
    {"model", "output"},
    {"geodesy", "standards", "look"},
    {"tracks", "lessons", "navdata", "plan", "align", "measure", "assess", "explain", "report", "record"},
    {"named_files"},
    {"pipeline", "drafting"},
    {"cli"},
    {"__main__"},
]
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
OWNERS = {
    "jinja2": {"look", "report"},
    "markupsafe": {"look", "report"},
    "pandas": {"tracks", "record"},
    "platformdirs": {"navdata"},
    "plotly": {"look", "report"},
    "pydantic": {"model", "tracks", "lessons", "record"},
    "pydantic_core": {"model", "lessons", "record"},
    "pygeomag": {"geodesy"},
    "pyproj": {"geodesy"},
    "tomlkit": {"lessons"},
    "tqdm": {"cli"},
}
EVERYWHERE = {"numpy", *sys.stdlib_module_names}


def room_of(file: pathlib.Path, source: pathlib.Path) -> str:
    return file.relative_to(source).parts[0].removesuffix(".py")


def imports(tree: ast.AST, *, typing_too: bool) -> Iterator[str]:
    """Dotted names imported anywhere in ``tree``; a name imported from a package counts as a module of it."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test) and not typing_too:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            for alias in node.names:
                yield f"{node.module}.{alias.name}"
        else:
            yield from imports(node, typing_too=typing_too)


def faults(room: str, tree: ast.AST) -> Iterator[str]:
    for name in imports(tree, typing_too=True):
        package, *path = name.split(".")
        target = path[0] if path else ""
        if package == "legwise" and target in FLOOR and target != room and FLOOR[target] >= FLOOR[room]:
            yield f"{room} imports {name}, which is not below it"
    for name in imports(tree, typing_too=False):
        package = name.split(".")[0]
        if package != "legwise" and package not in EVERYWHERE and room not in OWNERS.get(package, set()):
            yield f"{room} imports {name}, which is not its library"


def test_no_import_points_up_or_sideways_and_no_library_strays(source: pathlib.Path) -> None:
    found = [
        f"{file.relative_to(source)}: {fault}"
        for file in sorted(source.rglob("*.py"))
        if file.parent != source or file.stem != "__init__"
        for fault in faults(room_of(file, source), ast.parse(file.read_text(encoding="utf-8")))
    ]

    assert found == []


def test_every_room_stands_on_a_floor(source: pathlib.Path) -> None:
    rooms = {room_of(file, source) for file in source.rglob("*.py")} - {"__init__"}

    assert rooms == set(FLOOR)


@pytest.mark.parametrize(
    ("room", "text", "count"),
    [
        ("assess", "import pandas", 1),
        ("tracks", "import pandas", 0),
        ("tracks", "from legwise.record import write_samples", 1),
        ("tracks", "from legwise import record", 1),
        ("model", "def f():\n    from legwise.geodesy import inverse", 1),
        ("align", "from legwise.geodesy import inverse", 0),
        ("geodesy", "from legwise.model.plan import Path", 0),
        ("plan", "from __future__ import annotations\nif TYPE_CHECKING:\n    from legwise.align import align", 1),
        ("pipeline", "if TYPE_CHECKING:\n    import pandas as pd", 0),
        ("pipeline", "import pandas as pd", 1),
        ("look", "import scipy", 1),
    ],
)
def test_the_test_itself_sees_what_it_should(room: str, text: str, count: int) -> None:
    assert len(list(faults(room, ast.parse(text)))) == count
