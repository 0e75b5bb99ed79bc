"""Result folders and files: written beside, then renamed; what Legwise did not make is never touched.

A result folder holds the marker file ``.legwise``, which lists every file that was written with it. A folder that is
there already is replaced only when it is empty, or when each of its files stands in its marker.
"""

from __future__ import annotations

import contextlib
import errno
import json
import os
import pathlib
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from legwise.errors import OutputError

MARKER: Final = ".legwise"
_STAGING: Final = ".legwise-"
"""How the name of a folder begins in which results are being written."""
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


@contextlib.contextmanager
def result_folder(out: pathlib.Path, inputs: Sequence[pathlib.Path] = ()) -> Iterator[pathlib.Path]:
    """A new empty folder to write results into, which takes the place of ``out`` when the block ends well.

    When it does not end well (an error, an interruption) ``out`` is as it was, and nothing is left beside it.

    Raises
    ------
    OutputError
        As :func:`check_result_folder`, and when the disk is full.
    """
    real = check_result_folder(out, inputs)
    with _blaming(out), _parents_of(real), _staging(real if real.exists() else real.parent) as staging:
        fresh = staging / "new"
        fresh.mkdir()
        yield fresh
        _write_marker(fresh)
        if real.exists():
            _require_ours(real, out)
            _exchange(real, fresh, staging)
        else:
            fresh.rename(real)


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


def _write_marker(folder: pathlib.Path) -> None:
    listed = {"made_by": "legwise", "files": sorted(_files_in(folder))}
    (folder / MARKER).write_text(json.dumps(listed, indent=2) + "\n", encoding="utf-8")


def _require_ours(real: pathlib.Path, out: pathlib.Path) -> None:
    """Refuse a folder in which anything stands that its marker does not list."""
    if not real.is_dir():
        raise OutputError("this is a file, not a folder", where=str(out), remedy=_NOT_OURS)
    ours = _marked_files(real)
    for name in _files_in(real):
        if name not in ours and not name.startswith(_STAGING):
            what = "is not Legwise's own" if ours else "was not made by Legwise"
            raise OutputError(f"the folder holds {name}, which {what}", where=str(out), remedy=_NOT_OURS)


def _exchange(real: pathlib.Path, fresh: pathlib.Path, staging: pathlib.Path) -> None:
    """Move what is in ``real`` out and what is in ``fresh`` in; undone when it can't be finished.

    The folder itself stays: it may be where someone works, or where a disk is mounted.
    """
    old = staging / "old"
    old.mkdir()
    undo: list[Callable[[], object]] = []

    def move(source: pathlib.Path, target: pathlib.Path) -> None:
        source.rename(target)
        undo.append(lambda: target.rename(source))

    try:
        for entry in sorted(real.iterdir()):
            if not entry.name.startswith(_STAGING):
                move(entry, old / entry.name)
        for entry in sorted(fresh.iterdir()):
            move(entry, real / entry.name)
    except BaseException:
        for step in reversed(undo):
            step()
        raise


@contextlib.contextmanager
def _staging(parent: pathlib.Path) -> Iterator[pathlib.Path]:
    """A folder of a new name in ``parent``, gone afterwards whatever happens."""
    staging = pathlib.Path(tempfile.mkdtemp(prefix=_STAGING, dir=parent))
    try:
        yield staging
    finally:
        shutil.rmtree(staging)


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
