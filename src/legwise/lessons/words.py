"""What was found and what is expected, in words a pilot reads: keys as the file writes them, ranges with units."""

from __future__ import annotations

import datetime as dt
import types
import typing
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from legwise.lessons.lines import Place
from legwise.model.lesson import Lesson

TIME_WORDS = 'a time: 13:12:40 (UTC), "13:12" in quotes (to the minute), or 2026-04-18T13:12:40Z'
_LONGEST_SHOWN = 60
_LARGEST_SHOWN = 10**18
NO_KEYS = frozenset({"file", "folder", "lines", "elsewhere", "elements"})
"""Fields of the model that are filled in here, and that the file itself may not set."""
_UNITS = {
    "_ft": "feet",
    "_nm": "nautical miles",
    "_kt": "knots",
    "_m": "metres",
    "_hpa": "hPa",
    "_inhg": "inches of mercury",
    "_deg_c": "degrees Celsius",
    "_deg_mag": "degrees magnetic",
    "_deg_true": "degrees true",
    "_deg": "degrees",
    "_s": "seconds",
    "_minutes": "minutes",
}


def shown(value: object) -> str:
    """``value`` as a message shows it: on one line, without control characters, cut where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dt.datetime | dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if isinstance(value, str):
        return f'"{plain(value)}"'
    # Python itself refuses to write a whole number of thousands of digits.
    is_endless = isinstance(value, int) and abs(value) >= _LARGEST_SHOWN
    return "a number of more than 18 digits" if is_endless else plain(str(value))


def plain(text: str) -> str:
    """``text`` cut to a length that fits a message, control characters shown as ``?``."""
    cut = text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"
    return "".join(letter if letter.isprintable() else "?" for letter in cut)


def key_words(place: Place, data: Mapping[str, object]) -> str:
    """``place`` in the file's own words: ``[[approach]] 1 leg 3 course_deg_mag``; lists count from 1."""
    if not place:
        return ""
    first = plain(str(place[0]))
    holder = data.get(str(place[0]))
    rest: Sequence[str | int] = place[1:]
    if isinstance(holder, list):
        words = f"[[{first}]]"
    elif isinstance(holder, Mapping):
        words = f"[{first}]"
    else:
        words = first
    after_key = False
    for part in rest:
        if isinstance(part, int):
            words += f" {part + 1}"
        else:
            words += f"{'.' if after_key else ' '}{plain(part)}"
        after_key = isinstance(part, str)
    return words


def trimmed(place: Place, data: object) -> Place:
    """``place`` as pydantic gives it, without the names of union branches, which stand nowhere in the file."""
    kept: list[str | int] = []
    node: object = data
    for number, part in enumerate(place):
        inside, found = _inside(node, part)
        is_missing_key = number == len(place) - 1 and isinstance(node, Mapping)
        if inside:
            node = found
        if inside or is_missing_key:
            kept.append(part)
    return tuple(kept)


def _inside(node: object, part: str | int) -> tuple[bool, object]:
    """Whether ``node`` has something at ``part``, and what."""
    if isinstance(node, Mapping) and part in node:
        return True, node[part]
    if isinstance(node, list | tuple) and isinstance(part, int) and part < len(node):
        return True, node[part]
    return False, None


def expectation(place: Place) -> str:
    """What the model expects at ``place``: "a number from 0 to 360", "true or false"; empty where it knows nothing."""
    kind, limits = _type_at(place)
    if kind is None:
        return ""
    return _kind_words(kind, limits, str(next((part for part in reversed(place) if isinstance(part, str)), "")))


def known_keys(place: Place) -> tuple[str, ...]:
    """The keys of the table at ``place``; empty where the model has no table there, or one with keys of its own."""
    kind, _limits = _type_at(place)
    for branch in _branches(kind):
        if isinstance(branch, type) and issubclass(branch, BaseModel):
            return tuple(name for name in branch.model_fields if name not in NO_KEYS)
    return ()


def nearest(word: str, known: Sequence[str]) -> str | None:
    """The known word that ``word`` was probably meant to be, or None."""
    folded = {item.casefold(): item for item in reversed(known)}
    begun = [item for item in folded if item.startswith(word.casefold() + "_")]
    close = begun or get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return folded[close[-1]] if close else None


def tables_with(key: str) -> list[str]:
    """The tables of the file, as it writes them, that know ``key``."""
    found = []
    for name, field in Lesson.model_fields.items():
        if name not in NO_KEYS and key in known_keys((name, 0) if _is_list(field.annotation) else (name,)):
            found.append(f"[[{name}]]" if _is_list(field.annotation) else f"[{name}]")
    return found


def _is_list(kind: object) -> bool:
    return typing.get_origin(kind) is tuple


def _branches(kind: object) -> Iterator[object]:
    """The alternatives of a type, annotations and None taken off."""
    origin = typing.get_origin(kind)
    if origin is typing.Annotated:
        yield from _branches(typing.get_args(kind)[0])
    elif origin in (typing.Union, types.UnionType):
        for branch in typing.get_args(kind):
            if branch is not type(None):
                yield from _branches(branch)
    else:
        yield kind


def _limits_of(kind: object) -> list[object]:
    """The range and length limits that are written on a type, through optional and annotated wrappings."""
    limits: list[object] = []
    if typing.get_origin(kind) is typing.Annotated:
        inner, *notes = typing.get_args(kind)
        for note in notes:
            limits += note.metadata if isinstance(note, FieldInfo) else [note]
        limits += _limits_of(inner)
    elif typing.get_origin(kind) in (typing.Union, types.UnionType):
        for branch in typing.get_args(kind):
            limits += _limits_of(branch)
    return limits


def _type_at(place: Place) -> tuple[object, list[object]]:
    kind: object = Lesson
    limits: list[object] = []
    for part in place:
        found, limits = _step(kind, part)
        if found is None:
            return None, []
        kind = found
    return kind, limits


def _step(kind: object, part: str | int) -> tuple[object, list[object]]:
    for branch in _branches(kind):
        if isinstance(branch, type) and issubclass(branch, BaseModel) and part in branch.model_fields:
            field = branch.model_fields[str(part)]
            return field.annotation, [*field.metadata, *_limits_of(field.annotation)]
        if typing.get_origin(branch) is tuple and isinstance(part, int):
            item = typing.get_args(branch)[0]
            return item, _limits_of(item)
        if typing.get_origin(branch) is dict:
            item = typing.get_args(branch)[1]
            return item, _limits_of(item)
    return None, []


def _kind_words(kind: object, limits: Sequence[object], key: str) -> str:
    branches = list(_branches(kind))
    if dt.time in branches and dt.datetime in branches:
        return TIME_WORDS
    return " or ".join(_branch_words(branch, limits, key) for branch in branches)


def _branch_words(branch: object, limits: Sequence[object], key: str) -> str:
    origin = typing.get_origin(branch)
    if branch is float:
        words = "a number" + _range_words(limits)
    elif branch is bool:
        words = "true or false"
    elif branch is dt.date:
        words = "a date without quotes" + _range_words(limits) + ", like 2026-04-18"
    elif origin is typing.Literal:
        words = "one of " + ", ".join(f'"{choice}"' for choice in typing.get_args(branch))
    elif origin is tuple:
        words = _list_words(branch, key)
    elif isinstance(branch, type) and issubclass(branch, BaseModel):
        words = "a table { " + ", ".join(name for name in branch.model_fields if name not in NO_KEYS) + " }"
    elif branch is str:
        longest = _limit(limits, "max_length")
        words = "a text in quotes" + (f", at most {longest} characters" if longest else "")
    else:
        words = "a table"
    unit = next((unit for ending, unit in _UNITS.items() if key.endswith(ending)), None)
    return f"{words} ({unit})" if branch is float and unit else words


def _list_words(branch: object, key: str) -> str:
    if key in Lesson.model_fields:
        return f"tables [[{key}]] in double brackets"
    item = next(_branches(typing.get_args(branch)[0]))
    return "a list of texts" if item is str else "a list of tables in braces"


def _range_words(limits: Sequence[object]) -> str:
    low, above, high = _limit(limits, "ge"), _limit(limits, "gt"), _limit(limits, "le")
    if low is not None and high is not None:
        return f" from {_number(low)} to {_number(high)}"
    words = [f" above {_number(above)}"] if above is not None else []
    words += [f" up to {_number(high)}"] if high is not None else []
    return ",".join(words)


def _limit(limits: Sequence[object], name: str) -> object:
    """The bound of that name ("ge", "gt", "le", "max_length") among a field's annotations, or None."""
    return next((value for limit in limits if (value := getattr(limit, name, None)) is not None), None)


def _number(value: object) -> str:
    return f"{value:,g}" if isinstance(value, int | float) else str(value)
