"""A prediction taken apart: the parts multiply to it exactly, and each effect is told with its interval."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.model import fit_cost_model
from bidlens.model.cross_checks import disagreements
from bidlens.model.explain import PARTS
from bidlens.reference import load_shipped_index
from tests.model.histories import asked, history

#: Products of eight factors in double precision.
EXACT = 1e-12


def _as_bid(rows: pd.DataFrame) -> pd.DataFrame:
    index = load_shipped_index()
    level = np.array([index.at(f"{date.year}Q{date.quarter}") for date in rows["letting_date"]])
    return rows.assign(unit_cost=rows["unit_cost_adjusted"] * level).drop(columns="unit_cost_adjusted")


@pytest.fixture(scope="module")
def model():
    return fit_cost_model(_as_bid(history(80)), load_shipped_index())


@settings(max_examples=30, deadline=None)
@given(
    span=st.one_of(st.none(), st.floats(8, 400)),
    area=st.one_of(st.none(), st.floats(200, 40_000)),
    bidders=st.one_of(st.none(), st.integers(1, 14)),
    skew=st.one_of(st.none(), st.floats(-60, 60)),
    kind=st.sampled_from(["rolled steel beam", "timber", "a type nobody has let"]),
    date=st.dates(pd.Timestamp("2004-01-01").date(), pd.Timestamp("2028-12-31").date()),
)
def test_the_parts_multiply_exactly_to_the_predicted_middle(model, span, area, bidders, skew, kind, date):
    one = asked(
        span_ft=span, deck_area_sf=area, bidders=bidders, skew_deg=skew, superstructure=kind, letting_date=date
    )  # fmt: skip
    parts, predicted = model.explain(one).iloc[0], model.predict(one).iloc[0]
    assert parts["p50"] == pytest.approx(predicted["p50"], rel=EXACT)
    assert parts["reference"] * np.prod([parts[name] for name in PARTS]) == pytest.approx(parts["p50"], rel=EXACT)


def test_the_reference_bridge_is_explained_by_ones(model):
    last = model.rows.geometry.dates.max()
    one = asked(
        superstructure="no such type", span_ft=60, deck_area_sf=2000, bidders=5, skew_deg=0, letting_date=last
    )  # fmt: skip
    parts = model.explain(one).iloc[0]
    assert [parts[name] for name in PARTS if name != "market"] == pytest.approx([1.0] * 6)
    assert "60 ft span" in model.reference_words
    assert "2,000 sf" in model.reference_words


def test_one_thing_changed_moves_its_own_part_alone(model):
    here, there = model.explain(asked()).iloc[0], model.explain(asked(bidders=7.0)).iloc[0]
    assert there["bidders"] < here["bidders"]
    others = [name for name in ("reference", *PARTS) if name != "bidders"]
    assert list(there[others]) == pytest.approx(list(here[others]))


def test_below_four_rows_nothing_is_explained():
    few = fit_cost_model(history(3))
    assert few.explain(asked()).isna().all(axis=None)
    assert few.in_words().empty
    assert few.influential.empty


def test_effects_in_words_follow_from_the_coefficients():
    model = fit_cost_model(history(200))
    table = model.in_words().set_index("term")
    mean = model.coefficients.set_index("term")["mean"]
    assert table.loc["bidders", "ratio"] == pytest.approx(np.exp(mean["per bidder"]))
    assert table.loc["deck area", "ratio"] == pytest.approx(2 ** mean["ln deck area"])
    assert table.loc["skew", "ratio"] == pytest.approx(np.exp(mean["skew"]))
    assert (table["low"] < table["ratio"]).all()
    assert (table["ratio"] < table["high"]).all()
    assert table["learnt"].between(0, 1).all()
    assert table.loc["bidders", "words"].startswith("each extra bidder, up to eight: ")
    assert "8 in 10 sure" in table.loc["bidders", "words"]


def test_intervals_of_effects_hold_about_eight_in_ten():
    # The truth of the made-up history: 3 % lower per bidder, elasticity -0.15 to deck area.
    truth = {"bidders": np.exp(-0.03), "deck area": 2**-0.15}
    inside = []
    for seed in range(40):
        table = fit_cost_model(history(60, seed)).in_words().set_index("term")
        inside += [table.loc[name, "low"] <= value <= table.loc[name, "high"] for name, value in truth.items()]
    assert 0.70 <= np.mean(inside) <= 0.97


def test_an_effect_the_record_does_not_show_is_told_as_assumed():
    table = fit_cost_model(history(40).assign(skew_deg=0.0)).in_words().set_index("term")
    assert "mostly assumed beforehand" in table.loc["skew", "words"]
    assert table.loc["skew", "learnt"] == pytest.approx(0.0, abs=0.05)
    assert "span" not in fit_cost_model(history(40).assign(span_ft=np.nan)).in_words()["term"].tolist()


def test_types_are_told_from_25_rows_only():
    assert not fit_cost_model(history(24)).in_words()["term"].str.startswith("type").any()
    assert fit_cost_model(history(25)).in_words()["term"].str.startswith("type").any()


def test_a_letting_that_sways_a_type_is_listed_and_says_how_far():
    rows = history(14)
    rows.loc[13, ["superstructure", "unit_cost_adjusted"]] = ["covered truss", 420.0]
    found = fit_cost_model(rows).influential
    assert rows.loc[13, "contract_id"] in set(found["contract_id"])
    assert (found["moves"].abs() > 0.10).all()
    assert found["moves"].abs().is_monotonic_decreasing


def test_other_methods_that_differ_are_named_once():
    table = fit_cost_model(history(60)).cross_checks()
    apart = table.assign(differs=False)
    assert disagreements(apart) == []
    apart.loc[0, "differs"] = True
    found = disagreements(apart)
    assert len(found) == 1
    assert apart.loc[0, "term"] in found[0].text
    assert disagreements(fit_cost_model(history(10)).cross_checks()) == []
