"""Forecasts kept, held against what was let, forgotten again. All bridges are invented."""

from __future__ import annotations

import datetime as dt

import pandas as pd
import pytest

from bidlens import keeping, workflow
from bidlens.errors import NotOnRecord
from bidlens.program.record import ENOUGH, held_against, said

PROGRAM = workflow.sample_folder() / "program_2027.csv"
NOVEMBER = dt.datetime(2026, 11, 25, 9, 30, tzinfo=dt.UTC)


@pytest.fixture
def db(own_record):
    with workflow.open_database(own_record) as db:
        yield db


def test_nothing_let_yet_is_said_so(db):
    assert "No forecast is kept yet" in said(keeping.kept_forecasts(db))
    found = workflow.forecast_program(db, PROGRAM, year=2027, budget_usd=6.4e6, runs=500)
    assert keeping.keep_forecast(db, found, NOVEMBER) == ("2027-1", True)
    held = keeping.kept_forecasts(db)
    assert "1 forecast kept; no bridge of it has been let since, so nothing can be said" in said(held)
    assert list(held.totals.iloc[0][["bridges", "let"]]) == [11, 0]
    assert held.totals["total_inside"].isna().all()
    assert (held.bridges["said"] == "not let yet").all()
    assert held.totals["p80"].iloc[0] == pytest.approx(found.total.p80, abs=0.01)


def test_the_same_forecast_is_kept_once_another_beside_it_and_each_is_forgotten(db):
    found = workflow.forecast_program(db, PROGRAM, year=2027, runs=500)
    assert keeping.keep_forecast(db, found, NOVEMBER) == ("2027-1", True)
    again = workflow.forecast_program(db, PROGRAM, year=2027, runs=500)
    assert keeping.keep_forecast(db, again) == ("2027-1", False)
    other = workflow.forecast_program(db, PROGRAM, year=2027, runs=500, contingency_ratio=0.1)
    assert keeping.keep_forecast(db, other) == ("2027-2", True)
    assert keeping.forget_forecast(db, "2027-1") == 11
    assert list(keeping.kept_forecasts(db).totals["forecast_id"]) == ["2027-2"]
    with pytest.raises(NotOnRecord, match="Kept: 2027-2"):
        keeping.forget_forecast(db, "2027-1")


def test_a_past_year_is_held_against_its_bids_by_the_links_on_record(db):
    # What was let in 2025, asked about as if the day before, by the links between structure and contract.
    let = db.price_history("contract").frame
    year = let[let["letting_date"].dt.year == 2025]
    bridges = year[["structure_id", "superstructure", "length_ft", "width_ft", "spans", "skew_deg", "letting_date"]]
    found = workflow.forecast_program(db, bridges, year=2025, runs=500, contingency_ratio=0.10)
    keeping.keep_forecast(db, found, dt.datetime(2024, 12, 31, tzinfo=dt.UTC))
    held = keeping.kept_forecasts(db)
    assert len(held.counted) == len(year)
    paid = dict(zip(year["structure_id"], year["basis_usd"], strict=True))
    assert held.bridges["let_usd"].tolist() == [paid[name] for name in held.bridges["structure_id"]]
    assert held.totals["let_usd"].iloc[0] == pytest.approx(year["basis_usd"].sum())
    # contingency is no part of a bid and is taken off before the two are compared
    assert held.totals["p50"].iloc[0] == pytest.approx(found.total.p50 / 1.10, rel=1e-6)
    assert f"of {len(year)} bridges let since" in said(held)


def kept_row(**more):
    return {
        "forecast_id": "2027-1", "structure_id": "", "made_at": pd.Timestamp("2026-11-25"), "year": 2027, "years": 1,
        "basis": "contract", "mobilization": False, "superstructure": None, "letting_date": pd.NaT,
        "deck_area_sf": 1000.0, "fixed_usd": 0.0, "contingency_ratio": 0.0, "p10": 80.0, "p50": 100.0, "p80": 120.0,
        "p90": 140.0, "mean": 105.0, **more,
    }  # fmt: skip


def let_row(name, day, usd):
    return {
        "structure_id": name,
        "letting_date": pd.Timestamp(day),
        "basis_usd": usd,
        "deck_area_sf": 1000.0,
        "contract_id": "C",
    }


def test_hit_rates_by_hand():
    # Four bridges: one inside its range, one above P80 and still inside, one let before the forecast, one a year late.
    names = ["A", "B", "C", "D"]
    kept = pd.DataFrame([kept_row(), *(kept_row(structure_id=name) for name in names)])
    let = pd.DataFrame(
        [
            let_row("A", "2027-03-01", 90.0),
            let_row("B", "2027-04-01", 130.0),
            let_row("C", "2026-11-01", 100.0),
            let_row("D", "2028-02-01", 100.0),
        ]
    )
    held = held_against(kept, {("contract", False): let})
    assert held.bridges.set_index("structure_id")["said"].tolist() == [
        "",
        "",
        "not let yet",
        "let in a later year, not counted",
    ]
    assert list(held.totals.iloc[0][["bridges", "let", "inside", "below_p80"]]) == [4, 2, 2, 1]
    assert pd.isna(held.totals["total_inside"].iloc[0])
    told = said(held)
    assert "of 2 bridges let since, 2 came in between P10 and P90 (8 in 10 are meant to) and 1 below P80" in told
    assert f"Fewer than {ENOUGH} bridges say little." in told
    fixed = pd.DataFrame([kept_row(fixed_usd=60.0), kept_row(structure_id="A", fixed_usd=60.0)])
    assert not held_against(fixed, {("contract", False): let}).bridges["inside"].iloc[0]  # 20 to 80 for the contract
