"""Whatever a valid lesson holds, planning it gives a plan of finite numbers or an error a user can act on."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError
from legwise.model.lesson import Lesson
from legwise.plan import make_plan
from plan.plan_world import World

SETTINGS = settings(deadline=None, derandomize=True, max_examples=250)
IDENTS = ["AAAAA", "BBBBB", "CCCCC", "RW27", "XSKH", "V7", "90N000E", "46N028W", "<b>", "DCT"]

idents = st.sampled_from(IDENTS)
degrees = st.sampled_from([0.0, 90.0, 180.0, 359.999, 360.0]) | st.floats(0, 360)
latitudes = st.sampled_from([90.0, -90.0, 0.0, 46.0, 46.0 + 1e-9]) | st.floats(-90, 90)
longitudes = st.sampled_from([180.0, -180.0, 0.0, -28.0]) | st.floats(-180, 180)
fixes = st.fixed_dictionaries(
    {"ident": st.sampled_from(IDENTS[:5]), "lat_deg": latitudes, "lon_deg": longitudes},
    optional={"variation_deg": st.floats(-180, 180), "fly_over": st.booleans()},
)
legs = st.fixed_dictionaries(
    {"path": st.sampled_from(["IF", "TF", "CF", "DF"]), "fix": idents},
    optional={
        "course_deg_mag": degrees,
        "course_deg_true": degrees,
        "role": st.sampled_from(["IAF", "FAF", "MAP", "STEPDOWN"]),
        "distance_nm": st.floats(0.1, 300),
    },
)
runways = st.fixed_dictionaries(
    {"ident": st.just("RW27"), "lat_deg": latitudes, "lon_deg": longitudes, "elevation_ft": st.floats(-1000, 9000)},
    optional={"course_deg_true": degrees, "course_deg_mag": degrees},
)
approaches = st.fixed_dictionaries(
    {"airport": st.just("XSKH"), "leg": st.lists(legs, max_size=4), "missed": st.lists(legs, max_size=2)},
    optional={"runway": runways, "guidance": st.sampled_from(["LPV", "LOC", "VOR", "LNAV"]), "navaid": idents},
)
lessons = st.fixed_dictionaries(
    {
        "fix": st.lists(fixes, max_size=6),
        "route": st.fixed_dictionaries({"points": st.lists(idents, max_size=5)}),
        "approach": st.lists(approaches, max_size=2),
    }
)


@SETTINGS
@given(lessons, st.dates(dt.date(2000, 1, 1), dt.date(2040, 1, 1)), st.sampled_from([None, World()]))
def test_a_plan_is_finite_or_refused(tables: dict[str, Any], date: dt.date, navdata: World | None) -> None:
    lesson = Lesson.model_validate(tables)
    try:
        plan = make_plan(lesson, date=date, navdata=navdata)
    except LegwiseError:
        return

    found = [leg for approach in plan.approaches for leg in (*approach.legs, *approach.missed)]
    for leg in (*plan.route, *found):
        for value in (leg.course_deg_true, leg.course_deg_mag):
            assert value is None or 0.0 <= value <= 360.0
        assert leg.distance_nm is None or math.isfinite(leg.distance_nm)
        assert leg.path is None or not math.isnan(leg.path.length_nm)
    for approach in plan.approaches:
        assert approach.faf_to_go_nm is None or approach.faf_to_go_nm > 0
    idents_of_plan = [fix.ident for fix in plan.fixes]
    assert len(idents_of_plan) == len(set(idents_of_plan))
