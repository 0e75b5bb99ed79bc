"""What the house promises about itself: public names, documents that keep up, texts that speak of the project alone."""

from __future__ import annotations

import pathlib
import re
import subprocess
import sys

import pytest

import legwise
from legwise import errors
from legwise.cli.app import VERBS
from legwise.cli.later import VERBS as LATER_VERBS
from legwise.errors import LegwiseError

PUBLIC = [
    "Debrief",
    "LegwiseError",
    "Lesson",
    "ReadLimits",
    "Track",
    "__version__",
    "debrief",
    "read_lesson",
    "read_track",
]
HEAVY = ("pandas", "plotly", "pyproj", "pydantic", "jinja2", "gpxpy", "pygeomag", "numpy", "tqdm")
TEXTS = {".py", ".md", ".toml", ".txt", ".html", ".css", ".js", ".csv", ".json", ".sh", ""}
# Written apart so that this file passes its own test.
FORBIDDEN = re.compile(
    "|".join(
        [
            "/" + "work/",
            "/" + "root/",
            "/" + "opt/",
            "/" + "home/",
            "/" + "tmp/",
            r"pypi\." + "org",
            "pythonhosted" + r"\.",
        ]
    )
)


def test_the_public_names_are_these_and_all_of_them_exist() -> None:
    assert legwise.__all__ == PUBLIC
    for name in PUBLIC:
        assert getattr(legwise, name) is not None
    assert set(PUBLIC) <= set(dir(legwise))


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="approach_plates"):
        _ = legwise.approach_plates


@pytest.mark.parametrize("statement", ["import legwise", "import legwise.cli"])
def test_importing_the_face_and_the_command_line_loads_nothing_heavy(statement: str) -> None:
    code = f"import sys\n{statement}\nprint(*sorted({set(HEAVY)} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def test_every_room_opens_with_its_names_and_a_line_over_its_door(source: pathlib.Path) -> None:
    for init in source.glob("*/__init__.py"):
        text = init.read_text(encoding="utf-8")
        assert text.startswith('"""'), init
        assert '"""..."""' not in text, init
        assert "__all__" in text or init.parent.name == "model", init


def test_every_room_stands_in_the_developers_picture(root: pathlib.Path, source: pathlib.Path) -> None:
    picture = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = [init.parent.name for init in source.glob("*/__init__.py")]

    assert [room for room in rooms if f"`{room}/`" not in picture] == []


def test_every_verb_stands_in_the_readme(root: pathlib.Path) -> None:
    readme = (root / "README.md").read_text(encoding="utf-8")

    assert [verb for verb in (*VERBS, *LATER_VERBS) if f"legwise {verb}" not in readme] == []


def test_every_error_stands_in_the_tree() -> None:
    tree = errors.__doc__ or ""
    classes = [name for name, value in vars(errors).items() if isinstance(value, type)]

    assert [name for name in classes if not re.search(rf"\b{name}\b", tree)] == []


def test_every_error_has_a_slug_of_its_own_that_the_developers_are_told(root: pathlib.Path) -> None:
    picture = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    slugs = [
        value.slug for value in vars(errors).values() if isinstance(value, type) and issubclass(value, LegwiseError)
    ]

    assert len(set(slugs)) == len(slugs)
    assert [slug for slug in slugs if f"`{slug}`" not in picture] == []


def test_every_column_of_the_table_stands_in_the_glossary(root: pathlib.Path) -> None:
    glossary = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    text = (root / "src" / "legwise" / "record" / "samples.py").read_text(encoding="utf-8")
    columns = re.findall(r'^        "(\w+)": (?:figures|Words|Decimals|Instants)\(', text, re.MULTILINE)

    assert len(columns) >= 22
    assert [column for column in columns if f"`{column}`" not in glossary] == []


def test_texts_name_no_machine_and_no_registry(root: pathlib.Path) -> None:
    places = [root / name for name in ("src", "tests", "sample_tracks", ".ci")]
    files = [path for place in places for path in place.rglob("*")] + list(root.glob("*.*"))
    found = [
        f"{path.relative_to(root)}: {match.group()}"
        for path in files
        if path.is_file()
        and path.suffix in TEXTS
        and not {"vendor", "__pycache__", "data"} & set(path.parts)
        and path.stat().st_size < 500_000
        and (match := FORBIDDEN.search(path.read_text(encoding="utf-8", errors="replace")))
    ]

    assert found == []


def test_no_file_of_ours_is_a_drawer_or_a_wall(source: pathlib.Path) -> None:
    files = [path for path in source.rglob("*.py") if path.is_file()]

    assert [path.name for path in files if path.stem in {"utils", "tools", "common", "helpers", "misc"}] == []
    assert [path.name for path in files if len(path.read_text(encoding="utf-8").splitlines()) > 400] == []
