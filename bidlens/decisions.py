"""What the engineer decides about the record: which spellings are one bidder, prices typed by hand, doubts accepted.

Each decision is kept beside the rows as read with its reason and day, is shown, and can be taken back.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd

from bidlens import normalizer, store
from bidlens.findings import Finding


class Decisions:
    """The part of `Database` that keeps decisions."""

    store: store.Store

    def _ask(self, question: str, **parameters: Any) -> pd.DataFrame:
        return store.ask(self.store, question, **parameters)

    # -- names -------------------------------------------------------------------------------------------------

    def bidders(self) -> pd.DataFrame:
        """One row per bidder, confirmed spellings counted together: bids, first places, spellings."""
        return self._ask("bidders")

    def bidder_aliases(self) -> pd.DataFrame:
        """Spellings confirmed to be another bidder."""
        return self._ask("bidder_aliases")

    def bidder_suggestions(self) -> pd.DataFrame:
        """Bidder spellings that may be one firm and are not confirmed to be; see `normalizer.suggest_bidders`."""
        spellings, pairs = self._ask("bidder_spellings"), self._ask("bidders_together")
        together = {frozenset(pair) for pair in zip(pairs["one"], pairs["other"], strict=True)}
        found = normalizer.suggest_bidders(spellings, together)
        known_as = dict(zip(spellings["bidder"], spellings["confirmed_as"], strict=True))
        open_ones = found["spelling"].map(known_as) != found["bidder"].map(known_as)
        return found[open_ones].reset_index(drop=True)

    def pay_item_suggestions(self) -> pd.DataFrame:
        """Pay item descriptions that may be one item, those in two work categories first."""
        return normalizer.suggest_pay_items(self._ask("pay_items"))

    def bidders_kept_apart(self) -> list[Finding]:
        """Lettings in which two bids are confirmed to be of one bidder: there they stay as read."""
        return [store.kept_apart(row) for row in self._ask("bidders_kept_apart").to_dict("records")]  # type: ignore[arg-type]

    def confirm_name(self, spelling: str, bidder: str, reason: str) -> list[Finding]:
        """Show and count one spelling as another bidder. Returns findings on lettings in which both bid."""
        return store.confirm_alias(self.store, spelling, bidder, reason, decided_at=_now())

    def forget_name(self, spelling: str) -> str:
        """Take a confirmed spelling back. Returns the bidder it was shown as."""
        return store.forget_alias(self.store, spelling)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(tzinfo=None)
