"""Predictions on invented counties fall where they say: a quick look; the judge in tests/benchmarks takes longer."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tests.benchmarks import methods
from tests.benchmarks.scores import score
from tests.benchmarks.worlds import draw_world

WORLDS = 25


@pytest.fixture(scope="module")
def cells() -> dict[str, pd.DataFrame]:
    rng = np.random.default_rng(2024)
    worlds = [draw_world(rng, 25) for _ in range(WORLDS)]
    return {
        name: pd.concat([score(world, method(world)) for world in worlds], ignore_index=True)
        for name, method in (("model", methods.model), ("type mean", methods.type_mean))
    }


def test_ranges_hold_as_many_as_they_say(cells):
    # Lettings of one world share its market year, so 500 count for fewer: the bounds are those of 100
    # (binomial, 99.9 %).
    seen = cells["model"]
    for column, chance in (("inside90", 0.90), ("inside80", 0.80)):
        low, high = stats.binom(100, chance).ppf([0.0005, 0.9995]) / 100
        assert low <= seen[column].mean() <= high
    assert seen["below05"].mean() < 0.12
    assert seen["above95"].mean() < 0.12
    assert not seen["failed"].any()


def test_the_model_beats_the_indexed_type_mean(cells):
    ours, plain = cells["model"], cells["type mean"]
    assert ours["error"].median() < plain["error"].median()
    assert ours["crps"].mean() < 0.95 * plain["crps"].mean()
    assert ours["winkler90"].mean() < 0.90 * plain["winkler90"].mean()


def test_dollars_come_out_without_bias(cells):
    ours = cells["model"]
    assert 0.9 < ours["mean"].sum() / ours["actual"].sum() < 1.1
