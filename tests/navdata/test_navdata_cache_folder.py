"""The folder of indexes: what is in the way there, whose it is, and what is told."""

from __future__ import annotations

import os
import pathlib
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from legwise.model.navdata import NavData
from legwise.navdata import open_navdata
from navdata.coded_lines import excerpt

ONCE = """
import pathlib, sys
from legwise.navdata import open_navdata
data = open_navdata(sys.argv[1], cache=pathlib.Path(sys.argv[2]), indexed_from_bytes=0)
print(len(data.fixes("CESAL")), *data.summary.notes[1:])
"""


def indexed(path: Path, cache: Path) -> NavData:
    return open_navdata(path, cache=cache, indexed_from_bytes=0)


def indexes(cache: Path) -> list[Path]:
    return sorted(cache.glob("*.navindex"))


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def pipe(place: Path) -> None:
    os.mkfifo(place)


def endless(place: Path) -> None:
    place.symlink_to("/dev/zero")


def dangling(place: Path) -> None:
    place.symlink_to("nowhere")


def another_file(place: Path) -> None:
    place.symlink_to(excerpt("KBTV"))


def sparse(place: Path) -> None:
    with place.open("wb") as stream:
        stream.truncate(20_000_000_000)


def folder(place: Path) -> None:
    place.mkdir()


def full_folder(place: Path) -> None:
    place.mkdir()
    (place / "mine.txt").write_text("mine")


@pytest.mark.parametrize("put", [pipe, endless, dangling, another_file, sparse, folder, full_folder])
def test_what_stands_in_the_place_of_an_index_is_put_aside(tmp_path: Path, put: Callable[[Path], None]) -> None:
    path = excerpt("KBTV")
    indexed(path, tmp_path)
    (index,) = indexes(tmp_path)
    sound = index.read_bytes()
    index.unlink()
    put(index)
    # A process of its own, so that one that waits for ever fails here.
    done = subprocess.run(
        [sys.executable, "-c", ONCE, str(path), str(tmp_path)], capture_output=True, text=True, check=True, timeout=60
    )

    assert done.stdout == "1\n"
    assert index.read_bytes() == sound
    assert not index.is_symlink()
    assert [place.read_text() for place in tmp_path.rglob("mine.txt")] == (["mine"] if put is full_folder else [])
    assert excerpt("KBTV").exists()


def test_an_index_beyond_the_bound_of_its_file_is_neither_read_nor_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = excerpt("KBTV")
    indexed(path, tmp_path)
    monkeypatch.setattr("legwise.navdata.index._TIMES_ITS_SOURCE", 0)
    monkeypatch.setattr("legwise.navdata.index._SMALLEST_BYTES", 1000)
    data = indexed(path, tmp_path)

    assert len(data.fixes("CESAL")) == 1
    assert "(it is many times as large as its file), so the whole file is read each time" in data.summary.notes[-1]
    assert list(tmp_path.iterdir()) == []


def test_folders_and_indexes_are_made_for_the_user_alone(tmp_path: Path) -> None:
    cache = tmp_path / "caches" / "legwise" / "navdata"
    before = os.umask(0)
    try:
        indexed(excerpt("KBTV"), cache)
    finally:
        os.umask(before)

    assert [mode_of(place) for place in (cache, cache.parent, cache.parent.parent)] == [0o700] * 3
    assert [mode_of(place) for place in cache.iterdir()] == [0o600]


@pytest.mark.parametrize("mode", [0o777, 0o775, 0o757, 0o1777])
def test_a_folder_that_others_can_write_to_is_not_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: int
) -> None:
    path, cache = excerpt("KBTV"), tmp_path / "cache"
    indexed(path, cache)
    (index,) = indexes(cache)
    cache.chmod(mode)
    before = index.stat()

    def fail(*_args: object) -> None:
        pytest.fail("an index of the folder was opened")

    monkeypatch.setattr("legwise.navdata.index.open_index", fail)
    data = indexed(path, cache)

    assert len(data.fixes("CESAL")) == 1
    assert "(others can write to it), so the whole file is read each time" in data.summary.notes[-1]
    assert list(cache.iterdir()) == [index]
    assert index.stat() == before


def test_a_folder_below_one_that_others_can_write_to_is_not_used(tmp_path: Path) -> None:
    cache = tmp_path / "open" / "cache"
    indexed(excerpt("KBTV"), cache)
    cache.parent.chmod(0o777)

    assert "others can write to a folder above it" in indexed(excerpt("KBTV"), cache).summary.notes[-1]
    # As in /tmp: there nobody can rename what is another's.
    cache.parent.chmod(0o1777)
    assert len(indexed(excerpt("KBTV"), cache).summary.notes) == 1


def test_a_folder_of_another_user_is_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = excerpt("KBTV")
    indexed(path, tmp_path)
    before = sorted(tmp_path.iterdir())
    owner = tmp_path.stat().st_uid
    monkeypatch.setattr(os, "geteuid", lambda: owner + 1)
    data = indexed(path, tmp_path)

    assert len(data.fixes("CESAL")) == 1
    assert "(it belongs to another user), so the whole file is read each time" in data.summary.notes[-1]
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize("mode", [0o666, 0o620, 0o602])
def test_an_index_that_others_can_write_to_is_made_anew_and_said(tmp_path: Path, mode: int) -> None:
    path = excerpt("KBTV")
    indexed(path, tmp_path)
    (index,) = indexes(tmp_path)
    index.chmod(mode)
    told = indexed(path, tmp_path).summary.notes
    after = indexed(path, tmp_path).summary.notes

    assert "could be changed by others: it was removed unread" in told[-1]
    assert len(after) == len(told) - 1
    assert [mode_of(place) for place in indexes(tmp_path)] == [0o600]


def test_a_loop_of_links_in_place_of_the_folder_only_costs_time(tmp_path: Path) -> None:
    loop = tmp_path / "loop"
    loop.symlink_to("loop")
    data = indexed(excerpt("KBTV"), loop)

    assert len(data.fixes("CESAL")) == 1
    assert "so the whole file is read each time" in data.summary.notes[-1]


def test_progress_is_told_where_an_index_is_built_and_nowhere_else(tmp_path: Path) -> None:
    told: list[str] = []
    path = excerpt("KBTV")
    open_navdata(path, cache=tmp_path, progress=told.append)
    assert told == []
    for _ in range(2):
        open_navdata(path, cache=pathlib.Path(tmp_path), indexed_from_bytes=0, progress=told.append)
    assert told == [f"indexing {path}"]
