"""How papers mark a price that rests on what was said by hand: a star at the price, one line below the table."""

from __future__ import annotations

import pandas as pd

STAR = "*"


def starred(price: str, by_hand: object) -> str:
    """The price, with a star where `by_hand` says something."""
    return f"{price} {STAR}" if isinstance(by_hand, str) and by_hand else price


def note_below(frame: pd.DataFrame) -> str:
    """The line below a table of prices: which contracts rest on what; empty where none does. frame : with by_hand."""
    said = frame.loc[frame["by_hand"].fillna("") != "", ["contract_id", "by_hand"]].drop_duplicates()
    if said.empty:
        return ""
    each = [f"{contract_id} {words}" for contract_id, words in zip(said["contract_id"], said["by_hand"], strict=True)]
    return f"{STAR} rests in part on what was said by hand: {'; '.join(each)}"
