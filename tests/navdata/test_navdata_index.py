"""The index of a large file: the same answers, whatever happens to it or to the file."""

from __future__ import annotations

import os
import pathlib
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from legwise.model.navdata import NavData, ProcedureKind
from legwise.navdata import open_navdata
from navdata.coded_lines import EVERY_EXCERPT, EXCERPTS, excerpt, leg, waypoint, written

PROCESS = """
import pathlib, sys
from legwise.navdata import open_navdata
data = open_navdata(sys.argv[1], cache=pathlib.Path(sys.argv[2]), indexed_from_bytes=0)
print(len(data.fixes("CESAL")), data.summary.problem_count, *data.summary.notes[1:])
"""


def indexed(path: Path, cache: Path) -> NavData:
    return open_navdata(path, cache=cache, indexed_from_bytes=0)


def indexes(cache: Path) -> list[Path]:
    return sorted(cache.glob("*.navindex"))


def answers(data: NavData, path: Path) -> list[object]:
    """Everything that the file can be asked, by what stands in its columns."""
    lines = [line.ljust(132) for line in path.read_text(encoding="latin-1").splitlines()]
    idents = {line[13:18].strip() for line in lines} | {line[13:17].strip() for line in lines}
    airports = {line[6:10].strip() for line in lines}
    found: list[object] = [data.summary]
    for ident in sorted(idents):
        fixes = data.fixes(ident)
        found += [fixes, data.airways(ident), [data.fix(fix.key) for fix in fixes]]
    for airport in sorted(airports):
        found += [
            data.airport(airport),
            data.runways(airport),
            [data.runway(airport, end.fix.ident) for end in data.runways(airport)],
        ]
        found += [data.localizer(airport, ident) for ident in sorted(idents) if ident.startswith("I")]
        for kind in ProcedureKind:
            for ident in data.procedures(airport, kind):
                found += [ident, data.procedure(airport, ident, kind), data.path_point(airport, ident)]
    for near in ("CESAX", "V22", "KJFX"):
        found += [
            data.nearest_idents(near, "fix"),
            data.nearest_idents(near, "airway"),
            data.nearest_idents(near, "airport"),
        ]
    return found


@pytest.mark.parametrize("name", EVERY_EXCERPT)
def test_answers_of_the_index_equal_those_of_the_file(tmp_path: Path, name: str) -> None:
    path = EXCERPTS / name
    direct = answers(open_navdata(path), path)
    built = answers(indexed(path, tmp_path), path)
    (index,) = indexes(tmp_path)
    read_back = answers(indexed(path, tmp_path), path)

    assert len(direct) > 3
    assert built == direct
    assert read_back == direct
    assert indexes(tmp_path) == [index]


def test_small_files_leave_no_index(tmp_path: Path) -> None:
    open_navdata(excerpt("KBTV"), cache=tmp_path / "cache")

    assert not (tmp_path / "cache").exists()


def test_a_second_opening_reads_the_index_and_not_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    indexed(excerpt("KBTV"), tmp_path)

    def fail(*_args: object) -> None:
        pytest.fail("the file was read again")

    monkeypatch.setattr("legwise.navdata.opening.filed", fail)

    assert len(indexed(excerpt("KBTV"), tmp_path).fixes("CESAL")) == 1


@pytest.mark.parametrize("indexed_from", [0, 10**9])
def test_procedures_are_listed_without_being_read_and_only_those_that_can_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, indexed_from: int
) -> None:
    lines = [waypoint(), leg(), leg({14: "R09   "}), leg({14: "I27   "}, path="ZZ"), waypoint("SKALI", lat="X")]
    path = written(tmp_path, lines)
    for _ in range(2):
        data = open_navdata(path, cache=tmp_path / "cache", indexed_from_bytes=indexed_from)
        with monkeypatch.context() as patched:
            patched.setattr("legwise.navdata.coded.procedure_of", lambda *_: pytest.fail("a procedure was read"))
            assert data.procedures("XTBN", ProcedureKind.APPROACH) == ("R09", "R27")
        assert data.procedure("XTBN", "I27", ProcedureKind.APPROACH) is None
        assert data.nearest_idents("SKALA", "fix") == ()


def test_a_changed_file_is_read_again_even_with_the_same_size_and_time(tmp_path: Path) -> None:
    path = written(tmp_path, [waypoint(lat="N46304428")])
    before = path.stat()
    first = indexed(path, tmp_path / "cache")
    written(tmp_path, [waypoint(lat="N46304528")])
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    second = indexed(path, tmp_path / "cache")

    assert path.stat().st_size == before.st_size
    assert path.stat().st_mtime_ns == before.st_mtime_ns
    assert second.fixes("BRAKO")[0].lat_deg - first.fixes("BRAKO")[0].lat_deg == pytest.approx(1 / 3600, abs=1e-9)


def test_the_same_records_under_another_name_share_the_index(tmp_path: Path) -> None:
    copy = tmp_path / "copy.dat"
    shutil.copy(excerpt("KBTV"), copy)
    indexed(excerpt("KBTV"), tmp_path / "cache")

    assert indexed(copy, tmp_path / "cache").summary.file == "copy.dat"
    assert len(indexes(tmp_path / "cache")) == 1


def damage_tail(index: Path) -> None:
    content = index.read_bytes()
    index.write_bytes(content[:-1000])


def damage_bit(index: Path) -> None:
    content = bytearray(index.read_bytes())
    content[len(content) // 2] ^= 1
    index.write_bytes(content)


def damage_all(index: Path) -> None:
    index.write_bytes(b"rubbish")


def empty(index: Path) -> None:
    index.write_bytes(b"")


@pytest.mark.parametrize("damage", [damage_tail, damage_bit, damage_all, empty])
def test_a_damaged_index_is_made_anew(tmp_path: Path, damage: Callable[[Path], None]) -> None:
    path = excerpt("KBTV")
    expected = answers(indexed(path, tmp_path), path)
    (index,) = indexes(tmp_path)
    sound = index.read_bytes()
    damage(index)

    assert answers(indexed(path, tmp_path), path) == expected
    assert index.read_bytes() == sound


def test_an_index_of_another_edition_is_left_alone_and_not_read(tmp_path: Path) -> None:
    path = excerpt("KBTV")
    indexed(path, tmp_path)
    (index,) = indexes(tmp_path)
    source, _edition, content = index.name.split("-")
    other = index.with_name(f"{source}-0.0.0.1-{content}")
    index.rename(other)
    expected = answers(open_navdata(path), path)

    assert answers(indexed(path, tmp_path), path) == expected
    assert other.exists()
    assert index.exists()


def forged(tmp_path: Path, change: str) -> tuple[Path, Path]:
    """An index that someone changed and named as what it now holds."""
    import hashlib

    path = excerpt("KBTV")
    indexed(path, tmp_path)
    (index,) = indexes(tmp_path)
    with sqlite3.connect(index) as connection:
        connection.executescript(change)
    connection.close()
    named = index.name.rsplit("-", 1)[0] + f"-{hashlib.sha256(index.read_bytes()).hexdigest()}.navindex"
    return path, index.rename(index.with_name(named))


@pytest.mark.parametrize(
    "change",
    [
        "DROP TABLE records",
        "DROP TABLE summary",
        "DELETE FROM summary",
        "UPDATE summary SET text = '[]'",
        "UPDATE summary SET text = '" + "[" * 100_000 + "'",
        "UPDATE records SET lines = x'80'",
        "UPDATE records SET lines = 'no number'",
        "UPDATE records SET lines = '99999999999999999999 S'",
        "UPDATE records SET lines = CAST(x'80FF' AS TEXT)",
        "UPDATE records SET lines = '7 S'",
        "UPDATE records SET lines = '7 '",
        "UPDATE records SET lines = '7 SUSAP KBTVK5PBTV' || printf('%.200c', 'x')",
        "UPDATE records SET lines = (SELECT lines FROM records WHERE key LIKE 'runway%')",
        "UPDATE records SET lines = (SELECT lines FROM records WHERE key LIKE 'procedure%')",
        "UPDATE records SET lines = replace(lines, 'SUSA', 'SXX ')",
        "UPDATE records SET lines = replace(lines, 'KBTV', 'KBT' || char(10))",
        "UPDATE records SET key = key || printf('%.100c', 'x') WHERE key LIKE 'procedure%'",
        "ALTER TABLE records RENAME TO r; CREATE VIEW records AS SELECT key, lines FROM r",
        (
            "ALTER TABLE records RENAME TO r; CREATE VIEW records AS WITH RECURSIVE n(key, lines) AS "
            "(SELECT 'fix', 'x' UNION ALL SELECT key, lines FROM n) SELECT * FROM n"
        ),
        "CREATE TABLE more (x)",
        "INSERT INTO summary SELECT text FROM summary",
        "UPDATE summary SET text = replace(text, '\"problem_count\": 0', '\"problem_count\": Infinity')",
        "UPDATE summary SET text = replace(text, '\"problem_count\": 0', '\"problem_count\": -1')",
        'UPDATE summary SET text = replace(text, \'"notes": [\', \'"notes": ["\\u001b[31m", \')',
    ],
)
def test_a_forged_index_is_not_believed(tmp_path: Path, change: str) -> None:
    path, _index = forged(tmp_path, change)

    assert answers(indexed(path, tmp_path), path) == answers(open_navdata(path), path)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE records SET lines = substr(lines, 1, 60)",
        "UPDATE records SET key = key || char(9) WHERE key LIKE 'fix%'",
        "UPDATE records SET key = key || char(9) || 'X' WHERE key LIKE 'procedure%'",
        "DELETE FROM records WHERE key LIKE 'airport%'",
    ],
)
def test_what_the_user_alone_could_have_changed_in_an_index_raises_nothing(tmp_path: Path, change: str) -> None:
    path, _index = forged(tmp_path, change)

    assert len(answers(indexed(path, tmp_path), path)) > 3


def test_an_index_that_fails_in_use_after_the_file_has_changed_is_a_clear_error(tmp_path: Path) -> None:
    from legwise.errors import NavDataError

    path = tmp_path / "tarn.dat"
    shutil.copy(excerpt("KBTV"), path)
    indexed(path, tmp_path)
    (index,) = indexes(tmp_path)
    forged(tmp_path, "UPDATE records SET lines = 'no number'")
    data = indexed(path, tmp_path)
    path.write_bytes(path.read_bytes() + b"\n")

    with pytest.raises(NavDataError, match="has changed since it was opened"):
        data.fixes("CESAL")
    assert not index.exists()


def test_a_cache_that_cannot_be_written_only_costs_time(tmp_path: Path) -> None:
    # A file stands where the folder would: this holds for every user, root too.
    blocked = tmp_path / "cache"
    blocked.write_text("in the way")
    path = excerpt("KBTV")
    data = indexed(path, blocked)

    assert len(data.fixes("CESAL")) == 1
    assert "so the whole file is read each time" in data.summary.notes[-1]
    assert blocked.read_text() == "in the way"


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path) -> None:
    # The system lets this process write no file of more than 8 kB.
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))\n"
    done = subprocess.run(
        [sys.executable, "-c", limit + PROCESS, str(excerpt("KBTV")), str(tmp_path / "cache")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip

    assert done.stdout.startswith("1 0 its index can't be kept in")
    assert list((tmp_path / "cache").iterdir()) == []


def test_processes_that_build_at_once_all_answer_and_leave_one_index(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    many = tmp_path / "many.dat"
    lines = excerpt("KBTV").read_text(encoding="latin-1").splitlines()
    more = [line[:6] + f"{number:04}" + line[10:] for number in range(40) for line in lines if line.startswith("SUSAP")]
    many.write_text("\n".join([*lines, *more]), encoding="latin-1")
    running = [
        subprocess.Popen(
            [sys.executable, "-c", PROCESS, str(many), str(cache)], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(4)
    ]  # fmt: skip
    outcomes = [(process.communicate(), process.returncode) for process in running]

    assert [(out, error, code) for (out, error), code in outcomes] == [("41 0\n", "", 0)] * 4
    assert len(indexes(cache)) == 1
    assert [path for path in cache.iterdir() if path.name.startswith(".building-")] == []


def test_the_last_used_indexes_are_kept_and_old_half_written_ones_removed(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    stale = cache / ".building-left"
    foreign = cache / "notes.txt"
    cache.mkdir()
    for place in (stale, foreign):
        place.write_text("x")
        os.utime(place, (1.0, 1.0))
    for number in range(6):
        path = written(tmp_path, [waypoint(f"FIX{number:02}")])
        indexed(path, cache)
        for age, index in enumerate(sorted(indexes(cache), key=lambda index: index.stat().st_mtime_ns, reverse=True)):
            os.utime(index, (1_000_000.0 - age, 1_000_000.0 - age))

    assert len(indexes(cache)) == 4
    assert not stale.exists()
    assert foreign.exists()


def test_the_index_is_kept_in_the_users_folder_for_caches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import platformdirs

    def elsewhere(*_args: object, **_named: object) -> pathlib.Path:
        return tmp_path / "caches" / "legwise"

    monkeypatch.setattr(platformdirs, "user_cache_path", elsewhere)
    open_navdata(excerpt("KBTV"), indexed_from_bytes=0)

    assert len(indexes(tmp_path / "caches" / "legwise" / "navdata")) == 1
