"""The priced structures a model can use: read from a history frame, put in an order of their own, the rest listed.

A row is left out only for a price, deck area or date that cannot be used; it is listed with its reason. A missing
span, skew or bidder count never costs a row its place.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.model.levels import Levels, levels_of
from bidlens.reference import CostIndex

#: Written in place of a superstructure type that a row does not state.
NOT_STATED = "type not stated"
LEFT_OUT_COLUMNS = ("contract_id", "structure_id", "letting_date", "superstructure", "reason")
_YEARS = (1900, 2100)
#: Beyond these a number is a slip of the keyboard, not a bridge; $/sf, square feet and feet.
_PRICES, _AREAS, _SPANS = (1e-9, 1e12), (1.0, 1e8), (1.0, 1e5)


@dataclass(frozen=True, slots=True, eq=False)
class Geometry:
    """What is known of n structures; NaN where it is not. Arrays of n, in feet, square feet, degrees and bids."""

    superstructure: np.ndarray
    deck_area_sf: np.ndarray
    span_ft: np.ndarray
    skew_deg: np.ndarray
    bidders: np.ndarray
    dates: pd.Series

    def at(self, places: np.ndarray) -> Geometry:
        """Those at some places, in that order."""
        arrays = {one.name: getattr(self, one.name)[places] for one in fields(self) if one.name != "dates"}
        return Geometry(**arrays, dates=self.dates.iloc[places].reset_index(drop=True))


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """n usable rows in an order that depends on their numbers alone, never on file order or on names.

    frame : contract_id, structure_id, letting_date, superstructure, deck_area_sf, span_ft, skew_deg, bidders,
        unit_cost (in the dollars modelled), source_file, source_row; index 0 to n-1.
    log_cost : ln of unit cost less ln of the index, n values. departure : see `Levels.departure`.
    types : distinct superstructure types; type_code points into it. position : place of each row in the frame given.
    """

    frame: pd.DataFrame
    geometry: Geometry
    log_cost: np.ndarray
    departure: np.ndarray
    year: np.ndarray
    types: tuple[str, ...]
    type_code: np.ndarray
    position: np.ndarray


def read_geometry(frame: pd.DataFrame) -> Geometry:
    """Geometry columns of n rows as clean numbers; anything impossible (zero, negative, endless) counts as unknown.

    Skew has no sign here, and 90 degrees or more (99 stands for “varies” in inventories) is unknown.
    """
    skew = np.abs(_numbers(frame, "skew_deg"))
    bidders = _numbers(frame, "bidders")
    return Geometry(
        superstructure=_type_names(frame),
        deck_area_sf=_within(_numbers(frame, "deck_area_sf"), _AREAS),
        span_ft=_within(_numbers(frame, "span_ft"), _SPANS),
        skew_deg=np.where(skew < 90, skew, np.nan),
        bidders=np.where(bidders >= 1, bidders, np.nan),
        dates=read_dates(frame),
    )


def read_dates(frame: pd.DataFrame) -> pd.Series:
    """Letting dates with a plain 0 to n-1 index; missing where absent, unreadable or outside 1900 to 2100."""
    if "letting_date" not in frame:
        return pd.Series(pd.NaT, index=range(len(frame)), dtype="datetime64[us]")
    given = frame["letting_date"].reset_index(drop=True)
    if pd.api.types.is_numeric_dtype(given):
        return pd.Series(pd.NaT, index=given.index, dtype="datetime64[us]")
    if given.dtype != "datetime64[us]":  # the normalizer's dates are, and need no reading
        given = pd.to_datetime(given, errors="coerce", utc=True).dt.tz_localize(None).astype("datetime64[us]")
    return given.where(given.dt.year.between(*_YEARS))


def read_rows(history: pd.DataFrame, index: CostIndex | None) -> tuple[Rows, Levels, pd.DataFrame]:
    """Usable rows of a history, the price levels behind them, and the rows left out with reasons.

    history : needs letting_date, superstructure, deck_area_sf and a price: unit_cost, or unit_cost_adjusted (with
        index_ratio if an index is given). Raises BadValue if a needed column is absent.
    """
    _require(history)
    geometry = read_geometry(history)
    price = _prices(history, as_bid=index is not None)
    ratio = _numbers(history, "index_ratio") if "index_ratio" in history else None
    reason = _reasons(price, geometry, Levels(index))
    usable = reason == ""
    levels = levels_of(index, geometry.dates[usable].reset_index(drop=True), None if ratio is None else ratio[usable])
    frame = _plain_frame(history, geometry, price)
    left_out = frame.assign(reason=reason).loc[~usable, list(LEFT_OUT_COLUMNS)].reset_index(drop=True)
    return _in_order(frame[usable], geometry, np.flatnonzero(usable), levels), levels, left_out


def _require(history: pd.DataFrame) -> None:
    needed = [name for name in ("letting_date", "superstructure", "deck_area_sf") if name not in history]
    if not {"unit_cost", "unit_cost_adjusted"} & set(history.columns):
        needed.append("unit_cost or unit_cost_adjusted")
    if needed:
        raise BadValue(
            f"the history has no column {', '.join(needed)}",
            do="Give letting_date, superstructure, deck_area_sf and unit_cost, one row per priced structure.",
        )


def _prices(history: pd.DataFrame, as_bid: bool) -> np.ndarray:
    """Dollars per square foot to model: as bid when an index is given, else adjusted as the history has it."""
    nothing = np.full(len(history), np.nan)
    bid = _numbers(history, "unit_cost") if "unit_cost" in history else nothing
    adjusted = _numbers(history, "unit_cost_adjusted") if "unit_cost_adjusted" in history else nothing
    ratio = _numbers(history, "index_ratio") if "index_ratio" in history else None
    if as_bid:
        if "unit_cost" not in history and ratio is None:
            raise BadValue(
                "the history has adjusted prices only, and an index is given to adjust them again",
                do="Give unit_cost as bid, or index_ratio, or leave the index out.",
            )
        return bid if ratio is None else np.where(np.isnan(bid), adjusted / np.where(ratio > 0, ratio, np.nan), bid)
    if "unit_cost_adjusted" in history:
        return adjusted if ratio is None else np.where(np.isnan(adjusted), bid * ratio, adjusted)
    return bid if ratio is None else bid * ratio


def _reasons(price: np.ndarray, geometry: Geometry, levels: Levels) -> np.ndarray:
    """Why each of n rows cannot be used, or an empty text."""
    level = levels.log_level(geometry.dates)
    checks = (
        (~(np.isfinite(price) & (price > 0)), "no unit cost above zero"),
        (np.isnan(_within(price, _PRICES)), "a unit cost out of all proportion"),
        (np.isnan(geometry.deck_area_sf), "no deck area that can be right"),
        (geometry.dates.isna().to_numpy(), "no letting date that can be read"),
        (np.isnan(level), "let before the cost index begins"),
    )
    out = np.full(len(price), "", dtype=object)
    for failed, words in checks:
        out[failed & (out == "")] = words
    return out


def _plain_frame(history: pd.DataFrame, geometry: Geometry, price: np.ndarray) -> pd.DataFrame:
    names = [f"row {label}" for label in history.index]
    return pd.DataFrame(
        {
            "contract_id": _texts(history, "contract_id", names),
            "structure_id": _texts(history, "structure_id", [""] * len(names)),
            "letting_date": geometry.dates,
            "superstructure": geometry.superstructure,
            "deck_area_sf": geometry.deck_area_sf,
            "span_ft": geometry.span_ft,
            "skew_deg": geometry.skew_deg,
            "bidders": geometry.bidders,
            "unit_cost": price,
            "source_file": _texts(history, "source_file", [""] * len(names)),
            "source_row": _numbers(history, "source_row"),
        }
    )


def _in_order(frame: pd.DataFrame, geometry: Geometry, position: np.ndarray, levels: Levels) -> Rows:
    """Sort rows by their numbers, and types by the rows they hold, so that names and file order change nothing.

    geometry : of all rows of the history; position : the places in it of the n rows of the frame.
    """
    numbers = ["unit_cost", "deck_area_sf", "span_ft", "skew_deg", "bidders"]
    keys = [
        frame["letting_date"].astype("int64").to_numpy(),
        *(frame[name].fillna(-1.0).to_numpy() for name in numbers),
    ]
    rank = np.zeros(len(frame), dtype=int)
    if len(frame):
        rank = np.unique(np.column_stack([key.astype(float) for key in keys]), axis=0, return_inverse=True)[1].ravel()
    code, names = pd.factorize(frame["superstructure"])
    by_rows = sorted(range(len(names)), key=lambda which: tuple(np.sort(rank[code == which])))
    place = np.empty(len(names), dtype=int)
    place[by_rows] = np.arange(len(names))
    order = np.lexsort((place[code], rank))
    ordered = frame.iloc[order].reset_index(drop=True)
    dates = ordered["letting_date"]
    return Rows(
        frame=ordered,
        geometry=geometry.at(position[order]),
        log_cost=np.log(ordered["unit_cost"].to_numpy(dtype=float)) - levels.log_level(dates),
        departure=levels.departure(dates),
        year=dates.dt.year.to_numpy(dtype=int),
        types=tuple(str(names[which]) for which in by_rows),
        type_code=place[code][order],
        position=position[order],
    )


def _type_names(frame: pd.DataFrame) -> np.ndarray:
    if "superstructure" not in frame:
        return np.full(len(frame), NOT_STATED, dtype=object)
    given = frame["superstructure"]
    stated = given.notna().to_numpy()
    names = np.array([str(name).strip() for name in given], dtype=object)
    return np.where(stated & (names != ""), names, NOT_STATED)


def _numbers(frame: pd.DataFrame, name: str) -> np.ndarray:
    """A column as floats; NaN where it is absent, unreadable or infinite."""
    if name not in frame:
        return np.full(len(frame), np.nan)
    values = pd.to_numeric(frame[name], errors="coerce").to_numpy(dtype=float, na_value=np.nan)
    return np.where(np.isfinite(values), values, np.nan)


def _within(values: np.ndarray, limits: tuple[float, float]) -> np.ndarray:
    return np.where((values >= limits[0]) & (values <= limits[1]), values, np.nan)


def _texts(frame: pd.DataFrame, name: str, instead: list[str]) -> list[str]:
    if name not in frame:
        return instead
    return [
        other if missing else str(value)
        for value, missing, other in zip(frame[name], frame[name].isna(), instead, strict=True)
    ]
