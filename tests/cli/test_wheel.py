"""The package as it is handed out: built, installed, and run where nothing else is."""

from __future__ import annotations

import json
import os
import pathlib
import subprocess
import sys
import zipfile

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]


def run(*command: str, cwd: pathlib.Path, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, *command],
        cwd=cwd,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(name="wheel", scope="module")
def wheel_fixture(tmp_path_factory: pytest.TempPathFactory) -> pathlib.Path:
    place = tmp_path_factory.mktemp("wheel")
    run("-m", "build", "--wheel", "--no-isolation", "--outdir", str(place), cwd=ROOT)
    (wheel,) = place.glob("*.whl")
    return wheel


def test_the_wheel_holds_what_is_needed_at_run_time(wheel: pathlib.Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        metadata = archive.read(next(name for name in names if name.endswith(".dist-info/METADATA"))).decode()

    assert "legwise/py.typed" in names
    assert len([name for name in names if name.startswith("legwise/sample_tracks/") and "/track." in name]) == 3
    assert "legwise/sample_tracks/tarn_islands.dat" in names
    assert [name for name in names if name.startswith("legwise/report/templates/")]
    assert not [name for name in names if name.startswith(("tests", "src"))]
    assert "License-Expression: MIT" in metadata


def test_whatever_is_vendored_ships_with_its_licence(wheel: pathlib.Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()

    vendored = [pathlib.PurePosixPath(name) for name in names if "/vendor/" in name and ".dist-info/" not in name]
    scripts = [name for name in vendored if name.suffix == ".js"]
    assert scripts
    for script in scripts:
        product = script.name.split("-basic")[0]
        assert [name for name in vendored if product in name.name and name.name.endswith(".LICENSE.txt")], script
    licences = [name for name in names if ".dist-info/licenses/" in name]
    assert any(name.endswith("/LICENSE") for name in licences)
    assert any(name.endswith(".LICENSE.txt") for name in licences)


def test_the_demo_of_the_installed_wheel_runs_in_an_empty_folder(wheel: pathlib.Path, tmp_path: pathlib.Path) -> None:
    site, empty = tmp_path / "site", tmp_path / "empty"
    empty.mkdir()
    run("-m", "pip", "install", "-q", "--no-deps", "--no-index", "--target", str(site), str(wheel), cwd=tmp_path)
    where = run("-c", "import legwise; print(legwise.__file__)", cwd=empty, PYTHONPATH=str(site))
    assert pathlib.Path(where.strip()).is_relative_to(site)

    said = run("-m", "legwise", "demo", cwd=empty, PYTHONPATH=str(site))

    flights = sorted(path for path in (empty / "reports" / "demo").iterdir() if path.is_dir())
    assert len(flights) == 3
    for flight in flights:
        assert sorted(path.name for path in flight.iterdir()) == [
            ".legwise", "debrief.html", "debrief.json", "samples.csv",
        ]  # fmt: skip
        assert f"{flight.name}/debrief.html" in said.replace(os.sep, "/")
        assert json.loads((flight / "debrief.json").read_text(encoding="utf-8"))["schema"] == "legwise.debrief/1"
