"""Which structures a contract's own words name: suggestions alone, a person links. Pure.

A structure number is found where it stands whole: the same letters and digits in the same order, leading zeros and the
marks between them aside (K-117, K117, K-0117). A number that could as well be a size or a class (417, C-6) counts only
after a word such as bridge or structure, or where it is all the text says. How long a number must be to stand by
itself is a choice of ours, no source.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable
from functools import lru_cache

import pandas as pd

#: One row per structure and letting.
SUGGESTED_LINK_COLUMNS = ("contract_id", "letting_date", "structure_id", "schedules", "found_in", "text", "texts",
                          "also_fits")  # fmt: skip
#: Where a text stands, the plainest word first.
FOUND_IN = ("contract table", "schedule name", "contract description", "item text")

Key = tuple[str, ...]
_TOKEN = re.compile(r"[A-Z0-9]+(?:[-._][A-Z0-9]+)*")
_RUN = re.compile(r"[A-Z]+|[0-9]+")
_NAMES_A_BRIDGE = frozenset({"BRIDGE", "BRIDGES", "BR", "STRUCTURE", "STRUCTURES", "STR", "STRUCT", "SN", "NBI", "BIN"})
_BETWEEN = frozenset({"NO", "NOS", "NUM", "NUMBER", "ID", "AND"})
_DIGITS_ALONE, _MARKS_MIXED = 5, 4  # from so many letters and digits a number stands by itself


def structure_key(text: str) -> Key:
    """The letters and digits of a structure number, digits without leading zeros; () where it has no digit.

    >>> structure_key("K-0117"), structure_key("k117"), structure_key("Mill Creek")
    (('K', '117'), ('K', '117'), ())
    """
    runs = tuple(run.lstrip("0") or "0" if run.isdigit() else run for run in _RUN.findall(text.upper()))
    return runs if any(run.isdigit() for run in runs) else ()


@lru_cache(maxsize=1 << 16)
def numbers_in(text: str) -> frozenset[Key]:
    """Every structure number that a text may name."""
    tokens = _TOKEN.findall(text.upper())
    found: set[Key] = set()
    after_bridge = False
    before = ""
    for token in tokens:
        together = f"{before}{token}" if before.isalpha() and len(before) <= 3 and token[0].isdigit() else ""
        for number in (token, together):
            key = structure_key(number)
            if key and (after_bridge or len(tokens) <= 2 or (number is token and _stands_alone(key))):
                found.add(key)
        if token in _NAMES_A_BRIDGE:
            after_bridge = True
        elif token not in _BETWEEN and not token.isalpha():
            after_bridge = after_bridge and bool(structure_key(token))
        elif token not in _BETWEEN and len(token) > 3:
            after_bridge = False
        before = token
    return frozenset(found)


def _stands_alone(key: Key) -> bool:
    signs = sum(map(len, key))
    return signs >= _DIGITS_ALONE if all(map(str.isdigit, key)) else signs >= _MARKS_MIXED and len(key) > 1


def suggest_links(texts: pd.DataFrame, structure_ids: Iterable[str], known: pd.DataFrame) -> pd.DataFrame:
    """Structures that contracts name and that are not linked to them.

    texts : contract_id, letting_date, schedule, found_in (one of FOUND_IN), text.
    structure_ids : those on record. known : contract_id, letting_date (missing: any), structure_id of pairs that are
    decided, linked or not.
    Returns SUGGESTED_LINK_COLUMNS: schedules is the list of those that alone name the structure, empty where the
    contract as a whole or every schedule does; text an example, texts how many; also_fits the other structures whose
    number reads the same. Plainest first.
    """
    by_key: dict[Key, list[str]] = {}
    for structure_id in sorted(set(structure_ids)):
        if key := structure_key(structure_id):
            by_key.setdefault(key, []).append(structure_id)
    named = {text: [key for key in sorted(numbers_in(text)) if key in by_key] for text in set(texts["text"])}
    hits = texts[texts["text"].map(named).map(len) > 0]
    rows = [
        {**hit, "structure_id": one, "also_fits": ", ".join(other for other in by_key[key] if other != one)}
        for hit in hits.to_dict("records")
        for key in named[hit["text"]]
        for one in by_key[key]
    ]
    found = pd.DataFrame(rows, columns=[*texts.columns, "structure_id", "also_fits"])
    every = texts[texts["schedule"] != ""].groupby(["contract_id", "letting_date"])["schedule"].nunique()
    suggested = [_one(pair, group, every) for pair, group in _undecided(found, known).groupby(_PAIR, sort=True)]
    out = pd.DataFrame(suggested, columns=list(SUGGESTED_LINK_COLUMNS))
    out["letting_date"] = pd.to_datetime(out["letting_date"])
    plainest = out["found_in"].map({name: place for place, name in enumerate(FOUND_IN)})
    order = out.assign(_plainest=plainest, _unclear=out["also_fits"] != "")
    order = order.sort_values(["_unclear", "_plainest", "letting_date", *_PAIR], kind="stable")
    return order[list(SUGGESTED_LINK_COLUMNS)].reset_index(drop=True)


_PAIR = ["contract_id", "letting_date", "structure_id"]


def _undecided(found: pd.DataFrame, known: pd.DataFrame) -> pd.DataFrame:
    """The hits whose pair of letting and structure is not among those decided."""
    dated = known[known["letting_date"].notna()]
    whole = known[known["letting_date"].isna()]
    out = pd.MultiIndex.from_frame(found[_PAIR]).isin(pd.MultiIndex.from_frame(dated[_PAIR]))
    without_day = ["contract_id", "structure_id"]
    out |= pd.MultiIndex.from_frame(found[without_day]).isin(pd.MultiIndex.from_frame(whole[without_day]))
    return found[~out]


def _one(pair: tuple[Hashable, ...], group: pd.DataFrame, every: pd.Series) -> dict[str, object]:
    contract_id, letting_date, structure_id = pair
    place = min(group["found_in"], key=FOUND_IN.index)
    schedules = sorted(set(group["schedule"]) - {""})
    whole = (group["schedule"] == "").any() or len(schedules) == every.get((contract_id, letting_date), 0)
    return {
        "contract_id": contract_id, "letting_date": letting_date, "structure_id": structure_id,
        "schedules": [] if whole else schedules, "found_in": place,
        "text": group.loc[group["found_in"] == place, "text"].iloc[0], "texts": group["text"].nunique(),
        "also_fits": group["also_fits"].iloc[0],
    }  # fmt: skip
