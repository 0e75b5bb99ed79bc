"""The folder that indexes are kept in: whether it is the user's own, what lies in it, and what is in the way there.

An index says what it is made of by its name, which anybody can write. So a folder or an index that somebody else owns
or can write to is not believed. Windows keeps folders apart by other means: nothing is asked there.
"""

from __future__ import annotations

import contextlib
import os
import pathlib
import secrets
import stat
import time
from collections.abc import Callable
from typing import Final

BUILDING: Final = ".building-"
"""How the name of a half-written index begins."""
_IN_THE_WAY: Final = ".in-the-way-"
"""How a folder is renamed that stands where an index goes and is not empty."""
_LEFT_BEHIND_S: Final = 86_400.0
"""A half-written index of this age was left by a process that was killed."""
_OTHERS_WRITE: Final = stat.S_IWGRP | stat.S_IWOTH
_OPEN: Final = os.O_RDONLY | sum(getattr(os, name, 0) for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY"))
"""How an index is opened: no link is followed, no pipe is waited for."""


class NotOursError(Exception):
    """An index is somebody else's or can be changed by others. Never leaves the room."""


def make_folder(folder: pathlib.Path) -> None:
    """Make the folder and those above it that are missing, for the user alone."""
    for place in (*reversed(folder.parents), folder):
        if not place.exists():
            with contextlib.suppress(FileExistsError):
                place.mkdir(mode=0o700)
    folder.mkdir(exist_ok=True)


def distrust(folder: pathlib.Path) -> str:
    """Why nothing in a folder can be believed, in words; empty where it can, or where there is no such folder."""
    try:
        real = pathlib.Path(os.path.realpath(folder))  # unlike resolve, no error of its own for a loop
        fault = _fault(real.stat())
        if fault:
            return fault
        # Who can rename a folder above can put another in its place, unless it is one like /tmp.
        open_to_all = (above.stat().st_mode & (stat.S_IWOTH | stat.S_ISVTX) == stat.S_IWOTH for above in real.parents)
        return "others can write to a folder above it" if _has_owners() and any(open_to_all) else ""
    except OSError:
        return ""


def open_index(place: pathlib.Path, most_bytes: int) -> int:
    """A descriptor of an index, to be closed.

    Raises
    ------
    OSError
        It can't be opened.
    ValueError
        It is no regular file or larger than ``most_bytes``.
    NotOursError
        Others could have written it.
    """
    _check(place.lstat(), most_bytes)
    descriptor = os.open(place, _OPEN)
    try:
        _check(os.fstat(descriptor), most_bytes)
    except BaseException:
        os.close(descriptor)
        raise
    return descriptor


def clear(place: pathlib.Path) -> None:
    """Remove what stands where an index goes; a folder that is not empty is renamed."""
    with contextlib.suppress(FileNotFoundError):
        if not stat.S_ISDIR(place.lstat().st_mode):
            place.unlink()
            return
        try:
            place.rmdir()
        except OSError:
            place.rename(place.with_name(f"{_IN_THE_WAY}{secrets.token_hex(8)}"))


def tidy(folder: pathlib.Path, is_index: Callable[[str], object], most: int) -> None:
    """Remove what was left half-written long ago, and all indexes but the ``most`` last used ones."""
    with contextlib.suppress(OSError):
        aged = []
        for place in folder.iterdir():
            with contextlib.suppress(OSError):
                changed_s = place.lstat().st_mtime
                if is_index(place.name):
                    aged.append((changed_s, place))
                elif place.name.startswith(BUILDING) and time.time() - changed_s > _LEFT_BEHIND_S:
                    place.unlink()
        for _changed_s, place in sorted(aged, reverse=True)[most:]:
            with contextlib.suppress(OSError):
                clear(place)


def _check(state: os.stat_result, most_bytes: int) -> None:
    if not stat.S_ISREG(state.st_mode) or state.st_size > most_bytes:
        raise ValueError("this is no index")
    if _fault(state):
        raise NotOursError


def _fault(state: os.stat_result) -> str:
    if not _has_owners():
        return ""
    if state.st_uid != os.geteuid():
        return "it belongs to another user"
    return "others can write to it" if state.st_mode & _OTHERS_WRITE else ""


def _has_owners() -> bool:
    return os.name == "posix"
