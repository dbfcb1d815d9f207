"""A view is sent, taken away, walked by keyboard, and moved by a decision."""

from __future__ import annotations

import io
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser import running

pytestmark = pytest.mark.browser

TABS_AT_MOST = 90
#: Tag and words of what has the focus.
FOCUSED = """() => { const one = document.activeElement; const named = one.innerText || one.ariaLabel || '';
  return [one.tagName, one.tagName === 'MAIN' ? '' : named.replaceAll('\\n', ' ')] }"""


def _shown(page: Page) -> list[str]:
    return page.locator(".bl-answer, .bl-support, .bl-block, .bl-filters").all_inner_texts()


def _settled(page: Page, url: str) -> None:
    page.goto(url)
    running.settle(page)


def _choose(page: Page, box: str, option: str) -> None:
    page.get_by_role("combobox", name=box).click()
    page.get_by_role("option", name=option, exact=True).click()
    running.settle(page)


def test_a_shared_link_gives_the_same_view(served: running.Dashboard, page: Page, chromium: Browser) -> None:
    _settled(page, f"{served.url}/unit_cost_history")
    whole = _shown(page)
    page.get_by_role("button", name="Change what is compared").click()
    _choose(page, "What the dollars contain", "beams, in place")
    _choose(page, "Types, all if none is chosen", "timber")
    page.keyboard.press("Escape")
    later = page.get_by_role("slider", name="Let in the years").first
    later.press("ArrowRight")
    running.settle(page)
    assert {"basis=beams", "types=timber", "years=2013-"} <= set(page.url.partition("?")[2].split("&"))
    narrowed = _shown(page)
    assert narrowed != whole
    assert "structures shown: timber · let 2013 or later" in narrowed[-1]

    colleague = chromium.new_context(viewport={"width": 1280, "height": 720})
    other = colleague.new_page()
    _settled(other, page.url)
    assert _shown(other) == narrowed
    other.get_by_role("link", name="Proposal check").click()
    expect(other.locator(".bl-question")).to_have_text("Is this price usual?")
    running.settle(other)
    assert "types=timber" in other.url
    other.get_by_role("button", name="Change what is compared").click()
    other.get_by_role("button", name="Back to the usual view").click()
    expect(other.locator(".bl-filters")).to_have_count(0, timeout=20_000)
    assert "types" not in other.url
    assert "basis" not in other.url
    colleague.close()


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)


@pytest.mark.parametrize(
    ("address", "workbook", "report"),
    [
        ("/", "Working (XLSX)", "Memo to print (HTML)"),
        ("/unit_cost_history", "XLSX", None),
        ("/letting_review", "Tables (XLSX)", "Report to print (HTML)"),
        ("/program_forecast", "Working (XLSX)", "Board report to print (HTML)"),
    ],
)
def test_what_is_taken_away_opens(
    address: str, workbook: str, report: str | None, served: running.Dashboard, page: Page, chromium: Browser
) -> None:
    _settled(page, served.url + address)
    page.get_by_role("button", name="Download", exact=True).click()
    sheets = openpyxl.load_workbook(io.BytesIO(_taken(page, workbook)), data_only=True)
    assert all(sheet.max_row > 1 for sheet in sheets.worksheets)
    if report is None:
        return
    text = _taken(page, report).decode()
    tags = _Tags()
    tags.feed(text)
    assert {"html", "title", "h1", "table", "svg"} <= tags.seen
    assert "script" not in tags.seen
    printed = chromium.new_page(viewport={"width": 900, "height": 1100})
    watch = running.watched(printed)
    printed.set_content(text)
    assert printed.locator("svg").first.is_visible()
    assert printed.evaluate("document.documentElement.scrollWidth <= innerWidth")
    printed.close()
    assert (watch.outside, watch.errors) == ([], [])


def _taken(page: Page, button: str) -> bytes:
    with page.expect_download() as taken:
        page.get_by_role("button", name=button, exact=True).click()
    return Path(taken.value.path()).read_bytes()


def test_back_undoes_one_change_with_one_press(served: running.Dashboard, page: Page) -> None:
    def gone_back() -> None:
        page.go_back()
        expect(page.locator(".bl-question")).to_have_text("What have we paid?", timeout=20_000)
        expect(page.locator(".bl-filters")).to_contain_text("timber", timeout=20_000)
        running.settle(page)

    def steps() -> int:
        return int(page.evaluate("history.length"))

    # Not in the order bidlens writes them, and with a contract picked, which is of this page alone.
    picked = "contract=B-2507&letting=2025-09-10&structure=K-219"
    _settled(page, f"{served.url}/unit_cost_history?years=2012-2025&{picked}&types=timber&basis=contract")
    expect(page.locator(".bl-trail")).to_be_visible()
    address, narrowed, before = page.url, _shown(page), steps()
    page.get_by_role("link", name="How it works").click()
    expect(page.locator(".bl-question")).to_have_text("Can I rely on it?", timeout=20_000)
    running.settle(page)
    assert page.url.endswith("/how_it_works?basis=contract&types=timber&years=2012-2025")
    assert steps() == before + 1
    gone_back()
    assert (page.url, _shown(page)) == (address, narrowed)
    page.get_by_role("button", name="Show all").click()
    expect(page.locator(".bl-filters")).to_have_count(0, timeout=20_000)
    running.settle(page)
    assert steps() == before + 1  # what lay ahead is gone
    gone_back()
    assert _shown(page) == narrowed


def test_the_picture_of_one_contracts_bids_stands_above_the_fold(served: running.Dashboard, page: Page) -> None:
    _settled(page, f"{served.url}/letting_review?contract=B-2501&letting=2025-02-12")
    for picture in page.locator(".js-plotly-plot").all():
        place = picture.bounding_box()
        assert place is not None
        assert place["y"] + place["height"] <= 720


def test_a_change_between_light_and_dark_colors_the_whole_page(served: running.Dashboard, page: Page) -> None:
    page.emulate_media(color_scheme="light")
    _settled(page, f"{served.url}/unit_cost_history")
    page.emulate_media(color_scheme="dark")
    picture = page.locator(".js-plotly-plot .main-svg").first
    expect(picture).to_have_css("background-color", "rgb(17, 25, 28)", timeout=20_000)  # the dark palette's paper
    expect(page.locator(".bl-answer")).to_have_css("color", "rgb(232, 238, 239)")  # its ink
    page.emulate_media(color_scheme="light")
    expect(picture).to_have_css("background-color", "rgb(255, 255, 255)", timeout=20_000)


def test_the_keyboard_alone_reaches_every_control_and_opens_the_papers(served: running.Dashboard, page: Page) -> None:
    _settled(page, served.url)
    met: list[str] = []
    for _ in range(TABS_AT_MOST):
        page.keyboard.press("Tab")
        tag, words = page.evaluate(FOCUSED)
        if tag == "BODY":
            break
        met.append(words)
    wanted = ("Skip to main", "Unit cost history", "Change what", "Download", "B-1304", "Show the working", "Contract")
    places = [next((place for place, words in enumerate(met) if one in words), -1) for one in wanted]
    assert -1 not in places, met
    assert places == sorted(places)
    picker = page.get_by_role("combobox", name="Contract", exact=True).last
    picker.focus()
    picker.type("B-1602")
    expect(page.get_by_role("option").filter(has_text="B-1602").first).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator(".bl-trail")).to_contain_text("B-1602", timeout=20_000)
    running.settle(page)
    assert "contract=B-1602" in page.url
    assert page.locator(".bl-trail .bl-read").count() == 1


def test_a_pay_item_placed_elsewhere_moves_the_price_it_said_it_would(served: running.Dashboard, page: Page) -> None:
    _settled(page, f"{served.url}/unit_cost_history?types=rolled steel beam")
    before = page.locator(".bl-answer").inner_text()
    _settled(page, f"{served.url}/records?part=categories")
    page.get_by_role("combobox", name="Pay item, unclassified ones first").type("rolled beam")
    page.get_by_role("option").first.click()
    running.settle(page)
    _choose(page, "Work category", "utilities")
    expect(page.get_by_text("Nothing is stored yet.")).to_be_visible(timeout=20_000)
    page.get_by_role("textbox", name="Why").fill("as an example")
    page.get_by_role("button", name="Place it").click()
    expect(page.get_by_text("now counts as utilities")).to_be_visible(timeout=20_000)
    running.settle(page)
    _settled(page, f"{served.url}/unit_cost_history?types=rolled steel beam")
    assert page.locator(".bl-answer").inner_text() != before
