"""Lists that scroll stand whole on paper, as text, or paper says where they are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.dashboard.hostile import SCRIPT
from tests.dashboard.pages import html_of, opened

PAGE = """
import datetime as dt
import pandas as pd
import streamlit as st
from bidlens.dashboard import on_paper
frame = pd.DataFrame({"Let": [dt.date(2024, 3, 9), None], "Price": [1234.5, None], "None": [None, None],
                      "Built": [1961, 2004], "Dollars": [1234567.0, 2.0], "Text": [%r, "b"]})
frame = pd.concat([frame] * st.number_input("times", 1, 200, 1, key="times"))
config = {"Price": st.column_config.NumberColumn(format="%%.2f"), "Built": st.column_config.NumberColumn(format="%%d")}
on_paper.scrolling(frame, key="list", column_config=config)
"""


def test_every_row_is_printed_as_text_with_the_numbers_of_the_screen() -> None:
    app = AppTest.from_string(PAGE % SCRIPT).run()
    assert not app.exception
    printed = html_of(app)
    assert re.findall(r"<th [^>]*>([^<]*)", printed) == ["Let", "Price", "Built", "Dollars", "Text"]
    cells = re.findall(r"<td[^>]*>([^<]*)</td>", printed)
    assert cells[:4] == ["9 Mar 2024", "1234.50", "1961", "1,234,567"]
    assert cells[5:7] == ["", ""]
    assert "<script" not in printed
    app.number_input(key="times").set_value(101).run()
    assert "A list of 202 rows is not printed" in html_of(app)


def test_the_history_is_printed_whole(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    printed = html_of(opened(sample_record, monkeypatch, "unit_cost_history")).partition('class="bl-paper"')[2]
    assert printed.partition("</table>")[0].count("<tr") == 1 + 68
