"""Times of dashboard pages: reruns in Streamlit's own harness, and first sight and several sessions in Chromium."""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page
from streamlit.testing.v1 import AppTest

from tests.browser import running
from tests.dashboard.pages import opened

PAGES = (
    "proposal_check",
    "unit_cost_history",
    "letting_review",
    "pay_item_prices",
    "program_forecast",
    "records",
    "how_it_works",
)
WIDGETS = ("selectbox", "radio", "segmented_control", "checkbox", "toggle", "number_input", "multiselect")
MILLISECONDS = 120_000
#: What the forecast's page says of the invented record, which has no program list: an answer, no trouble.
NO_LIST = "The program list holds no bridge"


@contextmanager
def _harness() -> Iterator[pytest.MonkeyPatch]:
    with pytest.MonkeyPatch.context() as patch:
        yield patch


def _seconds(app: AppTest) -> float:
    start = time.perf_counter()
    app.run(timeout=MILLISECONDS // 1000)
    took = time.perf_counter() - start
    if app.exception:
        raise AssertionError(f"the page ended in {app.exception[0].value}")
    return took


def cold_and_warm(record: Path, page: str) -> tuple[float, float]:
    """Seconds of a page's first run on a record, and the least of three reruns."""
    with _harness() as patch:
        patch.setattr("tests.dashboard.pages.SECONDS", MILLISECONDS // 1000)
        start = time.perf_counter()
        app = opened(record, patch, page)
        first = time.perf_counter() - start
        return first, min(_seconds(app) for _ in range(3))


@dataclass(frozen=True, slots=True)
class Changes:
    """Seconds from the change of a widget to the page drawn anew: to a value never asked for before, and once more."""

    new: list[float]
    again: list[float]


def widget_changes(record: Path, page: str) -> Changes:
    """Every widget of a page changed from the page as first opened: to two new values, then to the first again."""
    found = Changes([], [])
    with _harness() as patch:
        app = opened(record, patch, page)
        widgets = [(kind, at) for kind in WIDGETS for at, _ in enumerate(getattr(app, kind, ()))]
        for kind, at in widgets:
            app = opened(record, patch, page)
            values = _values(app, kind, at)
            for turn, value in enumerate([*values, *values[:1]]):
                if not _set(app, kind, at, value):
                    break
                (found.new if turn < len(values) else found.again).append(_seconds(app))
    return found


def searches(record: Path, words: Sequence[str] = ("concrete", "railing", "excavation")) -> Changes:
    """As `widget_changes`, of the form that searches pay items."""
    found = Changes([], [])
    with _harness() as patch:
        app = opened(record, patch, "pay_item_prices")
        for times in (found.new, found.again):
            for asked in words:
                app.text_input(key="items_words").set_value(asked)
                next(button for button in app.button if button.label == "Search").click()
                times.append(_seconds(app))
    return found


def _values(app: AppTest, kind: str, at: int) -> list[Any]:
    """Two values of a widget other than its own, where it has as many."""
    widget = list(getattr(app, kind))[at]
    if widget.disabled:
        return []
    if kind in ("checkbox", "toggle"):
        return [not widget.value]
    if kind == "number_input":
        step, now = widget.step or 1, widget.min if widget.value is None else widget.value
        up = widget.max is None or now + 2 * step <= widget.max
        return [now + step, now + 2 * step] if up else [now - step, now - 2 * step]
    others = [one for one in widget.options if one != widget.value and [one] != widget.value][:2]
    return [[one] for one in others] if kind == "multiselect" else others


def _set(app: AppTest, kind: str, at: int, value: Any) -> bool:
    """Give a widget a value; False where the page has changed so far that it is gone."""
    found = list(getattr(app, kind))
    if at >= len(found):
        return False
    found[at].set_value(value)
    return True


def p95(times: list[float]) -> float:
    """The 95th percentile, never above the longest seen."""
    return statistics.quantiles(times, n=20, method="inclusive")[-1] if len(times) > 1 else max(times, default=0.0)


def first_sight(record: Path) -> float:
    """Seconds from asking a server just started for its first page to its answer, in Chromium with nothing cached."""
    with running.dashboard(record) as server, running.browser() as chromium:
        return _until_answered(chromium.new_page(), server.url)


def _until_answered(page: Page, url: str) -> float:
    start = time.perf_counter()
    page.goto(url, timeout=MILLISECONDS)
    page.locator(".bl-answer, .bl-stopped").first.wait_for(timeout=MILLISECONDS)
    return time.perf_counter() - start


def sessions_at_once(record: Path, sessions: int = 5) -> tuple[list[float], list[str]]:
    """Open as many pages in Chromium at once, twice round all of them: seconds of each, and what went wrong.

    All are sent off before the first answer is waited for, so that the server has them at the same time.
    """
    troubles, times = [], []
    with running.dashboard(record) as server, running.browser() as chromium:
        pages = [chromium.new_context().new_page() for _ in range(sessions)]
        watches = [running.watched(page) for page in pages]
        for turn in range(2 * len(PAGES)):
            start = time.perf_counter()
            for number, page in enumerate(pages):
                name = PAGES[(turn + number) % len(PAGES)]
                page.goto(f"{server.url}/{'' if name == PAGES[0] else name}", timeout=MILLISECONDS, wait_until="commit")
            for page in pages:
                page.locator(".bl-answer, .bl-stopped, [data-testid=stException]").first.wait_for(timeout=MILLISECONDS)
                times.append(time.perf_counter() - start)
                wrong = page.locator(".bl-stopped, [data-testid=stException]")
                said = wrong.first.inner_text()[:120] if wrong.count() else ""
                troubles += [f"{page.url}: {said}"] if said and NO_LIST not in said else []
        troubles += [error for watch in watches for error in watch.errors]
        if server.process.poll() is not None:
            troubles.append("the server ended")
    return times, troubles


def server_memory_mb(process_id: int) -> float:
    """Largest memory a process has held so far, where the system tells."""
    status = Path(f"/proc/{process_id}/status")
    if os.name == "nt" or not status.exists():
        return float("nan")
    peak = next(line for line in status.read_text(encoding="utf-8").splitlines() if line.startswith("VmHWM"))
    return int(peak.split()[1]) / 1024
