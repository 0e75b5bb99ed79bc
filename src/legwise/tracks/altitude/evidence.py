"""What kind of altitude a log holds, as far as the log alone tells: by its steps, and by its altitudes together.

An altitude whose heading names no kind is called what it is found to be, with the reason; the others keep their names,
and what speaks against a name is told. The pressure of a cabin is never kept.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from legwise.geodesy import isa_pressure_hpa
from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.track import AltitudeFinding, AltitudeKind, BarometricHeading, Fault, Samples
from legwise.tracks.altitude.cabin import without_cabin_pressure
from legwise.tracks.altitude.pairs import Comparison, compare
from legwise.tracks.altitude.steps import COARSE_FT, FINE_FT, step_ft
from legwise.tracks.headings.quantities import KIND_WORDS
from legwise.tracks.wording import shown
from legwise.units import M_PER_FT

_GNSS: Final = (AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID)
_BY_PRESSURE: Final = (AltitudeKind.PRESSURE, AltitudeKind.INDICATED)
_STEP_WORDS: Final = {
    FINE_FT: "it goes by steps of 25 ft, as transponders encode pressure altitude",
    COARSE_FT: "it goes by steps of 100 ft, as the older encoders give pressure altitude to a transponder",
}


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AltitudesTold:
    """The samples with their altitudes under the kinds found, and what there is to tell."""

    samples: Samples
    finding: AltitudeFinding
    notes: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


def tell_altitudes(samples: Samples, barometric: BarometricHeading | None = None) -> AltitudesTold:
    """Find out what the altitudes of a mended track (in the order of time) are, as far as the log alone tells.

    ``barometric`` is what the heading of the plain one says. ``samples`` is given back itself where nothing changes.
    """
    altitudes, faults = without_cabin_pressure(dict(samples.altitudes_ft))
    finding = AltitudeFinding()
    notes: list[str] = []
    plain = altitudes.get(AltitudeKind.UNKNOWN)
    if plain is not None and np.isfinite(plain).any():
        finding = _found(plain, altitudes, barometric)
        kind = finding.plain or AltitudeKind.UNKNOWN
        known = altitudes.get(kind, plain)
        del altitudes[AltitudeKind.UNKNOWN]
        altitudes[kind] = np.where(np.isfinite(known), known, plain)
        notes.append(_note(kind, finding.reason))
    told, units = _pairs(altitudes)
    return AltitudesTold(
        samples=samples if altitudes.keys() == samples.altitudes_ft.keys() else _with_altitudes(samples, altitudes),
        finding=finding,
        notes=(*notes, *told),
        faults=(*faults, *units),
    )


def _with_altitudes(samples: Samples, altitudes: dict[AltitudeKind, FloatArray]) -> Samples:
    read_only = {kind: readonly_floats(values) for kind, values in altitudes.items()}
    return dataclasses.replace(samples, altitudes_ft=MappingProxyType(read_only))


def _note(kind: AltitudeKind, reason: str) -> str:
    if kind is AltitudeKind.UNKNOWN:
        return f"the altitude is of unknown kind: {reason}"
    return f"the altitude, of which the log says no kind, is taken as {KIND_WORDS[kind]}: {reason}"


def _found(
    plain: FloatArray, altitudes: dict[AltitudeKind, FloatArray], barometric: BarometricHeading | None
) -> AltitudeFinding:
    """What the plain altitude is found to be: the figures of another one, else by its steps, else by its heading, else
    left unknown.
    """
    others = {kind: values for kind, values in altitudes.items() if kind is not AltitudeKind.UNKNOWN}
    compared: dict[AltitudeKind, Comparison] = {}
    for name, values in others.items():
        comparison = compare(plain, values)
        if comparison is not None:
            compared[name] = comparison
    for kind, found in compared.items():
        if found.are_same:
            reason = f"its figures are those of the {KIND_WORDS[kind]}"
            return AltitudeFinding(plain=kind, reason=reason, is_a_copy=True, is_barometric=kind in _BY_PRESSURE)
    step = step_ft(plain)
    if step is not None and AltitudeKind.PRESSURE not in others:
        return AltitudeFinding(plain=AltitudeKind.PRESSURE, reason=_STEP_WORDS[step], is_barometric=True)
    headed = _as_headed(barometric, compared) if barometric is not None else None
    if headed is not None:
        return headed
    reasons = ["the log does not say" if barometric is None else _says_barometric(barometric)]
    if step is not None:
        reasons.append(f"{_STEP_WORDS[step]}, and yet it isn't the log's pressure altitude")
    reasons += [_beside(kind, found, is_headed=barometric is not None) for kind, found in compared.items()]
    if not others:
        reasons.append("there is no other altitude to compare")
    elif not compared:
        reasons.append("too little was climbed to compare it with another altitude")
    return AltitudeFinding(
        plain=AltitudeKind.UNKNOWN,
        reason="; ".join(reasons),
        is_barometric=barometric is not None
        or any(kind in _GNSS and found.is_warmed for kind, found in compared.items()),
    )


def _as_headed(barometric: BarometricHeading, compared: Mapping[AltitudeKind, Comparison]) -> AltitudeFinding | None:
    """What a heading that says barometric means: the altimeter's where its setting stands beside it, or where it is
    steadily apart from the log's pressure altitude; else pressure altitude. None where the log has what it would be.

    Recorders call pressure altitude so: the barometric altitude of a transponder's report (ICAO Annex 10 Volume IV),
    and that of an IGC file, by its sensor on 1013.25 hPa (FAI technical specification for recorders): both from
    memory. Displays with a setting write what they show.
    """
    says, pressure = _says_barometric(barometric), compared.get(AltitudeKind.PRESSURE)
    if any(found.is_of_another_unit for found in compared.values()):
        return None
    if barometric.setting:
        kind, why = AltitudeKind.INDICATED, f"{shown(barometric.setting, 30)} beside it is the setting of an altimeter"
    elif pressure is not None and pressure.is_steady:
        kind, why = AltitudeKind.INDICATED, _beside(AltitudeKind.PRESSURE, pressure, is_headed=True)
    else:
        kind = AltitudeKind.PRESSURE
        why = (
            "no setting of an altimeter stands beside it: so recorders call pressure altitude, on 1013.25 hPa (where "
            'it is what the altimeter showed, say kind = "indicated" in [columns])'
        )
    if kind in compared:
        return None
    return AltitudeFinding(plain=kind, reason=f"{says}, and {why}", is_barometric=True)


def _says_barometric(barometric: BarometricHeading) -> str:
    return f"its heading {shown(barometric.heading, 30)} says barometric"


def _beside(kind: AltitudeKind, found: Comparison, *, is_headed: bool) -> str:
    """How the plain altitude stands to a known one, and what may be made of it; ``is_headed`` where its heading says
    that it comes from pressure.
    """
    name = KIND_WORDS[kind]
    if found.is_of_another_unit:
        return f"it is {found.ratio:.3f} times the {name}, as metres and feet are"
    if kind in _GNSS and found.is_warmed:
        return f"it comes from pressure, for it {_differs(found)} the {name}"
    if kind in _GNSS and found.is_as_the_geoid and not is_headed:
        return (
            f"it is {_apart(found.typical_ft)} the {name} all through, as the ellipsoid and mean sea level are in "
            "places: perhaps it is height above the other of the two"
        )
    if kind is AltitudeKind.PRESSURE and found.is_steady:
        return f"it is {_apart(found.typical_ft)} the {name} all through, as {_on_setting(-found.typical_ft)} would be"
    return f"it {_differs(found)} the {name}"


def _differs(found: Comparison) -> str:
    """``differs by -40 ft at 200 ft and by +180 ft at 5,000 ft from``, for a sentence that names the other."""
    return (
        f"differs by {found.at_low_ft:+,.0f} ft at {found.low_ft:,.0f} ft and by {found.at_high_ft:+,.0f} ft at "
        f"{found.high_ft:,.0f} ft from"
    )


def _apart(difference_ft: float) -> str:
    """``154 ft (47 m) above``."""
    side = "above" if difference_ft > 0 else "below"
    return f"{abs(difference_ft):,.0f} ft ({abs(difference_ft) * M_PER_FT:,.0f} m) {side}"


def _on_setting(pressure_less_shown_ft: float) -> str:
    return f"an altimeter on {float(isa_pressure_hpa(pressure_less_shown_ft)):.1f} hPa"


def _pairs(altitudes: dict[AltitudeKind, FloatArray]) -> tuple[list[str], list[Fault]]:
    """How the altitudes with a name stand to one another; a fault where the unit of one must be wrong."""
    kinds = [kind for kind in (*_BY_PRESSURE, *_GNSS) if kind in altitudes]
    notes: list[str] = []
    faults: list[Fault] = []
    for at, first in enumerate(kinds):
        for second in kinds[at + 1 :]:
            found = compare(altitudes[first], altitudes[second])
            if found is None:
                continue
            if found.is_of_another_unit:
                detail = (
                    f"{KIND_WORDS[first]} is {found.ratio:.3f} times {KIND_WORDS[second]}, as metres and feet are: "
                    "the unit of one of them is wrong; both are kept"
                )
                faults.append(Fault(kind="contradicted-channel", count=1, detail=detail))
            else:
                notes.append(_pair_note(first, second, found))
    return notes, faults


def _pair_note(first: AltitudeKind, second: AltitudeKind, found: Comparison) -> str:
    one, other = KIND_WORDS[first], KIND_WORDS[second]
    on_setting = first is AltitudeKind.PRESSURE and second is AltitudeKind.INDICATED
    if found.are_same:
        maybe = "the altimeter stood on 1013.25 hPa, or" if on_setting else "perhaps"
        return f"{one} and {other} are the same figures: {maybe} the one is a copy of the other"
    if not found.is_steady:
        return f"{one} {_differs(found)} {other}"
    why = f", as {_on_setting(found.typical_ft)} makes it" if on_setting else ""
    return f"{one} is {_apart(found.typical_ft)} {other} all through{why}"
