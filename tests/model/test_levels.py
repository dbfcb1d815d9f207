"""Where a date stands on the cost index, beside pandas' own quarters."""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.model.levels import quarter_positions


def test_quarters_are_those_of_pandas_before_1970_as_after() -> None:
    days = pd.date_range("1900-01-01", "2100-12-31", freq="17D").as_unit("us").to_series(index=None)
    expected = [quarters.position(f"{period.year}Q{period.quarter}") for period in days.dt.to_period("Q")]
    np.testing.assert_array_equal(quarter_positions(days), expected)


def test_a_missing_date_has_no_quarter() -> None:
    found = quarter_positions(pd.Series(pd.to_datetime(["1970-01-01", None, "1969-12-31"])))
    np.testing.assert_array_equal(found, [1970 * 4, np.nan, 1969 * 4 + 3])
