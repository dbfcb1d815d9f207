"""Rows left out, rows screened, grades and findings: nothing drops out of sight."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
import pytest

from bidlens.model import fit_cost_model, grades
from bidlens.model.grades import Evidence
from bidlens.reference import load_shipped_index
from tests.model.histories import asked, history


def _text(model, code: str) -> str:
    return next((finding.text for finding in model.findings if finding.code == code), "")


def test_unusable_rows_are_listed_with_their_reasons():
    rows = history(30)
    rows.loc[0, "unit_cost_adjusted"] = 0.0
    rows.loc[1, "unit_cost_adjusted"] = np.nan
    rows.loc[2, "deck_area_sf"] = -10.0
    rows["letting_date"] = rows["letting_date"].astype("str")
    rows.loc[3, "letting_date"] = "soon"
    rows.loc[4, "letting_date"] = "1019-05-01"
    rows.loc[5, "unit_cost_adjusted"] = np.inf
    model = fit_cost_model(rows)
    assert model.n == 24
    assert sorted(model.left_out["contract_id"]) == [f"B-{1000 + row}" for row in range(6)]
    assert model.left_out["reason"].value_counts().to_dict() == {
        "no unit cost above zero": 3, "no letting date that can be read": 2, "no deck area that can be right": 1,
    }  # fmt: skip
    texts = " ".join(finding.text for finding in model.findings if finding.code == "rows_left_out")
    assert all(f"B-{1000 + row}" in texts for row in range(6))


def test_lettings_before_the_index_are_left_out_and_said():
    rows = history(20).rename(columns={"unit_cost_adjusted": "unit_cost"})
    rows.loc[0, "letting_date"] = pd.Timestamp("1999-06-01")
    model = fit_cost_model(rows, load_shipped_index())
    assert list(model.left_out["reason"]) == ["let before the cost index begins"]
    early = model.predict(asked(letting_date=pd.Timestamp("2001-01-01")))
    assert early["grade"].iloc[0] == "D"
    assert np.isnan(early["p50"].iloc[0])
    assert "inside or after the cost index" in early["reason"].iloc[0]


def test_lettings_after_the_index_are_kept_and_said():
    rows = history(20).rename(columns={"unit_cost_adjusted": "unit_cost"})
    rows.loc[0, "letting_date"] = pd.Timestamp("2026-08-01")
    model = fit_cost_model(rows, load_shipped_index())
    assert model.n == 20
    assert _text(model, "let_after_index").startswith("1 priced structure")


def test_a_wild_price_is_screened_named_and_changes_little():
    rows = history(60)
    rows.loc[7, "unit_cost_adjusted"] *= 6
    clean = fit_cost_model(rows.drop(index=7)).predict(asked())["p50"].iloc[0]
    model = fit_cost_model(rows)
    wild = model.screened[model.screened["contract_id"] == "B-1007"]
    assert len(wild) == 1
    assert wild["times_expected"].iloc[0] == pytest.approx(6, rel=0.6)
    finding = next(finding for finding in model.findings if finding.contract_id == "B-1007")
    assert finding.code == "row_screened"
    assert "given no weight" in finding.text
    assert model.predict(asked())["p50"].iloc[0] == pytest.approx(clean, rel=0.01)
    table = model.diagnostics()
    assert len(table) == model.n
    assert (table.loc[table["screened"], "weight"] == 0).all()


def test_no_more_than_fifteen_rows_in_a_hundred_are_screened():
    rows = history(60)
    rows.loc[:29, "unit_cost_adjusted"] *= np.where(np.arange(30) % 2, 30.0, 1 / 30.0)
    model = fit_cost_model(rows)
    assert len(model.screened) <= 9


def test_an_index_that_does_not_suit_the_county_is_said():
    # Prices that never rose, set against an index that more than doubled.
    flat = history(120).rename(columns={"unit_cost_adjusted": "unit_cost"})
    assert "slower than the cost index" in _text(fit_cost_model(flat, load_shipped_index()), "departs_from_index")
    assert not _text(fit_cost_model(history(120)), "departs_from_index")


def test_the_departure_is_seen_without_an_index_from_the_ratios():
    index = load_shipped_index()
    rows = history(120)
    ratio = 3.0 / np.array([index.at(f"{date.year}Q{date.quarter}") for date in rows["letting_date"]])
    over_adjusted = rows.assign(index_ratio=ratio, unit_cost_adjusted=rows["unit_cost_adjusted"] * ratio)
    assert "slower" in _text(fit_cost_model(over_adjusted), "departs_from_index")


def test_one_letting_year_an_old_record_and_prices_as_bid_are_said():
    rows = history(20).assign(letting_date=pd.Timestamp("2015-05-01"))
    assert "1 letting year:" in _text(fit_cost_model(rows), "few_letting_years")
    bid = rows.rename(columns={"unit_cost_adjusted": "unit_cost"})
    assert _text(fit_cost_model(bid), "prices_not_adjusted")
    assert "43 quarters older" in _text(fit_cost_model(bid, load_shipped_index()), "last_letting_old")
    assert "last letting on record 10 years earlier" in fit_cost_model(rows).predict(asked())["reason"].iloc[0]


def test_a_row_that_carries_a_prediction_alone_is_named():
    rows = history(60)
    rows = rows[rows["superstructure"] != "timber"]
    alone = {"superstructure": "timber", "contract_id": "B-9", "structure_id": "B-9", "unit_cost_adjusted": 200.0}
    one = history(60).iloc[[0]].assign(**alone)
    table = fit_cost_model(pd.concat([rows, one], ignore_index=True)).predict(asked(superstructure="timber"))
    reason = table["reason"].iloc[0]
    assert "a single one of this type on record" in reason
    said = re.search(r"without B-9 it would be (\d+)% lower", reason)
    without = fit_cost_model(rows).predict(asked(superstructure="timber"))["p50"].iloc[0]
    assert float(said[1]) == pytest.approx(100 * (1 - without / table["p50"].iloc[0]), abs=3)


def _evidence(**more: object) -> Evidence:
    usual: dict[str, object] = {
        "rows": 60, "of_type": [12], "span_beyond": [0.0], "area_beyond": [0.0], "ignorance": [0.2],
        "years_since": [1.0], "quarters_ahead": [0], "no_span": [False], "no_area": [False], "no_bidders": [False],
        "swayed_by": ["B-1"], "sway": [0.0],
    }  # fmt: skip
    given = usual | more
    return Evidence(
        **{name: np.array(value) if name not in {"rows", "swayed_by"} else value for name, value in given.items()}
    )


@pytest.mark.parametrize(
    ("more", "letter"),
    [
        ({}, "A"),
        ({"ignorance": [0.349]}, "A"), ({"ignorance": [0.35]}, "B"), ({"ignorance": [0.70]}, "C"),
        ({"ignorance": [1.25]}, "D"),
        ({"span_beyond": [0.01]}, "B"), ({"span_beyond": [0.22]}, "B"), ({"span_beyond": [0.23]}, "C"),
        ({"span_beyond": [-0.23]}, "C"), ({"span_beyond": [0.69]}, "C"), ({"span_beyond": [0.70]}, "D"),
        ({"of_type": [-1]}, "D"), ({"area_beyond": [1.0]}, "D"), ({"area_beyond": [0.9]}, "A"),
        ({"rows": 11}, "C"), ({"rows": 12}, "A"),
    ],
)  # fmt: skip
def test_grades_fall_at_their_limits(more, letter):
    assert grades.grade(_evidence(**more))[0] == letter


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (
            {"span_beyond": [np.log(1.3)]},
            "span 30% longer than any of this type on record, where predictions tend to run low",
        ),
        (
            {"span_beyond": [np.log(0.8)]},
            "span 20% shorter than any of this type on record, where predictions tend to run low",
        ),
        ({"of_type": [-1]}, "no history for this type"),
        ({"sway": [0.14]}, "without B-1 it would be 14% higher"),
        ({"sway": [0.09]}, "12 of this type on record"),
        ({"quarters_ahead": [1]}, "cost index forecast 1 quarter ahead"),
    ],
)
def test_reasons_are_in_plain_words(more, words):
    assert words in grades.reasons(_evidence(**more))[0]


def test_cross_checks_come_with_rows_enough():
    assert fit_cost_model(history(24)).cross_checks().empty
    assert set(fit_cost_model(history(40)).cross_checks()["method"]) == {"ordinary"}
    table = fit_cost_model(history(300)).cross_checks()
    assert set(table["method"]) == {"ordinary", "mixed", "robust"}
    # With 300 rows of a log-linear truth every method must find nearly the same deck area slope.
    slopes = table.loc[table["term"] == "ln deck area", "estimate"]
    assert slopes.max() - slopes.min() < 0.05


def test_findings_come_worst_first():
    rows = history(3)
    rows.loc[0, "skew_deg"] = np.nan
    order = [finding.severity for finding in fit_cost_model(rows).findings]
    assert order == sorted(order, key=["stop", "check", "note"].index)


def test_numbers_out_of_all_proportion_are_left_out_and_harm_nothing():
    rows = history(40)
    usual = fit_cost_model(rows.drop(index=[0, 1])).predict(asked())["p50"].iloc[0]
    rows.loc[0, "unit_cost_adjusted"] = 1e200
    rows.loc[1, "deck_area_sf"] = 1e-200
    model = fit_cost_model(rows)
    assert list(model.left_out["reason"]) == ["a unit cost out of all proportion", "no deck area that can be right"]
    assert model.predict(asked())["p50"].iloc[0] == pytest.approx(usual)


def test_many_types_of_one_row_each_are_fitted():
    rows = history(60).assign(superstructure=[f"kind {row}" for row in range(60)])
    model = fit_cost_model(rows)
    assert len(model.types) == 60
    assert np.isfinite(model.predict(rows)["p50"]).all()


def test_a_history_adjusted_by_another_index_is_said():
    raw, adjusted = load_shipped_index("nhcci"), load_shipped_index("nhcci-adjusted")
    rows = history(40)
    quarter = [f"{date.year}Q{date.quarter}" for date in rows["letting_date"]]
    ratio = np.array([raw.ratio(one, "2025Q1") for one in quarter])
    rows = rows.assign(index_ratio=ratio, unit_cost=rows["unit_cost_adjusted"] / ratio)
    assert "history_of_another_index" not in {one.code for one in fit_cost_model(rows, raw).findings}
    found = [one for one in fit_cost_model(rows, adjusted).findings if one.code == "history_of_another_index"]
    assert len(found) == 1
    assert "seasonally adjusted" in found[0].text
