"""Rows numbered by what they have in common: lettings, lines, bids."""

from __future__ import annotations

import numpy as np
import pandas as pd

_TABLE_FOR_EACH_ROW = 8  # a table of counts is quicker than a hash while it has at most so many places for each row


def numbered(*keys: np.ndarray) -> np.ndarray:
    """One number for each combination of the keys (each n whole numbers), from 0 in order of appearance; n int64."""
    combined, reach = np.zeros(len(keys[0]), dtype=np.int64), 1
    for key in keys:
        if not len(key):
            break
        low, size = int(key.min()), int(key.max()) - int(key.min()) + 1
        codes = (key - low).astype(np.int64)
        if reach * size >= 2**63:  # too far apart to be told apart in one number: count what is there
            codes, combined = pd.factorize(key)[0], pd.factorize(combined)[0]
            reach, size = int(combined.max()) + 1, int(codes.max()) + 1
        combined, reach = combined * size + codes, reach * size
    return pd.factorize(combined)[0]


def first_of_each(numbers: np.ndarray) -> np.ndarray:
    """Positions of the first row of each number (n numbers from 0, none left out)."""
    first = np.empty(int(numbers.max(initial=-1)) + 1, dtype=np.int64)
    first[numbers[::-1]] = np.arange(len(numbers) - 1, -1, -1)  # of the rows with one number the first is written last
    return first


def times_before(line: np.ndarray, bid: np.ndarray, letting: np.ndarray) -> np.ndarray:
    """How many rows above a row have its line and its bid; n whole numbers.

    line, bid, letting : the row's numbers (n each; bid -1: the estimate); a line and a bid are of one letting each.
    """
    offered = bid >= 0
    of_bid = letting[offered][first_of_each(bid[offered])] if offered.any() else np.zeros(0, dtype=np.int64)
    place = pd.Series(of_bid).groupby(of_bid).cumcount().to_numpy() + 1  # of the bid in its letting, from 1
    key = line * (int(place.max(initial=0)) + 1) + np.append(place, 0)[bid]
    if int(key.max(initial=0)) < _TABLE_FOR_EACH_ROW * len(key) and np.bincount(key).max() == 1:
        return np.zeros(len(key), dtype=np.int64)
    return pd.Series(0, index=range(len(key))).groupby(key).cumcount().to_numpy()
