"""The cost bases nest, and an unknown one is named with those there are."""

from __future__ import annotations

import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.normalizer import basis_named, load_bases


def test_there_are_four_bases_each_holding_the_one_before() -> None:
    bases = load_bases()
    assert list(bases) == ["beams", "superstructure", "bridge", "contract"]
    assert bases["beams"].categories < bases["superstructure"].categories < bases["bridge"].categories
    assert bases["contract"].whole_contract


@pytest.mark.parametrize("category", ["removal", "channel", "approach", "mobilization", "traffic", "other"])
def test_work_off_the_bridge_is_in_the_whole_contract_only(category: str) -> None:
    row = pd.Series([category])
    held_by = [name for name, basis in load_bases().items() if basis.includes(row).all()]
    assert held_by == ["contract"]


def test_a_misspelt_basis_is_answered_with_the_nearest_and_the_list() -> None:
    with pytest.raises(BadValue, match="Did you mean “superstructure”") as told:
        basis_named("superstucture")
    assert "beams, superstructure, bridge, contract" in told.value.do
