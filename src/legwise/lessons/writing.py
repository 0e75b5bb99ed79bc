"""A lesson written back as the text of a lesson file: in the format's order, with comments, to be read and edited.

Quoting and escaping are tomlkit's; the layout (a table a section, legs one a line, comments in a column) is ours.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping, Sequence

from pydantic import BaseModel

from legwise.lessons.words import NO_KEYS
from legwise.model.lesson import Lesson, LessonLeg

_SECTION = re.compile(r"(?:\[\[\w+\]\](?: [0-9]+)?|\[\w+\])(?= |$)")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_COMMENT_COLUMN = 32
_LONGEST_LINE = 120
_DEGREE_DECIMALS = 6
"""About a decimetre; more are written where they are there."""
_LARGEST_WHOLE = 10.0**15

LEG_KEYS = (
    "path", "fix", "course_deg_mag", "course_deg_true", "heading_deg_mag", "heading_deg_true",
    "outbound_course_deg_mag", "outbound_course_deg_true", "inbound_course_deg_mag", "inbound_course_deg_true",
    "centre", "radius_nm", "turn", "dme", "navaid", "radial_deg_mag", "radial_deg_true", "distance_nm", "limit_nm",
    "leg_minutes", "leg_nm", "altitude", "speed_max_kt", "role", "fly_over",
)  # fmt: skip
"""The keys of a leg as they read best: where it goes, how, at what altitude, what for."""


def lesson_toml(lesson: Lesson, comments: Mapping[str, str] | None = None) -> str:
    """The text of a lesson file that reads as ``lesson`` again; what is at its default and was not said is left out.

    Parameters
    ----------
    comments
        By the names that :meth:`Lesson.where` gives tables and keys ("[lesson] date", "[[clearance]] 2",
        "[[approach]] 1 leg 3", and "[[approach]]" for all of them); "" is the file itself. A comment of one line stands
        behind what it explains, a longer one apart. One on a key that has no value is kept as a line of its own in its
        table, for whoever fills it in.

    Raises
    ------
    ValueError
        A comment names no table of the lesson.
    """
    given = dict(comments or {})
    blocks = [_comment_lines(given.pop("", ""))]
    left = _by_section(given)
    for name in Lesson.model_fields:
        if name in NO_KEYS:
            continue
        value = getattr(lesson, name)
        if isinstance(value, tuple):
            heading = _comment_lines(left.get(f"[[{name}]]", {}).pop(f"[[{name}]]", ""))
            for number, item in enumerate(value, start=1):
                place = f"[[{name}]] {number}"
                section = _section(f"[[{name}]]", place, _entries(item), left.pop(place, {}))
                blocks.append([*heading, *section])
                heading = []
            blocks.append(heading)
        else:
            entries = _entries(value) if isinstance(value, BaseModel) else list(value.items())
            if entries or f"[{name}]" in left:
                blocks.append(_section(f"[{name}]", f"[{name}]", entries, left.pop(f"[{name}]", {})))
    lost = sorted(key for section in left.values() for key in section)
    if lost:
        raise ValueError(f"comments on what the lesson does not hold: {', '.join(lost)}")
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _by_section(comments: Mapping[str, str]) -> dict[str, dict[str, str]]:
    """Comments by the table that they belong in: "[route]", "[[clearance]] 3", or "[[clearance]]" as a whole."""
    sections: dict[str, dict[str, str]] = {}
    for key, text in comments.items():
        match = _SECTION.match(key)
        sections.setdefault(match[0] if match else key, {})[key] = text
    return sections


def _entries(table: BaseModel) -> list[tuple[str, object]]:
    """The keys of a table that are worth writing, with their values."""
    names = LEG_KEYS if isinstance(table, LessonLeg) else tuple(type(table).model_fields)
    entries = []
    for name in names:
        value = getattr(table, name)
        is_said = name in table.model_fields_set or value != type(table).model_fields[name].default
        if name not in NO_KEYS and value is not None and value != () and is_said:
            entries.append((name, value))
    return entries


def _section(header: str, place: str, entries: Sequence[tuple[str, object]], comments: dict[str, str]) -> list[str]:
    """A table with its header and a line a key; takes the comments that belong in it out of ``comments``."""
    above, head = _with_comment(header, comments.pop(place, ""))
    lines = [head, *above]
    for key, value in entries:
        name = _key(key)
        if isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
            lines += _table_list(name, f"{place} {key}", value, comments)
        else:
            above, line = _with_comment(f"{name} = {_value(key, value)}", _taken(f"{place} {key}", comments))
            lines += [*above, line]
    for key in [key for key in comments if _is_in(key, place)]:
        lines += _comment_lines(f"{key.removeprefix(place).strip()}: {comments.pop(key)}")
    return lines


def _table_list(name: str, place: str, tables: Sequence[BaseModel], comments: dict[str, str]) -> list[str]:
    """A list of tables in braces, one a line."""
    above, head = _with_comment(f"{name} = [", comments.pop(place, ""))
    lines = [*above, head]
    for number, table in enumerate(tables, start=1):
        above, line = _with_comment(f"  {_braces(table)},", _taken(f"{place} {number}", comments))
        lines += [*(f"  {row}" for row in above), line]
    return [*lines, "]"]


def _is_in(key: str, place: str) -> bool:
    """Whether a comment's key names ``place`` or something in it."""
    return key == place or key.startswith((f"{place} ", f"{place}."))


def _taken(place: str, comments: dict[str, str]) -> str:
    """The comment on what stands at ``place``, and those on what stands in it, which has no line of its own."""
    found = []
    for key in [key for key in comments if _is_in(key, place)]:
        inside = key.removeprefix(place).strip(" .")
        text = comments.pop(key)
        found.append(f"{inside}: {text}" if inside else text)
    return "\n".join(found)


def _with_comment(line: str, comment: str) -> tuple[list[str], str]:
    """The lines of a comment that stand apart, and ``line`` with the comment where it fits behind it."""
    lines = _comment_lines(comment)
    behind = f"{line:<{_COMMENT_COLUMN}}{'' if len(line) < _COMMENT_COLUMN else ' '}{''.join(lines)}"
    if len(lines) == 1 and len(behind) <= _LONGEST_LINE:
        return [], behind
    return lines, line


def _comment_lines(comment: str) -> list[str]:
    """A comment's lines; what can't be printed, which a comment must not hold, is shown as ``?``."""
    rows = (" ".join(row.split("\t")).strip() for row in comment.splitlines())
    return ["# " + "".join(letter if letter.isprintable() else "?" for letter in row) for row in rows if row]


def _braces(table: BaseModel) -> str:
    return "{ " + "".join(f"{item}, " for item in _pairs(table)).removesuffix(", ") + " }"


def _pairs(table: BaseModel) -> Iterator[str]:
    for key, value in _entries(table):
        yield f"{_key(key)} = {_value(key, value)}"


def _value(key: str, value: object) -> str:
    if isinstance(value, BaseModel):
        return _braces(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(_value(key, item) for item in value) + "]"
    if isinstance(value, dt.datetime):
        return _instant(value)
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return _text(value) if isinstance(value, str) else _number(key, value)


def _number(key: str, value: object) -> str:
    """A number or a truth value."""
    if isinstance(value, bool) or not isinstance(value, float):
        return str(value).lower()
    if key in ("lat_deg", "lon_deg"):
        rounded = f"{value:.{_DEGREE_DECIMALS}f}"
        return rounded if float(rounded) == value else repr(value)
    return str(int(value)) if value.is_integer() and abs(value) < _LARGEST_WHOLE else repr(value)


def _instant(value: dt.datetime) -> str:
    """An offset date-time; the offset is kept where TOML can write it, in whole minutes."""
    offset = value.utcoffset()
    if offset is None or offset % dt.timedelta(minutes=1):
        value = value.astimezone(dt.UTC)
    return value.isoformat().replace("+00:00", "Z")


def _text(value: str) -> str:
    import tomlkit

    return tomlkit.string(value).as_string()


def _key(name: str) -> str:
    """A key, in quotes where it needs them, as a heading of a log may."""
    if _BARE_KEY.fullmatch(name):
        return name
    import tomlkit

    return tomlkit.key(name).as_string()
