"""What to doubt about a history and its fit: findings, per-row checks, distances, and other methods beside it."""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens import quarters, wording
from bidlens.errors import Place
from bidlens.findings import Finding, worst_first
from bidlens.model import grades, priors
from bidlens.model.fit import GridFit, RowChecks, row_checks
from bidlens.model.geometry import Filler, log_area, log_span
from bidlens.model.levels import Levels
from bidlens.model.rows import NOT_STATED, Rows

#: Judgement, no source: shares and counts beyond which the engineer is told.
SCREENED_SHARE, FEW_YEARS, STALE_QUARTERS, OUTSIDE_SHARE = 0.05, 3, 12, 0.20
_NAMED_AT_MOST = 10
#: ln: an index ratio written with four digits still counts as the same index; raw and adjusted differ by up to 3 %.
SAME_INDEX = 1e-3
#: Above this many rows no single one sways a prediction enough to look for.
SWAY_ROWS = 300


def named(rows: Rows, which: int) -> str:
    """A row as the engineer knows it: contract, and structure where it is not the same."""
    row = rows.frame.iloc[which]
    structure = row["structure_id"]
    return str(row["contract_id"]) + (f" ({structure})" if structure and structure != row["contract_id"] else "")


def span_beyond(rows: Rows, codes: np.ndarray, span_ft: np.ndarray) -> np.ndarray:
    """ln distance of m spans outside those on record for their type (all types where it is new or has none); signed."""
    logs = log_span(rows.geometry.span_ft)
    out = np.zeros(len(span_ft))
    for code in np.unique(codes):
        own = logs[(rows.type_code == code) & np.isfinite(logs)]
        own = own if len(own) else logs[np.isfinite(logs)]
        if len(own):
            which = codes == code
            out[which] = _outside(log_span(span_ft[which]), own)
    return out


def area_beyond(rows: Rows, deck_area_sf: np.ndarray) -> np.ndarray:
    """ln distance of m deck areas outside those on record, all types; signed."""
    return _outside(log_area(deck_area_sf), log_area(rows.geometry.deck_area_sf))


def _outside(logs: np.ndarray, seen: np.ndarray) -> np.ndarray:
    """Signed distance outside a range; a hair's breadth (rounding of a logarithm) counts as inside."""
    over = np.nan_to_num(logs - seen.max())
    under = np.nan_to_num(logs - seen.min())
    return np.where(over > 1e-9, over, np.where(under < -1e-9, under, 0.0))


def largest_sway(fit: GridFit, design: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For m structures: the row whose removal moves the median most, and the share it would move by."""
    shift = sways(fit, design)
    which = np.argmax(np.abs(shift), axis=1)
    return which, np.expm1(shift[np.arange(len(design)), which])


def sways(fit: GridFit, design: np.ndarray) -> np.ndarray:
    """ln move of m medians if each of n rows were removed, m by n, in the best cell."""
    cell = fit.cells[fit.best]
    pull = fit.problem.weights * row_checks(fit.problem, cell).left_out_residual
    return np.asarray(-(design @ cell.cov @ fit.problem.design.T) * pull)


def row_table(rows: Rows, fit: GridFit | None) -> pd.DataFrame:
    """One row per usable row: ids, price, fitted ($/sf), residual (ln), leverage, left_out_z, weight, screened."""
    table = rows.frame[["contract_id", "structure_id", "letting_date", "superstructure", "unit_cost"]]
    if fit is None:
        return table.assign(
            fitted=np.nan, residual=np.nan, leverage=np.nan, left_out_z=np.nan, weight=np.nan, screened=False
        )
    checks = row_checks(fit.problem, fit.cells[fit.best])
    return table.assign(
        fitted=table["unit_cost"] * np.exp(-checks.residual),
        residual=checks.residual,
        leverage=checks.leverage,
        left_out_z=checks.left_out_z,
        weight=fit.problem.weights,
        screened=fit.screened,
    )


def screened_rows(rows: Rows, fit: GridFit | None) -> pd.DataFrame:
    """Rows given no weight, with the unit cost expected of them and how many times it they cost."""
    table = row_table(rows, fit)
    out = table[table["screened"]].reset_index(drop=True)
    return out.rename(columns={"fitted": "expected"}).assign(times_expected=out["unit_cost"] / out["fitted"])[
        ["contract_id", "structure_id", "letting_date", "superstructure", "unit_cost", "expected", "times_expected"]
    ]


def influential_rows(rows: Rows, fit: GridFit | None, reference: np.ndarray) -> pd.DataFrame:
    """Rows whose removal moves the reference bridge of some type by more than 10 %, strongest first.

    reference : its design row for the middle type. Columns contract_id, structure_id, letting_date, superstructure,
    unit_cost, moves (the share), of_type (whose reference bridge). Empty where nothing is fitted or rows are many.
    """
    columns = ["contract_id", "structure_id", "letting_date", "superstructure", "unit_cost"]
    if fit is None or len(rows.frame) > SWAY_ROWS:
        return rows.frame.head(0)[columns].assign(moves=0.0, of_type="")
    design = np.tile(reference, (len(rows.types), 1))
    start = len(priors.FIXED_TERMS)
    design[:, start : start + len(rows.types)] = np.eye(len(rows.types))
    moves = np.expm1(sways(fit, design))
    strongest = np.argmax(np.abs(moves), axis=0)
    share = moves[strongest, np.arange(len(rows.frame))]
    table = rows.frame[columns].assign(moves=share, of_type=[rows.types[which] for which in strongest])
    order = np.argsort(-np.abs(share), kind="stable")
    order = order[np.abs(share)[order] > grades.INFLUENCE_LIMIT]
    return table.iloc[order].reset_index(drop=True)


def find_doubts(
    rows: Rows, left_out: pd.DataFrame, filler: Filler, fit: GridFit | None, history: pd.DataFrame, levels: Levels
) -> list[Finding]:
    """Findings about a history and its fit, worst first."""
    found = [
        *_thin(len(rows.frame)),
        *_left_out(left_out),
        *_price_basis(history, levels),
        *_other_index(history, rows, levels),
        *_missing_values(rows, filler),
        *_lettings(rows, levels),
    ]
    if fit is not None:
        checks = row_checks(fit.problem, fit.cells[fit.best])
        found += [*_screened(rows, fit), *_departure(fit), *_outside_range(fit, checks)]
    return worst_first(found)


def _thin(count: int) -> list[Finding]:
    if count < priors.ROWS_FOR_PREDICTION:
        text = f"{count} priced structures are on record; {priors.ROWS_FOR_PREDICTION} are needed for a prediction."
        return [Finding("history_too_small", "stop", text, "Import more bid tabs, or add geometry to the structures.")]
    if count < priors.ROWS_NOT_INDICATIVE:
        text = f"Only {count} priced structures are on record: predictions are indicative, read the range first."
        return [Finding("history_thin", "check", text, "Import more bid tabs.")]
    return []


def _left_out(left_out: pd.DataFrame) -> list[Finding]:
    found = []
    for reason, group in left_out.groupby("reason", sort=True):
        names = _listed(list(group["contract_id"]))
        text = f"{wording.count(len(group), 'row')} of the history left out, {reason}: {names}."
        found.append(Finding("rows_left_out", "check", text, "Correct the rows, or leave them out knowingly."))
    return found


def _price_basis(history: pd.DataFrame, levels: Levels) -> list[Finding]:
    if levels.index is not None or {"unit_cost_adjusted", "index_ratio"} & set(history.columns):
        return []
    text = "Prices are taken as bid, with no cost index: escalation over the years is left in them."
    return [Finding("prices_not_adjusted", "check", text, "Give a cost index or adjusted prices.")]


def _other_index(history: pd.DataFrame, rows: Rows, levels: Levels) -> list[Finding]:
    """Adjusted prices of the history follow another index than the one given: the two must not be set side by side."""
    if levels.index is None or "index_ratio" not in history or rows.frame.empty:
        return []
    ratio = pd.to_numeric(history["index_ratio"].iloc[rows.position], errors="coerce").to_numpy(dtype=float)
    known = np.isfinite(ratio) & (ratio > 0)
    drift = np.log(ratio[known]) + levels.log_level(rows.geometry.dates)[known]
    if not known.any() or np.ptp(drift) <= SAME_INDEX:
        return []
    text = (
        f"The adjusted prices of the history follow another index than {levels.index.title}: prices as bid are used, "
        f"and the two differ by up to {wording.number(float(np.expm1(np.ptp(drift))) * 100, 1)}%."
    )
    do = "Use one index, raw or adjusted, of one release, for the history and for the model."
    return [Finding("history_of_another_index", "check", text, do)]


def _missing_values(rows: Rows, filler: Filler) -> list[Finding]:
    count, seen = len(rows.frame), rows.geometry
    no_span, no_skew, no_bidders = (
        int(np.isnan(values).sum()) for values in (seen.span_ft, seen.skew_deg, seen.bidders)
    )
    untyped = int((seen.superstructure == NOT_STATED).sum())
    found = []
    if count and no_span == count:
        text = (
            "No span is known for any priced structure: span is left out of every prediction, "
            "and its terms stay at the values assumed beforehand."
        )
        found.append(Finding("all_spans_missing", "check", text, "Add spans to the structure list."))
    elif no_span:
        text = (
            f"Span is not known for {no_span} of {count} priced structures: the span usual for their deck area and "
            "type stands in, and they count for a little less."
        )
        found.append(Finding("spans_missing", "check", text, "Add spans to the structure list."))
    if no_skew:
        text = f"Skew is not known for {no_skew} of {count} priced structures and is taken as none."
        found.append(Finding("skew_missing", "note", text, "Add skew to the structure list."))
    if no_bidders:
        stands_in = (
            "bidders are left out of every prediction"
            if filler.bidders_median is None
            else f"{filler.bidders_median:g} stands in"
        )
        text = f"The number of bidders is not known for {no_bidders} of {count} priced structures: {stands_in}."
        found.append(Finding("bidders_missing", "note", text))
    if untyped:
        text = f"{untyped} of {count} priced structures state no superstructure type; they form a group of their own."
        found.append(Finding("type_missing", "check", text, "Add the type to the structure list."))
    return found


def _lettings(rows: Rows, levels: Levels) -> list[Finding]:
    if not len(rows.frame):
        return []
    found = []
    years = len(np.unique(rows.year))
    if years < FEW_YEARS:
        text = f"All prices come from {wording.count(years, 'letting year')}: market swings are not seen in them."
        found.append(Finding("few_letting_years", "check", text))
    dates = rows.geometry.dates
    beyond = int((levels.quarters_ahead(dates) > 0).sum())
    if beyond:
        text = (
            f"{beyond} priced structures were let after the last published index quarter; the index is forecast there."
        )
        found.append(Finding("let_after_index", "note", text, "Import the index's newer release."))
    if levels.index is not None and not levels.index.is_none:
        last = quarters.quarter_of(dates.max().date())
        gap = quarters.position(levels.index.last_published) - quarters.position(last)
        if gap > STALE_QUARTERS:
            text = f"The last priced letting, {quarters.shown(last)}, is {gap} quarters older than the cost index."
            found.append(Finding("last_letting_old", "check", text, "Import newer bid tabs."))
    return found


def _screened(rows: Rows, fit: GridFit) -> list[Finding]:
    out = screened_rows(rows, fit)
    found: list[Finding] = []
    for (_, row), which in zip(out.iterrows(), np.flatnonzero(fit.screened), strict=True):
        if len(found) == _NAMED_AT_MOST:
            break
        text = (
            f"{named(rows, int(which))}, {row['superstructure']}, {wording.per_sf(row['unit_cost'])}: "
            f"{_times(row['times_expected'])} the {wording.per_sf(row['expected'])} the rest of the record leads to; "
            "it is given no weight."
        )
        do = "Look at its bid tab: unusual job, wrong deck area, or work of another kind in it."
        found.append(Finding("row_screened", "check", text, do, _place(rows, int(which)), str(row["contract_id"])))
    share = len(out) / len(rows.frame)
    if share > SCREENED_SHARE:
        text = f"{len(out)} of {len(rows.frame)} priced structures lie too far out to be used."
        found.append(Finding("many_rows_screened", "check", text, "Check how the rows were priced."))
    return found


def _place(rows: Rows, which: int) -> Place | None:
    row = rows.frame.iloc[which]
    line = row["source_row"]
    return Place(row["source_file"], row=None if np.isnan(line) else int(line)) if row["source_file"] else None


def _departure(fit: GridFit) -> list[Finding]:
    mean, sd = float(fit.mean[priors.DEPARTURE]), float(fit.sd[priors.DEPARTURE])
    if abs(mean) <= 2 * sd:
        return []
    way = "faster" if mean > 0 else "slower"
    text = f"Prices here rose {way} than the cost index, by about {wording.number(abs(mean) * 100)}% of its change."
    return [Finding("departs_from_index", "check", text, "Consider whether the index suits the county.")]


def _outside_range(fit: GridFit, checks: RowChecks) -> list[Finding]:
    count = len(fit.screened)
    outside = int((np.abs(checks.left_out_z) > 1.645).sum())
    if count < priors.ROWS_FOR_OLS_CHECK or outside <= OUTSIDE_SHARE * count:
        return []
    usual = wording.number(count / 10)
    text = (
        f"{outside} of {count} past prices fall outside the 9-in-10 range the others lead to; {usual} would be usual."
    )
    return [Finding("past_prices_outside", "check", text, "Read ranges as too narrow.")]


def _times(ratio: float) -> str:
    """2.4 times; or a share, where it cost less than expected."""
    return f"{wording.number(ratio, 1)} times" if ratio >= 1 else f"{wording.number(ratio * 100)}% of"


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:_NAMED_AT_MOST])
    return shown if len(names) <= _NAMED_AT_MOST else f"{shown} and {len(names) - _NAMED_AT_MOST} more"
