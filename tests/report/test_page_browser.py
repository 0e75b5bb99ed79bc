"""The page in a real browser: pictures, one moment everywhere, rows, the switch, paper, accessibility."""

from __future__ import annotations

import pathlib
import re
import shutil
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from legwise.model.results import DebriefResult
from legwise.report import render, view_of

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
MakeFlight = Callable[..., DebriefResult]
ARGUMENTS = ["--no-sandbox", "--disable-background-networking", "--no-first-run"]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def pages(make_flight: MakeFlight, tmp_path_factory: pytest.TempPathFactory) -> dict[str, pathlib.Path]:
    folder: pathlib.Path = tmp_path_factory.mktemp("pages")
    made = {}
    hostile = "</script><script>alert(1)</script><b>&\"'<img src=x onerror=alert(1)>"
    for name, result in (
        ("full", make_flight()),
        ("bare", make_flight(bare=True)),
        ("hostile", make_flight(mark=hostile)),
    ):
        made[name] = folder / f"{name}.html"
        made[name].write_bytes(render(view_of(result)).encode())
    return made


class Visit:
    """An open page, and everything it complained of or asked for."""

    def __init__(self, browser: Browser, path: pathlib.Path, size: dict[str, int], scheme: str = "light") -> None:
        self.context = browser.new_context(
            offline=True,
            viewport=size,  # type: ignore[arg-type]
            color_scheme=scheme,  # type: ignore[arg-type]
            has_touch=size is PHONE,
            is_mobile=size is PHONE,
            reduced_motion="reduce",
        )
        self.page: Page = self.context.new_page()
        self.complaints: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("dialog", lambda dialog: self.complaints.append(dialog.message))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())
        self.page.wait_for_selector("html[data-ready=true]")

    def readout(self) -> str:
        return " ".join(self.page.locator("#readout").inner_text().split())

    def close(self) -> None:
        self.context.close()
        assert self.complaints == []
        assert all(url.startswith(("file:", "data:", "blob:")) for url in self.asked)


OpenPage = Callable[..., Visit]


@pytest.fixture
def visit(chromium: Browser, pages: dict[str, pathlib.Path]) -> Iterator[OpenPage]:
    open_visits: list[Visit] = []

    def go(name: str = "full", size: dict[str, int] = DESKTOP, scheme: str = "light") -> Visit:
        open_visits.append(Visit(chromium, pages[name], size, scheme))
        return open_visits[-1]

    yield go
    for one in open_visits:
        one.close()


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
@pytest.mark.parametrize("name", ["full", "bare", "hostile"])
def test_everything_fits_and_every_picture_is_drawn(visit: OpenPage, name: str, size: dict[str, int]) -> None:
    page = visit(name, size).page
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    drawings = page.locator(".drawing[data-figure]")
    assert drawings.count() >= 3
    for at in range(drawings.count()):
        assert drawings.nth(at).locator(".main-svg path").count() > 0
    assert (
        page.evaluate("document.querySelectorAll('b').length")
        == page.locator("figcaption b, .readout b, .objectives b, #facts b").count()
    )


def test_body_text_is_large_enough_on_a_phone(visit: OpenPage) -> None:
    page = visit(size=PHONE).page
    assert page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 16


def test_keys_move_one_moment_everywhere(visit: OpenPage) -> None:
    opened = visit()
    page = opened.page
    assert opened.readout().startswith("13:00:00Z")
    page.keyboard.press("ArrowRight")
    assert opened.readout().startswith("13:00:01Z")
    page.keyboard.press("Shift+ArrowRight")
    assert opened.readout().startswith("13:00:11Z")
    page.locator("#moment").focus()
    page.keyboard.press("PageUp")
    assert opened.readout().startswith("13:01:11Z")
    page.keyboard.press("End")
    assert "on leg FERNU to RW27" in opened.readout()
    spoken = page.locator("#moment").get_attribute("aria-valuetext")
    assert spoken is not None
    assert "on leg FERNU to RW27" in spoken
    left = page.locator("#picture-lateral .hair").evaluate("mark => mark.getBoundingClientRect().left")
    right = page.locator("#picture-lateral .drawing").evaluate("gd => gd.getBoundingClientRect().right")
    assert right - 30 < left < right


def test_pointing_at_a_picture_moves_the_moment(visit: OpenPage) -> None:
    opened = visit()
    box = opened.page.locator("#picture-lateral .drawing").bounding_box()
    opened.page.locator("#picture-lateral").scroll_into_view_if_needed()
    box = opened.page.locator("#picture-lateral .drawing").bounding_box()
    assert box is not None
    opened.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    opened.page.wait_for_timeout(100)
    assert re.match(r"13:2\d:\d\dZ", opened.readout())
    shown = opened.page.locator("#picture-altitude .hair").evaluate("mark => mark.getBoundingClientRect().left")
    assert shown == pytest.approx(box["x"] + box["width"] / 2, abs=2)
    assert opened.page.locator("#picture-plan .dot").is_visible()


def test_the_slider_moves_the_moment(visit: OpenPage) -> None:
    opened = visit(size=PHONE)
    opened.page.locator("#moment").evaluate(
        "slider => { slider.value = 600; slider.dispatchEvent(new Event('input')); }"
    )
    assert opened.readout().startswith("13:10:00Z")


def test_a_finding_leads_to_its_place_and_shades_it(visit: OpenPage) -> None:
    opened = visit()
    page = opened.page
    page.locator("#findings tbody .go").first.click()
    page.wait_for_timeout(200)
    assert opened.readout().startswith("13:33:20Z")
    assert page.locator("#shown").inner_text().startswith("Shown: altitude")
    for name in ("timeline", "lateral", "altitude", "speed"):
        assert page.locator(f"#picture-{name} .shade").is_visible()
    ranges = page.evaluate("timedCharts.map(({ gd }) => gd._fullLayout.xaxis.range.map(String).join())")
    assert len(set(ranges)) == 1
    assert page.evaluate("plan.gd.data.at(-1).x.length") == 151  # 13:32:30Z to 13:35:00Z at one a second
    assert page.locator("#findings tr[aria-current=true]").count() == 1
    assert page.locator("#picture-plan .annotation-text").last.text_content() == "a square: 1 NM"
    page.locator("#back").click()
    assert page.evaluate("document.activeElement.closest('tr').getAttribute('aria-current')") == "true"
    page.locator("#whole").click()
    page.wait_for_timeout(200)
    assert page.locator(".shade:visible").count() == 0


def test_a_leg_and_an_approach_lead_to_theirs_by_keyboard(visit: OpenPage) -> None:
    opened = visit()
    for row, name in (("#legs tbody .go >> nth=1", "BRAKO to CALDU"), ("#approaches .go", "XSKH RNAV (GPS) RWY 27")):
        opened.page.locator(row).focus()
        opened.page.keyboard.press("Enter")
        assert name in opened.page.locator("#shown").inner_text()


def test_a_drag_in_one_picture_zooms_all_along_time(visit: OpenPage) -> None:
    page = visit().page
    page.locator("#picture-altitude").scroll_into_view_if_needed()
    box = page.locator("#picture-altitude .drawing").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 200, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 320, box["y"] + 60, steps=5)
    page.mouse.up()
    page.wait_for_timeout(300)
    ends = page.evaluate("timedCharts.map(({ gd }) => gd.layout.xaxis.range.map((end) => +new Date(end)))")
    spans = [end - start for start, end in ends]
    assert max(spans) - min(spans) < 1
    assert spans[0] < page.evaluate("(LAST - FIRST) / 2")


def test_the_switch_hides_every_verdict(visit: OpenPage) -> None:
    page = visit().page
    assert page.locator("#findings").is_visible()
    page.locator("#retell").click()
    page.wait_for_timeout(200)
    assert page.locator(".verdict:visible").count() == 0
    assert not page.locator("#findings").is_visible()
    assert page.locator(".retelling").is_visible()
    for part in ("summary", "flight", "legs", "approaches", "said", "turns"):
        assert "outside" not in page.locator(f"#{part}").inner_text()
    traces = (
        "charts.flatMap(({ gd }) => gd.data).filter((trace) => trace.meta?.verdict && trace.visible !== false).length"
    )
    assert page.evaluate(traces) == 0
    page.locator("#retell").click()
    assert page.locator("#findings").is_visible()


def test_a_phone_lists_the_stretches_and_folds_what_kept_its_limit(visit: OpenPage) -> None:
    page = visit(size=PHONE).page
    go = page.locator("#stretches .go")
    assert go.count() >= 5
    go.nth(1).focus()
    page.keyboard.press("Enter")
    assert page.locator("#shown").is_visible()
    assert page.locator("#findings tr.calm:visible").count() in (0, page.locator("#findings tr.calm").count())
    if page.locator("#calm").is_visible():
        assert page.locator("#findings tr.calm:visible").count() == 0
        page.locator("#calm").click()
    assert page.locator("#findings tr.calm:visible").count() == page.locator("#findings tr.calm").count()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("name", "size"), [("full", DESKTOP), ("full", PHONE), ("bare", DESKTOP)])
def test_accessibility_rules_hold(visit: OpenPage, name: str, size: dict[str, int], scheme: str) -> None:
    page = visit(name, size, scheme).page
    found = Axe().run(page)
    assert [violation["id"] for violation in found.response["violations"]] == []


def test_dark_pages_have_dark_pictures(visit: OpenPage) -> None:
    page = visit(scheme="dark").page
    assert page.evaluate("plan.gd._fullLayout.paper_bgcolor") == page.evaluate(
        "getComputedStyle(document.documentElement).getPropertyValue('--card')"
    )


def test_printing_takes_few_pages_and_comes_back(visit: OpenPage) -> None:
    opened = visit(scheme="dark")
    before = opened.page.evaluate("plan.gd._fullLayout.width")
    for size in ("A4", "Letter"):
        paper = opened.page.pdf(format=size)
        assert len(re.findall(rb"/Type\s*/Page[^s]", paper)) <= 4
    opened.page.wait_for_timeout(200)
    assert opened.page.evaluate("plan.gd._fullLayout.width") == before
