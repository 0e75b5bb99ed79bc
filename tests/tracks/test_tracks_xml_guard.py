"""What a stranger may send as XML: whatever it is, GPX and KML end in a clear error or a result, in bounded memory."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError, TrackFileError, TrackFormatError
from legwise.model.track import RawTrack
from legwise.tracks import ReadLimits, mend, read_raw_bytes, read_raw_track

Log = Callable[..., Path]

MEMORY_BYTES = 20_000_000
"""More than this is never held for any of the attacks below (10 MB of memory is what they have at most themselves)."""

GPX_POINTS = "".join(
    f'<trkpt lat="46.{n:03d}" lon="-28"><ele>100</ele><time>2026-04-18T13:12:{n:02d}Z</time></trkpt>\n'
    for n in range(10)
)
KML_POINTS = "".join(f"<when>2026-04-18T13:12:{n:02d}Z</when><coord>-28 46.{n:03d} 100</coord>\n" for n in range(10))
FORMATS: Mapping[str, Callable[[str], str]] = {
    "gpx": lambda more: f"<gpx><trk><trkseg>{GPX_POINTS}{more}</trkseg></trk></gpx>",
    "kml": lambda more: f"<kml><Placemark><Track>{KML_POINTS}</Track>{more}</Placemark></kml>",
}
FORMAT = pytest.mark.parametrize("wrap", FORMATS.values(), ids=FORMATS)

MANY = 30_000
LARGE = "x" * 4_000_000
REFUSED = {
    "a million levels": ("<a>" * 1_000_000, "nest deeper than 64"),
    "levels that end": ("<a>" * 65 + "</a>" * 65, "nest deeper than 64"),
    "a large attribute": (f'<a b="{LARGE}"/>', "longer than a megabyte"),
    "a large comment": (f"<!--{LARGE}-->", "longer than a megabyte"),
    "a large instruction": (f"<?a {LARGE}?>", "longer than a megabyte"),
    "a large name": (f"<{LARGE}/>", "longer than a megabyte"),
    "attributes without end": ("<a " + " ".join(f'b{n}="1"' for n in range(MANY * 5)) + "/>", "longer than a megabyte"),
    "many kinds of elements": ("".join(f"<a{n}/>" for n in range(MANY)), "more than 10,000 kinds"),
    "many kinds of attributes": ("".join(f'<a b{n}=""/>' for n in range(MANY)), "more than 10,000 kinds"),
    "many namespaces": ("".join(f'<n{n}:a xmlns:n{n}="u"/>' for n in range(MANY)), "more than 10,000 kinds"),
    "an entity that is not there": ("&a;", "undefined entity"),
    "an element twice closed": ("</a>", "mismatched tag"),
}
READ = {
    "a large text": f"<name>{LARGE}</name>",
    "text between": LARGE,
    "character data": f"<name><![CDATA[{'<' * 4_000_000}]]></name>",
    "references": f"<name>{'&#65;' * 500_000}</name>",
    "many comments": "<!---->" * 500_000,
    "many elements": "<a/>" * MANY,
    "the most levels": "<a>" * 58 + "</a>" * 58,
}
DOCTYPES = {
    "entities of entities": "".join(
        [
            '<!DOCTYPE a [<!ENTITY a0 "ha">',
            *('<!ENTITY a{} "{}">'.format(n, f"&a{n - 1};" * 10) for n in range(1, 12)),
            "]>",
        ]
    ),
    "a file": '<!DOCTYPE a [<!ENTITY a11 SYSTEM "file:///etc/hostname">]>',
    "an address": '<!DOCTYPE a [<!ENTITY a11 SYSTEM "http://example.invalid/a">]>',
    "a parameter": '<!DOCTYPE a [<!ENTITY % a11 SYSTEM "http://example.invalid/a"> %a11;]>',
    "a definition elsewhere": '<!DOCTYPE a SYSTEM "http://example.invalid/a.dtd">',
    "a public one": '<!DOCTYPE a PUBLIC "-//A//B//EN" "http://example.invalid/a.dtd">',
    "an empty one": "<!DOCTYPE a []>",
    "one that never ends": "<!DOCTYPE a [" + "<!-- -->" * 500,
}


def in_bounded_memory(content: bytes) -> RawTrack:
    tracemalloc.start()
    try:
        return read_raw_bytes(content, "log")
    finally:
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < MEMORY_BYTES


@FORMAT
@pytest.mark.parametrize("attack", REFUSED)
def test_what_is_refused_is_refused_in_words(attack: str, wrap: Callable[[str], str]) -> None:
    text, message = REFUSED[attack]
    with pytest.raises(TrackFormatError, match=message) as caught:
        in_bounded_memory(wrap(text).encode())
    assert "line 1" in caught.value.where
    assert str(caught.value).count("\n") < 5


@FORMAT
@pytest.mark.parametrize("attack", READ)
def test_what_is_large_but_harmless_costs_nothing(attack: str, wrap: Callable[[str], str]) -> None:
    raw = in_bounded_memory(wrap(READ[attack]).encode())

    assert len(raw.samples) == 10
    assert raw.faults == ()


@FORMAT
@pytest.mark.parametrize("doctype", DOCTYPES)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-le"])
def test_a_doctype_is_refused_where_it_stands(doctype: str, encoding: str, wrap: Callable[[str], str]) -> None:
    text = f'<?xml version="1.0"?>\n{DOCTYPES[doctype]}{wrap("&a11;")}'
    with pytest.raises(TrackFormatError, match="a DOCTYPE is not accepted") as caught:
        in_bounded_memory(text.encode(encoding))
    assert "line 2" in caught.value.where


KML_HEAD = f"<kml><Placemark><Track>{KML_POINTS}"
MASSES = {
    "empty tracks": f"{KML_HEAD}</Track>{'<Track/>' * MANY}</Placemark></kml>",
    "multiple tracks": f"{KML_HEAD}</Track>{'<MultiTrack/>' * MANY}</Placemark></kml>",
    "placemarks": f"<kml>{'<Placemark><name>a</name></Placemark>' * MANY}{KML_HEAD[5:]}</Track></Placemark></kml>",
    "schemas": "<kml>"
    + "".join(f'<Schema id="{n}"><SimpleArrayField name="a"/></Schema>' for n in range(MANY))
    + f"{KML_HEAD[5:]}</Track></Placemark></kml>",
    "arrays": KML_HEAD
    + "".join(f'<E><SimpleArrayData name="speed{n} kt"><value>1</value></SimpleArrayData></E>' for n in range(20_000))
    + "</Track></Placemark></kml>",
    "route points": f"<gpx><rte>{'<rtept/>' * MANY}</rte>{FORMATS['gpx']('')[5:]}",
    "routes": f"<gpx>{'<rte/>' * MANY}{FORMATS['gpx']('')[5:]}",
    "waypoints": f"<gpx>{'<wpt/>' * MANY}{FORMATS['gpx']('')[5:]}",
    "segments": f"<gpx><trk>{'<trkseg/>' * MANY}</trk>{FORMATS['gpx']('')[5:]}",
    "tracks": f"<gpx>{'<trk><name>a</name></trk>' * MANY}{FORMATS['gpx']('')[5:]}",
    "units": FORMATS["gpx"]("").replace(
        "</trkpt>", "".join(f'<speed unit="u{n}">1</speed>' for n in range(20_000)) + "</trkpt>", 1
    ),
    "values in one point": FORMATS["gpx"]("").replace("</trkpt>", "<speed>1</speed>" * MANY + "</trkpt>", 1),
}


@pytest.mark.parametrize("mass", MASSES)
def test_a_mass_of_what_is_small_is_read_in_bounded_memory(mass: str) -> None:
    raw = in_bounded_memory(MASSES[mass].encode())

    assert len(raw.samples) == 10
    assert len(mend(raw)) == 10
    assert sum(len(note) for note in raw.source.notes) < 3000


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (FORMATS["gpx"](""), "more than 9 points"),
        (FORMATS["kml"](""), "more than 9 (times|positions)"),
        ("<kml><Placemark><Track>" + "<when/>" * 10, "more than 9 times"),
        ("<kml><Placemark><Track>" + "<coord/>" * 10, "more than 9 positions"),
        ("<kml><Placemark><Track>" + "<angles/>" * 10, "more than 9 angles"),
        (
            "<kml>" + "<Placemark><TimeStamp><when/></TimeStamp><Point><coordinates/></Point></Placemark>" * 10,
            "more than 9 points",
        ),
    ],
)
def test_more_rows_than_the_limit_are_refused(text: str, message: str, log: Log) -> None:
    with pytest.raises(TrackFileError, match=message) as caught:
        read_raw_track(log(text), limits=ReadLimits(max_rows=9))
    assert "line" in caught.value.where


@FORMAT
def test_the_depth_is_a_setting(wrap: Callable[[str], str]) -> None:
    with pytest.raises(TrackFormatError, match="nest deeper than 3"):
        read_raw_bytes(wrap("").encode(), "log", limits=ReadLimits(max_depth=3))


SCRAPS = st.sampled_from(
    [
        "<gpx>", "</gpx>", "<trk>", "</trk>", "<trkseg>", "</trkseg>", '<trkpt lat="46" lon="-28">', "</trkpt>",
        "<trkpt/>", '<rtept lat="a"/>', "<time>2026-04-18T13:12:40Z</time>", "<time>", "</time>", "<ele>1</ele>",
        "<kml>", "</kml>", "<Placemark>", "</Placemark>", "<Track>", "</Track>", "<MultiTrack>", "</MultiTrack>",
        "<when>2026-04-18T13:12:41Z</when>", "<when/>", "<when>2026</when>", "<coord>-28 46 1</coord>", "<coord/>",
        "<gx:coord>a b</gx:coord>", "<angles>1 2 3</angles>", "<angles/>", "<altitudeMode>absolute</altitudeMode>",
        "<SimpleArrayData name='speed kt'>", "</SimpleArrayData>", "<value>5</value>", "<value/>", "<Point>",
        "</Point>", "<coordinates>-28,46</coordinates>", "<TimeStamp>", "</TimeStamp>", "<LineString/>",
        "<NetworkLink/>",
        "<!--", "-->", "<![CDATA[", "]]>", "<?", "?>", "&a;", "&#0;", "&#65;", "<!DOCTYPE a>", "\0", "é", "x", "<", ">",
        "'", '"', " ", "\n", "<Schema id='a'>", "</Schema>", "<SimpleArrayField name='a'>",
        "<displayName>kt</displayName>",
    ]
)  # fmt: skip


@settings(deadline=None, derandomize=True, max_examples=500)
@given(
    root=st.sampled_from(["<gpx>", "<kml>", ""]),
    scraps=st.lists(SCRAPS, max_size=40),
    encoding=st.sampled_from(["utf-8", "cp1252", "utf-16"]),
)
def test_any_scraps_give_a_track_or_words(root: str, scraps: list[str], encoding: str) -> None:
    mended_or_told((root + "".join(scraps)).encode(encoding))


def mended_or_told(content: bytes) -> None:
    try:
        track = mend(read_raw_bytes(content, "log", limits=ReadLimits(max_rows=100)))
    except LegwiseError as error:
        words = str(error)
    else:
        assert len(track) >= 2
        return
    assert words.count("\n") < 8
    assert words.replace("\n", "").isprintable()


RECORDINGS = tuple(
    (Path(__file__).parents[1] / "data" / "tracks" / name).read_bytes()
    for name in ("kml_all_gx_elements.kml", "kml_gx_multitrack.kml", "kml_gx_track.kml", "gpx10_all_fields.gpx")
)


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.data())
def test_any_damage_to_a_recording_gives_a_track_or_words(data: st.DataObject) -> None:
    content = bytearray(data.draw(st.sampled_from(RECORDINGS)))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content)))
        until = at + data.draw(st.sampled_from([0, 1, 1, 30, 3000]))
        content[at:until] = data.draw(st.binary(max_size=2) | SCRAPS.map(str.encode))
    mended_or_told(bytes(content))


TREES = st.recursive(
    st.sampled_from(["", "1", "46", "2026-04-18T13:12:40Z", "-28 46 1", "-28,46", "absolute", "#a"]),
    lambda inner: st.tuples(
        st.sampled_from(
            [
                "trk", "trkseg", "trkpt", "ele", "time", "speed", "rte", "rtept", "wpt", "name", "extensions",
                "Document", "Folder", "Placemark", "Track", "MultiTrack", "when", "coord", "angles", "altitudeMode",
                "Point", "value", "coordinates", "TimeStamp", "TimeSpan", "begin", "ExtendedData", "SchemaData",
                "SimpleArrayData", "Schema", "SimpleArrayField", "displayName", "Camera", "LineString", "NetworkLink",
                "gpx", "kml",
            ]
        ),
        st.lists(inner, max_size=5),
    ).map(lambda item: f'<{item[0]} lat="46" lon="-28" name="speed kt" id="a">{"".join(item[1])}</{item[0]}>'),
    max_leaves=40,
)  # fmt: skip


@settings(deadline=None, derandomize=True, max_examples=200)
@given(root=st.sampled_from(["gpx", "kml"]), trees=st.lists(TREES, min_size=1, max_size=4))
def test_any_tree_of_known_elements_gives_a_track_or_words(root: str, trees: list[str]) -> None:
    mended_or_told(f"<{root}>{''.join(trees)}</{root}>".encode())
