"""The two altitudes of an IGC file: what each is above, and whether it was measured at all.

The specification (Appendix A, 4.1): pressure altitude "to the ICAO ISA above the 1013.25 HPa sea level datum", GNSS
altitude "above the WGS84 ellipsoid"; where there is none "it shall be recorded ... as zero" (2.4). Recorders of other
sports than gliding say what they write in the headers ALG (ELL ellipsoid, GEO geoid, NIL none, NKN not known) and ALP
(ISA, MSL mean sea level, NIL, NKN): A3.2.7.5 of the second edition, after public code and letters that quote it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind
from legwise.tracks.igc.headers import Headers
from legwise.tracks.wording import shown
from legwise.units import FT_PER_M

# Beside the words of the specification those that recorders write, such as "WGS84 ELLIPSOID".
_GNSS_WORDS = {
    "ELL": r"(WGS\W*(19)?84\W*)?ELL",
    "GEO": r"(WGS\W*(19)?84\W*)?(GEO|MSL)",
    "NIL": r"NIL|NONE",
    "NKN": r"NKN|NKM|NOT KNOWN|UNKNOWN",
}
_PRESSURE_WORDS = {"ISA": r"ISA", "MSL": r"MSL", "NIL": r"NIL|NONE", "NKN": r"NKN|NKM|NOT KNOWN|UNKNOWN"}
_ABSENT = {"NIL": r"NIL|NONE"}


@dataclass(slots=True)
class Altitudes:
    """Altitudes in feet by kind, and what is to be told of them."""

    feet: dict[AltitudeKind, FloatArray] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def add(self, kind: AltitudeKind, metres: FloatArray, words: str) -> None:
        """Take a column under its kind, if that place is free."""
        if kind in self.feet:
            self.notes.append(f"{words}; it is not read, since another altitude of unknown kind is")
        else:
            self.feet[kind] = metres * FT_PER_M
            self.notes.append(words)


def altitudes_of(headers: Headers, pressure_m: FloatArray, gnss_m: FloatArray) -> Altitudes:
    """The altitudes that were measured, by kind. Both have shape (n,), with NaN where a fix has none."""
    found = Altitudes()
    has_pressure = _was_measured(pressure_m, "pressure altitude", found)
    has_gnss = _was_measured(gnss_m, "GNSS altitude", found)
    if has_pressure:
        _add_pressure(headers, pressure_m, found)
    if has_gnss:
        _add_gnss(headers, gnss_m, found)
    return found


def _was_measured(metres: FloatArray, name: str, found: Altitudes) -> bool:
    known = metres[np.isfinite(metres)]
    if known.size and not known.any():
        found.notes.append(f"the {name} is 00000 throughout: the recorder has none; taken as not recorded")
    return bool(known.any())


def _add_pressure(headers: Headers, metres: FloatArray, found: Altitudes) -> None:
    said, text = headers.said("ALP", _PRESSURE_WORDS)
    has_sensor = headers.said("PRS", _ABSENT)[0] != "NIL"
    if said == "NIL" or (not said and not has_sensor):
        found.notes.append(
            "the file says that there is no pressure altitude (NIL); the figures in its place are not read"
        )
    elif said in ("MSL", "NKN"):
        above = (
            "above mean sea level, by a setting that the file does not tell" if said == "MSL" else "of unknown datum"
        )
        found.add(
            AltitudeKind.UNKNOWN, metres, f"the barometric altitude is {above} (ALP says {said}): of unknown kind"
        )
    else:
        why = "as the file says (ALP: ISA)" if said == "ISA" else "as the specification has it"
        other = f"; what ALP says is not understood: {shown(text)}" if said == "?" else ""
        found.add(AltitudeKind.PRESSURE, metres, f"pressure altitude is above 1013.25 hPa, {why}{other}")


def _add_gnss(headers: Headers, metres: FloatArray, found: Altitudes) -> None:
    said, text = headers.said("ALG", _GNSS_WORDS)
    if said == "NIL":
        found.notes.append("the file says that there is no GNSS altitude (NIL); the figures in its place are not read")
    elif said == "NKN":
        found.add(AltitudeKind.UNKNOWN, metres, "the file does not know what its GNSS altitude is above (ALG: NKN)")
    elif said in ("ELL", "GEO"):
        kind = AltitudeKind.GNSS_ELLIPSOID if said == "ELL" else AltitudeKind.GNSS_MSL
        above = "the WGS 84 ellipsoid" if said == "ELL" else "mean sea level (the geoid)"
        found.add(kind, metres, f"GNSS altitude is above {above}, as the file says (ALG: {shown(text)})")
    else:
        why = f"what ALG says is not understood ({shown(text)})" if said else "no header says (ALG)"
        found.add(
            AltitudeKind.GNSS_ELLIPSOID,
            metres,
            f"GNSS altitude is taken above the WGS 84 ellipsoid, as the specification has it; {why}, "
            "and many recorders write height above mean sea level",
        )
