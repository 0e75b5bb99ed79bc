"""Coded altitudes as windows: the altitude description of ARINC 424-18, field 5.29."""

from __future__ import annotations

from functools import lru_cache

from legwise.model.plan import AltitudeWindow

_AT, _ABOVE, _BELOW = "", "+", "-"
_BOUND = {
    "": _AT, "@": _AT, "G": _AT, "I": _AT, "X": _AT,
    "+": _ABOVE, "H": _ABOVE, "J": _ABOVE, "V": _ABOVE,
    "-": _BELOW, "Y": _BELOW,
}  # fmt: skip
"""How altitude 1 binds, by code."""
_WITH_PATH = frozenset("GHIJVXY")
"""Codes whose altitude 2 is that of the glide slope or the coded vertical angle at the fix, and binds nobody."""
ALTITUDE_CODES = frozenset({*_BOUND, "B", "C"})
"""Every altitude description that is known; a blank one is empty."""


@lru_cache(maxsize=4096)
def altitude_window(code: str, altitude_1_ft: float | None, altitude_2_ft: float | None) -> AltitudeWindow | None:
    """The window of an altitude description and its two altitudes, None where no altitude is coded.

    ``B`` is between altitude 1, the higher, and altitude 2; ``C`` is at or above altitude 2. A window that is coded
    upside down stays so.

    Raises
    ------
    KeyError
        The code is not one of :data:`ALTITUDE_CODES`.
    """
    if code == "B":
        window = AltitudeWindow(low_ft=altitude_2_ft, high_ft=altitude_1_ft)
    elif code == "C":
        window = AltitudeWindow(low_ft=altitude_2_ft)
    else:
        bound = _BOUND[code]
        window = AltitudeWindow(
            low_ft=altitude_1_ft if bound in (_AT, _ABOVE) else None,
            high_ft=altitude_1_ft if bound in (_AT, _BELOW) else None,
            glidepath_ft=altitude_2_ft if code in _WITH_PATH else None,
        )
    return None if window == AltitudeWindow() else window
