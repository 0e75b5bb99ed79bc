from __future__ import annotations

import errno
import os
import pathlib
import subprocess
import sys

import pytest

from legwise.errors import OutputError
from legwise.output import MARKER, check_result_folder, result_folder, write_file, written_beside

FILES = {"debrief.html": "page", "debrief.json": "{}", "samples.csv": "time\n"}


def write(out: pathlib.Path, text: str = "", inputs: tuple[pathlib.Path, ...] = ()) -> None:
    with result_folder(out, inputs) as folder:
        for name, content in FILES.items():
            (folder / name).write_text(content + text)


def tree(folder: pathlib.Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text() if path.is_file() else "a folder"
        for path in sorted(folder.rglob("*"))
        if path.name != MARKER
    }


def test_a_new_folder_and_those_above_it_are_made(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "reports" / "flight"
    write(out)

    assert tree(tmp_path / "reports") == {"flight": "a folder"} | {
        f"flight/{name}": text for name, text in FILES.items()
    }
    assert (out / MARKER).is_file()
    assert (out.stat().st_mode & 0o777) == (tmp_path / "reports").stat().st_mode & 0o777


def test_a_folder_of_ours_is_replaced_whole(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    with result_folder(out) as folder:
        (folder / "old.txt").write_text("old")
        (folder / "flight").mkdir()
        (folder / "flight" / "page.html").write_text("old")
    write(out, "2")

    assert tree(tmp_path) == {"out": "a folder"} | {f"out/{name}": text + "2" for name, text in FILES.items()}


def test_an_empty_folder_is_filled(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    out.mkdir(mode=0o750)
    write(out)

    assert set(tree(out)) == set(FILES)
    assert (out.stat().st_mode & 0o777) == 0o750


def test_the_folder_one_works_in_is_filled_in_place(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write(pathlib.Path())
    write(pathlib.Path(), "2")

    assert pathlib.Path("samples.csv").read_text() == "time\n2"


@pytest.mark.parametrize(
    "foreign",
    ["thesis.txt", "debrief.html", "sub/thesis.txt", ".hidden"],
)
def test_what_is_not_ours_stays_and_is_named(tmp_path: pathlib.Path, foreign: str) -> None:
    out = tmp_path / "out"
    (out / foreign).parent.mkdir(parents=True)
    (out / foreign).write_text("years of work")
    before = tree(tmp_path)

    with pytest.raises(OutputError, match=foreign) as caught:
        write(out)

    assert tree(tmp_path) == before
    assert str(out) in str(caught.value)
    assert "--out" in caught.value.remedy


def test_a_note_laid_into_a_folder_of_ours_is_not_lost(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    write(out)
    (out / "note.txt").write_text("mine")

    with pytest.raises(OutputError, match=r"note\.txt"):
        write(out, "2")

    assert (out / "note.txt").read_text() == "mine"
    assert (out / "samples.csv").read_text() == FILES["samples.csv"]


@pytest.mark.parametrize("content", ["", "{}", "[]", '{"files": 3}', "\x00", "[" * 100_000])
def test_a_marker_that_says_nothing_protects_nothing(tmp_path: pathlib.Path, content: str) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / MARKER).write_text(content)
    (out / "thesis.txt").write_text("years of work")

    with pytest.raises(OutputError):
        write(out)

    assert (out / "thesis.txt").read_text() == "years of work"


def test_a_file_is_no_folder(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    out.write_text("mine")

    for place in (out, out / "below"):
        with pytest.raises(OutputError, match="file"):
            write(place)
    assert out.read_text() == "mine"


def test_an_input_is_never_replaced(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    write(out)
    track = out / "samples.csv"

    for place in (out, tmp_path, tmp_path / "out" / ".." / "out"):
        with pytest.raises(OutputError, match="input"):
            write(place, "2", (track,))
    assert track.read_text() == FILES["samples.csv"]


def test_an_input_behind_a_link_is_never_replaced(tmp_path: pathlib.Path) -> None:
    write(tmp_path / "out")
    (tmp_path / "track.csv").symlink_to(tmp_path / "out" / "samples.csv")
    (tmp_path / "link").symlink_to(tmp_path / "out")

    with pytest.raises(OutputError, match="input"):
        write(tmp_path / "link", "2", (tmp_path / "track.csv",))


def test_a_link_to_a_folder_is_followed_and_stays(tmp_path: pathlib.Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "disk")
    write(tmp_path / "out")

    assert (tmp_path / "out").is_symlink()
    assert set(tree(tmp_path / "disk")) == set(FILES)


def test_links_in_a_folder_of_ours_are_not_followed(tmp_path: pathlib.Path) -> None:
    out, treasure = tmp_path / "out", tmp_path / "treasure"
    write(out)
    treasure.mkdir()
    (treasure / "gold").write_text("gold")
    (out / "debrief.html").unlink()
    (out / "debrief.html").symlink_to(treasure)
    write(out, "2")

    assert (treasure / "gold").read_text() == "gold"
    assert (out / "debrief.html").read_text() == "page2"


def test_links_in_a_circle_are_told(tmp_path: pathlib.Path) -> None:
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")

    with pytest.raises(OutputError):
        write(tmp_path / "a")


def fail_half_way(out: pathlib.Path, failure: BaseException) -> None:
    with result_folder(out) as folder:
        (folder / "half").write_text("half")
        raise failure


@pytest.mark.parametrize(
    ("failure", "expected"),
    [
        (KeyboardInterrupt(), KeyboardInterrupt),
        (ValueError(), ValueError),
        (OSError(errno.ENOSPC, "No space left on device"), OutputError),
    ],
)
@pytest.mark.parametrize("before", ["nothing", "ours", "empty"])
def test_a_run_that_fails_leaves_everything_as_it_was(
    tmp_path: pathlib.Path, failure: BaseException, expected: type[BaseException], before: str
) -> None:
    out = tmp_path / "reports" / "out"
    if before == "ours":
        write(out)
    elif before == "empty":
        out.mkdir(parents=True)
    was = tree(tmp_path)

    with pytest.raises(expected):
        fail_half_way(out, failure)

    assert tree(tmp_path) == was


def test_an_exchange_that_fails_half_way_is_undone(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    write(out)
    was = tree(tmp_path)
    rename = pathlib.Path.rename

    def fails_once(self: pathlib.Path, target: pathlib.Path) -> pathlib.Path:
        if self.name == "samples.csv" and self.parent.name == "new":
            raise KeyboardInterrupt
        return rename(self, target)

    monkeypatch.setattr(pathlib.Path, "rename", fails_once)
    with pytest.raises(KeyboardInterrupt):
        write(out, "2")

    assert tree(tmp_path) == was


HELD = """
import pathlib, sys, time
from legwise.output import result_folder
with result_folder(pathlib.Path(sys.argv[1])) as folder:
    (folder / "debrief.html").write_text("half")
    print("writing", flush=True)
    time.sleep(60)
"""


def running(out: pathlib.Path) -> subprocess.Popen[str]:
    """Another process in the middle of writing its results."""
    process = subprocess.Popen([sys.executable, "-c", HELD, str(out)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "writing\n"
    return process


def killed(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.communicate()


@pytest.mark.parametrize("before", ["ours", "nothing"])
def test_what_a_killed_run_left_is_removed_by_the_next(tmp_path: pathlib.Path, before: str) -> None:
    out = tmp_path / "reports" / "out"
    if before == "ours":
        write(out)
    killed(running(out))
    assert list(tmp_path.rglob(".legwise-*"))
    write(out, "2")

    assert tree(tmp_path) == {"reports": "a folder", "reports/out": "a folder"} | {
        f"reports/out/{name}": text + "2" for name, text in FILES.items()
    }


def test_what_a_killed_run_left_beside_a_file_is_removed_too(tmp_path: pathlib.Path) -> None:
    killed(running(tmp_path / "out"))
    write_file(tmp_path / "page.html", "page")

    assert tree(tmp_path) == {"page.html": "page"}


def test_what_a_running_process_writes_is_left_to_it(tmp_path: pathlib.Path) -> None:
    out = tmp_path / "out"
    write(out)
    other = running(out)
    (staging,) = out.glob(".legwise-*")
    write(out, "2")

    assert (staging / "new" / "debrief.html").read_text() == "half"
    assert (out / "samples.csv").read_text() == "time\n2"
    killed(other)


@pytest.mark.parametrize(
    ("staging", "file"),
    [
        (".legwise-foo", "thesis.doc"),
        (".legwise-abcd1234", "thesis.doc"),
        (".legwise-abcd1234", "new/thesis.doc"),
        (".legwise-abcd1234", "lock"),
    ],
)
@pytest.mark.parametrize("inside", [True, False])
def test_a_folder_that_only_has_such_a_name_is_not_touched(
    tmp_path: pathlib.Path, staging: str, file: str, inside: bool
) -> None:
    out = tmp_path / "out"
    if inside:
        write(out)
    foreign = (out if inside else tmp_path) / staging / file
    foreign.parent.mkdir(parents=True)
    foreign.write_text("years of work")

    if inside:
        with pytest.raises(OutputError, match=file):
            write(out, "2")
    else:
        write(out, "2")
    assert foreign.read_text() == "years of work"


def test_a_link_with_such_a_name_is_not_followed(tmp_path: pathlib.Path) -> None:
    out, treasure = tmp_path / "out", tmp_path / "treasure"
    killed(running(out))
    (left,) = tmp_path.glob(".legwise-*")
    left.rename(treasure)
    left.symlink_to(treasure)
    write(out)

    assert left.is_symlink()
    assert (treasure / "new" / "debrief.html").read_text() == "half"


def test_an_exchange_that_is_killed_half_way_leaves_a_folder_that_the_next_run_replaces(
    tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write(out)
    rename = pathlib.Path.rename
    undone: list[pathlib.Path] = []

    def dies(self: pathlib.Path, target: pathlib.Path) -> pathlib.Path:
        if undone or (self.name == "samples.csv" and self.parent.name == "new"):
            undone.append(self)
            raise KeyboardInterrupt
        return rename(self, target)

    with monkeypatch.context() as patch:  # nothing can be undone any more either
        patch.setattr(pathlib.Path, "rename", dies)
        with pytest.raises(KeyboardInterrupt):
            write(out, "2")
    assert "samples.csv" not in tree(out)
    write(out, "3")

    assert tree(out) == {name: text + "3" for name, text in FILES.items()}


def test_a_folder_marked_by_itself_can_be_replaced_by_itself(tmp_path: pathlib.Path) -> None:
    demo = tmp_path / "demo"
    for text in ("", "2"):
        with result_folder(demo) as folder:
            write(folder / "flight", text)
        write(demo / "flight", text + "alone")

    assert (demo / "flight" / "samples.csv").read_text() == "time\n2alone"


def test_no_permission_is_told_before_the_work(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # The permission is taken away in name only: root may write everywhere.
    monkeypatch.setattr(os, "access", lambda *_: False)

    with pytest.raises(OutputError, match="permission"):
        check_result_folder(tmp_path / "out")


def test_a_name_too_long_is_told(tmp_path: pathlib.Path) -> None:
    with pytest.raises(OutputError):
        write(tmp_path / ("x" * 300))
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_written_beside_and_renamed(tmp_path: pathlib.Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("old")
    write_file(page, "Tarn Bay °\n")

    assert page.read_bytes() == "Tarn Bay °\n".encode()
    assert list(tmp_path.iterdir()) == [page]


def test_a_file_that_fails_leaves_the_old_one(tmp_path: pathlib.Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("old")

    def fail() -> None:
        with written_beside(page) as part:
            part.write_text("half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fail()

    assert page.read_text() == "old"
    assert list(tmp_path.iterdir()) == [page]


@pytest.mark.parametrize("place", ["", "missing/page.html"])
def test_a_file_that_can_not_be_written_is_told(tmp_path: pathlib.Path, place: str) -> None:
    with pytest.raises(OutputError):
        write_file(tmp_path / place, "text")
