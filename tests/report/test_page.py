"""The page as a file: one, whole, safe, the same every time."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from importlib.resources import files

import pytest
from plotly.offline import get_plotlyjs_version

from legwise.model.results import DebriefResult
from legwise.report import figures_of, render, view_of
from legwise.report.page import PLOTLY_JS_FILE, PLOTLY_JS_SHA256, PLOTLY_JS_VERSION, static_text

MakeFlight = Callable[..., DebriefResult]
HOSTILE = "</script><script>alert(1)</script><b>&\"'<img src=x onerror=alert(1)>{{ 7*7 }}"


class Reader(HTMLParser):
    """What a browser would make of the page: tags, scripts, and the text outside scripts and styles."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[tuple[str, str]] = []
        self.text: list[str] = []
        self._inside = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside = tag if tag in ("script", "style") else ""
        if tag == "script":
            self.scripts.append((dict(attrs).get("type") or "", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside == "script":
            kind, text = self.scripts[-1]
            self.scripts[-1] = (kind, text + data)
        elif not self._inside:
            self.text.append(data)


@pytest.fixture(scope="module")
def page(make_flight: MakeFlight) -> str:
    return render(view_of(make_flight()))


@pytest.fixture(scope="module")
def hostile(make_flight: MakeFlight) -> str:
    return render(view_of(make_flight(mark=HOSTILE)))


def test_the_vendored_library_is_the_one_recorded_and_the_one_plotly_carries() -> None:
    vendored = files("legwise.report").joinpath("static", PLOTLY_JS_FILE).read_bytes()
    assert hashlib.sha256(vendored).hexdigest() == PLOTLY_JS_SHA256
    assert get_plotlyjs_version() == PLOTLY_JS_VERSION
    licence = files("legwise.report").joinpath("static/vendor/plotly-basic.LICENSE.txt").read_text(encoding="utf-8")
    assert "MIT License" in licence


def test_figures_use_only_traces_that_the_bundle_draws(make_flight: MakeFlight) -> None:
    for made in (make_flight(), make_flight(bare=True)):
        view = view_of(made)
        figures = figures_of(view)
        assert set(figures) == set(view.captions)
        for figure in figures.values():
            assert {trace.type for trace in figure.data} <= {"scatter", "bar"}
            assert "template" not in figure.layout.to_plotly_json() or not figure.layout.template.to_plotly_json()


def test_two_renders_give_the_same_bytes(make_flight: MakeFlight, page: str) -> None:
    assert render(view_of(make_flight())).encode() == page.encode()


def test_an_hour_at_one_hertz_is_light(page: str) -> None:
    assert len(page.encode()) <= 2_500_000
    assert page.count("plotly.js (basic") == 1
    assert "\r" not in page


def test_nothing_is_fetched(page: str) -> None:
    for tag, attributes in Reader(page).tags:
        assert tag not in ("link", "iframe", "object", "embed", "base", "form")
        for name in ("src", "href", "action", "srcset"):
            value = attributes.get(name)
            assert value is None or value.startswith("#"), (tag, value)
    assert not re.search(r"url\(|@import", static_text("page.css"))


def test_the_policy_admits_exactly_the_scripts_that_are_there(page: str) -> None:
    policy = next(
        a["content"] or "" for tag, a in Reader(page).tags if a.get("http-equiv") == "Content-Security-Policy"
    )
    run = [text for kind, text in Reader(page).scripts if kind != "application/json"]
    hashes = {f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in run}
    allowed = re.search(r"script-src ([^;]*);", policy)
    assert allowed is not None
    assert set(allowed.group(1).split()) == hashes
    assert policy.startswith("default-src 'none';")


def test_text_from_files_stays_text(page: str, hostile: str) -> None:
    plain, attacked = Reader(page), Reader(hostile)
    assert [tag for tag, _ in attacked.tags if tag in ("script", "img", "b")] == [
        tag for tag, _ in plain.tags if tag in ("script", "img", "b")
    ]
    assert "".join(attacked.text).count("</script><script>alert(1)</script><b>&\"'<img") > 25
    assert "{{ 7*7 }}" in "".join(attacked.text)
    for _kind, text in attacked.scripts[1:]:
        assert "alert(1)" not in text


def test_text_in_figures_is_escaped(make_flight: MakeFlight) -> None:
    for figure in figures_of(view_of(make_flight(mark="<b>x</b><a href='javascript:1'>"))).values():
        for text in _strings(json.loads(figure.to_json())):
            assert "<" not in text, text


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _strings(item)
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)


def test_every_row_leads_to_its_place(page: str) -> None:
    rows = [attributes for _tag, attributes in Reader(page).tags if "data-from" in attributes]
    assert len(rows) >= 5 + 1 + 2 + 1 + 5 + 1 + 2
    for row in rows:
        assert float(row["data-at"] or "nan") > 0
        assert float(row["data-from"] or "nan") <= float(row["data-to"] or "nan")


def test_the_page_carries_its_parts_in_order(page: str) -> None:
    order = ["summary", "flight", "legs", "approaches", "said", "turns", "findings", "facts", "log", "method"]
    places = [page.index(f'<section id="{name}"') for name in order]
    assert places == sorted(places)
    assert "A training aid, not for navigation." in page
    assert "against the standard, not a grade" in page


def test_empty_parts_say_so_in_a_sentence(make_flight: MakeFlight) -> None:
    text = " ".join("".join(Reader(render(view_of(make_flight(bare=True)))).text).split())
    for sentence in (
        "No lateral needle: no path was owed",
        "No vertical needle: no glidepath was flown",
        "No altitude was recorded, so nothing is said about heights.",
        "No leg was flown that owed a path",
        "No approach was planned",
        "Nothing was said in the lesson file",
        "there are no findings",
        "No route and no approach were given",
    ):
        assert sentence in text
