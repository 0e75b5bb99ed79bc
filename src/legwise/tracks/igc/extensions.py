"""What a fix holds besides time, position and altitude: the extensions that the I record of an IGC file lists.

Sources, read in public copies of the FAI's "Technical Specification for IGC-Approved GNSS Flight Recorders",
Appendix A (the data file format): 2.4 units ("Speed - SSSsss: SSS fixed to 3 digits with leading 0, sss number of
speed decimals", in kilometres per hour; directions "degrees True, clockwise from 000"), 3.4 the I record, 5
definitions, 7 three-letter codes. What the text leaves open is not read, and that is said:

* TAS: its line in 7 says "give units (kt, kph, etc.)", while 2.4 and 5 ("true airspeed of the aircraft in kph") settle
  on km/h. It is read in km/h, and not at all where a header names units of its own (UNT).
* Directions have three figures. In more, 2.4 reads decimals ("DDDddd"), and the example of 4.4 reads leading zeros.
* VAT is the compensated (total energy) variometer: no vertical speed of the aircraft. VAR has "metres and decimal
  metres" in one edition and tenths in another, and recorders write hundredths.
* VXA is "in metres from the VDOP part": VDOP is no length.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from legwise.model.track import Channel
from legwise.tracks.wording import listed
from legwise.units import KT_PER_KMH

BASIC_BYTES: Final = 35
"""A fix has at least these: B, time, latitude, longitude, validity and two altitudes."""

SECONDS, LATITUDE, LONGITUDE = "TDS", "LAD", "LOD"
"""Decimals of the second and further decimals of the minutes: they belong to what the fix itself holds."""

_DECIMALS: Final[Mapping[str, str]] = MappingProxyType(
    {
        SECONDS: "decimals of the second",
        LATITUDE: "further decimals of the minutes of latitude",
        LONGITUDE: "further decimals of the minutes of longitude",
    }
)
_MOST_FIGURES = 6
"""Further decimals (a millionth of a second, a billionth of a minute) say nothing."""

_LISTED = re.compile(r"(\d\d)(\d\d)([A-Z0-9]{3})", re.IGNORECASE)
_SPEED, _DIRECTION, _METRES = "speed", "direction", "metres"

_CHANNELS: Final[Mapping[str, tuple[Channel, str, str]]] = MappingProxyType(
    {
        "GSP": (Channel.GROUNDSPEED_KT, _SPEED, "groundspeed in km/h"),
        "IAS": (Channel.IAS_KT, _SPEED, "indicated airspeed in km/h"),
        "TAS": (Channel.TAS_KT, _SPEED, "true airspeed in km/h"),
        "TRT": (Channel.TRACK_DEG_TRUE, _DIRECTION, "track, true"),
        "TRM": (Channel.TRACK_DEG_MAG, _DIRECTION, "track, magnetic"),
        "HDT": (Channel.HEADING_DEG_TRUE, _DIRECTION, "heading, true"),
        "HDM": (Channel.HEADING_DEG_MAG, _DIRECTION, "heading, magnetic"),
        "FXA": (Channel.HORIZONTAL_ACCURACY_M, _METRES, "accuracy of the position in metres (2 sigma)"),
    }
)
_FIGURES: Final[Mapping[str, tuple[int, int, str]]] = MappingProxyType(
    {
        _SPEED: (3, 99, "a speed has three figures and decimals"),
        _DIRECTION: (3, 3, "a direction has three figures, and the specification reads more in two ways"),
        _METRES: (3, 5, "an accuracy has three figures"),
    }
)
"""The least and the most figures of a value, and why others are not read."""

_NOT_READ: Final[Mapping[str, str]] = MappingProxyType(
    {
        "VAT": "a compensated variometer shows no vertical speed",
        "VAR": "the editions of the specification differ on its decimals",
        "VXA": "the specification gives no length for it",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extension:
    """One that is read: bytes ``start`` to ``stop`` (0-based, exclusive) of a fix are figures, of which ``decimals``
    are decimals; ``factor`` makes them what ``channel`` holds (None: part of time or position). What is above ``most``
    is no value.
    """

    code: str
    start: int
    stop: int
    decimals: int
    channel: Channel | None = None
    factor: float = 1.0
    most: float = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """What an I record says: the extensions that are read, those that aren't (code, start, stop; ``ignored`` are the
    codes of those that no note names), and notes on both."""

    read: tuple[Extension, ...] = ()
    unread: tuple[tuple[str, int, int], ...] = ()
    ignored: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    problem: str = ""

    @property
    def width(self) -> int:
        """Bytes of a fix that are looked at."""
        return max([BASIC_BYTES, *(extension.stop for extension in self.read)])

    @property
    def whole_width(self) -> int:
        """Bytes of a fix with all its extensions, those too that are not read."""
        return max([self.width, *(stop for _code, _start, stop in self.unread)])


def layout_of(text: str, *, units_are_named: bool) -> Layout:
    """The extensions that an I record (``I033638FXA3940SIU4143ENL``) lists.

    ``units_are_named``: a header names units of measure, so that those of TAS can't be known.
    """
    body = text[3:].rstrip()
    fields = list(_LISTED.finditer(body))
    is_whole = "".join(field[0] for field in fields) == body and text[1:3] == f"{len(fields):02d}"
    problem = "" if is_whole else "the I record is damaged; what can be read of it is used"
    read: dict[str, Extension] = {}
    ignored: list[str] = []
    unread: list[tuple[str, int, int]] = []
    notes: list[str] = []
    for first, last, name in (field.groups() for field in fields):
        code = name.upper()
        start, stop = int(first) - 1, int(last)
        if start < BASIC_BYTES or stop <= start:
            problem = "the I record lists bytes that can't hold an extension; what can be read of it is used"
            continue
        extension, why_not = _extension(code, start, stop, units_are_named=units_are_named)
        if code in read or extension is None:
            unread.append((code, start, stop))
        if code in read or (extension is None and not why_not):
            ignored.append(code)
        elif extension is None:
            notes.append(f"{code} is not read: {why_not}")
        else:
            read[code] = extension
            notes.append(f"{code} is taken as {_CHANNELS[code][2] if code in _CHANNELS else _DECIMALS[code]}")
    return Layout(
        read=tuple(read.values()),
        unread=tuple(unread),
        ignored=tuple(ignored),
        notes=tuple(notes),
        problem=problem,
    )


def _extension(code: str, start: int, stop: int, *, units_are_named: bool) -> tuple[Extension | None, str]:
    """The extension, or why one that could be of use is not read; neither for the others."""
    figures = stop - start
    if code in (SECONDS, LATITUDE, LONGITUDE):
        kept = min(figures, _MOST_FIGURES)
        return Extension(code=code, start=start, stop=start + kept, decimals=kept), ""
    if code not in _CHANNELS:
        return None, _NOT_READ.get(code, "")
    if code == "TAS" and units_are_named:
        return None, "a header names units of measure"
    channel, kind, _words = _CHANNELS[code]
    least, greatest, words = _FIGURES[kind]
    if not least <= figures <= greatest:
        return None, words
    decimals = min(figures - 3, _MOST_FIGURES) if kind == _SPEED else 0
    return Extension(
        code=code,
        start=start,
        stop=start + 3 + decimals if kind == _SPEED else stop,
        decimals=decimals,
        channel=channel,
        factor=KT_PER_KMH if kind == _SPEED else 1.0,
        most=360.0 if kind == _DIRECTION else float("inf"),
    ), ""


def ignored_note(codes: set[str]) -> str:
    """A note that names the extensions that are of no use here; empty where there are none."""
    return f"further extensions of the fixes are not read: {listed(sorted(codes))}" if codes else ""
