"""The table of legs: what each path terminator of ARINC 424 needs, may carry besides, and where its fix stands.

It is the lesson format's own table, "Legs written out". A direction is named without its north: ``course_deg`` stands
for ``course_deg_mag`` or ``course_deg_true``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from legwise.model.lesson import LessonLeg, PathTerminator

FixPlace = Literal["ends", "begins", "none"]

ANY_LEG = ("altitude", "speed_max_kt", "role", "fly_over", "turn")
"""What any leg may carry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LegForm:
    """How a leg of one path terminator is written.

    ``fix``: whether it ends at its fix, begins there (a hold and a reversal come back to it) or has none. ``needs`` and
    ``may`` are keys besides ``fix`` and :data:`ANY_LEG`. ``flies`` says what it is, in a few words.
    """

    fix: FixPlace
    flies: str
    needs: tuple[str, ...] = ()
    may: tuple[str, ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        """Every key that it may carry besides ``path``, directions without their north."""
        fix = () if self.fix == "none" else ("fix",)
        return tuple(dict.fromkeys((*fix, *self.needs, *self.may, *ANY_LEG)))


def _form(fix: FixPlace, flies: str, needs: str = "", *, may: str = "") -> LegForm:
    return LegForm(fix=fix, flies=flies, needs=tuple(needs.split()), may=tuple(may.split()))


# A station (navaid) gives the variation of a leg's magnetic course. The charted course and distance of a leg between
# fixes may stand beside it: legwise.plan compares them.
LEG_TABLE: dict[PathTerminator, LegForm] = {
    "IF": _form("ends", "begins at a fix", may="navaid"),
    "TF": _form("ends", "flies the track from the fix before to its own", may="course_deg distance_nm navaid"),
    "CF": _form("ends", "flies a course to a fix", "course_deg", may="distance_nm navaid"),
    "DF": _form("ends", "flies direct to a fix", may="distance_nm navaid"),
    "RF": _form("ends", "flies an arc about a centre to a fix", "centre turn"),
    "AF": _form("ends", "flies a DME arc to a fix", "centre radius_nm turn"),
    "CA": _form("none", "flies a course to an altitude", "course_deg altitude", may="navaid"),
    "CD": _form("none", "flies a course to a DME distance", "course_deg dme distance_nm", may="navaid"),
    "CI": _form("none", "flies a course until it meets the next leg", "course_deg", may="navaid"),
    "CR": _form("none", "flies a course to a radial", "course_deg navaid radial_deg"),
    "FA": _form("begins", "flies a course from a fix to an altitude", "course_deg altitude", may="navaid"),
    "FC": _form("begins", "flies a course from a fix for a distance", "course_deg distance_nm", may="navaid"),
    "FD": _form("begins", "flies a course from a fix to a DME distance", "course_deg dme distance_nm", may="navaid"),
    "FM": _form("begins", "flies a course from a fix until told otherwise", "course_deg", may="navaid"),
    "VA": _form("none", "flies a heading to an altitude", "heading_deg altitude"),
    "VD": _form("none", "flies a heading to a DME distance", "heading_deg dme distance_nm"),
    "VI": _form("none", "flies a heading until it meets the next leg", "heading_deg"),
    "VM": _form("none", "flies a heading until told otherwise", "heading_deg"),
    "VR": _form("none", "flies a heading to a radial", "heading_deg navaid radial_deg"),
    "PI": _form("begins", "flies a procedure turn from a fix", "outbound_course_deg turn", may="limit_nm navaid"),
    "HA": _form("begins", "holds to an altitude", "inbound_course_deg altitude", may="leg_minutes leg_nm navaid"),
    "HF": _form("begins", "flies one circuit of a hold", "inbound_course_deg", may="leg_minutes leg_nm navaid"),
    "HM": _form("begins", "holds at a fix until told otherwise", "inbound_course_deg", may="leg_minutes leg_nm navaid"),
}
"""A hold without ``turn`` is flown to the right, as holds are unless something else is published (FAA AIM 5-3-8)."""

NEEDS_A_FIX_BEFORE: frozenset[PathTerminator] = frozenset({"TF", "RF", "AF"})
"""Legs whose path begins at the fix that the leg before leads to. An AF may also be met from a CI or VI leg."""

NEEDS_A_LEG_AFTER: frozenset[PathTerminator] = frozenset({"CI", "VI", "PI"})
"""Legs that end on the path of the next one."""

ENDS_ON_THE_NEXT: frozenset[PathTerminator] = frozenset({"CI", "VI"})
"""Legs that end where they meet the path of the next one, which so must have one of its own."""

HAS_NO_PATH: frozenset[PathTerminator] = frozenset({"IF", "DF", "CA", "CD", "CI", "CR", "VA", "VD", "VI", "VM", "VR"})
"""Legs that are a point, or begin wherever the aircraft is."""


def stem_of(key: str) -> str:
    """A key without the north of its direction: ``course_deg_mag`` gives ``course_deg``."""
    return key.removesuffix("_mag").removesuffix("_true") if "_deg_" in key else key


def given_stems(leg: LessonLeg) -> dict[str, str]:
    """What a leg carries besides ``path``: each key without its north, with the key as it is written."""
    return {stem_of(key): key for key in type(leg).model_fields if key != "path" and getattr(leg, key) is not None}


def written_key(stem: str) -> str:
    """A key as a message names it: a direction with both its norths."""
    return f"{stem}_mag or {stem}_true" if stem.endswith("_deg") else stem
