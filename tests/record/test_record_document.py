from __future__ import annotations

import dataclasses
import datetime as dt
import json
import math
import re
from collections.abc import Iterator
from typing import Any

import jsonschema
import pydantic
import pytest

from legwise.model.results import DebriefResult
from legwise.record import json_schema, plan_json, record_json, track_json

# debrief.json as the contract prints it: every key of every object, kept here as a literal.
CONTRACT: dict[str, Any] = {
    "schema": "legwise.debrief/1",
    "track": dict.fromkeys(
        ("file", "format", "samples", "kept", "start", "end", "rate_hz", "channels", "altitude_source", "faults")
    ),
    "legs": [
        dict.fromkeys(("id", "kind", "from", "to", "course_deg_true", "course_deg_mag", "distance_nm", "start", "end"))
        | {
            "cross_track_nm": dict.fromkeys(("mean", "rms", "p95_abs", "max_abs", "at_max")),
            "altitude_error_ft": dict.fromkeys(("mean", "p95_abs", "max_abs", "at_max")),
        }
    ],
    "approaches": [
        dict.fromkeys(("airport", "procedure", "guidance", "runway", "joined_at", "outcome", "circled"))
        | dict.fromkeys(("lowest_altitude_ft", "minima_ft"))
        | {name: dict.fromkeys(("p95_abs", "max_abs", "at_max")) for name in ("lateral_needle", "vertical_needle")}
    ],
    "clearances": [dict.fromkeys(("time", "origin", "kind", "text"))],
    "findings": [
        dict.fromkeys(("id", "standard", "task", "what", "fix", "verdict", "limit", "unit", "worst", "at_worst"))
        | dict.fromkeys(("outside_s", "excursions", "correcting_after_s", "uncertainty", "from", "to", "source"))
    ],
    "causes": [dict.fromkeys(("kind", "confidence", "text", "from", "to", "evidence"))],
    "summary": dict.fromkeys(("went_well", "work_on", "next_lesson", "questions")),
    "facts": [dict.fromkeys(("time", "text"))],
    "holds": [],
    "reversals": [],
    "arcs": [],
    "turns": [
        dict.fromkeys(("at", "fix", "from_course_deg_true", "to_course_deg_true", "lead_nm", "expected_lead_nm"))
        | dict.fromkeys(("start", "end"))
    ],
    "missed": [
        dict.fromkeys(("approach", "started_at", "started_ft", "before_map", "climb_ft_per_nm", "turn_before_map"))
    ],
    "wind": None,
}
INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d*[1-9])?Z")
TIMES = {"start", "end", "time", "effect", "from", "to", "at", "at_max", "at_worst", "joined_at", "started_at"}


def missing_keys(wanted: object, found: object, path: str = "") -> Iterator[str]:
    if isinstance(wanted, dict):
        for key, inner in wanted.items():
            if not isinstance(found, dict) or key not in found:
                yield f"{path}/{key}"
            else:
                yield from missing_keys(inner, found[key], f"{path}/{key}")
    elif isinstance(wanted, list) and wanted:
        assert isinstance(found, list)
        assert found, f"the made result should hold something in {path}"
        for item in found:
            yield from missing_keys(wanted[0], item, f"{path}[]")


def instants(value: object, key: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from instants(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from instants(inner, key)
    elif isinstance(value, str) and key in TIMES:
        yield value


@pytest.fixture(name="document")
def document_fixture(result: DebriefResult) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(record_json(result))
    return document


def test_every_key_of_the_contract_is_there(document: dict[str, Any]) -> None:
    assert list(missing_keys(CONTRACT, document)) == []
    assert document["schema"] == "legwise.debrief/1"
    assert document["wind"] is None
    assert document["holds"] == document["reversals"] == document["arcs"] == []


def test_it_is_valid_against_its_own_schema(document: dict[str, Any]) -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)

    jsonschema.Draft202012Validator(schema).validate(document)


@pytest.mark.parametrize(
    ("path", "bad"),
    [
        (("schema",), "legwise.debrief/2"),
        (("findings", 0, "verdict"), "passed"),
        (("findings", 0, "unit"), "furlong"),
        (("approaches", 0, "outcome"), "crashed"),
        (("legs", 0, "from"), None),
        (("track", "samples"), 1.5),
        (("legs",), None),
    ],
)
def test_the_schema_refuses_what_is_wrong(document: dict[str, Any], path: tuple[str | int, ...], bad: object) -> None:
    place: Any = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = bad

    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(json_schema()).validate(document)


def test_every_time_is_iso_8601_in_utc_with_z(document: dict[str, Any]) -> None:
    # jsonschema does not check "date-time" by itself.
    found = [text for text in instants(document) if text != document["legs"][0]["from"] and text not in ("CALDU",)]

    assert len(found) >= 15
    for text in found:
        assert INSTANT.fullmatch(text), text
        dt.datetime.fromisoformat(text)


def test_values_keep_their_decimals_and_lose_their_noise(document: dict[str, Any]) -> None:
    leg = document["legs"][0]

    assert leg["cross_track_nm"]["mean"] == 0.3
    assert leg["distance_nm"] == 12.0
    assert document["approaches"][0]["lowest_altitude_ft"] == 88.12
    assert document["findings"][0]["worst"] == -0.4
    assert document["findings"][0]["uncertainty"] == 0.00216


def test_what_was_not_recorded_is_null(document: dict[str, Any]) -> None:
    assert document["legs"][0]["course_deg_mag"] is None
    assert document["legs"][0]["altitude_error_ft"] == dict.fromkeys(("mean", "p95_abs", "max_abs", "at_max"))
    not_recorded = document["findings"][1]
    assert not_recorded["verdict"] == "not recorded"
    assert not_recorded["worst"] is None
    assert not_recorded["at_worst"] is None
    assert not_recorded["from"] == "2026-04-18T13:12:40Z"


def test_an_instruction_keeps_its_values_under_the_lessons_keys(document: dict[str, Any]) -> None:
    clearance = document["clearances"][0]

    assert clearance["heading_deg_mag"] == 250.0
    assert clearance["hold"] == {"fix": "CALDU", "efc": "13:45:00"}
    assert clearance["time"] == "2026-04-18T13:12:40Z"
    assert clearance["text"] == '"heading 250" <b>'


def test_facts_come_in_the_order_of_their_times(document: dict[str, Any]) -> None:
    assert [fact["time"] for fact in document["facts"]] == ["2026-04-18T13:12:40Z", "2026-04-18T13:12:42Z"]


def test_a_file_name_that_is_no_utf_8_can_be_written(result: DebriefResult) -> None:
    text = record_json(result)

    text.encode("utf-8")
    assert json.loads(text)["track"]["file"] == "tr?ck.csv"
    assert "Löwen" in text


def test_two_runs_give_the_same_text(result: DebriefResult) -> None:
    assert record_json(result) == record_json(result)


def test_an_infinite_figure_is_never_written(result: DebriefResult) -> None:
    leg = dataclasses.replace(result.assessment.legs[0], distance_nm=math.inf)
    broken = dataclasses.replace(result, assessment=dataclasses.replace(result.assessment, legs=(leg,)))

    with pytest.raises(pydantic.ValidationError):
        record_json(broken)


def test_the_track_object_stands_alone_as_in_the_debrief(result: DebriefResult, document: dict[str, Any]) -> None:
    assert json.loads(track_json(result.summary_of_track)) == document["track"]


def test_a_plan_as_json(result: DebriefResult) -> None:
    plan = json.loads(plan_json(result.plan))

    assert plan["schema"] == "legwise.plan/1"
    assert plan["route"][0]["from"] == "BRAKO"
    assert plan["route"][0]["course_deg_mag"] == 48.9
    assert plan["fixes"][1]["variation_deg"] == -10.0
    assert plan["destination"] is None
