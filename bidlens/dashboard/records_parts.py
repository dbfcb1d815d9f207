"""What is on record, part by part: rows set aside, findings, structures."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens.dashboard import blocks, cache, on_paper
from bidlens.dashboard.words import label, place, without_commands

#: Rows of an HTML table; longer lists go into a table that scrolls.
HTML_ROWS = 40


def set_aside() -> None:
    """Findings of the imports, worst first, then every row not taken as data, with its reason and its text."""
    every: pd.DataFrame = cache.table("findings")
    findings = every[every["accepted"].isna()]
    rows: pd.DataFrame = cache.table("set_aside")
    blocks.section("Look at these", "Doubts met while reading files, worst first.")
    if findings.empty:
        blocks.note("No doubt was met in any file." if every.empty else "No doubt is open.")
    else:
        listed(
            pd.DataFrame(
                {
                    "Kind": [blocks.severity_mark(severity) for severity in findings["severity"]],
                    "Place": _places(findings),
                    "What was seen": findings["text"],
                    "What can be done": [without_commands(advice) for advice in findings["advice"].fillna("")],
                }
            ),
            "findings_table",
            {"Kind": 90, "Place": 250, "What was seen": 520, "What can be done": 320},
        )
    blocks.section("Set aside, latest import first", "Rows that were read and not taken as data; none is lost.")
    if rows.empty:
        blocks.note("No row was set aside.")
        return
    names = {
        "source_file": "File",
        "source_sheet": "Sheet",
        "source_row": "Row",
        "reason": "Why",
        "text": "Text as read",
    }
    shown = rows[list(names)].rename(columns=names)
    shown["Sheet"] = shown["Sheet"].fillna("")
    listed(shown, "aside_table", {"File": 200, "Sheet": 110, "Row": 60, "Why": 270, "Text as read": 560})


def structures() -> None:
    """The structure list with the contract that paid for each bridge."""
    frame: pd.DataFrame = cache.table("structures")
    priced = frame[frame["contract_id"] != ""]
    blocks.section(
        "Structures",
        f"{blocks.counted(frame['structure_id'].nunique(), 'bridge')}; {len(priced)} rows name the contract that paid.",
    )
    if frame.empty:
        blocks.note("No structure list has been imported.", "Deck areas come from it: length and out-to-out width.")
        return
    names = {
        "structure_id": "Bridge", "name": "Over", "superstructure": "Type", "contract_id": "Contract",
        "letting_date": "Let", "deck_area_sf": "Deck, sf", "area_from": "Deck area from", "length_ft": "Length, ft",
        "width_ft": "Width, ft", "spans": "Spans", "span_ft": "Span, ft", "skew_deg": "Skew, deg",
        "year_built": "Built",
    }  # fmt: skip
    paid_first = frame.sort_values(["contract_id", "structure_id"], ascending=[False, True], kind="stable")
    shown = paid_first[list(names)].rename(columns=names).assign(Source=_places(paid_first))
    formats = {
        "Deck, sf": ("localized", 72), "Length, ft": ("%.1f", 78), "Width, ft": ("%.2f", 74), "Spans": ("%d", 56),
        "Span, ft": ("%.0f", 68), "Skew, deg": ("%.0f", 76), "Built": ("%d", 54),
    }  # fmt: skip
    # What fits at 1280 ends with the year built.
    widths = {"Bridge": 60, "Over": 268, "Type": 126, "Contract": 70, "Deck area from": 106, "Source": 200}
    columns: dict[str, Any] = {name: st.column_config.Column(width=width) for name, width in widths.items()}
    columns |= {
        name: st.column_config.NumberColumn(format=form, width=width) for name, (form, width) in formats.items()
    }
    columns["Let"] = st.column_config.DateColumn(format="D MMM YYYY", width=96)
    on_paper.scrolling(
        shown.assign(**{"Deck, sf": shown["Deck, sf"].round()}),
        key="structures_table",
        height=blocks.list_height(len(shown)),
        column_config=columns,
    )


def _places(frame: pd.DataFrame) -> list[str]:
    columns = (frame["source_file"], frame["source_sheet"], frame["source_row"])
    return [label(place(*row), 120) for row in zip(*columns, strict=True)]


def listed(frame: pd.DataFrame, key: str, widths: dict[str, int], *, scrolling: bool = False) -> None:
    """Short lists as a plain table, long ones in a widget that scrolls; both show text literally.

    widths : px of columns, for the widget; a column that is not named there and holds numbers gets thousands marks.
    scrolling : use the widget however short the list is.
    """
    if len(frame) <= HTML_ROWS and not scrolling:
        columns = [blocks.Column(name, "nowrap" if name == "Kind" else "") for name in frame.columns]
        blocks.table(columns, frame.astype(str).values.tolist())
        return
    on_paper.scrolling(
        frame,
        key=key,
        height=blocks.list_height(len(frame)),
        column_config={
            **{name: st.column_config.Column(width=width) for name, width in widths.items()},
            **{
                name: st.column_config.NumberColumn(format="localized")
                for name in frame.select_dtypes("number").columns
                if name not in widths
            },
        },
    )
