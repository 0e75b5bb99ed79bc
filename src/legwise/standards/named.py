"""A standard by its name."""

from __future__ import annotations

import pathlib
from difflib import get_close_matches
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

    Raises
    ------
    StandardError
        There is no standard of that name; the message names the nearest or all known ones. The path of a standard of
        one's own is not read yet and is said so.
    """
    known = KNOWN_STANDARDS.get(name)
    if known is not None:
        return known
    shown = name if len(name) <= _LONGEST_SHOWN else name[: _LONGEST_SHOWN - 1] + "…"
    where = str(base) if base is not None else ""
    names = f"Known are {', '.join(KNOWN_STANDARDS)}."
    if is_own_standard(name):
        raise StandardError(
            f"a standard of one's own ({shown!r}) is not read by this version yet", where=where, remedy=names
        )
    close = get_close_matches(name.casefold(), KNOWN_STANDARDS, n=1)
    remedy = f"The nearest known is {close[0]}." if close else names
    raise StandardError(f"there is no standard called {shown!r}", where=where, remedy=remedy)


def is_own_standard(name: str) -> bool:
    """Whether ``name`` is the path of a standard of one's own (TOML), by how it is written."""
    return pathlib.PurePath(name).suffix.lower() == ".toml"
