"""What a lesson or a call names beside itself: files of navigation data, an approach in them. For the pipeline."""

from __future__ import annotations

import datetime as dt
import logging
import os
import pathlib
import re
from collections.abc import Callable, Sequence
from functools import lru_cache

from legwise.errors import CallError, NavDataError
from legwise.model.lesson import Lesson, LessonApproach, LessonFix, NavdataFiles
from legwise.model.navdata import NavData
from legwise.navdata import combined, cycle_note, open_navdata, read_fix_list
from legwise.navdata.wording import shown_path

_LOG = logging.getLogger("legwise")
_APPROACH = re.compile(r"([A-Z0-9]{2,5})/([A-Z0-9-]{2,6})(?:\.([A-Z0-9]{1,7}))?")
_LONGEST_SHOWN = 60
_MOST_TOLD = 3


def navdata_for(lesson: Lesson, given: str | os.PathLike[str] | None = None) -> NavData | None:
    """The navigation data of a lesson, ``given`` in place of the file it names, with its list of fixes; None for none.

    The lesson's files are found from its folder.

    Raises
    ------
    NavDataError
        One of the files can't be used at all; one that the lesson names is told with its key and line.
    """
    parts: list[NavData] = []
    if given is not None:
        parts.append(_as_it_stands(_either, pathlib.Path(given)))
    elif lesson.navdata.arinc424 is not None:
        parts.append(_opened(_coded, lesson, lesson.navdata.arinc424, "[navdata] arinc424"))
    if lesson.navdata.fixes is not None:
        parts.append(_opened(read_fix_list, lesson, lesson.navdata.fixes, "[navdata] fixes"))
    return combined(*parts) if parts else None


def check_named(lesson: Lesson | None, *, navdata: str | os.PathLike[str] | None, approach: str | None) -> None:
    """Raise what :func:`navdata_for` and :func:`with_approach` will, before a long track is read."""
    with_approach(Lesson(), approach)
    if navdata is not None:
        navdata_for(lesson or Lesson(), navdata)


def found_from_anywhere(lesson: Lesson, given: str | os.PathLike[str] | None) -> NavdataFiles:
    """The files of :func:`navdata_for` with absolute names, for a lesson file that may be saved in any folder.

    Raises
    ------
    NavDataError
        A name that no lesson file can hold.
    """
    folder = pathlib.Path(lesson.folder)
    names = {"arinc424": lesson.navdata.arinc424, "fixes": lesson.navdata.fixes}
    files = {key: str((folder / name).resolve()) for key, name in names.items() if name is not None}
    if given is not None:
        path = pathlib.Path(given)
        files.pop("arinc424", None)
        files["fixes" if _is_list(path) else "arinc424"] = str(path.resolve())
    for name in files.values():
        if not name.isprintable():
            raise NavDataError(
                "a lesson file can't name this file",
                where=shown_path(name),
                remedy="Give the file a name without control characters.",
            )
    return NavdataFiles(**files)


def _is_list(path: pathlib.Path) -> bool:
    return path.suffix.lower() == ".csv"


def _either(path: pathlib.Path) -> NavData:
    """Coded navigation data, or a list of fixes where the name says so."""
    return read_fix_list(path) if _is_list(path) else _coded(path)


def _coded(path: pathlib.Path) -> NavData:
    """Coded navigation data; that a large file is being indexed, which takes a while, is logged."""
    return open_navdata(path, progress=_LOG.info)


def _opened(opener: Callable[[pathlib.Path], NavData], lesson: Lesson, name: str, key: str) -> NavData:
    try:
        return _as_it_stands(opener, pathlib.Path(lesson.folder) / name)
    except NavDataError as error:
        where = f"{lesson.where(key)}: {error.where}" if error.where else lesson.where(key)
        raise NavDataError(error.message, where=where, remedy=error.remedy) from error


def _as_it_stands(opener: Callable[[pathlib.Path], NavData], path: pathlib.Path) -> NavData:
    """What is in a file, read once while it stays as it is: reading a lesson, its plan and its debrief each ask."""
    try:
        state = path.stat()
    except (OSError, ValueError):
        return opener(path)  # which says what is wrong with it
    return _read(opener, str(path.absolute()), state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=4)
def _read(opener: Callable[[pathlib.Path], NavData], path: str, _changed_ns: int, _size: int) -> NavData:
    return opener(pathlib.Path(path))


def navdata_notes(navdata: NavData, date: dt.date) -> tuple[str, ...]:
    """What is worth knowing of navigation data: whether they cover the date, and which records could not be used."""
    summary = navdata.summary
    files = summary.file.split(" and ")
    notes = [cycle_note(summary, date)]
    for note in summary.notes:
        told = note if any(note.startswith(f"{file}: ") for file in files) else f"{summary.file}: {note}"
        notes.append(f"{told.rstrip('.')}.")
    if summary.problem_count:
        told = "; ".join(f"line {item.line}: {item.message}" for item in summary.problems[:_MOST_TOLD])
        more = summary.problem_count - min(_MOST_TOLD, len(summary.problems))
        what = "1 record" if summary.problem_count == 1 else f"{summary.problem_count:,} records"
        rest = f"; and {more:,} more" if more > 0 else ""
        notes.append(f"{what} of {summary.file} could not be used as they stand: {told}{rest}.")
    return tuple(notes)


def with_approach(lesson: Lesson, approach: str | None) -> Lesson:
    """The lesson with ``AIRPORT/PROCEDURE[.TRANSITION]`` in place of its approaches; itself where that is None.

    Raises
    ------
    CallError
        It is written otherwise.
    """
    if approach is None:
        return lesson
    match = _APPROACH.fullmatch(approach.strip().upper())
    if match is None:
        cut = approach if len(approach) <= _LONGEST_SHOWN else approach[: _LONGEST_SHOWN - 1] + "…"
        shown = "".join(letter if letter.isprintable() else "?" for letter in cut)
        raise CallError(
            f"{shown!r} names no approach",
            where="--approach",
            remedy="Write AIRPORT/PROCEDURE or AIRPORT/PROCEDURE.TRANSITION, like XSKH/R27 or XSKH/R27.HOLMA.",
        )
    transition = "vectors" if match[3] == "VECTORS" else match[3]
    named = LessonApproach(airport=match[1], procedure=match[2], transition=transition)
    lines = {key: line for key, line in lesson.lines.items() if not key.startswith("[[approach]]")}
    return lesson.model_copy(update={"approach": (named,), "lines": lines})


def with_aerodromes(lesson: Lesson, route: Sequence[str] | None, navdata: NavData | None) -> Lesson:
    """The lesson with the aerodromes that its route names, or ``route`` in place of it, among its own fixes.

    For telling one flight of a log from another; a plan looks them up itself.
    """
    if navdata is None:
        return lesson
    named = route or [element.text for element in lesson.route.elements] or lesson.route.points or ()
    own = {fix.ident for fix in lesson.fix}
    found = []
    for ident in dict.fromkeys(named):
        field = navdata.airport(ident.upper()) if ident not in own else None
        if field is not None:
            place = field.fix
            found.append(LessonFix(ident=ident, lat_deg=place.lat_deg, lon_deg=place.lon_deg, kind="airport"))
    return lesson.model_copy(update={"fix": (*lesson.fix, *found)}) if found else lesson
