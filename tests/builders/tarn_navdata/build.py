"""The whole file: ``sample_tracks/tarn_islands.dat``. The same bytes every time.

Run as ``python tests/builders/make_navdata.py [--out DIR]``.
"""

from __future__ import annotations

from builders.tarn.earth import M_PER_FT, M_PER_NM, Point, direct, inverse
from builders.tarn_navdata import enroute, records, skarholm, tarn_bay
from builders.tarn_navdata import islands as at
from builders.tarn_navdata.columns import Place
from builders.tarn_navdata.header import file_of

ALIGNMENT_M = 2750.2
"""From the threshold to the flight path alignment point of a short runway, as in the real path point records."""
HALF_WIDTH_M = 106.75


def file_text() -> str:
    """Header and records, a line each."""
    found = [*enroute.far_away(), *enroute.stations(), *enroute.waypoints(), *enroute.airways()]
    found += _skarholm() + _tarn_bay()
    return file_of(found)


def fixes_text() -> str:
    """A plain list of the fixes en route: ident, lat_deg, lon_deg, kind."""
    lines = ["ident,lat_deg,lon_deg,kind"]
    kinds = {"PA": "airport", "D ": "vor", "DB": "ndb", "EA": "waypoint"}
    places = [at.XTBN, at.XSKH, at.TBN, at.SKH, at.GRA, at.BRAKO, at.PERLO, at.CALDU, at.NORVI, at.SELKA, at.HOLMA]
    for place in [*places, at.OSTRA, at.VINDA, at.VANDO, at.RANGA, at.FAROL]:
        lines.append(f"{place.ident},{place.point.lat_deg:.7f},{place.point.lon_deg:.7f},{kinds[place.section]}")
    return "".join(f"{line}\n" for line in lines)


def _runways(aerodrome: Place) -> list[str]:
    found = []
    for end, (other, length_ft, crossing_ft, localizer) in sorted(at.RUNWAYS.items(), key=lambda item: item[0].ident):
        if end.airport == aerodrome.ident and end.elevation_ft is not None:
            course = inverse(end.point, other.point)[1]
            found.append(
                records.runway(
                    end,
                    length_ft=length_ft,
                    course_deg_mag=(course - aerodrome.variation_deg) % 360.0,
                    crossing_height_ft=crossing_ft,
                    ellipsoid_m=end.elevation_ft * M_PER_FT + at.GEOID_M,
                    localizer=localizer,
                )
            )
    return found


def _path_point(end: Place, procedure: str, channel: int) -> list[str]:
    other, length_ft, crossing_ft, _ = at.RUNWAYS[end]
    length_m = length_ft * M_PER_FT
    offset_m = round((ALIGNMENT_M - length_m) / 8) * 8
    threshold_m = (end.elevation_ft or 0.0) * M_PER_FT
    course = inverse(end.point, other.point)[1]
    alignment: Point = direct(end.point, course, (length_m + offset_m) / M_PER_NM)
    return records.path_point(
        end,
        procedure,
        reference=f"W{end.ident[2:]}A",
        ellipsoid_m=threshold_m + at.GEOID_M,
        orthometric_m=threshold_m,
        glidepath_deg=at.GLIDEPATH_DEG,
        alignment=alignment,
        half_width_m=HALF_WIDTH_M,
        length_offset_m=offset_m,
        crossing_height_ft=crossing_ft,
        channel=channel,
    )


def _skarholm() -> list[str]:
    approaches = [skarholm.vor_dme_09(), skarholm.rnp_27(), skarholm.ils_27(), skarholm.localizer_27()]
    approaches += [skarholm.ndb_27(), skarholm.rnav_09(), skarholm.rnav_27()]
    points = [at.ARVIK, at.CFTUL, at.DALSO, at.FERNU, at.KELDI, at.KIRNU, at.MORSA, at.NESSA, at.SUNDO]
    points += [at.TORLO, at.TOVIK, at.TULVA, at.ULVIK, at.VARBO]
    return [
        records.airport(at.XSKH, "SKARHOLM NOT FOR NAVIGATION", longest_runway_ft=5200),
        *(records.waypoint(place, name=f"{place.ident}(CNF)" if place is at.CFTUL else "") for place in points),
        *(line for part in skarholm.departure() for line in part.records()),
        *(line for part in skarholm.arrival() for line in part.records()),
        *(line for parts in approaches for part in parts for line in part.records()),
        *_runways(at.XSKH),
        records.localizer(
            at.ISKH,
            category="1",
            frequency_mhz=110.3,
            runway_ident="RW27",
            course_deg_mag=at.COURSE_27 - at.ISKH.variation_deg,
            glide_slope=at.GLIDE_SLOPE,
            beyond_far_end_ft=1000,
            inside_threshold_ft=at.GLIDE_SLOPE_INSIDE_FT,
            width_deg=6.0,
            glide_slope_deg=at.GLIDEPATH_DEG,
            crossing_height_ft=50,
            glide_slope_elevation_ft=88,
        ),
        records.ndb(at.LS, "LANGSUND NOT FOR NAVIGATION", frequency_khz=388),
        *_path_point(at.RW09, "R09", 99809),
        *_path_point(at.RW27, "R27", 99827),
        records.safe_altitude(at.SKH, "XSKH", altitude_ft=2500),
    ]


def _tarn_bay() -> list[str]:
    approaches = [tarn_bay.ndb_23(), tarn_bay.rnav_05(), tarn_bay.vor_05()]
    points = [at.DUNVA, at.ELDRU, at.MORUN, at.SKALE, at.TISKA]
    return [
        records.airport(at.XTBN, "TARN BAY NOT FOR NAVIGATION", longest_runway_ft=4250),
        *(records.waypoint(place) for place in points),
        *(line for part in tarn_bay.departure() for line in part.records()),
        *(line for part in tarn_bay.arrival() for line in part.records()),
        *(line for parts in approaches for part in parts for line in part.records()),
        *_runways(at.XTBN),
        records.safe_altitude(at.TBN, "XTBN", altitude_ft=2600),
    ]
