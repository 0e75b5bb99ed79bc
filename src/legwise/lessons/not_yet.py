"""What the lesson format knows and this version does not read yet: refused by name, never passed over in silence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from legwise.lessons.problems import Problem
from legwise.lessons.words import shown
from legwise.model.lesson import PathTerminator

READ_TERMINATORS = ("IF", "TF", "CF", "DF")


def not_yet(data: Mapping[str, object]) -> list[Problem]:
    """Problems for nav data, approaches by procedure alone, and path terminators that are not read yet."""
    problems = []
    if "navdata" in data:
        problems.append(
            Problem(
                place=("navdata",),
                message="navigation data is not read yet",
                remedy="Write the fixes as [[fix]] and the legs of the approach into the lesson.",
                later=True,
            )
        )
    approaches = data.get("approach")
    for number, approach in enumerate(approaches if isinstance(approaches, list) else []):
        if isinstance(approach, Mapping):
            problems += _in_approach(number, approach)
    return problems


def _in_approach(number: int, approach: Mapping[str, object]) -> list[Problem]:
    problems = []
    # A key like "legs" is a slip of the pen: it is named as such later.
    if "procedure" in approach and not any(key.startswith("leg") for key in approach):
        problems.append(
            Problem(
                place=("approach", number, "procedure"),
                message=f"the procedure {shown(approach['procedure'])} needs navigation data, which is not read yet",
                remedy="Write the legs of the approach out: leg = [ { path = ..., fix = ... }, ... ].",
                later=True,
            )
        )
    for part in ("leg", "missed"):
        legs = approach.get(part)
        for index, leg in enumerate(legs if isinstance(legs, list) else []):
            path = leg.get("path") if isinstance(leg, Mapping) else None
            if path in get_args(PathTerminator) and path not in READ_TERMINATORS:
                problems.append(
                    Problem(
                        place=("approach", number, part, index, "path"),
                        message=f"the path terminator {path} is not read yet",
                        remedy=f"This version reads {', '.join(READ_TERMINATORS)}.",
                        later=True,
                    )
                )
    return problems
