"""Arrays beside a KML track: read where they say quantity and unit, told where not, never against the wrong rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.units import FPM_PER_MPS, FT_PER_M, KT_PER_KMH, KT_PER_MPS

Read = Callable[..., RawTrack]

ROWS = "".join(f"<when>2026-04-18T13:12:{n:02d}Z</when><coord>-28 46.{n:03d} 100</coord>" for n in range(3))


def an_array(name: str, values: Sequence[object] = (1, 2, 3)) -> str:
    inner = "".join(f"<gx:value>{value}</gx:value>" for value in values)
    return f'<gx:SimpleArrayData name="{name}">{inner}</gx:SimpleArrayData>\n'


def kml(arrays: str, displays: dict[str, str] | None = None, rows: str = ROWS) -> str:
    fields = "".join(
        f'<gx:SimpleArrayField name="{name}" type="float"><displayName>{display}</displayName></gx:SimpleArrayField>'
        for name, display in (displays or {}).items()
    )
    data = f'<ExtendedData><SchemaData schemaUrl="#s">{arrays}</SchemaData></ExtendedData>'
    track = f"<Placemark><gx:Track>{rows}{data}</gx:Track></Placemark>"
    return f'<kml xmlns:gx="urn:gx"><Document><Schema id="s">{fields}</Schema>\n{track}</Document></kml>'


def faults(raw: RawTrack) -> dict[str, int]:
    return {fault.kind: fault.count for fault in raw.faults}


@pytest.mark.parametrize(
    ("name", "display", "channel", "factor"),
    [
        ("speed", "Speed (m/s)", Channel.GROUNDSPEED_KT, KT_PER_MPS),
        ("speed", "Speed (km/h)", Channel.GROUNDSPEED_KT, KT_PER_KMH),
        ("speed_kt", "", Channel.GROUNDSPEED_KT, 1.0),
        ("speed_kt", "Speed", Channel.GROUNDSPEED_KT, 1.0),
        ("a1", "Ground speed [kt]", Channel.GROUNDSPEED_KT, 1.0),
        ("ias", "Indicated airspeed (kt)", Channel.IAS_KT, 1.0),
        ("course", "", Channel.TRACK_DEG_TRUE, 1.0),
        ("h", "Heading magnetic (deg)", Channel.HEADING_DEG_MAG, 1.0),
        ("vs", "Vertical speed (m/s)", Channel.VERTICAL_SPEED_FPM, FPM_PER_MPS),
        ("hdop", "", Channel.HDOP, 1.0),
        ("acc", "Horizontal accuracy (m)", Channel.HORIZONTAL_ACCURACY_M, 1.0),
    ],
)
def test_an_array_that_says_quantity_and_unit_is_read(
    name: str, display: str, channel: Channel, factor: float, read: Read
) -> None:
    raw = read(kml(an_array(name, (1, "", 3.5)), {name: display} if display else {}))

    expected = pytest.approx([factor, np.nan, 3.5 * factor], nan_ok=True)
    assert raw.samples.channels[channel].tolist() == expected
    assert set(raw.samples.channels) == {channel}
    assert faults(raw) == {}
    assert any("the array" in note for note in raw.source.notes)


@pytest.mark.parametrize(
    ("name", "display", "why"),
    [
        ("speed", "", "“speed” states no unit"),
        ("speed", "Speed", "“Speed” states no unit|“speed” states no unit"),
        ("ias", "Airspeed", "states no unit"),
        ("altitude", "Pressure altitude", "states no unit"),
        ("speed", "Ground speed (furlongs)", "states the unit “furlongs”, which is not known"),
        ("speed_kt", "Speed (km/h)", "don't say the same"),
        ("ias_kt", "True airspeed (kt)", "don't say the same"),
    ],
)
def test_an_array_that_does_not_is_told(name: str, display: str, why: str, read: Read) -> None:
    raw = read(kml(an_array(name), {name: display} if display else {}))

    assert not raw.samples.channels
    (fault,) = raw.faults
    assert (fault.kind, fault.count) == ("ignored-column", 1)
    assert any(part in fault.detail for part in why.split("|"))


def test_arrays_of_other_things_are_named(read: Read) -> None:
    names = ("heart_rate", "cadence", "power", "note")
    raw = read(kml("".join(an_array(name) for name in names), {"heart_rate": "Heart rate (bpm)"}))

    assert faults(raw) == {}
    assert not raw.samples.channels
    assert "arrays of other things are not read: “Heart rate (bpm)”, “cadence”, “power”, “note”" in raw.source.notes


@pytest.mark.parametrize("count", [0, 2, 4])
def test_an_array_of_another_length_is_told_and_not_read(count: int, read: Read) -> None:
    raw = read(kml(an_array("speed_kt", range(count)) + an_array("ias_kt")))

    assert set(raw.samples.channels) == {Channel.IAS_KT}
    (fault,) = raw.faults
    assert fault.kind == "ignored-column"
    assert f"“speed_kt” has {count} values for 3 positions" in fault.detail


def test_values_that_are_no_numbers_are_missing_and_counted(read: Read) -> None:
    raw = read(kml(an_array("speed_kt", ("fast", "nan", "3"))))

    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([np.nan, np.nan, 3.0], nan_ok=True)
    (fault,) = raw.faults
    assert (fault.kind, fault.count) == ("unreadable-value", 1)
    assert "line 2" in fault.detail


@pytest.mark.parametrize("names", [("speed_kt", "ground_speed_kt"), ("ground_speed_kt", "speed_kt")])
def test_of_two_arrays_for_one_thing_the_plainer_is_taken(names: tuple[str, str], read: Read) -> None:
    values = {"speed_kt": (9, 9, 9), "ground_speed_kt": (1, 2, 3)}
    raw = read(kml("".join(an_array(name, values[name]) for name in names)))

    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == [1.0, 2.0, 3.0]
    (fault,) = raw.faults
    assert "“speed_kt” holds what another array of the track holds" in fault.detail


def test_an_altitude_in_an_array_stands_beside_that_of_the_positions(read: Read) -> None:
    raw = read(kml(an_array("p", (10, 20, 30)), {"p": "Pressure altitude (m)"}))

    expected = pytest.approx(np.array([10, 20, 30]) * FT_PER_M)
    assert raw.samples.altitudes_ft[AltitudeKind.PRESSURE] == expected
    assert raw.samples.altitudes_ft[AltitudeKind.UNKNOWN] == pytest.approx(100 * FT_PER_M)


def test_arrays_belong_to_their_own_track(read: Read) -> None:
    one = kml(an_array("speed_kt"))
    track = one[one.index("<Placemark>") : one.index("</Document>")]
    bare = f"<Placemark><Track>{ROWS}</Track></Placemark>"
    raw = read(one.replace("</Document>", f"{bare}{track}</Document>"))

    nothing = [np.nan] * 3
    expected = pytest.approx([1.0, 2.0, 3.0, *nothing, 1.0, 2.0, 3.0], nan_ok=True)
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == expected


def test_an_array_outside_a_track_is_told(read: Read) -> None:
    text = kml("").replace("<gx:Track>", f"<ExtendedData>{an_array('speed_kt')}</ExtendedData><gx:Track>")
    raw = read(text)

    assert not raw.samples.channels
    (fault,) = raw.faults
    assert fault.detail == "the array “speed_kt” stands outside a track; it is not read"


def test_a_schema_of_another_name_says_nothing(read: Read) -> None:
    raw = read(kml(an_array("speed"), {"speed": "Speed (kt)"}).replace('"#s"', '"#other" id="s"'))

    assert not raw.samples.channels
    assert faults(raw) == {"ignored-column": 1}
