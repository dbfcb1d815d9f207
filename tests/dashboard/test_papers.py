"""From a number to its row: contract, factors, bid rows and the line as it stands in its file, all by one address."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import parse_qs

import pandas as pd
import pytest

from bidlens import workflow
from bidlens.figures.marks import key_of, parted
from bidlens.report.chain import chain_of
from tests.dashboard.pages import html_of, opened

ROW = re.compile(r'<tr class="bl-read"><th scope="row">(\d+)</th>(.*?)</tr>')
CELL = re.compile(r"<td[^>]*>(.*?)</td>")


@pytest.fixture(scope="module")
def priced(sample_record: Path) -> workflow.PricedHistory:
    with workflow.open_database(sample_record) as db:
        return db.price_history()


def address_of(row: pd.Series) -> dict[str, str]:
    day = f"{row['letting_date']:%Y-%m-%d}"
    return {"contract": row["contract_id"], "letting": day, "structure": row["structure_id"]}


@pytest.mark.parametrize("page", ["proposal_check", "unit_cost_history"])
def test_an_address_opens_the_papers_down_to_the_row_as_read(
    page: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch, priced: workflow.PricedHistory
) -> None:
    row = priced.frame.iloc[3]
    shown = html_of(opened(sample_record, monkeypatch, page, **address_of(row)))
    assert f"The papers behind {row['contract_id']}" in shown
    found = ROW.search(shown)
    assert found is not None
    as_read = CELL.findall(found[2])
    lines = (workflow.sample_folder() / "bid_tabs" / row["source_file"]).read_text(encoding="utf-8").splitlines()
    assert {cell for cell in as_read if cell} <= set(lines[int(found[1]) - 1].replace('"', "").split(",")) | set(
        re.findall(r'"([^"]*)"', lines[int(found[1]) - 1])
    )


def test_a_line_in_the_address_is_the_one_shown(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch, priced: workflow.PricedHistory
) -> None:
    row = priced.frame.iloc[3]
    app = opened(sample_record, monkeypatch, "unit_cost_history", **address_of(row))
    links = re.findall(r'<a href="\?([^"]*line=[^"]*)" target="_self">', html_of(app))
    assert len(links) > 2
    asked = parse_qs(links[-1].replace("&amp;", "&"))
    assert asked["contract"] == [row["contract_id"]]
    other = opened(
        sample_record, monkeypatch, "unit_cost_history", **{name: values[0] for name, values in asked.items()}
    )
    first, last = ROW.search(html_of(app)), ROW.search(html_of(other))
    assert first is not None
    assert last is not None
    assert first[1] != last[1]


def test_a_line_chosen_by_keyboard_is_written_into_the_address(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch, priced: workflow.PricedHistory
) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", **address_of(priced.frame.iloc[3]))
    box = app.selectbox(key="line_of")
    before = ROW.search(html_of(app))
    box.select_index(1).run()
    assert app.query_params["line"]
    after = ROW.search(html_of(app))
    assert before is not None
    assert after is not None
    assert before[1] != after[1]


def test_a_row_marked_in_the_table_opens_its_papers(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch, priced: workflow.PricedHistory
) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", **address_of(priced.frame.iloc[3]), line="x")
    app.selectbox(key="papers_of").select_index(0).run()
    newest = priced.frame.sort_values(["letting_date", "contract_id"], ascending=False).iloc[0]
    assert app.query_params["contract"] == newest["contract_id"]
    assert "line" not in app.query_params


def test_a_file_that_was_not_kept_leaves_what_was_understood(
    own_record: Path, monkeypatch: pytest.MonkeyPatch, priced: workflow.PricedHistory
) -> None:
    with workflow.open_database(own_record) as db, db.store.open(write=True) as cursor:
        cursor.execute("DELETE FROM kept_file")
    shown = html_of(opened(own_record, monkeypatch, "unit_cost_history", **address_of(priced.frame.iloc[3])))
    assert "As it was understood:" in shown
    assert "was not kept" in shown


def test_an_address_of_no_contract_says_so(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown = html_of(opened(sample_record, monkeypatch, "unit_cost_history", contract="B-0", letting="2014-01-01"))
    assert "is not among those compared here" in shown


def test_the_factors_multiply_to_the_number(sample_record: Path, priced: workflow.PricedHistory) -> None:
    """Arithmetic alone: dollars over deck area times the index ratio, as printed, is the printed $/sf to a cent."""
    with workflow.open_database(sample_record) as db:
        for row in priced.frame.iloc[::9].to_dict("records"):
            papers = db.papers(row["contract_id"], row["letting_date"].date(), row["structure_id"])
            steps = chain_of(row, papers.structure, priced.index, len(papers.rows), priced.model and priced.model.n)
            assert abs(papers.rows["dollars"].sum() - steps[0].value) < 0.005
            printed = {step.what: float(re.sub(r"[^\d.]", "", step.shown)) for step in steps}
            assert printed["as bid"] == pytest.approx(steps[0].value / printed["deck area"], abs=0.01)
            assert printed["adjusted"] == pytest.approx(printed["as bid"] * printed["cost index"], rel=2e-4)
            assert printed["at the reference span"] == pytest.approx(printed["adjusted"] * printed["span"], rel=2e-4)


def test_a_key_is_parted_whatever_the_names_hold() -> None:
    for contract, structure in (("B-1", "K-1"), ("a|b", "c|d"), ("x\n", "<b>"), ("", "")):
        assert parted(key_of(contract, pd.Timestamp("2014-05-14"), structure)) == (contract, "2014-05-14", structure)
    assert parted("no key") is None
