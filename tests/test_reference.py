"""Published tables that ship with bidlens, and the cost indexes among them.

Outside checks: statements by the Bureau of Transportation Statistics and the Eno Center for Transportation, both
quoting FHWA (`nhcci_check_values.csv`, rows marked `agrees`); deflation printed in FHWA Highway Statistics 2008, chart
PT-3C.
"""

import math
import tomllib

import numpy as np
import pandas as pd
import pytest

from bidlens import quarters
from bidlens.errors import MissingReference
from bidlens.ingest.cost_index import index_from_frame
from bidlens.reference import CostIndex, load_shipped_index, load_table, shared_dir

NHCCI = load_shipped_index("nhcci")


def published(metric: str) -> pd.DataFrame:
    told = load_table("nhcci_check_values").frame
    return told[(told["comparison"] == "agrees") & (told["metric"] == metric)]


def test_the_shipped_index_has_the_levels_its_readers_published() -> None:
    # Eno Center for Transportation quoting FHWA, to the printed decimals.
    for metric, rows in (("index level", 12), ("first-quarter level", 18)):
        told = published(metric)
        assert len(told) == rows
        for row in told.itertuples():
            digits = 4 if metric == "index level" else 2
            assert NHCCI.at(row.to_quarter) == pytest.approx(float(row.published_value), abs=0.5 * 10.0**-digits + 1e-9)


def test_the_shipped_index_grows_as_published() -> None:
    # BTS and Eno quoting FHWA; 0.005 points more than the printed rounding, as they start from four decimals.
    told = published("pct change")
    assert len(told) == 11
    for row in told.itertuples():
        digits = len(str(row.published_value).split(".")[1])
        change = (NHCCI.ratio(row.from_quarter, row.to_quarter) - 1) * 100
        assert change == pytest.approx(float(row.published_value), abs=0.5 * 10.0**-digits + 0.005)


def test_turning_points_fall_in_the_quarters_published() -> None:
    # Eno and BTS quoting FHWA, facts E1 to E5 and E7.
    facts = load_table("nhcci_check_values").frame.set_index("fact_id")["published_value"]
    values = pd.Series(NHCCI.values, index=list(NHCCI.quarters))
    growth = values.pct_change()
    assert (values >= 2).idxmax() == facts["E1"]
    assert (values >= 3).idxmax() == facts["E2"]
    assert values[: quarters.position("2010Q1") - quarters.position("2003Q1")].idxmax() == facts["E3"]
    assert (values["2009Q1":] > values["2008Q3"]).idxmax() == facts["E4"]
    assert values["2020Q1":].idxmin() == facts["E5"]
    assert growth.idxmax() == facts["E7"]


def test_yearly_growth_is_compounded() -> None:
    # Eno Center (2024) prints 2024Q1 as 3.1908 and 71.5 % since 2020Q4. Compounded that is 18.06 % a year over 13
    # quarters, and 5.68 % a year over the 21 years since 2003Q1 = 1.
    printed = index_from_frame(pd.DataFrame({"quarter": ["2024Q1"], "value": [3.1908]}), "printed").at("2024Q1")
    assert printed / 1.8601 - 1 == pytest.approx(0.715, abs=0.0005)
    assert (printed / 1.8601) ** (4 / 13) - 1 == pytest.approx(0.1806, abs=0.00005)
    assert printed ** (1 / 21) - 1 == pytest.approx(0.0568, abs=0.00005)
    assert quarters.position("2024Q1") - quarters.position("2020Q4") == 13


@pytest.mark.parametrize(
    ("as_spent", "level", "deflated"),
    [(75_162, 1.141, 65_874), (91_144, 1.246, 73_149), (81_098, 1.245, 65_139)],
)
def test_deflating_gives_the_printed_constant_dollars(as_spent: int, level: float, deflated: int) -> None:
    # FHWA Highway Statistics 2008, chart PT-3C, index 2003 = 1.
    index = index_from_frame(pd.DataFrame({"quarter": ["2003Q1", "2003Q2"], "value": [1.0, level]}), "PT-3C")
    assert round(as_spent * index.ratio("2003Q2", "2003Q1")) == deflated


def test_the_adjusted_series_is_another_series_and_says_so() -> None:
    adjusted = load_shipped_index("nhcci-adjusted")
    assert adjusted.seasonally_adjusted is True
    assert adjusted.title == "NHCCI to 2026 Q1, seasonally adjusted"
    assert NHCCI.title == "NHCCI to 2026 Q1, not seasonally adjusted"
    assert (NHCCI.at("2003Q1"), adjusted.at("2003Q1")) == (1.0, pytest.approx(1.011968272))
    assert (NHCCI.first, NHCCI.last, len(NHCCI.values)) == ("2003Q1", "2026Q1", 93)


def test_an_index_that_does_not_ship_is_refused_with_those_that_do() -> None:
    with pytest.raises(MissingReference, match="nhcci, nhcci-adjusted"):
        load_shipped_index("steel")


def test_a_quarter_outside_the_index_is_an_error_and_a_missing_ratio_in_a_frame() -> None:
    with pytest.raises(MissingReference, match="runs from 2003 Q1 to 2026 Q1"):
        NHCCI.at("2002Q4")
    ratios = NHCCI.ratios(pd.Series(["2024Q1", "1999Q1", None], index=[5, 6, 7]), "2024Q2")
    assert ratios[5] == pytest.approx(NHCCI.ratio("2024Q1", "2024Q2"))
    assert list(ratios.isna()) == [False, True, True]


@pytest.mark.parametrize("values", [[1.0], [1.0, 0.0], [1.0, math.nan], [1.0, -2.0]])
def test_an_index_needs_a_value_above_zero_for_every_quarter(values: list[float]) -> None:
    with pytest.raises(MissingReference):
        CostIndex("x", "2024Q2", None, ("2024Q1", "2024Q2"), np.array(values))


def test_a_forecast_is_told_from_what_is_published() -> None:
    index = CostIndex("x", "2024Q1", None, ("2024Q1", "2024Q2"), np.array([1.0, 1.1]), forecast_from="2024Q2")
    assert (index.last, index.last_published, index.title) == ("2024Q2", "2024Q1", "x to 2024 Q1")


def test_every_published_table_says_where_it_is_from() -> None:
    for path in sorted(shared_dir().glob("*.csv")):
        about = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
        assert {"title", "publisher", "release", "unit", "licence", "source", "read"} <= about.keys(), path.name
        assert len(load_table(path.stem).frame) > 0


def test_an_unknown_table_is_refused_with_those_there_are() -> None:
    with pytest.raises(MissingReference, match="nbi_item43"):
        load_table("moon_prices")
