"""Expected unit cost: what a bridge should cost by this county's own past lettings, and how sure that is.

Pure: frames in, frames and small results out; no files, no clock, no random numbers.
"""

from bidlens.model.backtest import Backtest, backtest
from bidlens.model.cost_model import CostModel, fit_cost_model
from bidlens.model.cross_checks import disagreements
from bidlens.model.index_forecast import IndexForecast, extend_index, forecast_index
from bidlens.model.price_index import county_price_index

__all__ = [
    "Backtest", "CostModel", "IndexForecast", "backtest", "county_price_index", "disagreements", "extend_index",
    "fit_cost_model", "forecast_index",
]  # fmt: skip
