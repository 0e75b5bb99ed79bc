"""The kinds of flight by name, and which of them are kept out of development."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass

from builders.flights.built import BuiltFlight, build
from builders.flights.said import MODES
from builders.flights.script import Script
from builders.flights.world import World, world

KEPT_OUT = (
    "RF leg", "altitude changes", "approach broken off", "fix skipped", "full approach with transition",
    "headings, times wrong by a minute", "hold in lieu of a procedure turn", "hold that nobody wrote down",
    "missed approach, straight then direct", "other aerodrome than filed", "runway heading then vector",
    "touch-and-go and traffic pattern", "vector left without a clearance",
)  # fmt: skip
"""The quarter that is not looked at until the end, by :func:`kept_out`; a test holds the two together."""

Telling = Callable[[World], Script]


@dataclass(frozen=True)
class Kind:
    """How a kind is flown, and how its instructions may be written down."""

    name: str
    tell: Telling
    modes: tuple[str, ...]
    skill: str | None


_KINDS: dict[str, Kind] = {}


def kind(name: str, *, modes: tuple[str, ...] = MODES, skill: str | None = None) -> Callable[[Telling], Telling]:
    """Enter a kind."""

    def entered(tell: Telling) -> Telling:
        _KINDS[name] = Kind(name, tell, modes, skill)
        return tell

    return entered


def kinds() -> dict[str, Kind]:
    """Every kind, in the order entered."""
    from builders.flights import (  # noqa: F401  # which enter themselves
        kinds_approach,
        kinds_ends,
        kinds_holds,
        kinds_mistakes,
        kinds_route,
        kinds_said,
        kinds_technique,
        kinds_vectors,
    )

    return _KINDS


def kept_out() -> tuple[str, ...]:
    """The quarter that is not looked at until the end: the kinds whose names have the smallest checksums.

    The rule was fixed before anything was scored; it knows nothing but the names.
    """
    names = sorted(kinds(), key=lambda name: zlib.crc32(name.encode()))
    return tuple(sorted(names[: len(names) // 4]))


def flight(kind: str, seed: int) -> BuiltFlight:
    """One flight of a kind, always the same for a seed."""
    entry = kinds()[kind]
    made = world(kind, seed, skill=entry.skill)
    mode = made.chance.one_of(entry.modes)
    return build(entry.tell(made), mode)
