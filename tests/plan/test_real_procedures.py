"""Every procedure of the real records: which resolve, why the others do not, and coded values against computed ones.

The records are excerpts (tests/data/arinc424/NOTICE.md): of the procedures named below the final part was cut,
and many procedures name a fix that the excerpts leave out. `tests/benchmarks/real_procedures.py FOLDER` prints it all.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import get_args

import pytest

from legwise.model.lesson import PathTerminator
from plan.procedure_tally import Compared, largest_gap_nm, tally
from plan.real_data import FOLDER, whole_tally

RESOLVED, FAILED = 545, 560
VALUES = {
    "station distance": 246,
    "bearing": 246,
    "distance": 200,
    "course": 193,
    "first course": 23,
    "course back": 13,
    "radial": 3,
    "last radial": 3,
}
"""Coded values that can be compared, all within 1 degree and 0.2 NM.

station distance, bearing: rho and theta of a leg's fix from its recommended station, by the variation of record.
distance, course: of TF, CF, RF legs; of a CF the course between its fixes; of an RF the one it ends on. first course:
theta of an RF. course back: the final course against a PI's 45 degree leg. radial: of an AF's fixes.
"""

A_DIGIT_OFF = {
    # Both arcs meet at LIVYY on 304.4 by their positions, tangent to each other and to the leg before; both records
    # code 305.4. A slip of one degree at the source.
    "KCHS H33-Z fix SNOBB 030 RF LIVYY course",
    "KCHS H33-Z fix SNOBB 040 RF DELLL first course",
}
ROUNDING_DEG, ROUNDING_NM = 0.6, 0.15
"""All others lie within these: courses of short legs are of positions to 0.01 second and printed to 0.1 degree, and a
conventional final's one printed course stands for several legs that bend by some tenths."""

CUT_FINALS = {
    "K52 VOR-A", "KALW R02", "KBBW D32", "KBBW S14", "KBJC I30R", "KBJC L30R", "KDNL N11", "KIYA VDM-B", "KJAX H32-Y",
    "KOMA H14LZ", "KOMA H14RZ", "KRNO H34LZ", "KRNO H34RZ", "KROA VDM-A", "KSCH I04", "KSCH L04", "KSLH S10",
    "KTIF S11", "KTIF S29", "KTOA I29R", "KTOA L29R", "KXWA S14", "PAKW Q02", "PAKW R02-Y", "PAPB I11", "PAPB L11",
}  # fmt: skip
"""Of these the excerpts hold a transition or a missed approach alone."""

_MISSING = re.compile(
    r"the navigation data names the [a-zA-Z]+ (?P<ident>\S+) of (?P<region>region )?(?P<of>\S+), and does not hold it"
)


def test_every_procedure_resolves_or_says_why_not() -> None:
    result = whole_tally()

    assert (len(result.resolved), len(result.failed)) == (RESOLVED, FAILED)
    for name, reason in result.failed.items():
        assert _MISSING.fullmatch(reason) or reason.endswith("has no final part in the navigation data"), name
    cut = {name.split(" via ")[0] for name, reason in result.failed.items() if "no final part" in reason}
    assert cut == CUT_FINALS


def test_what_is_said_to_be_missing_is_missing() -> None:
    """Looked for in the bytes of the records, without the reader: ident, region or aerodrome in their columns."""
    other_cycles = {"KHWD", "KBTV", "KSBA", "KROA", "KDDC", "KDLS", "KDVT", "KLNK", "KPMD"}
    en_route = {(line[13:18].strip(), line[19:21]) for line in _of_2101() if line[4:6] in ("D ", "DB", "EA")}
    terminal = {
        (line[13:18].strip(), line[6:10].strip()) for line in _of_2101() if line[4] == "P" and line[12] in "CNGI"
    }
    checked = 0
    for name, reason in whole_tally().failed.items():
        missing = _MISSING.fullmatch(reason)
        airport = name.split()[0]
        if missing is None or airport in other_cycles:
            continue
        checked += 1
        assert (missing["ident"], missing["of"]) not in (en_route if missing["region"] else terminal), name
    assert checked > 400


def _of_2101() -> list[str]:
    found = [file.read_text("ascii").splitlines() for file in FOLDER.glob("faacifp18_2101_*.txt")]
    return [line for lines in found for line in lines if line.startswith("S") and len(line) >= 132]


def test_coded_and_computed_agree_within_a_degree_and_a_fifth_of_a_mile() -> None:
    result = whole_tally()

    assert Counter(item.what for item in result.compared) == VALUES
    assert result.differing() == []


def test_what_is_beyond_rounding_has_its_reason() -> None:
    def beyond(item: Compared) -> bool:
        return abs(item.off) > (ROUNDING_NM if item.what.endswith("distance") else ROUNDING_DEG)

    assert {f"{item.leg} {item.what}" for item in whole_tally().compared if beyond(item)} == A_DIGIT_OFF


def test_paths_end_at_their_fixes() -> None:
    """RF ends lie on their circles within 0.5 m, as positions printed to 0.01 second must."""
    gaps = {name: largest_gap_nm(legs) * 1852.0 for name, legs in whole_tally().legs.items()}

    assert max(gaps.values()) < 0.5
    assert len(gaps) > 200


@pytest.mark.parametrize("kind", ["IF", "TF", "CF", "DF", "RF", "AF", "CA", "CD", "CI", "FA", "FC", "FM", "VA", "VI",
                                  "VM", "PI", "HF", "HM"])  # fmt: skip
def test_legs_of_the_kinds_that_real_records_hold_are_made(kind: str) -> None:
    """CR, VD and VR legs stand in the records too, each beside a fix that they leave out; HA and FD in none."""
    assert any(leg.kind == kind for legs in whole_tally().legs.values() for leg in legs)


def test_approaches_have_finals_that_lead_to_their_runways() -> None:
    """Figures as published approaches have them: glidepaths to 4.2 degrees (KHTO R10-X), heights of 30 to 60 ft."""
    tested = 0
    for name, approach in whole_tally().approaches.items():
        if approach.runway is None or approach.final_path is None or approach.faf_to_go_nm is None:
            continue
        tested += 1
        assert 1.0 < approach.faf_to_go_nm < 15.0, name
        assert approach.glidepath_deg is None or 2.5 <= approach.glidepath_deg <= 4.2, name
        assert 15.0 <= approach.threshold_crossing_height_ft <= 80.0, name
        assert 200.0 <= approach.half_width_at_threshold_ft <= 500.0, name
    assert tested > 150


def test_every_procedure_of_the_sample_islands_resolves_with_every_terminator_of_the_trade() -> None:
    """The invented file that ships, made by a builder that shares no code with the package. Not for navigation."""
    result = tally([FOLDER.parents[2] / "sample_tracks" / "tarn_islands.dat"])

    assert result.failed == {}
    assert {leg.kind for legs in result.legs.values() for leg in legs} == set(get_args(PathTerminator))
    assert result.differing() == []
    assert len(result.compared) > 70
