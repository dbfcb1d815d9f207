"""Bid tabs of any layout: sheets that fit a layout become contracts, the others are checks or set aside."""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens.batch import Batch, no_rows_set_aside
from bidlens.errors import Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import agreement, long, opened, summary, wide
from bidlens.ingest.doubts import look_over
from bidlens.ingest.grid import Grid, is_blank
from bidlens.ingest.headers import Header
from bidlens.ingest.layout import TAX, Layout, fit
from bidlens.ingest.priced import PricedRows, join, set_aside
from bidlens.ingest.rules import AS_READ, BidRules
from bidlens.ingest.summary_sheets import compare_totals
from bidlens.ingest.tabulation import tables, tabulate

Fitted = tuple[Grid, Layout, Header]


def looks_like(grids: list[Grid]) -> bool:
    """Some visible sheet has the headings of a bid tab, a summary of contracts or a price agreement."""
    if any(fit(grid) is not None for grid in grids if not grid.hidden):
        return True
    return opened.is_report(grids) or summary.is_summary(grids) or agreement.place_of(grids) is not None


def read(grids: list[Grid], sha256: str, rules: BidRules = AS_READ) -> Batch:
    """The contracts of a bid tab file, or an error that names what keeps it from being read; never half of it.

    Raises UnreadableFile if no visible sheet is a bid tab, BadValue at a cell that cannot be read.
    """
    visible = [grid for grid in grids if not grid.hidden]
    fitted = [(grid, *found) for grid in visible if (found := fit(grid)) is not None]
    if not fitted:
        totals_only = opened if opened.is_report(visible) else summary if summary.is_summary(visible) else None
        if totals_only is not None:
            batch: Batch = totals_only.read(visible, sha256)
            batch.findings[:0] = _sheets_not_read(grids, [])
            return batch
        agreement.refuse(visible)
        raise UnreadableFile(
            "no sheet has the headings of a bid tab",
            where=grids[0].file,
            do="It needs columns for item, quantity, unit, bidder and unit price, or bidders side by side.",
        )
    longs = [found for found in fitted if found[1].shape == "long"]
    if longs:
        layout, (priced, aside) = longs[0][1], _read_long(longs, rules)
        used = [grid for grid, _, _ in longs]
    else:
        layout = fitted[0][1]
        priced, aside, used = wide.read(fitted, visible, rules)
    done = tabulate(priced, grids[0].file, rules)
    unread = [grid for grid in visible if grid not in used]
    aside = pd.concat([aside, *(_whole_sheet(grid) for grid in unread)], ignore_index=True)
    rows_read = priced.rows_kept + len(aside)
    return Batch(
        source_file=grids[0].file,
        sha256=sha256,
        kind="bid-tab",
        layout=layout.name,
        rows_read=rows_read,
        contracts=len(done.lettings),
        tables=tables(done),
        set_aside=aside if len(aside) else no_rows_set_aside(),
        findings=[
            *_sheets_not_read(grids, unread),
            *_taxes(aside),
            *done.findings,
            *look_over(done, rows_read - len(fitted)),
            *compare_totals(done, unread),
        ],
    )


def _read_long(fitted: list[Fitted], rules: BidRules) -> tuple[PricedRows, pd.DataFrame]:
    read_sheets = [long.read(grid, layout, header, rules) for grid, layout, header in fitted]
    priced = [rows for rows, _ in read_sheets]
    frame = join([rows.frame for rows in priced])
    return (
        PricedRows(
            frame,
            all(rows.has_line for rows in priced),
            sum(rows.rows_kept for rows in priced),
            findings=[finding for rows in priced for finding in rows.findings],
        ),
        pd.concat([aside for _, aside in read_sheets], ignore_index=True),
    )


def _taxes(aside: pd.DataFrame) -> list[Finding]:
    """Says of each row of a tax that it is in no cost."""
    return [
        Finding(
            "tax_set_aside",
            "check",
            f"“{row['text']}” is a tax on the whole: it is in no item, no total and no cost",
            "Compare prices with tax with others with tax, or all without.",
            Place(row["source_file"], row["source_sheet"] or None, row["source_row"]),
        )
        for row in aside[aside["reason"] == TAX].to_dict("records")
    ]


def _whole_sheet(grid: Grid) -> pd.DataFrame:
    rows = np.array([index for index, row in enumerate(grid.rows) if not is_blank(row)], dtype=int)
    return set_aside(grid, rows, ["on a sheet that holds no bids"] * len(rows))


def _sheets_not_read(grids: list[Grid], unread: list[Grid]) -> list[Finding]:
    found = []
    for grid in grids:
        if all(is_blank(row) for row in grid.rows):
            continue
        if grid.hidden:
            text = f"The sheet “{grid.sheet}” is hidden and was not read"
            found.append(
                Finding("hidden_sheet", "check", text, "Show it and import again, if it belongs.", grid.place())
            )
        elif any(grid is other for other in unread):
            text = f"The sheet “{grid.sheet}” holds no bids; its rows are set aside"
            found.append(Finding("sheet_not_read", "note", text, place=grid.place()))
    return found
