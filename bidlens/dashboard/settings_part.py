"""What the record and the program are set to: each setting, its value, where it is from, and how it is changed."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filters import basis_title
from bidlens.dashboard.placing_part import in_words
from bidlens.dashboard.words import label, or_not_given
from bidlens.importing import ENTRY_RULE
from bidlens.ingest import ENTRY_RULES
from bidlens.letting import load_triggers
from bidlens.letting.triggers import Trigger
from bidlens.normalizer import load_bases
from bidlens.reference import load_table

USUAL_RULE = next(iter(ENTRY_RULES))
_SEEN = {"source": "read in the source", "memory": "not seen: off until you look it up", "own choice": "our own choice"}
_SAID = "setting said"
#: Published tables that decide what a number is; the others serve checks and examples.
TABLES_USED = ("nhcci", "nbi_item43")


def show() -> None:
    """Entry rule, cost bases, triggers of the review, published tables, mappings kept."""
    if said := st.session_state.pop(_SAID, None):
        blocks.note(said)
    entry_rule()
    bases()
    triggers()
    published()
    mappings()


def entry_rule() -> None:
    """How unit prices are entered when a bid tab comes in; kept for later imports."""
    settings = dict(cache.table("settings")[["name", "value"]].itertuples(index=False, name=None))
    kept = settings.get(ENTRY_RULE, USUAL_RULE)
    blocks.section("How unit prices are entered", "Holds for bid tabs imported from now on; those on record stay.")
    with st.container(horizontal=True, vertical_alignment="bottom", key="rule_row"):
        chosen = st.selectbox(
            "Entry rule", list(ENTRY_RULES), list(ENTRY_RULES).index(kept) if kept in ENTRY_RULES else 0,
            format_func=lambda rule: f"{rule.replace('-', ' ')}: {ENTRY_RULES[rule]}", key="entry_rule", width=900,
        )  # fmt: skip
        if st.button("Keep this rule", key="keep_rule", disabled=chosen == kept) and chosen:
            with blocks.stops_shown():
                cache.database().keep_entry_rule(chosen)
                st.session_state[_SAID] = f"Unit prices are entered {chosen.replace('-', ' ')} from now on."
                st.rerun()


def bases() -> None:
    """What each cost basis contains."""
    blocks.section("What the dollars contain", "Two bases are never pooled or drawn together.")
    rows = [
        [basis_title(name), "every category" if basis.whole_contract else _categories(basis.categories)]
        for name, basis in load_bases().items()
    ]
    blocks.table([blocks.Column("Basis", "nowrap"), blocks.Column("Work categories")], rows)


def _categories(categories: Any) -> str:
    return ", ".join(in_words(name) for name in sorted(categories))


def triggers() -> None:
    """The numbers that make the letting review ask for a second look, with their sources."""
    blocks.section(
        "Triggers of the letting review",
        "Numbers that ask for a second look, each with where it was read. They are not changed here: the command line "
        "takes an edited copy of the file (bidlens review --triggers FILE).",
    )
    heads = (("Trigger", ""), ("State", "nowrap"), ("Where it was read", ""), ("Seen", ""))
    rows = [_trigger(one) for one in load_triggers().values()]
    blocks.table([blocks.Column(*head) for head in heads], rows)


def _trigger(one: Trigger) -> list[object]:
    return [one.title, "on" if one.on else "off", one.said_source, _SEEN.get(one.seen, one.seen)]


def published() -> None:
    """The published tables in use, with release and publisher."""
    blocks.section("Published tables in use", "They come with bidlens; nothing is fetched.")
    heads = (("Table", ""), ("Publisher", ""), ("Release", ""), ("Licence", ""))
    rows = []
    for name in TABLES_USED:
        about = load_table(name).about
        given = [or_not_given(about.get(key), str, "not stated") for key in ("publisher", "release", "licence")]
        rows.append([about.get("title", name), *given])
    blocks.table([blocks.Column(*head) for head in heads], rows)


def mappings() -> None:
    """Columns told for files with the same headings, and the way to forget one."""
    frame: pd.DataFrame = cache.table("mappings")
    blocks.section("Columns kept under a name", "Used for every file with the same headings.")
    if frame.empty:
        blocks.note("None is kept.", "One is kept when you correct the columns of a file before it comes in.")
        return
    rows = [[row["name"], row["kind"], wording.day(row["decided_at"])] for row in frame.to_dict("records")]
    blocks.table([blocks.Column("Name"), blocks.Column("Kind", "nowrap"), blocks.Column("Kept, UTC", "nowrap")], rows)
    with st.container(horizontal=True, vertical_alignment="bottom", key="mapping_row"):
        name = st.selectbox(
            "Forget one", frame["name"].tolist(), index=None, key="mapping_out", width=460, placeholder="Choose one",
            format_func=label,
        )  # fmt: skip
        if name is not None and st.button("Forget it", key="forget_mapping"):
            with blocks.stops_shown():
                cache.database().forget_mapping(name)
                st.session_state.pop("mapping_out", None)
                st.session_state[_SAID] = "It is forgotten; what came in by it stays."
                st.rerun()
