"""Times of dashboard pages: reruns in Streamlit's own harness, and first sight and several sessions in Chromium."""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

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


def widget_changes(record: Path, page: str) -> list[float]:
    """Seconds from the change of a widget to the page drawn anew: each one changed twice, the second time counted."""
    times = []
    with _harness() as patch:
        app = opened(record, patch, page)
        for kind in WIDGETS:
            for at in range(len(getattr(app, kind, ()))):
                for counted in (False, True):
                    if not _change(app, kind, at):
                        break
                    try:
                        took = _seconds(app)
                    except ValueError:  # the harness cannot send a choice whose options changed: begin anew
                        app = opened(record, patch, page)
                        break
                    if counted:
                        times.append(took)
    return times


def _change(app: AppTest, kind: str, at: int) -> bool:
    """Give a widget another of its values; False where it has none, or is gone from the page."""
    found = list(getattr(app, kind))
    if at >= len(found) or found[at].disabled:
        return False
    widget = found[at]
    if kind in ("checkbox", "toggle"):
        widget.set_value(not widget.value)
    elif kind == "number_input":
        widget.increment()
    else:
        others = [one for one in widget.options if one != widget.value and [one] != widget.value]
        if not others:
            return False
        widget.set_value(others[:1] if kind == "multiselect" else others[0])
    return True


def p95(times: list[float]) -> float:
    return statistics.quantiles(times, n=20)[-1] if len(times) > 1 else max(times, default=0.0)


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
