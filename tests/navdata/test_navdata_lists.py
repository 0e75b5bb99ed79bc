"""Plain lists of fixes, and lists and coded data as one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from legwise.errors import NavDataError
from legwise.model.navdata import FixKey, NavData, ProcedureKind, Section
from legwise.navdata import combined, open_navdata, read_fix_list
from navdata.coded_lines import excerpt, waypoint, written


def listed(folder: Path, text: str, *, name: str = "fixes.csv") -> NavData:
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    return read_fix_list(path)


def test_columns_in_any_order_and_every_kind(tmp_path: Path) -> None:
    data = listed(
        tmp_path,
        "Kind,LON_DEG,ident,lat_deg\n"
        "waypoint,-28.004100,BRAKO,46.512300\n"
        "VOR, -28.1 ,TRN,46.4\nndb,-28,TB,46\ndme,-28,ITBN,46\nairport,-28,XTBN,46\nrunway,-28,RW27,46\n",
    )
    (fix,) = data.fixes("BRAKO")

    assert (fix.kind, fix.lat_deg, fix.lon_deg, fix.line) == ("waypoint", 46.5123, -28.0041, 2)
    assert fix.key == FixKey(ident="BRAKO", region="", section=Section.LIST)
    assert data.fix(fix.key) == fix
    assert [data.fixes(ident)[0].kind for ident in ("TRN", "TB", "ITBN", "XTBN")] == ["vor", "ndb", "dme", "airport"]
    assert data.fixes("RW27") == ()
    airport = data.airport("XTBN")
    assert airport is not None
    assert airport.fix.ident == "XTBN"
    assert (data.summary.counts, data.summary.notes, data.summary.cycle) == ({"L ": 6}, (), "")


def test_one_ident_at_two_places_is_two_candidates_and_a_repeated_line_none(tmp_path: Path) -> None:
    data = listed(
        tmp_path, "ident,lat_deg,lon_deg,kind\nTB,46,-28,ndb\nTB,10,20,ndb\nTB,46.0,-28.00,ndb\nTB,46,-28,vor\n"
    )

    assert [(fix.lat_deg, fix.kind) for fix in data.fixes("TB")] == [(46.0, "ndb"), (10.0, "ndb"), (46.0, "vor")]


def test_what_is_not_read_or_taken_for_granted_is_said(tmp_path: Path) -> None:
    data = listed(tmp_path, "ident,lat_deg,lon_deg,elevation_ft,remark\r\nBRAKO,46,-28,12,hello\r\n")
    blank = listed(tmp_path, "ident,lat_deg,lon_deg,kind\nBRAKO,46,-28,\nSKALI,46,-27,\n\n,,,\n")

    assert data.fixes("BRAKO")[0].kind == "waypoint"
    assert data.summary.notes == (
        "columns of the list that are not read: “elevation_ft”, “remark”",
        "the list has no column kind: every fix is taken for a waypoint",
    )
    assert blank.summary.notes == ("fixes without a kind, taken for waypoints: 2",)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("BRAKO,46.5,-28,waypoint\n", 1, "the header “BRAKO,46.5,-28,waypoint” has no column ident"),
        ("", 1, "has no column ident and no column lat_deg and no column lon_deg"),
        ("ident,lat_deg,kind\nBRAKO,46,waypoint\n", 1, "has no column lon_deg"),
        ("ident;lat_deg;lon_deg\n", 1, "has no column ident"),
        ("ident,lat_deg,lon_deg,lat_deg\n", 1, "has the column lat_deg twice"),
        ("ident,lat_deg,lon_deg\nBRAKO,91,0\n", 2, "lat_deg “91” is no number from -90 to 90"),
        ("ident,lat_deg,lon_deg\nBRAKO,46,0\nX,46,-180.1\n", 3, "lon_deg “-180.1” is no number from -180 to 180"),
        ("ident,lat_deg,lon_deg\nBRAKO,nan,0\n", 2, "lat_deg “nan”"),
        ("ident,lat_deg,lon_deg\nBRAKO,inf,0\n", 2, "lat_deg “inf”"),
        ("ident,lat_deg,lon_deg\nBRAKO,4_6,0\n", 2, "lat_deg “4_6”"),
        ("ident,lat_deg,lon_deg\nBRAKO,,0\n", 2, "lat_deg “”"),
        ("ident,lat_deg,lon_deg\nBRAKO,٤٦,0\n", 2, "lat_deg “٤٦”"),
        ('ident,lat_deg,lon_deg\nBRAKO,"46,5",0\n', 2, "lat_deg “46,5”"),
        ("ident,lat_deg,lon_deg\nBRAKO,46\n", 2, "has 2 cells, fewer than the header"),
        ("ident,lat_deg,lon_deg\n  ,46,0\n", 2, "“” is no ident"),
        ("ident,lat_deg,lon_deg\nBRA\x07KO,46,0\n", 2, "“BRA·KO” is no ident"),
        (f"ident,lat_deg,lon_deg\n{'B' * 61},46,0\n", 2, "is no ident"),
        ("ident,lat_deg,lon_deg,kind\nBRAKO,46,0,fan marker\n", 2, "“fan marker” is no kind of fix"),
        ('ident,lat_deg,lon_deg\n"BRAKO"x,46,0\n', 2, "the line is no CSV"),
        ('ident,lat_deg,lon_deg\n"BRAKO,46,0\n', 2, "the line is no CSV"),
        (f"ident,lat_deg,lon_deg\n{'B' * 140_000},46,0\n", 2, "the line is no CSV"),
        ('ident,lat_deg,lon_deg\nA,1,0\n"A\nB",1,0\nC,1,0\n', 3, "“A·B” is no ident"),
        ('ident,lat_deg,lon_deg\r\n"x\r\ny",1,0\r\n', 2, "“x··y” is no ident"),
        *(
            (f"ident,lat_deg,lon_deg\nA{c}B,1,0\n", 2, "“A·B” is no ident")
            for c in "\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"
        ),
        *(
            (f"ident,lat_deg,lon_deg\nAB{c},1,0\n", 2, "“AB·” is no ident")
            for c in "\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"
        ),
        ('ident,lat_deg,lon_deg,remark\nA,1,0,"one\ntwo"\n\nB,1,x,\n', 5, "lon_deg “x”"),
        ('ident,lat_deg,lon_deg\nA,1,0\n"B,1,0\nC,1,0\n', 3, "the line is no CSV"),
    ],
)
def test_a_list_that_is_none_is_refused_with_its_line(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(NavDataError) as caught:
        listed(tmp_path, text)

    assert words in caught.value.message
    assert caught.value.where.endswith(f"fixes.csv, line {line}")
    assert caught.value.remedy


def test_a_list_of_nothing_and_one_in_another_encoding(tmp_path: Path) -> None:
    with pytest.raises(NavDataError, match="the list holds no fix"):
        listed(tmp_path, "ident,lat_deg,lon_deg\n")
    path = tmp_path / "old.csv"
    path.write_bytes(b"ident,lat_deg,lon_deg\nBR\xc5KO,46,-28\n")
    with pytest.raises(NavDataError, match=r"line 2: the list is not UTF-8"):
        read_fix_list(path)
    with pytest.raises(NavDataError, match="there is no such file"):
        read_fix_list(tmp_path / "nowhere.csv")


def test_the_rows_are_those_of_the_csv(tmp_path: Path) -> None:
    """RFC 4180: a quoted line end belongs to its cell; no other control character ends a line."""
    data = listed(
        tmp_path, 'ident,lat_deg,lon_deg,remark\r\nA,1,0,"one\r\ntwo"\r\nB,2,0,x\x0by\u2028z\r\n"C ",3,0,\r\n'
    )

    assert [data.fixes(ident)[0].line for ident in "ABC"] == [2, 4, 5]


@pytest.mark.parametrize("how", ["utf-16", "folder", "pipe", "device", "zip", "damaged"])
def test_a_file_that_is_no_list_is_told_what_a_list_is(tmp_path: Path, how: str) -> None:
    path = tmp_path / "fixes.csv"
    if how == "utf-16":
        path.write_bytes("ident,lat_deg,lon_deg\nA,1,0\n".encode("utf-16"))
    elif how == "folder":
        path.mkdir()
    elif how == "pipe":
        os.mkfifo(path)
    elif how == "device":
        path.symlink_to("/dev/zero")
    else:
        path.write_bytes(b"PK\x03\x04" if how == "zip" else b"\x1f\x8b")
    with pytest.raises(NavDataError) as caught:
        read_fix_list(path)

    assert "ARINC" not in str(caught.value)
    assert "record" not in str(caught.value)
    if how in ("utf-16", "folder", "pipe", "device"):
        assert "CSV" in caught.value.remedy
        assert "Save it as UTF-8" in caught.value.remedy


def test_lists_are_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("legwise.navdata.fix_list.MOST_FIXES", 2)
    with pytest.raises(NavDataError, match="more than 2 fixes"):
        listed(tmp_path, "ident,lat_deg,lon_deg\nA,1,1\nB,1,1\nC,1,1\n")
    monkeypatch.setattr("legwise.navdata.fix_list.MOST_BYTES", 10)
    with pytest.raises(NavDataError, match="larger than"):
        listed(tmp_path, "ident,lat_deg,lon_deg\nA,1,1\n")


def test_a_list_knows_nothing_else(tmp_path: Path) -> None:
    data = listed(tmp_path, "ident,lat_deg,lon_deg,kind\nXTBN,46,-28,airport\nBRAKO,46,-28,waypoint\n")

    assert data.fixes("SKALI") == ()
    assert data.fix(FixKey(ident="BRAKO", region="XT", section=Section.WAYPOINT)) is None
    assert (data.airport("BRAKO"), data.runway("XTBN", "RW27"), data.localizer("XTBN", "ITBN")) == (None, None, None)
    assert (data.runways("XTBN"), data.airways("Y1"), data.procedures("XTBN", ProcedureKind.APPROACH)) == ((), (), ())
    assert data.path_point("XTBN", "R27") is None
    assert data.procedure("XTBN", "R27", ProcedureKind.APPROACH) is None
    assert data.nearest_idents("BRAKA", "fix") == ("BRAKO",)
    assert data.nearest_idents("XTBM", "airport") == ("XTBN",)
    assert data.nearest_idents("Y1", "airway") == ()


def test_coded_data_and_a_list_as_one(tmp_path: Path) -> None:
    coded = open_navdata(excerpt("KBTV"))
    plain = listed(tmp_path, "ident,lat_deg,lon_deg,kind,remark\nCESAL,10,20,waypoint,x\nBRAKO,46,-28,waypoint,x\n")
    both = combined(coded, plain)

    assert [fix.lat_deg for fix in both.fixes("CESAL")] == [coded.fixes("CESAL")[0].lat_deg, 10.0]
    assert both.fixes("BRAKO") == plain.fixes("BRAKO")
    for ident in ("CESAL", "BRAKO", "BTV"):
        for data in (coded, plain):
            for fix in data.fixes(ident):
                assert both.fix(fix.key) == fix
    assert both.airport("KBTV") == coded.airport("KBTV")
    assert both.runways("KBTV") == coded.runways("KBTV")
    assert both.runway("KBTV", "RW33") == coded.runway("KBTV", "RW33")
    assert both.localizer("KBTV", "IBTV") == coded.localizer("KBTV", "IBTV")
    assert both.path_point("KBTV", "R33-Z") == coded.path_point("KBTV", "R33-Z")
    assert both.procedures("KBTV", ProcedureKind.APPROACH) == coded.procedures("KBTV", ProcedureKind.APPROACH)
    assert both.procedure("KBTV", "I33", ProcedureKind.APPROACH) == coded.procedure(
        "KBTV", "I33", ProcedureKind.APPROACH
    )
    assert both.nearest_idents("BRAKA", "fix") == ("BRAKO",)
    assert both.nearest_idents("CESAK", "fix")[0] == "CESAL"
    assert both.airways("Y1") == ()


def test_the_summary_of_both_names_the_file_of_each(tmp_path: Path) -> None:
    plain = listed(tmp_path, "ident,lat_deg,lon_deg,kind,remark\nBRAKO,46,-28,waypoint,x\n")
    broken = open_navdata(written(tmp_path, [waypoint(), "rubbish"]))
    summary = combined(plain, broken, open_navdata(excerpt("KBTV"))).summary

    assert summary.file == "fixes.csv and tarn.dat and faacifp18_2609_KBTV.txt"
    assert (summary.cycle, summary.problem_count) == ("2609", 1)
    assert summary.problems[0].line == 2
    assert summary.problems[0].message.startswith("tarn.dat: line not used")
    assert summary.notes[0] == "fixes.csv: columns of the list that are not read: “remark”"
    assert summary.counts["L "] == 1
    assert summary.counts["PC"] == 29


def test_one_alone_is_itself(tmp_path: Path) -> None:
    plain = listed(tmp_path, "ident,lat_deg,lon_deg\nBRAKO,46,-28\n")

    assert combined(plain) is plain
