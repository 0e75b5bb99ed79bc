"""A standard by its name."""

from __future__ import annotations

import pathlib
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from legwise.errors import StandardError
from legwise.standards.easa_instrument import EASA_INSTRUMENT
from legwise.standards.faa_instrument import FAA_INSTRUMENT

if TYPE_CHECKING:
    from collections.abc import Mapping

    from legwise.model.standard import Standard

KNOWN_STANDARDS: Final[Mapping[str, Standard]] = MappingProxyType(
    {standard.name: standard for standard in (FAA_INSTRUMENT, EASA_INSTRUMENT)}
)

_LONGEST_SHOWN = 60


def standard_named(name: str, *, base: pathlib.Path | None = None) -> Standard:
    """The published standard called ``name``.

    Parameters
    ----------
    name
        ``"faa-instrument"`` or ``"easa-instrument"``.
    base
        The folder of the lesson file that named it, which the path of a standard of one's own is relative to.

    Raises ------ StandardError There is no standard of that name; the message names the known ones. The path of a
    standard of one's own is not read yet and is said so.
    """
    known = KNOWN_STANDARDS.get(name)
    if known is not None:
        return known
    names = ", ".join(f'"{item}"' for item in KNOWN_STANDARDS)
    shown = name if len(name) <= _LONGEST_SHOWN else name[: _LONGEST_SHOWN - 1] + "…"
    where = str(base) if base is not None else ""
    if pathlib.PurePath(name).suffix.lower() == ".toml":
        raise StandardError(
            f"a standard of one's own ({shown!r}) is not read by this version yet",
            where=where,
            remedy=f"Name a published one: {names}.",
        )
    raise StandardError(f"there is no standard called {shown!r}", where=where, remedy=f"Known are {names}.")
