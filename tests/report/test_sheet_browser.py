"""The briefing sheet in a real browser: on a desk, on a phone, on paper, and by the rules of accessibility."""

from __future__ import annotations

import pathlib
import re
import shutil
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from legwise.model.lesson import Lesson
from legwise.plan.briefing.brief import brief
from legwise.report.sheet_page import sheet_html
from report.hand_made_legs import lesson_with, plan_with, usual

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
ARGUMENTS = ["--no-sandbox", "--disable-background-networking", "--no-first-run"]
OpenSheet = Callable[[str, dict[str, int]], Page]


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, pathlib.Path]:
    folder = tmp_path_factory.mktemp("sheets")
    wanted = {
        "usual": usual(legs=5),
        "long": usual(legs=10),
        "no speed": usual(legs=5, speed_kt=None),
        "bare": (plan_with(()), Lesson()),
        "no approach": (plan_with(usual(legs=6)[0].route), lesson_with()),
    }
    made = {}
    for name, (plan, lesson) in wanted.items():
        made[name] = folder / f"{name}.html"
        made[name].write_bytes(sheet_html(plan, lesson, brief(plan, lesson)).encode())
    return made


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def sheet(chromium: Browser, sheets: dict[str, pathlib.Path]) -> Iterator[OpenSheet]:
    contexts = []
    complaints: list[str] = []

    def go(name: str, size: dict[str, int]) -> Page:
        context = chromium.new_context(offline=True, viewport=size, is_mobile=size is PHONE)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("request", lambda request: None if request.url.startswith("file:") else complaints.append(request.url))
        page.goto(sheets[name].as_uri())
        return page

    yield go
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["usual", "long", "no speed", "bare", "no approach"])
def test_a_usual_lesson_prints_on_one_page(sheet: OpenSheet, name: str, paper: str) -> None:
    printed = sheet(name, DESKTOP).pdf(format=paper)

    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("name", ["usual", "bare"])
def test_nothing_runs_out_of_the_screen(sheet: OpenSheet, name: str, size: dict[str, int]) -> None:
    page = sheet(name, size)

    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("name", ["usual", "bare", "no approach"])
def test_accessibility_rules_hold(sheet: OpenSheet, name: str, size: dict[str, int]) -> None:
    found = Axe().run(sheet(name, size))

    assert [violation["id"] for violation in found.response["violations"]] == []


def test_on_paper_the_type_is_large_enough_and_black_on_white(sheet: OpenSheet) -> None:
    page = sheet("long", DESKTOP)
    page.emulate_media(media="print")
    points = "element => parseFloat(getComputedStyle(element).fontSize) * 0.75"

    assert page.locator(".legs td").first.evaluate(points) >= 9.5
    assert page.locator(".legs small").first.evaluate(points) >= 8
    assert page.locator("body").evaluate("element => getComputedStyle(element).backgroundColor") == "rgb(255, 255, 255)"
    assert page.locator("body").evaluate("element => getComputedStyle(element).color") == "rgb(0, 0, 0)"


def test_no_word_of_the_sketch_lies_on_another_or_outside(sheet: OpenSheet) -> None:
    boxes = sheet("usual", DESKTOP).evaluate(
        """[...document.querySelectorAll("svg text")].map((word) => {
            const box = word.getBoundingClientRect(), frame = word.ownerSVGElement.getBoundingClientRect();
            return [box.left, box.top, box.right, box.bottom, frame.left, frame.top, frame.right, frame.bottom];
        })"""
    )
    assert len(boxes) == 6
    for at, (left, top, right, bottom, *frame) in enumerate(boxes):
        assert left >= frame[0] - 1
        assert top >= frame[1] - 1
        assert right <= frame[2] + 1
        assert bottom <= frame[3] + 1
        for other in boxes[at + 1 :]:
            assert left >= other[2] or right <= other[0] or top >= other[3] or bottom <= other[1]
