"""The instrument rating skill test of Europe: Part-FCL, Appendix 7 (as retained in UK law), limits of paragraph 11.

"Brief" in "brief excursions up to 1 × RNP" has no number in the rule: :data:`BRIEF_S` is a setting. There is no
needle limit for an en-route leg flown by GNSS, so none is judged.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from legwise.model.standard import Quantity, Reference, Segment, Standard, Tolerance

if TYPE_CHECKING:
    from legwise.model.lesson import ApproachGuidance

DOCUMENT: Final = "Part-FCL Appendix 7 (Regulation (EU) 1178/2011 Annex I)"

BRIEF_S: Final = 10.0
"""How long an excursion may last to count as brief. [s] Common practice, no published source: the rule has no
number."""

RNP_FINAL_NM: Final = 0.3
"""Navigation specification of an LNAV final. FAA AIM 1-2-2."""

RNP_INITIAL_MISSED_NM: Final = 1.0
"""Navigation specification of the initial, intermediate and missed segments. FAA AIM 1-2-2."""

_REGULATION: Final = "read in the regulation"

LIMITS: Final = Reference(document=DOCUMENT, place="paragraph 11", status=_REGULATION)
LINEAR: Final = Reference(
    document=DOCUMENT,
    place="paragraph 11, linear lateral deviations (1/2 × RNP)",
    status="the 1/2 read in Appendix 9 and on an examiner's page; one rendering of Appendix 7 drops it",
)
BELOW_MINIMA: Final = Reference(
    document="Regulation (EU) 965/2012 Annex VII (Part-NCO)", place="NCO.OP.210", status="from memory"
)

_RADIO_ANGULAR: Final[frozenset[ApproachGuidance]] = frozenset({"LPV", "ILS", "GLS"})
_ANGULAR_2D: Final[frozenset[ApproachGuidance]] = frozenset({"LP", "LOC", "LDA", "SDF"})
_LINEAR: Final[frozenset[ApproachGuidance]] = frozenset({"LNAV", "LNAV/VNAV"})
_RNAV: Final[frozenset[ApproachGuidance]] = frozenset({"LPV", "LP", "LNAV", "LNAV/VNAV"})
_STATIONS: Final[frozenset[ApproachGuidance]] = frozenset({"VOR", "NDB"})

_BEFORE_FINAL: Final = Segment.APPROACH_BEFORE_FINAL
_FINALS: Final = frozenset({Segment.FINAL_PRECISION, Segment.FINAL_NONPRECISION})
_EVERYWHERE: Final = frozenset({Segment.VECTORS, Segment.ROUTE, _BEFORE_FINAL, Segment.MISSED})

_TOLERANCES: Final = (
    Tolerance(
        quantity=Quantity.ALTITUDE,
        unit="ft",
        low=-100.0,
        high=100.0,
        segments=_EVERYWHERE,
        task="3.c",
        reference=LIMITS,
    ),
    Tolerance(
        quantity=Quantity.CROSSING_ALTITUDE,
        unit="ft",
        low=-100.0,
        high=100.0,
        segments=frozenset({Segment.ROUTE, _BEFORE_FINAL, Segment.MISSED}),
        task="3.c",
        reference=LIMITS,
    ),
    Tolerance(
        quantity=Quantity.HEADING,
        unit="deg",
        low=-5.0,
        high=5.0,
        segments=_EVERYWHERE,
        task="3.c",
        reference=LIMITS,
        condition="all engines operating",
    ),
    Tolerance(
        quantity=Quantity.TRACK,
        unit="deg",
        low=-5.0,
        high=5.0,
        segments=frozenset({Segment.FINAL_NONPRECISION}),
        task="5.f",
        reference=LIMITS,
        condition="tracking on radio aids, as the angle at the station",
        guidances=_STATIONS,
    ),
    Tolerance(
        quantity=Quantity.LATERAL_NEEDLE,
        unit="scale",
        low=-0.5,
        high=0.5,
        segments=frozenset({Segment.FINAL_PRECISION}),
        task="4.f",
        reference=LIMITS,
        condition="angular deviations",
        guidances=_RADIO_ANGULAR,
    ),
    Tolerance(
        quantity=Quantity.LATERAL_NEEDLE,
        unit="scale",
        low=-0.5,
        high=0.5,
        segments=frozenset({Segment.FINAL_NONPRECISION}),
        task="5.f",
        reference=LIMITS,
        condition="angular deviations",
        guidances=_ANGULAR_2D,
    ),
    Tolerance(
        quantity=Quantity.VERTICAL_NEEDLE,
        unit="scale",
        low=-0.5,
        high=0.5,
        segments=frozenset({Segment.FINAL_PRECISION}),
        task="4.f",
        reference=LIMITS,
        condition="angular deviations",
        guidances=_RADIO_ANGULAR,
    ),
    Tolerance(
        quantity=Quantity.VERTICAL_NEEDLE,
        unit="scale",
        low=-0.5,
        high=0.5,
        segments=frozenset({Segment.FINAL_PRECISION}),
        task="4.f",
        reference=LIMITS,
        condition="a glidepath that is angular, made by SBAS",
        guidances=frozenset({"LNAV/VNAV"}),
        vertical_source="sbas",
    ),
    Tolerance(
        quantity=Quantity.VERTICAL_DEVIATION,
        unit="ft",
        low=-75.0,
        high=75.0,
        segments=frozenset({Segment.FINAL_PRECISION}),
        task="4.f",
        reference=LIMITS,
        condition="linear vertical deviations (barometric): the high side at or below 1,000 ft above aerodrome level",
        guidances=frozenset({"LNAV/VNAV"}),
        vertical_source="baro",
        high_below_height_ft=1000.0,
    ),
    Tolerance(
        quantity=Quantity.CROSS_TRACK,
        unit="nm",
        low=-RNP_FINAL_NM / 2,
        high=RNP_FINAL_NM / 2,
        segments=_FINALS,
        task="5.f",
        reference=LINEAR,
        brief_high=RNP_FINAL_NM,
        brief_s=BRIEF_S,
        condition="normally 1/2 × RNP 0.3, brief excursions to 1 × RNP",
        guidances=_LINEAR,
    ),
    Tolerance(
        quantity=Quantity.CROSS_TRACK,
        unit="nm",
        low=-RNP_INITIAL_MISSED_NM / 2,
        high=RNP_INITIAL_MISSED_NM / 2,
        segments=frozenset({_BEFORE_FINAL, Segment.MISSED}),
        task="4.d",
        reference=LINEAR,
        brief_high=RNP_INITIAL_MISSED_NM,
        brief_s=BRIEF_S,
        condition="normally 1/2 × RNP 1, brief excursions to 1 × RNP",
        guidances=_RNAV,
    ),
    Tolerance(
        quantity=Quantity.MDA,
        unit="ft",
        low=0.0,
        high=50.0,
        segments=frozenset({Segment.FINAL_NONPRECISION}),
        task="5.f",
        reference=LIMITS,
        condition="the high side while the minimum descent altitude is held",
        high_when_level=True,
    ),
    Tolerance(
        quantity=Quantity.DA,
        unit="ft",
        low=0.0,
        high=50.0,
        segments=frozenset({Segment.FINAL_PRECISION}),
        task="4.g",
        reference=LIMITS,
        condition="starting a go-around at the decision altitude",
    ),
)

EASA_INSTRUMENT: Final = Standard(
    name="easa-instrument",
    document=DOCUMENT,
    title="Instrument rating skill test, Part-FCL Appendix 7",
    tolerances=_TOLERANCES,
    cautions=(
        "The rule lets the examiner allow for turbulence, handling qualities and performance: a person's judgement.",
        "An excursion counts as brief up to 10 s: a setting, since the rule gives no number.",
        "There is no needle limit for an en-route leg flown by GNSS, so none is judged there.",
        "Letters of the test's items are from memory of the form.",
    ),
    below_minima=BELOW_MINIMA,
    below_minima_task="4.f",
)
