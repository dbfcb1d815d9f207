"""Every page as it is met: at two widths, light and dark, on paper, with a keyboard and by a screen reader.

Accessibility is judged by axe-core (github.com/dequelabs/axe-core) against WCAG 2.2 A and AA and its best practices.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser import running

pytestmark = pytest.mark.browser

PAPERS = "/?contract=B-1602|2016-03-09|K-238"
WITH_PICTURE = (
    "/", "/unit_cost_history", "/letting_review", "/pay_item_prices", "/program_forecast", "/how_it_works"
)  # fmt: skip
RECORDS = tuple(f"/records?part={part}" for part in ("set-aside", "imports", "structures", "categories", "names"))
ADDRESSES = (*WITH_PICTURE, *RECORDS, PAPERS)

#: Findings of axe-core about Streamlit's own controls, which a page cannot change: rule, part of the element, why.
OF_STREAMLIT = (
    ("presentation-role-conflict", "stFileUploaderDropzone", "the drop area is a plain box around a labelled button"),
)


@dataclass
class Opened:
    """A page opened once for all its checks."""

    address: str
    page: Page


@pytest.fixture(scope="module", params=ADDRESSES)
def opened(served: running.Dashboard, chromium: Browser, request: pytest.FixtureRequest) -> Iterator[Opened]:
    page = chromium.new_page(viewport={"width": 1280, "height": 720}, color_scheme="light")
    watch = running.watched(page)
    page.goto(served.url + request.param)
    running.settle(page)
    yield Opened(request.param, page)
    page.close()
    assert (watch.outside, watch.errors, watch.dialogs) == ([], [], [])


def box(page: Page, selector: str) -> dict[str, float]:
    """Place and size of the first element on the screen, px."""
    found: Any = page.locator(selector).first.bounding_box()
    assert found is not None, f"{selector} is not shown"
    return found


def serious(page: Page) -> list[str]:
    """What axe-core finds, worst included, but what is known of Streamlit's own controls."""
    found = Axe().run(page).response["violations"]
    return [
        f"{one['impact']} {one['id']}: {node['html'][:160]}"
        for one in found
        for node in one["nodes"]
        if not any(one["id"] == rule and part in node["html"] for rule, part, _ in OF_STREAMLIT)
    ]


def test_question_answer_title_block_and_first_picture_stand_above_the_fold(opened: Opened) -> None:
    for selector in (".bl-question", ".bl-answer", ".bl-block"):
        place = box(opened.page, selector)
        assert 0 <= place["y"] <= place["y"] + place["height"] <= 420
    if opened.address in WITH_PICTURE:
        place = box(opened.page, ".js-plotly-plot")
        assert place["y"] + place["height"] <= 720


@pytest.mark.parametrize("width", [1920, 1280])
def test_nothing_falls_off_the_side(opened: Opened, width: int) -> None:
    opened.page.set_viewport_size({"width": width, "height": 1080 if width == 1920 else 720})
    running.settle(opened.page)
    over = opened.page.evaluate(
        """() => [...document.querySelectorAll('.bl-answer, .bl-support, .bl-block, .bl-table, .bl-note, .bl-trail,'
        + '.js-plotly-plot .main-svg, [data-testid=stDataFrame]')].filter(one => {
          const place = one.getBoundingClientRect();
          return place.width && (place.right > innerWidth + 1 || place.left < -1) && !one.closest('.bl-scroll');
        }).map(one => one.className.baseVal ?? one.className)"""
    )
    assert over == []


def test_every_picture_is_said_in_words(opened: Opened) -> None:
    said = opened.page.evaluate(
        """() => [...document.querySelectorAll('[data-testid=stPlotlyChart]')].map(chart =>
          (chart.closest('[aria-label]') ?? chart.querySelector('[aria-label]'))?.getAttribute('aria-label') ?? '')"""
    )
    assert all(len(words) > 15 for words in said), said


def test_headings_go_down_one_step_at_a_time(opened: Opened) -> None:
    levels = opened.page.evaluate(
        "() => [...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].filter(one => one.offsetParent)"
        ".map(one => +one.tagName[1])"
    )
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels)), levels


def test_a_screen_reader_and_a_keyboard_find_nothing_amiss_in_light(opened: Opened) -> None:
    assert serious(opened.page) == []


def test_on_paper_controls_are_gone_and_pictures_are_whole(opened: Opened) -> None:
    opened.page.emulate_media(media="print")
    expect(opened.page.get_by_test_id("stHeader")).to_be_hidden()
    shown = opened.page.evaluate(
        "() => [...document.querySelectorAll('button')].filter(one => one.checkVisibility() && !one.closest('summary'))"
        ".map(one => one.innerText)"
    )
    assert shown == []
    cut = opened.page.evaluate(
        """() => {
          const right = one => one.getBoundingClientRect().right;
          const edge = right(document.querySelector('[data-testid=stMainBlockContainer]'));
          return [...document.querySelectorAll('.main-svg')].filter(one => right(one) > edge + 1).length;
        }"""
    )
    assert cut == 0
    opened.page.emulate_media(media="screen")


@pytest.mark.parametrize("address", ["/", "/letting_review", "/program_forecast", RECORDS[0]])
def test_nor_in_dark(address: str, served: running.Dashboard, chromium: Browser) -> None:
    page = chromium.new_page(viewport={"width": 1280, "height": 720}, color_scheme="dark")
    page.goto(served.url + address)
    running.settle(page)
    ground = page.evaluate("getComputedStyle(document.querySelector('.stApp')).backgroundColor")
    assert ground == "rgb(17, 25, 28)"  # the dark palette's paper
    assert serious(page) == []
    page.close()
