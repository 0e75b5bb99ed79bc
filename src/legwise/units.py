"""Exact constants between units, and standard gravity. Nothing here is measured or rounded.

Sources: the international nautical mile and foot (exact by definition), the knot (NM per hour),
standard gravity (3rd CGPM, 1901), the inch of mercury as used for altimeter settings
(ICAO Annex 5, 33.863 89 hPa).
"""

from typing import Final

M_PER_NM: Final = 1852.0
M_PER_FT: Final = 0.3048
M_PER_KM: Final = 1000.0
M_PER_STATUTE_MILE: Final = 1609.344
FT_PER_NM: Final = M_PER_NM / M_PER_FT
FT_PER_M: Final = 1.0 / M_PER_FT

S_PER_MIN: Final = 60.0
S_PER_H: Final = 3600.0
S_PER_DAY: Final = 86_400.0

KT_PER_MPS: Final = S_PER_H / M_PER_NM
KT_PER_KMH: Final = M_PER_KM / M_PER_NM
KT_PER_MPH: Final = M_PER_STATUTE_MILE / M_PER_NM
FPM_PER_MPS: Final = S_PER_MIN / M_PER_FT

HPA_PER_INHG: Final = 33.86389
STANDARD_PRESSURE_HPA: Final = 1013.25
STANDARD_GRAVITY_MPS2: Final = 9.80665
