"""Pay item prices, the county's index, and why an average changed: against references, and adding up to the cent."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.findings import Unavailable
from bidlens.letting.change import PARTS, ChangeExplained, change_by_year, change_explained
from bidlens.letting.pay_items import prices_moved, repeat_work, with_item
from bidlens.letting.price_index import MATCHED_FROM, beyond_index, county_index
from bidlens.letting.suggested import SuggestedPrice, suggested_price
from bidlens.letting.unit_costs import by_type, by_year
from bidlens.normalizer import ratio_of_sums
from bidlens.reference import load_shipped_index


def item_lines(rows: list[tuple[str, str, str, float, float]]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=["item_code", "description", "pay_unit", "quantity", "unit_price"])
    return frame.assign(work_category="deck", contract_id=[f"C-{n}" for n in range(len(frame))])


def test_a_code_gathers_spellings_and_a_description_without_code_joins_it_but_units_stay_apart() -> None:
    lines = item_lines(
        [("C-521", "Deck concrete", "CY", 1, 1), ("C-521", "CONC, DECK", "CY", 1, 1),
         ("", "deck concrete.", "CY", 1, 1),
         ("", "Deck concrete", "SY", 1, 1), ("C-521", "Deck concrete", "SF", 1, 1)]
    )  # fmt: skip
    assert with_item(lines)["item"].tolist() == ["C-521 · CY"] * 3 + ["deck concrete · SY", "C-521 · SF"]


def test_a_catch_all_code_is_split_by_description() -> None:
    lines = item_lines([("9999", f"Special work {n}", "EA", 1, 1) for n in range(7)])
    assert with_item(lines)["item"].nunique() == 7


def test_lump_sums_time_and_mobilization_are_no_repeat_work() -> None:
    # FHWA presentation of October 2010 on the national index: lump sums, start-up and mobilization, time items removed.
    lines = item_lines([("", "Bridge removal", "LS", 1, 9), ("", "Road user days", "DAY", 9, 9),
                        ("", "Riprap", "TON", 2, 9),
                        ("", "Mobilization", "EA", 1, 9), ("", "Riprap", "TON", 0, 9)])  # fmt: skip
    lines["work_category"] = ["removal", "other", "channel", "mobilization", "channel"]
    assert repeat_work(lines)["description"].tolist() == ["Riprap"]


def test_prices_that_moved_give_both_n_and_rank_by_dollars() -> None:
    lines = item_lines(
        [
            ("A", "Small", "CY", 1, 10),
            ("A", "Small", "CY", 1, 20),
            ("B", "Large", "CY", 900, 10),
            ("B", "Large", "CY", 900, 11),
        ]
    )
    lines["letting_date"] = pd.to_datetime(["2024-01-01", "2025-01-01"] * 2)
    moved = prices_moved(with_item(lines).assign(real_price=lines["unit_price"]), (2025, 2025))
    assert moved["item_title"].tolist() == ["Large", "Small"]
    assert moved["change"].tolist() == pytest.approx([0.1, 1.0])
    assert moved["effect_usd"].tolist() == pytest.approx([900.0, 10.0])
    assert (moved[["n_before", "n_year"]] == 1).all(axis=None)


# Norris, NIST Statistical Reference Datasets, has its own test of the model room; here the interval is checked against
# ordinary least squares of a reference library on the same logs.
def test_a_suggested_price_is_the_ordinary_prediction_of_a_new_observation() -> None:
    import statsmodels.api as sm

    rng = np.random.default_rng(7)
    quantity = pd.Series(np.exp(rng.uniform(2, 6, 20)))
    price = pd.Series(90 * quantity**-0.12 * np.exp(rng.normal(0, 0.15, 20)))
    found = suggested_price(price, quantity, 100.0)
    assert isinstance(found, SuggestedPrice)
    fit = sm.OLS(np.log(price), sm.add_constant(np.log(quantity))).fit()
    frame = fit.get_prediction([[1.0, np.log(100.0)]]).summary_frame(alpha=0.2)
    low, middle, high = (float(np.exp(frame[name].iloc[0])) for name in ("obs_ci_lower", "mean", "obs_ci_upper"))
    assert (found.low, found.price, found.high) == pytest.approx((low, middle, high))


def test_few_prices_give_their_middle_and_fewer_give_none() -> None:
    price, quantity = pd.Series([10.0, 12, 15, 30]), pd.Series([1.0, 2, 3, 4])
    found = suggested_price(price, quantity)
    assert isinstance(found, SuggestedPrice)
    assert (found.low, found.price, found.high, found.n) == (10, 13.5, 30, 4)
    assert isinstance(suggested_price(price[:3], quantity[:3]), Unavailable)


# Caltrans Construction Statistics 2012, page 1: 130 bridges, deck 2,256,721 sf, $442,969,970, printed $196.29/sf; the
# plain mean of its ten type averages is $273.10.
def test_an_average_is_all_dollars_over_all_deck_area() -> None:
    one = pd.DataFrame({"unit_cost": [442_969_970 / 2_256_721], "deck_area_sf": [2_256_721.0]})
    halves = pd.DataFrame({"unit_cost": [143.22, 418.04], "deck_area_sf": [3_000.0, 1_000.0]})
    assert round(ratio_of_sums(one, "unit_cost"), 2) == 196.29
    assert ratio_of_sums(halves, "unit_cost") == pytest.approx((143.22 * 3 + 418.04) / 4)


def history(rng: np.random.Generator, n: int, year: int, level: float) -> pd.DataFrame:
    area = rng.uniform(800, 6_000, n)
    adjusted = rng.uniform(90, 300, n)
    return pd.DataFrame(
        {"letting_date": pd.Timestamp(f"{year}-06-01"), "superstructure": rng.choice(["timber", "concrete slab"], n),
         "deck_area_sf": area, "span_ft": rng.uniform(20, 90, n), "skew_deg": 0.0,
         "bidders": rng.integers(1, 7, n).astype(float),
         "unit_cost_adjusted": adjusted, "unit_cost": adjusted / level}
    )  # fmt: skip


def predicted(structures: pd.DataFrame) -> pd.Series:
    kind = structures["superstructure"].map({"timber": 1.0, "concrete slab": 1.3})
    return kind * 150 * (structures["span_ft"] / 60) ** 0.2 * 0.97 ** structures["bidders"]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(4, 20), st.integers(2, 9))
def test_the_parts_of_a_change_add_to_the_whole(seed: int, n_before: int, n_after: int) -> None:
    rng = np.random.default_rng(seed)
    before, after = history(rng, n_before, 2023, 1.25), history(rng, n_after, 2025, 1.02)
    found = change_explained(before, after, predicted)
    assert isinstance(found, ChangeExplained)
    assert found.before + sum(part.per_sf for part in found.parts) == pytest.approx(found.after, abs=0.005)
    shuffled = change_explained(before.sample(frac=1, random_state=1), after.iloc[::-1], predicted)
    assert isinstance(shuffled, ChangeExplained)
    assert [p.per_sf for p in shuffled.parts] == pytest.approx([p.per_sf for p in found.parts], abs=1e-6)


def test_the_same_bridges_at_another_index_level_changed_by_the_index_alone() -> None:
    before = history(np.random.default_rng(1), 6, 2023, 1.25)
    after = before.assign(unit_cost=before["unit_cost_adjusted"])
    found = change_explained(before, after, predicted)
    assert isinstance(found, ChangeExplained)
    assert [round(part.per_sf, 6) for part in found.parts[1:]] == [0.0] * 4
    assert found.parts[0].per_sf == pytest.approx(found.after - found.before)


def test_a_change_is_not_explained_without_model_or_from_too_few() -> None:
    rng = np.random.default_rng(2)
    assert isinstance(change_explained(history(rng, 9, 2023, 1), history(rng, 3, 2025, 1), None), Unavailable)
    assert isinstance(change_explained(history(rng, 3, 2023, 1), history(rng, 3, 2025, 1), predicted), Unavailable)


def test_types_stand_beside_all_types_on_one_basis() -> None:
    rng = np.random.default_rng(3)
    frame = pd.concat([history(rng, 6, 2023, 1.2), history(rng, 4, 2025, 1.0)], ignore_index=True)
    table = by_type(frame, "bridge", (2025, 2025), (2022, 2024))
    assert table["n_year"].iloc[:-1].sum() == table["n_year"].iloc[-1] == 4
    assert table["superstructure"].iloc[-1] == "all types"


def test_the_change_of_each_year_adds_up_and_a_year_with_too_few_says_so() -> None:
    rng = np.random.default_rng(4)
    frame = pd.concat([history(rng, n, year, 1.2) for n, year in ((6, 2021), (5, 2022), (1, 2023), (4, 2024))])
    table = change_by_year(frame.reset_index(drop=True), (2022, 2024), predicted).set_index("year")
    ends = table.loc[2022, ["before_per_sf", "price", "mix", "competition"]].sum()
    assert ends == pytest.approx(table.loc[2022, "after_per_sf"], abs=0.005)
    assert table.loc[2022, list(PARTS)].sum() == pytest.approx(
        table.loc[2022, ["price", "mix", "competition"]].sum(), abs=1e-9
    )
    assert table.loc[[2023, 2024], "reason"].str.contains("it takes 4 and 2").all()
    assert table.loc[[2023, 2024], list(PARTS)].isna().all(axis=None)
    one = change_explained(frame[frame["letting_date"].dt.year == 2021], frame[frame["letting_date"].dt.year == 2022],
                           predicted)  # fmt: skip
    assert isinstance(one, ChangeExplained)
    assert [part.per_sf for part in one.parts] == pytest.approx(table.loc[2022, list(PARTS)].tolist())


def test_unit_costs_by_year_are_ratios_of_sums_up_to_the_last_year() -> None:
    rng = np.random.default_rng(5)
    frame = pd.concat([history(rng, 6, 2023, 1.2), history(rng, 4, 2025, 1.0)], ignore_index=True)
    table = by_year(frame, "bridge", 2024)
    assert table[["year", "n"]].values.tolist() == [[2023, 6]]
    rows = frame[frame["letting_date"].dt.year == 2023]
    dollars = (rows["unit_cost"] * rows["deck_area_sf"]).sum()
    assert table["per_sf"].iloc[0] == pytest.approx(dollars / rows["deck_area_sf"].sum())


def bought(year: int, factor: float, n: int = MATCHED_FROM) -> pd.DataFrame:
    rows = [(str(100 + k), f"Item {k}", "CY", 10.0 + k, (5.0 + k) * factor) for k in range(n)]
    lines = item_lines(rows)
    return lines.assign(letting_date=pd.Timestamp(f"{year}-06-01"), real_price=lines["unit_price"])


def test_prices_beyond_the_index_are_the_fisher_index_of_the_items_both_times_hold() -> None:
    found = beyond_index(with_item(pd.concat([bought(2023, 1.0), bought(2025, 1.07)], ignore_index=True)), 2025)
    assert not isinstance(found, Unavailable)
    assert (found.matched_items, found.matched_share) == (MATCHED_FROM, pytest.approx(1.0))
    assert found.change == pytest.approx(0.07)
    few = with_item(pd.concat([bought(2023, 1.0, 4), bought(2025, 1.07, 4)], ignore_index=True))
    assert isinstance(beyond_index(few, 2025), Unavailable)


def test_the_county_index_gathers_an_item_s_spellings_and_leaves_lump_sums_out() -> None:
    years = pd.concat([bought(2023, 1.0), bought(2024, 1.1)], ignore_index=True)
    lump = item_lines([("9", "All work", "LS", 1.0, 9e6)]).assign(letting_date=pd.Timestamp("2024-06-01"))
    lines = pd.concat([years, lump], ignore_index=True)
    lines = lines.assign(year=lines["letting_date"].dt.year, usd=lines["quantity"] * lines["unit_price"])
    table = county_index(lines, load_shipped_index())
    assert table[["year", "n"]].values.tolist() == [[2023, 0], [2024, MATCHED_FROM]]
    assert table["link"].iloc[1] == table["fisher"].iloc[1] == pytest.approx(1.1)
