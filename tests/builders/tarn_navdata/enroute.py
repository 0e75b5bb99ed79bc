"""Stations, waypoints and airways of the Tarn Islands, and the few far away with the same idents."""

from __future__ import annotations

from builders.tarn.earth import inverse
from builders.tarn_navdata import islands as at
from builders.tarn_navdata import records
from builders.tarn_navdata.columns import Place


def airway(
    ident: str,
    fixes: list[Place],
    *,
    start: int = 100,
    kind: str = "O",
    minimum_ft: float = 3000,
    one_way: dict[str, str] | None = None,
) -> list[str]:
    """A stretch of an airway. ``kind`` O by stations, R by area navigation; ``one_way``: F or B by the fix that a leg
    begins at.

    The courses of a leg by stations are magnetic by the VOR at either end of it, other courses by the variation at
    their fix.
    """
    lines = []
    for index, fix in enumerate(fixes):
        before = fixes[index - 1] if index else None
        after = fixes[index + 1] if index + 1 < len(fixes) else None
        length_nm, out, _ = inverse(fix.point, after.point) if after else (None, None, None)
        arriving = inverse(before.point, fix.point)[2] if before else None
        lines.append(
            records.airway_point(
                ident,
                start + 10 * index,
                fix,
                ends=after is None,
                kind=kind,
                direction=(one_way or {}).get(fix.ident, ""),
                outbound_deg_mag=None if out is None else out - _variation(kind, fix, after),
                distance_nm=length_nm,
                inbound_deg_mag=None if arriving is None else arriving - _variation(kind, fix, before),
                minimum_ft=minimum_ft if after else None,
                maximum_ft=17500 if after and kind == "R" else None,
            )
        )
    return lines


def _variation(kind: str, fix: Place, other: Place | None) -> float:
    stations = [end for end in (fix, other) if end is not None and end.section == "D "]
    return stations[0].variation_deg if stations and kind == "O" else fix.variation_deg


def stations() -> list[str]:
    """D and DB records."""
    return [
        records.vhf_navaid(at.SKH, "SKARHOLM NOT FOR NAVIGATION", frequency_mhz=113.6),
        records.vhf_navaid(at.TBN, "TARN BAY NOT FOR NAVIGATION", frequency_mhz=112.4),
        records.vhf_navaid(at.ISKH_DME, "SKARHOLM NOT FOR NAVIGATION", frequency_mhz=110.3, kind=" ITW "),
        records.ndb(at.GRA, "GRANHOLM NOT FOR NAVIGATION", frequency_khz=365),
    ]


def waypoints() -> list[str]:
    """EA records."""
    found = [at.BRAKO, at.CALDU, at.FAROL, at.HOLMA, at.NORVI, at.OSTRA, at.PERLO, at.RANGA, at.SELKA]
    found += [at.VANDO, at.VINDA]
    return [records.waypoint(place, kind="R  " if place is at.PERLO else "C  ", usage="L") for place in found]


def airways() -> list[str]:
    """ER records: V7; V21 with a gap between NORVI and RANGA; T12, which is flown eastward only from CALDU to NORVI."""
    v21 = airway("V21", [at.FAROL, at.OSTRA, at.NORVI], minimum_ft=4000)
    v21 += airway("V21", [at.RANGA, at.HOLMA], start=130, minimum_ft=3000)
    return [
        *airway(
            "T12", [at.VANDO, at.CALDU, at.NORVI, at.SELKA, at.RANGA], kind="R", one_way={"CALDU": "F"}, minimum_ft=3500
        ),
        *v21,
        *airway("V7", [at.TBN, at.BRAKO, at.PERLO, at.CALDU, at.OSTRA, at.SKH]),
    ]


def far_away() -> list[str]:
    """An ocean away, in a region of its own: a VOR TBN, a waypoint NORVI, an airway V7."""
    return [
        records.vhf_navaid(at.FAR_TBN, "FARTHING NOT FOR NAVIGATION", frequency_mhz=115.0),
        records.waypoint(at.FAR_NORVI, kind="C  ", usage="L"),
        records.waypoint(at.FAR_QUELA, kind="C  ", usage="L"),
        *airway("V7", [at.FAR_TBN, at.FAR_NORVI, at.FAR_QUELA]),
    ]
