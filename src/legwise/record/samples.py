"""``samples.csv``: one row for each sample that was kept, with everything that was found out about it."""

from __future__ import annotations

import pathlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from legwise.model.alignment import GUIDANCE_WORDS, PHASE_WORDS
from legwise.model.arrays import FloatArray, IntArray
from legwise.model.results import DebriefResult
from legwise.model.track import Channel
from legwise.record.text_columns import ByteMatrix, decimal_text, instant_text, joined_rows, word_text
from legwise.record.values import DEGREE_DECIMALS, FEET_DECIMALS, NEEDLE_DECIMALS, NM_DECIMALS, POSITION_DECIMALS

if TYPE_CHECKING:
    import pandas as pd

ROWS_AT_ONCE: Final = 16_384
"""Rows put into text at a time: some megabytes, whatever the length of the flight."""

RECORDED_CHANNELS: Final = (Channel.HEADING_DEG_MAG, Channel.IAS_KT, Channel.TAS_KT, Channel.BANK_DEG)
"""The columns that stand only where the log has them."""


@dataclass(frozen=True, slots=True, eq=False)
class Decimals:
    """A column of figures, NaN where not known."""

    values: FloatArray
    decimals: int

    def text(self, rows: slice) -> ByteMatrix:
        """The rows as text."""
        return decimal_text(self.values[rows], self.decimals)

    def series(self) -> FloatArray | IntArray:
        """The whole column for a table."""
        return self.values if self.decimals else self.values.astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Instants:
    """A column of times."""

    time_s: FloatArray

    def text(self, rows: slice) -> ByteMatrix:
        """The rows as text."""
        return instant_text(self.time_s[rows])

    def series(self) -> list[str]:
        """The whole column for a table."""
        lines = joined_rows([self.text(slice(None))]).decode("ascii")
        return lines.splitlines()


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """A column of words out of a few; a negative code is none."""

    words: tuple[str, ...]
    codes: IntArray

    def text(self, rows: slice) -> ByteMatrix:
        """The rows as text."""
        return word_text(self.words, self.codes[rows])

    def series(self) -> object:
        """The whole column for a table."""
        return np.array([*self.words, None], dtype=object)[self.codes]


Column = Decimals | Instants | Words
Unit = Literal["deg", "nm", "ft", "kt", "fpm", "needle", "position"]
_DECIMALS: Final[dict[Unit, int]] = {
    "deg": DEGREE_DECIMALS, "nm": NM_DECIMALS, "ft": FEET_DECIMALS, "kt": 3, "fpm": 2, "needle": NEEDLE_DECIMALS,
    "position": POSITION_DECIMALS,
}  # fmt: skip


def sample_columns(result: DebriefResult) -> dict[str, Column]:
    """The columns of ``samples.csv`` by name, in their order, each of one row for each kept sample."""
    samples, motion = result.track.samples, result.track.motion
    alignment, deviations = result.alignment, result.deviations

    def figures(values: FloatArray, unit: Unit) -> Decimals:
        return Decimals(values, _DECIMALS[unit])

    columns: dict[str, Column] = {
        "time": Instants(samples.time_s),
        "lat_deg": figures(samples.lat_deg, "position"),
        "lon_deg": figures(samples.lon_deg, "position"),
        "altitude_ft": figures(deviations.judged.altitude_ft, "ft"),
        "groundspeed_kt": figures(motion.groundspeed_kt, "kt"),
        "track_deg_true": figures(motion.track_deg_true, "deg"),
        "vertical_speed_fpm": figures(deviations.judged.vertical_speed_fpm, "fpm"),
        "leg": Words(tuple(leg.id for leg in alignment.legs), alignment.leg),
        "guidance": Words(GUIDANCE_WORDS, alignment.guidance),
        "phase": Words(PHASE_WORDS, alignment.phase),
        "cross_track_nm": figures(deviations.cross_track_nm, "nm"),
        "along_track_to_go_nm": figures(deviations.along_track_to_go_nm, "nm"),
        "track_error_deg": figures(deviations.track_error_deg, "deg"),
        "lateral_full_scale_nm": figures(deviations.lateral_full_scale_nm, "nm"),
        "lateral_needle": figures(deviations.lateral_needle, "needle"),
        "vertical_path_ft": figures(deviations.vertical_path_ft, "ft"),
        "vertical_deviation_ft": figures(deviations.vertical_deviation_ft, "ft"),
        "vertical_full_scale_ft": figures(deviations.vertical_full_scale_ft, "ft"),
        "vertical_needle": figures(deviations.vertical_needle, "needle"),
        "assigned_altitude_ft": figures(deviations.assigned_altitude_ft, "ft"),
        "altitude_error_ft": figures(deviations.altitude_error_ft, "ft"),
        "in_turn": Decimals(alignment.in_turn.astype(np.float64), 0),
    }
    if result.track.held is not None:
        columns["held"] = Decimals(result.track.held.astype(np.float64), 0)
    for channel in RECORDED_CHANNELS:
        if channel in samples.channels:
            columns[channel.value] = figures(samples.channels[channel], "kt" if channel.endswith("_kt") else "deg")
    return columns


def samples_frame(result: DebriefResult) -> pd.DataFrame:
    """The table of ``samples.csv``, unrounded: times as ISO 8601 text with ``Z``, NaN or None where not known."""
    import pandas as pd

    return pd.DataFrame({name: column.series() for name, column in sample_columns(result).items()})


def csv_pieces(result: DebriefResult) -> Iterator[bytes]:
    """The bytes of ``samples.csv``, piece by piece: headings, then rows, lines ended by a newline."""
    columns = sample_columns(result)
    yield (",".join(columns) + "\n").encode("ascii")
    for start in range(0, len(result.track), ROWS_AT_ONCE):
        rows = slice(start, start + ROWS_AT_ONCE)
        yield joined_rows([column.text(rows) for column in columns.values()])


def write_samples(result: DebriefResult, path: pathlib.Path) -> None:
    """Write ``samples.csv`` to ``path``, whatever is there.

    Positions carry 8 decimals, nautical miles and needles 6, directions 4, knots 3, feet 2.

    Raises
    ------
    OSError
        The file can't be written.
    """
    with path.open("wb") as file:
        file.writelines(csv_pieces(result))
