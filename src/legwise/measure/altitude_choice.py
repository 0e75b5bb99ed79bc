"""Which altitude of a log is judged, and which is compared with a straight glidepath, each with the reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from legwise.measure.plain_altitude import PlainAltitude
from legwise.measure.settings import Settings
from legwise.model.arrays import FloatArray
from legwise.model.lesson import Lesson
from legwise.model.track import AltitudeKind, Track

KIND_WORDS: Mapping[AltitudeKind, str] = MappingProxyType(
    {
        AltitudeKind.INDICATED: "indicated altitude",
        AltitudeKind.PRESSURE: "pressure altitude",
        AltitudeKind.GNSS_MSL: "GNSS height above mean sea level",
        AltitudeKind.GNSS_ELLIPSOID: "GNSS height above the ellipsoid",
        AltitudeKind.UNKNOWN: "an altitude of unknown kind",
    }
)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Chosen:
    """A channel, read as ``kind`` for a ``reason``; ``remark`` is worth telling."""

    kind: AltitudeKind
    raw_ft: FloatArray
    reason: str
    remark: str = ""


_AS_NAMED = "as the log names it"


def choose_altitude(
    track: Track,
    lesson: Lesson,
    settings: Settings,
    held: dict[AltitudeKind, FloatArray],
    plain: PlainAltitude | None,
) -> Chosen | None:
    """The altitude to judge among ``held``, the channels that hold a value; None where there are none.

    What the lesson says of its source wins; ``plain`` is what the altitude without a name was found to be.
    """
    if not held:
        return None
    remark = ""
    stands_as = track.altitude.plain or AltitudeKind.UNKNOWN
    if lesson.altimetry.source != "auto":
        asked = AltitudeKind(lesson.altimetry.source)
        if asked in held:
            return Chosen(kind=asked, raw_ft=held[asked], reason="as the lesson asks")
        if plain is not None:
            return Chosen(
                kind=asked,
                raw_ft=held[stands_as],
                reason="as the lesson says",
                remark=f"The log does not say what its altitude is; the lesson says {KIND_WORDS[asked]}.",
            )
        remark = f"The lesson asks for {KIND_WORDS[asked]}, which the log does not hold."
    if plain is not None:
        held = {plain.kind if kind is stands_as else kind: values for kind, values in held.items()}
    order = [AltitudeKind.INDICATED, AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID, AltitudeKind.UNKNOWN]
    order.insert(1 if settings.known else len(order), AltitudeKind.PRESSURE)
    kind = next(kind for kind in order if kind in held)
    if plain is not None and kind is plain.kind:
        found = "of unknown kind" if kind is AltitudeKind.UNKNOWN else KIND_WORDS[kind]
        remark = f"{remark} The log's altitude is {found}: {plain.reason}.".strip()
        return Chosen(kind=kind, raw_ft=held[kind], reason=plain.reason, remark=remark)
    return Chosen(kind=kind, raw_ft=held[kind], reason=_AS_NAMED, remark=remark)


def choose_in_space(track: Track, lesson: Lesson, chosen: Chosen) -> Chosen:
    """What is compared with a straight glidepath: GNSS height where there is one and no source was asked for."""
    gnss = track.samples.altitudes_ft.get(AltitudeKind.GNSS_MSL)
    if lesson.altimetry.source == "auto" and gnss is not None and np.isfinite(gnss).any():
        return Chosen(kind=AltitudeKind.GNSS_MSL, raw_ft=gnss, reason=_AS_NAMED)
    return chosen
