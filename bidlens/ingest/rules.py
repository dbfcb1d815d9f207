"""What the owner says about counting bids: the schedules an award rests on, and how unit prices are entered.

Nothing is guessed here. Without a word of the owner's the base bid alone is counted and every price stands as bid.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest.cells import decimal_array, whole
from bidlens.ingest.headers import words_of
from bidlens.ingest.layout import cell_words

AS_BID, TENTH_OF_A_CENT = "as-bid", "tenth-of-a-cent"
#: Name of a rule for entering unit prices -> what it does and where it is written.
ENTRY_RULES = {
    AS_BID: "unit prices stand as bid",
    TENTH_OF_A_CENT: "a unit price of zero is tabulated as $0.001, and one with more than three decimals is rounded "
    "half up to a tenth of a cent (Texas, 43 TAC 9.16(b))",
}
_SMALLEST = Decimal("0.001")
_BASE = frozenset({("base",), ("base", "bid")})
_BETWEEN = re.compile(r"\s*[+,;&]\s*|\s+and\s+", re.IGNORECASE)
_LIST_WORDS = frozenset({"schedule", "section", "part", "alt", "group", "division", "category", "option"})
_SAME_WORD = {"alternate": "alt", "alternative": "alt", "alternates": "alt", "sched": "schedule", "sch": "schedule"}


@dataclass(frozen=True, slots=True)
class BidRules:
    """award : the schedules the award rests on, as the owner names them (“base”, “ALT 1”); empty: the base bid.
    entry_rule : one of `ENTRY_RULES`.
    """

    award: tuple[str, ...] = ()
    entry_rule: str = AS_BID

    def __post_init__(self) -> None:
        if self.entry_rule not in ENTRY_RULES:
            raise BadValue(f"there is no rule “{self.entry_rule}”", do=f"Rules: {', '.join(ENTRY_RULES)}.")


#: Without a word of the owner's.
AS_READ = BidRules()


def parse_award(written: str) -> tuple[str, ...]:
    """“base + ALT 1” or “A, B” as its parts. Raises BadValue if nothing is named."""
    parts = tuple(part for part in _BETWEEN.split(written.strip()) if part)
    if not parts:
        raise BadValue("no schedule is named", do="Name those the award rests on, as “base + ALT 1” or “A, B”.")
    return parts


# --- which schedules decide ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Award:
    """Which schedules count, by name. `chosen`: the owner named them."""

    parts: tuple[tuple[str, ...], ...] = ()
    with_base: bool = True
    chosen: bool = field(default=False)

    def counts(self, schedule: str) -> bool:
        """Whether a schedule of this name is in the bid the award rests on, as far as the owner's words go."""
        named = any(_is_named(_words(schedule), part) for part in self.parts)
        return named or (self.with_base and not names_alternate(schedule))


def award_of(rules: BidRules, schedules: Iterable[str], file: str) -> Award:
    """The owner's choice, held against the schedules of a file.

    Raises BadValue if a schedule it names is in none of them.
    """
    if not rules.award:
        return Award()
    words = {part: _words(part) for part in rules.award}
    parts = {part: said for part, said in words.items() if said not in _BASE}
    known = [schedule for schedule in schedules if schedule]
    for part, said in parts.items():
        if not any(_is_named(_words(schedule), said) for schedule in known):
            listed = ", ".join(f"“{schedule}”" for schedule in dict.fromkeys(known)) or "it names none"
            raise BadValue(
                f"the award is to rest on “{part}”, but no schedule of the file is called that",
                where=file,
                do=f"Schedules of the file: {listed}. Import files with other schedules on their own.",
            )
    return Award(tuple(parts.values()), len(parts) < len(words), True)


def kept_apart(rows: pd.DataFrame, award: Award) -> np.ndarray:
    """True for the rows (n; schedule, letting) outside the bid that the award rests on.

    Without a choice, or in a letting that has none of the schedules chosen: the schedules named as alternates, where
    the letting also has one that is not.
    """
    names = rows["schedule"].cat.categories
    codes = rows["schedule"].cat.codes.to_numpy()
    alternate = np.array([names_alternate(name) for name in names], dtype=bool)[codes]
    apart = alternate & _in_letting(rows, ~alternate) if alternate.any() else alternate
    if not award.chosen:
        return apart
    counted = np.array([award.counts(name) for name in names], dtype=bool)[codes]
    return np.where(_in_letting(rows, counted), ~counted, apart)


def _in_letting(rows: pd.DataFrame, which: np.ndarray) -> np.ndarray:
    """True for every row of a letting that has one of the rows."""
    return pd.Series(which).groupby(rows["letting"].to_numpy()).transform("any").to_numpy(dtype=bool)


def names_alternate(schedule: str) -> bool:
    """Whether a schedule's name says that it is an alternate."""
    return cell_words().says("alternate", schedule)


def _words(text: str) -> tuple[str, ...]:
    return tuple(_SAME_WORD.get(word, word) for word in words_of(text))


def _is_named(schedule: Sequence[str], part: Sequence[str]) -> bool:
    """The words of the part stand side by side in the schedule's; a lone short one, such as A, after “schedule”."""
    places = [at for at in range(len(schedule)) if tuple(schedule[at : at + len(part)]) == tuple(part)]
    if len(part) == 1 and len(part[0]) <= 2:
        return any((at == 0 and len(schedule) == 1) or (at and schedule[at - 1] in _LIST_WORDS) for at in places)
    return bool(places)


def entry_notes(rules: BidRules, file: str) -> list[Finding]:
    """Says which rule for entering unit prices was in force, where one was."""
    if rules.entry_rule == AS_BID:
        return []
    text = f"{file} was read by this rule: {ENTRY_RULES[rules.entry_rule]}"
    return [Finding("entry_rule", "note", text, place=Place(file))]


# --- how prices are entered ---------------------------------------------------------------------------------------


def by_tenth_of_a_cent(prices: pa.Array) -> pa.Array:
    """Unit prices read to three decimals (n; null where blank) as they are tabulated, in five: zero is $0.001.

    Source: 43 TAC 9.16(b). One that rounds to zero counts as zero.
    """
    scaled = whole(prices).copy() * 100
    nothing = pc.is_null(prices).to_numpy(zero_copy_only=False)
    scaled[(scaled == 0) & ~nothing] = int(_SMALLEST * 10**5)
    return decimal_array(scaled, nothing, 5)
