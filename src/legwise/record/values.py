"""The kinds of value a debrief file holds, each with its rounding. What is absent is ``null``, never NaN, never 0."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, PlainSerializer, WithJsonSchema

from legwise.model.instants import iso_z

NM_DECIMALS: Final = 6
"""2 mm: well inside the 0.1 m that distances are held to."""
DEGREE_DECIMALS: Final = 4
FEET_DECIMALS: Final = 2
NEEDLE_DECIMALS: Final = 6
POSITION_DECIMALS: Final = 8
"""1 mm on the ground."""
PLAIN_DECIMALS: Final = 6

UNIT_DECIMALS: Final[Mapping[str, int]] = {
    "nm": NM_DECIMALS, "scale": NEEDLE_DECIMALS, "ft": FEET_DECIMALS, "deg": DEGREE_DECIMALS, "kt": 3, "s": 3, "fpm": 2,
    "ft/nm": 2,
}  # fmt: skip


def rounded(value: float, decimals: int) -> float:
    """``value`` to ``decimals`` decimals, without a negative zero. What is not finite stays as it is."""
    return round(float(value), decimals) + 0.0 if math.isfinite(value) else float(value)


def _to(decimals: int) -> Callable[[Any], Any]:
    def convert(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return value
        return None if math.isnan(value) else rounded(value, decimals)

    return convert


def _clean_text(value: Any) -> Any:
    """Lone surrogates (a file name that is no UTF-8) become "?": they can't be written as UTF-8."""
    return value.encode("utf-8", "replace").decode("utf-8") if isinstance(value, str) else value


def _utc(value: dt.datetime) -> str:
    return iso_z(value)


Nm = Annotated[float, BeforeValidator(_to(NM_DECIMALS))]
Feet = Annotated[float, BeforeValidator(_to(FEET_DECIMALS))]
Degrees = Annotated[float, BeforeValidator(_to(DEGREE_DECIMALS))]
PositionDegrees = Annotated[float, BeforeValidator(_to(POSITION_DECIMALS))]
Needle = Annotated[float, BeforeValidator(_to(NEEDLE_DECIMALS))]
Number = Annotated[float, BeforeValidator(_to(PLAIN_DECIMALS))]
MaybeNm = Annotated[float | None, BeforeValidator(_to(NM_DECIMALS))]
MaybeFeet = Annotated[float | None, BeforeValidator(_to(FEET_DECIMALS))]
MaybeDegrees = Annotated[float | None, BeforeValidator(_to(DEGREE_DECIMALS))]
MaybeNeedle = Annotated[float | None, BeforeValidator(_to(NEEDLE_DECIMALS))]
MaybeNumber = Annotated[float | None, BeforeValidator(_to(PLAIN_DECIMALS))]
Text = Annotated[str, BeforeValidator(_clean_text)]
Instant = Annotated[
    dt.datetime, PlainSerializer(_utc, return_type=str), WithJsonSchema({"type": "string", "format": "date-time"})
]


def plain(value: object) -> object:
    """``value`` out of what JSON knows: used where the keys are the lesson's or a cause's own, not ours."""
    match value:
        case BaseModel():
            return plain(value.model_dump(exclude_none=True))
        case Mapping():
            return {str(_clean_text(str(key))): plain(item) for key, item in value.items()}
        case list() | tuple():
            return [plain(item) for item in value]
        case _:
            return _plain_leaf(value)


def _plain_leaf(value: object) -> object:
    match value:
        case None | bool() | int():
            return value
        case float():
            return rounded(value, PLAIN_DECIMALS) if math.isfinite(value) else None
        case str():
            return _clean_text(str(value))
        case dt.datetime() if value.tzinfo:
            return iso_z(value)
        case dt.date() | dt.time():
            return value.isoformat()
        case _:
            raise TypeError(f"a debrief file can't hold a {type(value).__name__}")
