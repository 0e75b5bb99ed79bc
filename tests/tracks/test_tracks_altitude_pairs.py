"""Several altitudes in one log. Air and settings by 14 CFR 43 Appendix E and by hydrostatics worked out apart.

5,000 ft of standard air, 20 °C warmer, is 353.1 ft thicker; a setting of 1000 hPa is 363.8 ft of pressure altitude.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind, Track
from tracks.altitude_logs import FEET_PER_METRE, climb, log_with, rounded

Mended = Callable[..., Track]
WARM = 353.1 / 5_000.0
QNH_1000_FT = 363.8


def said(track: Track) -> str:
    return " ".join(track.source.notes)


def kinds(track: Track) -> set[str]:
    return {kind.value for kind in track.samples.altitudes_ft}


def faults(track: Track, kind: str) -> list[str]:
    return [fault.detail for fault in track.faults if fault.kind == kind]


def noise(size_ft: float = 12.0, count: int = 1_800) -> FloatArray:
    """What a receiver's height is off: slow, as it is in the air, and different for each receiver."""
    rng = np.random.default_rng(21)
    slow: FloatArray = np.convolve(rng.normal(0.0, 1.0, count + 120), np.ones(121) / 11.0, mode="valid")
    return size_ft * slow


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Altitude indicated ft", "indicated"),
        ("Altitude pressure ft", "pressure"),
        ("Altitude GPS MSL ft", "gnss-msl"),
        ("Altitude ellipsoid ft", "gnss-ellipsoid"),
    ],
)
def test_a_plain_altitude_with_the_figures_of_another_is_that_other(heading: str, kind: str, mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": rounded(climb(), 1.0), heading: climb()}, decimals=1))

    assert kinds(track) == {kind}
    assert track.altitude.plain == kind
    assert track.altitude.is_a_copy
    assert "its figures are those of the" in said(track)


def test_what_only_the_plain_one_has_is_kept(mended: Mended) -> None:
    known = climb()
    known[:600] = np.nan

    track = mended(log_with({"Altitude ft": climb(), "Altitude pressure ft": known}))

    assert track.samples.altitudes_ft[AltitudeKind.PRESSURE] == pytest.approx(climb(), abs=0.006)


def test_a_plain_altitude_that_parts_from_gnss_height_as_the_climb_goes_on_is_by_pressure(mended: Mended) -> None:
    plain = climb()

    track = mended(
        log_with({"Altitude ft": rounded(plain, 1.0), "Altitude GPS MSL ft": plain * (1.0 + WARM) + noise()})
    )

    assert kinds(track) == {"unknown", "gnss-msl"}
    assert track.altitude.is_barometric
    assert "it comes from pressure" in track.altitude.reason


@pytest.mark.parametrize("offset_ft", [0.0, 40.0, QNH_1000_FT])
def test_two_receivers_are_not_taken_for_an_altimeter(offset_ft: float, mended: Mended) -> None:
    height = climb()

    track = mended(log_with({"Altitude ft": height + offset_ft, "Altitude GPS MSL ft": height + noise()}))

    assert not track.altitude.is_barometric
    assert kinds(track) == {"unknown", "gnss-msl"}


def test_figures_that_differ_too_much_with_height_are_no_altimeters(mended: Mended) -> None:
    # Air 70 °C off there is not.
    track = mended(log_with({"Altitude ft": climb(), "Altitude GPS MSL ft": climb() * 1.25}))

    assert not track.altitude.is_barometric


def test_figures_that_part_and_meet_again_as_the_climb_goes_on_are_no_altimeters(mended: Mended) -> None:
    space = climb() + 300.0 * np.sin(climb() / 400.0)

    track = mended(log_with({"Altitude ft": climb(), "Altitude GPS MSL ft": space}))

    assert not track.altitude.is_barometric


@pytest.mark.parametrize("metres", [-50.0, 47.0])
def test_a_plain_altitude_as_far_off_as_the_geoid_is_told_as_a_doubt(metres: float, mended: Mended) -> None:
    plain = climb() + metres * FEET_PER_METRE

    track = mended(log_with({"Altitude ft": plain, "Altitude GPS MSL ft": climb()}))

    assert kinds(track) == {"unknown", "gnss-msl"}
    assert f"({abs(metres):.0f} m) {'above' if metres > 0 else 'below'}" in track.altitude.reason
    assert "perhaps it is height above the other of the two" in track.altitude.reason


def test_a_plain_altitude_below_the_logs_pressure_altitude_is_told_by_its_setting(mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": climb(), "Altitude pressure ft": climb() + QNH_1000_FT}))

    assert kinds(track) == {"unknown", "pressure"}
    assert "as an altimeter on 1000.0 hPa would be" in track.altitude.reason


def test_steps_that_are_not_those_of_the_logs_pressure_altitude_name_nothing(mended: Mended) -> None:
    track = mended(log_with({"Altitude ft": rounded(climb(), 25.0), "Altitude pressure ft": climb() + QNH_1000_FT}))

    assert kinds(track) == {"unknown", "pressure"}
    assert "and yet it isn't the log's pressure altitude" in track.altitude.reason


def test_too_little_climbed_is_said(mended: Mended) -> None:
    level = 3_000.0 + rounded(noise(3.0), 1.0)

    track = mended(log_with({"Altitude ft": level, "Altitude GPS MSL ft": level + 40.0}))

    assert "too little was climbed" in track.altitude.reason


def test_how_named_altitudes_stand_to_each_other_is_told(mended: Mended) -> None:
    pressure = climb()

    track = mended(
        log_with(
            {
                "Altitude pressure ft": pressure,
                "Altitude indicated ft": pressure - QNH_1000_FT,
                "Altitude GPS MSL ft": (pressure - QNH_1000_FT) * (1.0 + WARM),
            }
        )
    )

    assert kinds(track) == {"pressure", "indicated", "gnss-msl"}
    assert "364 ft (111 m) above indicated altitude all through, as an altimeter on 1000.0 hPa makes it" in said(track)
    assert "indicated altitude differs by" in said(track)
    assert track.altitude.plain is None


def test_two_names_over_the_same_figures_are_told(mended: Mended) -> None:
    track = mended(log_with({"Altitude indicated ft": climb(), "Altitude GPS MSL ft": climb()}))

    assert "are the same figures: perhaps the one is a copy of the other" in said(track)
    assert kinds(track) == {"indicated", "gnss-msl"}


@pytest.mark.parametrize("heading", ["Altitude indicated ft", "Altitude pressure ft"])
def test_metres_under_a_heading_of_feet_are_a_fault(heading: str, mended: Mended) -> None:
    track = mended(log_with({heading: climb() / FEET_PER_METRE, "Altitude GPS MSL ft": climb() + 5.0}))

    assert "0.30" in faults(track, "contradicted-channel")[0]
    assert "both are kept" in faults(track, "contradicted-channel")[0]
    assert len(kinds(track)) == 2


def cruise(top_ft: float) -> FloatArray:
    return climb(top_ft, foot_ft=300.0, seconds=3_600)


@pytest.mark.parametrize("heading", ["Altitude pressure ft", "Altitude ft"])
def test_the_pressure_of_a_cabin_is_not_used(heading: str, mended: Mended) -> None:
    space = cruise(31_000.0)
    cabin = np.minimum(300.0 + (space - 300.0) * 0.2, 6_500.0)

    track = mended(log_with({heading: cabin, "Altitude GPS MSL ft": space}))

    assert kinds(track) == {"gnss-msl"}
    assert len(faults(track, "cabin-altitude")) == 1
    assert "not used" in faults(track, "cabin-altitude")[0]


def test_the_pressure_of_a_cabin_is_known_from_the_cruise_alone(mended: Mended) -> None:
    space = 31_000.0 + climb(1_000.0, foot_ft=0.0)

    track = mended(log_with({"Altitude pressure ft": 6_500.0 + noise(2.0), "Altitude GPS MSL ft": space}))

    assert kinds(track) == {"gnss-msl"}


@pytest.mark.parametrize(
    ("top_ft", "pressure_of"),
    [
        (7_500.0, lambda space: space / (1.0 + WARM) - 920.4),  # warm air and 980 hPa
        (12_000.0, lambda space: space / (1.0 + WARM) + 454.4),  # warm air and 1030 hPa
        (6_000.0, lambda space: space - 1_600.0),  # wrong in another way: it follows the climb
    ],
    ids=["warm and low pressure", "warm and high pressure", "follows the climb"],
)
def test_outside_pressure_is_no_cabins(
    top_ft: float, pressure_of: Callable[[FloatArray], FloatArray], mended: Mended
) -> None:
    space = cruise(top_ft)

    track = mended(log_with({"Altitude pressure ft": pressure_of(space), "Altitude GPS MSL ft": space}))

    assert kinds(track) == {"pressure", "gnss-msl"}
    assert faults(track, "cabin-altitude") == []


def test_a_log_without_altitude_tells_nothing_of_one(mended: Mended) -> None:
    track = mended(log_with({"IAS kt": np.full(60, 100.0)}))

    assert kinds(track) == set()
    assert track.altitude.plain is None
    assert "altitude" not in said(track)
