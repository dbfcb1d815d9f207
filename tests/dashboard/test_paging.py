"""Long lists in pages: every row can be reached, and every contract leads to its bids."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.dashboard.pages import html_of, opened

PAGE = """
import streamlit as st
from bidlens.dashboard.paging import rows_of_page
count = st.number_input("count", 0, 200, 95, key="count")
shown = rows_of_page(int(count), 40, "page")
st.text(f"{shown.start}-{shown.stop}")
"""


def test_a_list_of_one_page_has_no_choice_and_a_longer_one_is_reached_to_its_end() -> None:
    app = AppTest.from_string(PAGE).run()
    assert app.text[0].value == "0-40"
    assert app.selectbox(key="page").options == ["1 to 40 of 95", "41 to 80 of 95", "81 to 95 of 95"]
    app.selectbox(key="page").select_index(2).run()
    assert app.text[0].value == "80-120"
    app.number_input(key="count").set_value(60).run()  # shorter by now: its last page
    assert app.text[0].value == "40-80"
    app.number_input(key="count").set_value(40).run()
    assert (app.text[0].value, len(app.selectbox)) == ("0-40", 0)
    assert not app.exception


def links(app: AppTest) -> list[str]:
    return re.findall(r'<a href="[^"]*contract=([^&"]+)&amp;letting=', html_of(app))


def test_every_contract_of_a_long_review_leads_to_its_bids(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "letting_review", year="2012-2025")
    first = links(app)
    app.selectbox(key="contract_let_page").select_index(1).run()
    second = links(app)
    assert not app.exception
    assert (len(first), len(second)) == (40, 29)  # one contract was let twice
    assert len({*first, *second}) == 68
