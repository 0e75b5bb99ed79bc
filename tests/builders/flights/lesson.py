"""A lesson file as text: fixes, route, approaches with their legs written out, what was said."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from builders.flights.layout import Approach, Land
from builders.flights.world import START


def value(thing: Any) -> str:
    """A TOML value."""
    if isinstance(thing, bool):
        return "true" if thing else "false"
    if isinstance(thing, str):
        return json.dumps(thing)
    if isinstance(thing, dt.time):
        return f"{thing:%H:%M:%S}"
    if isinstance(thing, dict):
        return "{ " + ", ".join(f"{key} = {value(item)}" for key, item in thing.items()) + " }"
    if isinstance(thing, list):
        return "[\n" + "".join(f"  {value(item)},\n" for item in thing) + "]"
    return f"{thing:g}" if isinstance(thing, int) else repr(round(float(thing), 7))


def lesson_text(land: Land, clearances: list[dict[str, Any]], *, title: str) -> str:
    """The whole file."""
    parts = [
        "# An invented flight over invented places. Not for navigation.",
        f'[lesson]\ntitle = "{title}"\ndate = {START:%Y-%m-%d}',
        "[altimetry]\nqnh_hpa = 1013.25\noat_deg_c = 14",
        f"[aircraft]\napproach_ias_kt = {land.world.approach_kt:.0f}",
    ]
    for name, table in land.extra.items():
        parts.append("\n".join([f"[{name}]", *(f"{key} = {value(item)}" for key, item in table.items())]))
    if land.coded:
        parts += land.coded
    for fix in land.fixes.values() if not land.coded else ():
        lat, lon = land.world.plane.position(fix.place)
        lines = ["[[fix]]", f'ident = "{fix.ident}"', f"lat_deg = {lat:.7f}", f"lon_deg = {lon:.7f}"]
        if fix.kind != "waypoint":
            lines.append(f'kind = "{fix.kind}"')
        if fix.elevation_ft is not None:
            lines.append(f"elevation_ft = {fix.elevation_ft:.0f}")
        if fix.fly_over:
            lines.append("fly_over = true")
        parts.append("\n".join(lines))
    points = json.dumps(land.route)
    if not land.coded:
        parts.append(f"[route]\npoints = {points}\naltitude_ft = {land.cruise_ft:.0f}")
    parts += [_approach(land, approach) for approach in land.approaches if not land.coded]
    parts += ["\n".join(["[[clearance]]", *(f"{key} = {value(item)}" for key, item in c.items())]) for c in clearances]
    return "\n\n".join(parts) + "\n"


def _approach(land: Land, approach: Approach) -> str:
    lat, lon = land.world.plane.position(approach.threshold)
    runway = {
        "ident": approach.runway, "lat_deg": round(lat, 7), "lon_deg": round(lon, 7),
        "elevation_ft": approach.elevation_ft,
        "course_deg_true": land.course_of(approach.course, approach.threshold), "length_ft": 6000,
    }  # fmt: skip
    lines = [
        "[[approach]]",
        f'airport = "{approach.airport}"',
        f'title = "{approach.title}"',
        f'guidance = "{approach.guidance}"',
        f"runway = {value(runway)}",
        f"minima = {{ {'da_ft' if approach.has_glidepath else 'mda_ft'} = {approach.minima_ft:.0f} }}",
    ]
    if approach.has_glidepath:
        lines += ["glidepath_deg = 3.0", "threshold_crossing_height_ft = 50"]
    lines += [f"{key} = {value(item)}" for key, item in approach.extra.items()]
    lines.append(f"leg = {value(approach.legs)}")
    if approach.missed:
        lines.append(f"missed = {value(approach.missed)}")
    return "\n".join(lines)
