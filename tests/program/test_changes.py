"""One bridge changed at a time, alternatives of type, the growth rule: all in the same futures."""

from __future__ import annotations

import numpy as np
import pytest

from bidlens.errors import BadValue
from bidlens.program import Growth, futures_of
from bidlens.program.changes import a_year_later, alternatives_table, changes_of
from bidlens.program.year_words import alternatives_words
from tests.program.conftest import TYPES, listed


def futures(county, bridges=None, runs=2000):
    return futures_of(county.plan(listed() if bridges is None else bridges), county.model, runs, 1)


def test_leaving_a_bridge_out_takes_away_what_it_costs_in_every_future(county):
    asked = futures(county)
    dollars = asked.as_planned()
    table = changes_of(asked, dollars, a_year_later(asked), 2.5e6)
    first = table[table["structure_id"] == "P-000"].set_index("change")
    assert first.loc["left out", "p50"] == pytest.approx(-np.median(dollars[:, 0]))
    without = dollars[:, 1:].sum(axis=1)
    assert first.loc["left out", "chance_covers"] == np.mean(without <= 2.5e6)
    assert first.loc["left out", "p80_change"] == pytest.approx(
        np.quantile(without, 0.8) - np.quantile(dollars.sum(axis=1), 0.8)
    )
    later = first.loc["a year later"]
    assert later["p90"] - later["p10"] < np.ptp(np.quantile(dollars[:, 0], [0.1, 0.9]))


def test_another_type_is_the_cheapest_on_record_at_that_span(county):
    asked = futures(county)
    table = changes_of(asked, asked.as_planned(), a_year_later(asked), None)
    retyped = table[table["change"] == "as another type"]
    assert set(retyped["superstructure"]) <= set(TYPES)
    planned = dict(zip(asked.plan.frame["structure_id"], asked.plan.frame["superstructure"], strict=True))
    assert (retyped["superstructure"] != retyped["structure_id"].map(planned)).all()
    assert table["chance_covers"].isna().all()


def test_alternatives_are_priced_in_the_same_futures_and_noise_is_called_so(county):
    rows = listed(2, superstructure=["rolled steel beams | adjacent box beams", "concrete slab"])
    asked = futures(county, rows)
    table = alternatives_table(asked)
    assert list(table["superstructure"]) == ["rolled steel beam", "adjacent box beam"]
    both = asked.dollars(np.array([0, 0]), superstructure=table["superstructure"])
    assert table["chance_cheapest"].iloc[1] == pytest.approx(np.mean(both[:, 1] < both[:, 0]))
    assert table["against_p50"].iloc[1] == pytest.approx(np.median(both[:, 1] - both[:, 0]))
    assert list(table.iloc[0][["against_p10", "against_p50", "against_p90"]]) == [0, 0, 0]
    even = alternatives_words(table.assign(chance_cheapest=[0.45, 0.55]))[0]
    assert "is the cheapest in 55 chances of 100; that is noise: on this history neither is cheaper." in even
    assert "noise" not in alternatives_words(table.assign(chance_cheapest=[0.05, 0.95]))[0]


def test_a_bridge_without_a_size_grows_by_the_owners_rule(county):
    nothing = {"length_ft": np.nan, "width_ft": np.nan, "spans": np.nan}
    plan = county.plan(listed(1, **nothing), growth=Growth(0.10, 30.0))
    row = plan.frame.iloc[0]
    assert (row["length_ft"], row["width_ft"], row["span_ft"]) == (pytest.approx(44.0), 30.0, pytest.approx(22.0))
    said = next(finding.text for finding in plan.findings if finding.code == "size_of_present_bridge")
    assert "made larger by your rule (+10% length, width to 30 ft): P-000." in said
    wide = county.plan(listed(1, **nothing), growth=Growth(0.0, 20.0)).frame.iloc[0]
    assert (wide["length_ft"], wide["width_ft"]) == (40.0, 24.0)  # never narrower than today
    given = county.plan(listed(1), growth=Growth(0.5, 60.0)).frame.iloc[0]
    assert given["width_ft"] < 60


@pytest.mark.parametrize(
    ("longer", "width"), [(-0.1, None), (5.0, None), (float("nan"), None), (0.1, 3.0), (0.1, 900.0)]
)
def test_a_rule_that_cannot_be_meant_is_refused(longer, width):
    with pytest.raises(BadValue, match="cannot be used"):
        Growth(longer, width)
