"""Result folders and files: written beside, then renamed; what Legwise did not make is never touched.

A result folder holds the marker file ``.legwise``, which lists every file that was written with it. A folder that is
there already is replaced only when it is empty, or when each of its files stands in its marker.

What is being written stands in a staging folder, ``.legwise-`` and eight letters, whose lock file is held as long as
the process lives that writes. One whose lock is free was left by a process that was killed: the next run removes it.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import pathlib
import re
import shutil
import stat
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from legwise.errors import OutputError

MARKER: Final = ".legwise"
_STAGING: Final = ".legwise-"
"""How the name of a folder begins in which results are being written."""
_STAGING_NAME: Final = re.compile(r"\.legwise-[a-z0-9_]{8}")
_LOCK: Final = "lock"
_LOCK_TEXT: Final = b"Legwise is writing here; when it does no more, its next run removes this folder.\n"
_STAGED: Final = frozenset({_LOCK, "new", "old", "part", "marker"})
_SETTLED_S: Final = 60.0
"""A staging folder that is not marked yet may be a moment old; after this time its maker is gone."""
_NOT_OURS: Final = "Choose another place with --out, or move what is there."
_UNWRITABLE: Final = "Choose a place that can be written with --out."
_PLACE_FAULTS: Final = frozenset(
    getattr(errno, name)
    for name in (
        "EACCES", "EPERM", "EROFS", "ENOSPC", "EDQUOT", "EFBIG", "EIO", "ENAMETOOLONG", "ENOTDIR", "EEXIST",
        "ENOTEMPTY", "EBUSY", "EXDEV", "ELOOP", "EISDIR", "ENOENT",
    )
)  # fmt: skip
"""What the place is to blame for; any other failure of the system is a fault of ours."""


def check_result_folder(out: pathlib.Path, inputs: Sequence[pathlib.Path] = ()) -> pathlib.Path:
    """The real path of ``out``, when results may be written there: before the work, not after it.

    Raises
    ------
    OutputError
        It is no folder, holds what Legwise did not make, holds one of ``inputs``, or can't be written.
    """
    with _blaming(out):
        real = _resolved(out)
        for given in inputs:
            if _resolved(given).is_relative_to(real):
                raise OutputError(
                    f"the folder holds an input of this very run ({given.name})", where=str(out), remedy=_NOT_OURS
                )
        if os.path.lexists(real):
            _require_ours(real, out)
            holder = real
        else:
            holder = next(parent for parent in real.parents if os.path.lexists(parent))
        if not holder.is_dir():
            raise OutputError(f"{holder} is a file, not a folder", where=str(out), remedy=_UNWRITABLE)
        if not os.access(holder, os.W_OK | os.X_OK):
            raise OutputError(f"no permission to write into {holder}", where=str(out), remedy=_UNWRITABLE)
        return real


def _nothing() -> None:
    """What is done before results are put in place, unless the caller has something to do."""


@contextlib.contextmanager
def result_folder(
    out: pathlib.Path, inputs: Sequence[pathlib.Path] = (), *, before_placing: Callable[[], None] = _nothing
) -> Iterator[pathlib.Path]:
    """A new empty folder to write results into, which takes the place of ``out`` when the block ends well.

    When it does not end well (an error, an interruption) ``out`` is as it was, and nothing is left beside it.
    ``before_placing`` is called when all is written and only the exchange is left to do.

    Raises
    ------
    OutputError
        As :func:`check_result_folder`, and when the disk is full.
    """
    real = check_result_folder(out, inputs)
    _remove_what_killed_runs_left(real, with_old_results=True)
    _remove_what_killed_runs_left(real.parent)
    with _blaming(out), _parents_of(real), _staging(real if real.exists() else real.parent) as staging:
        fresh = staging / "new"
        fresh.mkdir()
        yield fresh
        mark_folder(fresh)
        before_placing()
        if real.exists():
            _require_ours(real, out)
            _exchange(real, fresh, staging)
        else:
            fresh.rename(real)


def mark_folder(folder: pathlib.Path) -> None:
    """Write the marker that makes ``folder``, as it stands, one that a later run may replace."""
    _write_marker(folder / MARKER, _files_in(folder))


def write_file(path: pathlib.Path, content: str) -> None:
    """Write one file as UTF-8 beside its place, then rename it there. An existing file is replaced.

    Raises
    ------
    OutputError
        The place can't be written or is a folder.
    """
    with _blaming(path):
        if path.is_dir():
            raise OutputError("this is a folder, not a file", where=str(path), remedy="Name a file.")
        with written_beside(path) as part:
            part.write_text(content, encoding="utf-8", newline="\n")


@contextlib.contextmanager
def written_beside(path: pathlib.Path) -> Iterator[pathlib.Path]:
    """A place beside ``path`` to write to; renamed to ``path`` when the block ends well, removed otherwise."""
    _remove_what_killed_runs_left(path.parent)
    with _blaming(path), _staging(path.parent) as staging:
        part = staging / "part"
        yield part
        part.replace(path)


def _resolved(path: pathlib.Path) -> pathlib.Path:
    try:
        return path.resolve()
    except RuntimeError as error:
        raise OutputError("its symbolic links lead in a circle", where=str(path), remedy=_UNWRITABLE) from error


def _files_in(folder: pathlib.Path) -> Iterator[str]:
    """Every file below ``folder`` by its path in it; an empty folder counts as a file, a link is not followed."""
    for parent, folders, files in os.walk(folder):
        for name in files:
            yield (pathlib.Path(parent) / name).relative_to(folder).as_posix()
        for name in folders:
            inner = pathlib.Path(parent) / name
            if inner.is_symlink() or not any(inner.iterdir()):
                yield inner.relative_to(folder).as_posix()


def _marked_files(folder: pathlib.Path) -> frozenset[str]:
    """What the marker in ``folder`` lists, itself included; nothing where there is no marker of ours."""
    marker = folder / MARKER
    if marker.is_symlink() or not marker.is_file() or marker.stat().st_size > 1_000_000:
        return frozenset()
    try:
        listed = json.loads(marker.read_bytes())["files"]
    except (ValueError, LookupError, TypeError, RecursionError):
        return frozenset()
    return frozenset({MARKER, *map(str, listed)}) if isinstance(listed, list) else frozenset()


def _write_marker(marker: pathlib.Path, files: Iterable[str]) -> None:
    listed = {"made_by": "legwise", "files": sorted({*files} - {MARKER})}
    marker.write_text(json.dumps(listed, indent=2) + "\n", encoding="utf-8")


def _require_ours(real: pathlib.Path, out: pathlib.Path) -> None:
    """Refuse a folder in which anything stands that its marker does not list, and that is no staging folder of ours."""
    if not real.is_dir():
        raise OutputError("this is a file, not a folder", where=str(out), remedy=_NOT_OURS)
    ours = _marked_files(real)
    staging = {entry.name for entry in real.iterdir() if _is_staging(entry)}
    for name in _files_in(real):
        if name not in ours and name.split("/")[0] not in staging:
            what = "is not Legwise's own" if ours else "was not made by Legwise"
            raise OutputError(f"the folder holds {name}, which {what}", where=str(out), remedy=_NOT_OURS)


def _exchange(real: pathlib.Path, fresh: pathlib.Path, staging: pathlib.Path) -> None:
    """Move what is in ``real`` out and what is in ``fresh`` in; undone when it can't be finished.

    The folder itself stays: it may be where someone works, or where a disk is mounted. Meanwhile its marker lists the
    old and the new, so that a process killed half-way leaves a folder that the next run can replace.
    """
    old = staging / "old"
    old.mkdir()
    undo: list[Callable[[], object]] = []

    def move(source: pathlib.Path, target: pathlib.Path) -> None:
        source.rename(target)
        undo.append(lambda: target.rename(source))

    marker = real / MARKER
    try:
        both = staging / "marker"
        _write_marker(both, (*_marked_files(real), *_files_in(fresh)))
        if marker.exists():
            shutil.copy2(marker, old / MARKER)
            undo.append(lambda: (old / MARKER).replace(marker))
        else:
            undo.append(lambda: marker.unlink(missing_ok=True))
        both.replace(marker)
        for entry in sorted(real.iterdir()):
            if entry.name != MARKER and not _is_staging(entry):
                move(entry, old / entry.name)
        for entry in sorted(fresh.iterdir()):
            if entry.name != MARKER:
                move(entry, real / entry.name)
        (fresh / MARKER).replace(marker)
    except BaseException:
        for step in reversed(undo):
            step()
        raise


@contextlib.contextmanager
def _staging(parent: pathlib.Path) -> Iterator[pathlib.Path]:
    """A folder of a new name in ``parent``, locked while it is in use, gone afterwards whatever happens."""
    staging = pathlib.Path(tempfile.mkdtemp(prefix=_STAGING, dir=parent))
    try:
        with (staging / _LOCK).open("wb") as lock:
            _locked(lock.fileno())
            lock.write(_LOCK_TEXT)
            lock.flush()
            yield staging
    finally:
        _discard(staging)


def _discard(staging: pathlib.Path) -> None:
    """Remove a staging folder, its lock file last: it tells what the rest is, should we be killed meanwhile."""
    for entry in staging.iterdir():
        if entry.name != _LOCK:
            if entry.is_dir() and not entry.is_symlink():
                shutil.rmtree(entry)
            else:
                entry.unlink()
    (staging / _LOCK).unlink(missing_ok=True)
    staging.rmdir()


def _locked(descriptor: int) -> bool:
    """Lock a file until it is closed or the process ends; whether that was done: not where another has it."""
    try:
        import fcntl
    except ImportError:  # a system without: nothing is ever taken for left behind
        return False
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _is_staging(folder: pathlib.Path) -> bool:
    """Whether ``folder`` is a staging folder of some run's: its name, what is in it, and what its lock file says."""
    if not _STAGING_NAME.fullmatch(folder.name) or not stat.S_ISDIR(folder.lstat().st_mode):
        return False
    names = {entry.name for entry in folder.iterdir()}
    if not names:
        return True
    lock = folder / _LOCK
    if names - _STAGED or _LOCK not in names or not stat.S_ISREG(lock.lstat().st_mode):
        return False
    with lock.open("rb") as file:
        said = file.read(len(_LOCK_TEXT) + 1)
    return said == _LOCK_TEXT or (not said and names == {_LOCK})


def _remove_what_killed_runs_left(place: pathlib.Path, *, with_old_results: bool = False) -> None:
    """Remove the staging folders in ``place`` whose process is gone. What can't be read or removed stays.

    One that holds older results, of an exchange that was not finished, goes only where ``place`` is replaced anyway.
    """
    with contextlib.suppress(OSError):
        for folder in place.glob(f"{_STAGING}*"):
            with contextlib.suppress(OSError):
                if _is_staging(folder) and (with_old_results or not (folder / "old").exists()) and _is_left(folder):
                    _discard(folder)


def _is_left(staging: pathlib.Path) -> bool:
    """Whether the process that made a staging folder is gone."""
    is_settled = time.time() - staging.lstat().st_mtime > _SETTLED_S
    lock = staging / _LOCK
    if not lock.exists():
        return is_settled
    with lock.open("rb") as file:
        return _locked(file.fileno()) and (is_settled or bool(file.read(1)))


@contextlib.contextmanager
def _parents_of(real: pathlib.Path) -> Iterator[None]:
    """The folders above ``real`` are there; those made here are removed again when the block fails."""
    missing = [parent for parent in real.parents if not parent.exists()]
    made: list[pathlib.Path] = []
    try:
        for parent in reversed(missing):
            parent.mkdir()
            made.append(parent)
        yield
    except BaseException:
        for parent in reversed(made):
            with contextlib.suppress(OSError):  # someone else may have put something there meanwhile
                parent.rmdir()
        raise


@contextlib.contextmanager
def _blaming(place: pathlib.Path) -> Iterator[None]:
    """Failures of the system that the place is to blame for become an :class:`OutputError` that names it."""
    try:
        yield
    except OSError as error:
        if error.errno not in _PLACE_FAULTS:
            raise
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"it can't be written: {reason}", where=str(place), remedy=_UNWRITABLE) from error
