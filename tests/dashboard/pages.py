"""Pages run in Streamlit's own test harness, and what they show."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from streamlit.runtime.pages_manager import PagesManager
from streamlit.testing.v1 import AppTest

from bidlens import dashboard
from bidlens.dashboard.launch import DATABASE_VARIABLE

APP = Path(dashboard.__file__).with_name("app.py")
SECONDS = 60
EVERY = (
    "proposal_check",
    "unit_cost_history",
    "letting_review",
    "pay_item_prices",
    "program_forecast",
    "records",
    "how_it_works",
)
STOPPED = 'class="bl-note bl-stopped"'


def opened(record: Path | str, monkeypatch: pytest.MonkeyPatch, page: str = "proposal_check", **query: str) -> AppTest:
    """A page in its frame, run once."""
    monkeypatch.setenv(DATABASE_VARIABLE, str(record))
    _frame_first(monkeypatch)
    app = AppTest.from_file(str(APP), default_timeout=SECONDS)
    if page != "proposal_check":
        app.run()
        app.switch_page(f"pages/{page}.py")
    for name, value in query.items():
        app.query_params[name] = value
    app.run()
    return app


def _frame_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Run app.py before a page, as `launch` does: the harness takes a folder named pages for Streamlit's older way."""
    made = PagesManager.__init__

    def init(manager: PagesManager, *given: Any, **named: Any) -> None:
        PagesManager.uses_pages_directory = False
        made(manager, *given, **named)

    monkeypatch.setattr(PagesManager, "__init__", init)


def html_of(app: AppTest) -> str:
    """All HTML of a page but its style sheet."""
    bodies = [element.proto.body for element in app.get("html")]
    return "\n".join(body for body in bodies if not body.startswith("<style>"))


def charts(app: AppTest) -> int:
    return len(app.get("plotly_chart"))
