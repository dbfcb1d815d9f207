"""What can be taken away from a page: CSV and XLSX of a frame, and a check as memo, workbook, CSV or JSON."""

from __future__ import annotations

import io
import re

import pandas as pd
import streamlit as st

from bidlens.comparing import Comparison
from bidlens.proposal import ProposalCheck
from bidlens.report import as_json, comparison_memo, memo, workbook

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def file_stem(text: str) -> str:
    """A file name from words: letters, digits and underscores."""
    return re.sub(r"[^A-Za-z0-9]+", "_", text).strip("_")[:60] or "bidlens"


def check_buttons(check: ProposalCheck, sources: str) -> None:
    """Memo to print, and the working as workbook, table or JSON."""
    stem = file_stem(f"check {check.proposal.supplier} {check.proposal.structure or ''}")
    with st.popover("Download"):
        # Made when asked for: a workbook takes longer than the rest of the page.
        st.download_button(
            "Memo to print (HTML)", lambda: memo.memo_html([check], sources), f"{stem}.html", "text/html", key="memo"
        )
        st.download_button("Working (XLSX)", lambda: _working(check, sources), f"{stem}.xlsx", XLSX, key="working")
        st.download_button(
            "Closest contracts (CSV)", lambda: workbook.safe_csv(check.comparables), f"{stem}.csv", "text/csv",
            key="closest",
        )  # fmt: skip
        st.download_button(
            "All numbers (JSON)",
            lambda: as_json.document("check", proposals=[check.as_dict()]),
            f"{stem}.json",
            "application/json",
            key="numbers",
        )


def comparison_button(found: Comparison, sources: str) -> None:
    """Several offers side by side, and each one's memo, to print."""

    def made() -> str:
        front = comparison_memo.comparison_html(found.checks, found.side, found.life, sources)
        return memo.memo_html(found.checks, sources, front)

    st.download_button("Comparison to print (HTML)", made, "offers_side_by_side.html", "text/html", key="beside_memo")


def _working(check: ProposalCheck, sources: str) -> bytes:
    return _workbook(memo.working_sheets([check]), [check.verdict.text, check.verdict.support, sources])


def _workbook(sheets: dict[str, pd.DataFrame], notes: list[str]) -> bytes:
    target = io.BytesIO()
    workbook.write_workbook(target, sheets, notes)
    return target.getvalue()


def sheets_button(sheets: dict[str, pd.DataFrame], stem: str, notes: list[str]) -> None:
    """Several frames as one workbook, a sheet each."""
    name = f"{file_stem(stem)}.xlsx"
    st.download_button("Papers (XLSX)", lambda: _workbook(sheets, notes), name, XLSX, key="papers_xlsx")


def frame_buttons(frame: pd.DataFrame, stem: str, sheet: str, notes: list[str]) -> None:
    """A frame as CSV and as workbook, each made when it is asked for."""
    with st.popover("Download"):
        st.download_button("CSV", lambda: workbook.safe_csv(frame), f"{stem}.csv", "text/csv", key=f"{stem}_csv")
        st.download_button("XLSX", lambda: _workbook({sheet: frame}, notes), f"{stem}.xlsx", XLSX, key=f"{stem}_xlsx")
