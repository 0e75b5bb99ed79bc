"""The header records of a file, laid out as the US government's: a test file, its cycle, its count, in plain words."""

from __future__ import annotations

import zlib

from builders.tarn_navdata.columns import CYCLE, WIDTH, cell, numbered

TEXTS = (
    "INVENTED DATA OF THE TARN ISLANDS, WHICH DO NOT EXIST",
    "NOT FOR NAVIGATION",
    "CODED INSTRUMENT FLIGHT PROCEDURES VOLUME {cycle}  EFFECTIVE {effective}",
    "NO SUCH AERODROMES, FIXES, STATIONS OR PROCEDURES",
)


def header(records: list[str], *, effective: str, created: str, cycle: str = CYCLE) -> list[str]:
    """Five HDR records for ``records``: "16 APR 2026", "16-MAR-2026". The check figure is CRC 32 of the records."""
    check = zlib.crc32("\n".join(records).encode("ascii"))
    first = f"HDR01{cell('TARNISLANDS', 15)}001T0132{len(records):07d}{cycle}  {created}12:00:00  "
    first = f"{cell(first + 'NOT FOR NAVIGATION', WIDTH - 8)}{check:08X}"
    lines = [
        f"HDR{number:02d}{'':33}{text.format(cycle=cycle, effective=effective)}"
        for number, text in enumerate(TEXTS, start=2)
    ]
    return [first, *(cell(line, WIDTH) for line in lines)]


def file_of(
    records: list[str], *, effective: str = "16 APR 2026", created: str = "16-MAR-2026", cycle: str = CYCLE
) -> str:
    """A whole file of ``records``: the header, then the records with their numbers, a line each."""
    lines = numbered(records)
    return "".join(f"{line}\n" for line in [*header(lines, effective=effective, created=created, cycle=cycle), *lines])
