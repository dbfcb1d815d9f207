"""What is in the record, and what was left out? Imports, rows set aside, structures, work categories, the index."""

from __future__ import annotations

from typing import Any

import streamlit as st

from bidlens import wording
from bidlens.dashboard import (
    blocks,
    cache,
    categories_part,
    empty,
    imports_part,
    index_part,
    links_part,
    names_part,
    records_parts,
    repair_part,
    settings_part,
    words,
)
from bidlens.dashboard.filters import set_query
from bidlens.dashboard.words import bold_numbers

QUESTION = "What is in the record, and what was left out?"
PARTS = {
    "set-aside": "Set aside",
    "imports": "Imports",
    "structures": "Structures",
    "categories": "Work categories",
    "names": "Names",
    "index": "Cost index",
    "settings": "Settings",
}


def page() -> None:
    """The whole page."""
    if cache.is_empty():
        empty.no_bid_tabs(QUESTION, on_records=True)
        imports_part.show()
    else:
        opening(cache.counts())
        part = part_chosen()
        {
            "set-aside": set_aside,
            "imports": imports_part.show,
            "structures": structures,
            "categories": categories_part.show,
            "names": names_part.show,
            "index": index_part.show,
            "settings": settings_part.show,
        }[part]()
    blocks.caution(
        "A row that was set aside is in no number. Unclassified dollars are in the whole-contract basis only.",
        blocks.FITNESS,
    )


def structures() -> None:
    """The structure list, and which contract paid for which bridge."""
    records_parts.structures()
    links_part.show()


def set_aside() -> None:
    """Findings and rows set aside, and the forms that mend them."""
    records_parts.set_aside()
    repair_part.show()


def opening(counts: dict[str, Any]) -> None:
    """Rows read, kept, set aside; the share of dollars with a work category; the last import."""
    summary, imports = cache.table("category_summary"), cache.table("imports")
    read, kept, aside = (wording.number(counts[name]) for name in ("rows_read", "rows_kept", "rows_set_aside"))
    unclassified = summary.loc[summary["work_category"] == "unclassified", "share"].sum()
    if summary.empty:
        rest = " No bid tab has come in yet."
    elif unclassified > 0:
        rest = f" All dollars but {wording.number(unclassified * 100, 1)}% have a work category."
    else:
        rest = " All dollars have a work category."
    last = imports.iloc[0]
    support = (
        "Nothing read is lost: rows set aside keep their text and the reason. "
        f"Last import {wording.day(last['imported_at'])}, {last['source_file']}."
    )
    blocks.opening(QUESTION, bold_numbers((f"{read} rows read, {kept} kept, {aside} set aside.",), rest), support)
    findings, still_open = (wording.number(counts[name]) for name in ("findings", "open_findings"))
    items = cache.table("pay_items")
    unknown = items[items["work_category"] == "unclassified"].drop_duplicates(["item_code", "description", "pay_unit"])
    distinct = items.drop_duplicates(["item_code", "description", "pay_unit"])
    blocks.title_block(
        {
            "Files": f"{counts['files']}, in {blocks.counted(imports['layout'].nunique(), 'layout')}",
            "Contracts": f"{counts['contracts']}, let {words.years(counts['first_letting'], counts['last_letting'])}"
            if counts["contracts"]
            else "none",
            "Structures": f"{counts['structures']}, of which {counts['priced_structures']} have a contract",
            "Pay items": f"{len(distinct)}, of which {len(unknown)} unclassified",
            "Findings": f"{findings}, of which {still_open} open",
        }
    )


def part_chosen() -> str:
    """The part named in the URL; changing it changes the URL."""
    wanted = st.query_params.get("part", "set-aside")
    st.session_state["part"] = wanted if wanted in PARTS else "set-aside"
    st.segmented_control(
        "Part of the record",
        list(PARTS),
        format_func=lambda part: PARTS[part],
        key="part",
        required=True,
        label_visibility="collapsed",
        on_change=lambda: set_query(
            "part", None if st.session_state["part"] == "set-aside" else st.session_state["part"]
        ),
    )
    return str(st.session_state["part"])


page()
