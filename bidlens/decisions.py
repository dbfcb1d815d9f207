"""What the engineer decides about the record: which spellings are one bidder, prices typed by hand, doubts accepted,
what became of a letter.

Each decision is kept beside the rows as read with its reason and day, is shown, and can be taken back.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd

from bidlens import normalizer, store
from bidlens.findings import Finding
from bidlens.importing import ENTRY_RULE
from bidlens.ingest import BidRules
from bidlens.store import Corrected


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
        """Pay item descriptions that may be one item and are not confirmed to be, those in two categories first."""
        found = normalizer.suggest_pay_items(self._ask("pay_items"))
        ends = normalizer.known_as(self.item_aliases())
        pairs = zip(found["description"], found["other"], found["pay_unit"], strict=True)
        apart = [ends.get((one, unit), one) != ends.get((other, unit), other) for one, other, unit in pairs]
        return found[pd.Series(apart, index=found.index, dtype="bool")].reset_index(drop=True)

    def item_aliases(self) -> pd.DataFrame:
        """Pay item descriptions confirmed to be the same item as another."""
        return self._ask("item_aliases")

    def confirm_item(self, description: str, same_as: str, pay_unit: str, reason: str) -> int:
        """Count one pay item as another of the same unit, digits and class letters. Returns the lines placed anew."""
        normalizer.check_same_item(description, same_as)
        store.confirm_item(self.store, description, same_as, pay_unit, reason, decided_at=_now())
        return self._place_again(description, pay_unit)

    def forget_item(self, description: str, pay_unit: str) -> str:
        """Take a confirmed pay item back; the rules place it again. Returns the item it was counted as."""
        was = store.forget_item(self.store, description, pay_unit)
        self._place_again(description, pay_unit)
        return was

    def _place_again(self, description: str, pay_unit: str) -> int:
        """Give a pay item the category it now has. Returns the lines that changed."""
        items = store.items_of(self.store, description, pay_unit)
        decided = normalizer.categorize_as_known(items, self.item_aliases(), self._ask("overrides"))
        return store.set_categories(self.store, items.join(decided))

    def bidders_kept_apart(self) -> list[Finding]:
        """Lettings in which two bids are confirmed to be of one bidder: there they stay as read."""
        return [store.kept_apart(row) for row in self._ask("bidders_kept_apart").to_dict("records")]  # type: ignore[arg-type]

    def confirm_name(self, spelling: str, bidder: str, reason: str) -> list[Finding]:
        """Show and count one spelling as another bidder. Returns findings on lettings in which both bid."""
        return store.confirm_alias(self.store, spelling, bidder, reason, decided_at=_now())

    def forget_name(self, spelling: str) -> str:
        """Take a confirmed spelling back. Returns the bidder it was shown as."""
        return store.forget_alias(self.store, spelling)

    # -- prices typed by hand, doubts accepted -----------------------------------------------------------------

    def corrections(self) -> pd.DataFrame:
        """Prices typed by hand, latest first."""
        return self._ask("corrections")

    def blank_prices(self) -> pd.DataFrame:
        """Unit prices that are missing: what can be typed in."""
        return self._ask("blank_prices")

    def correct_price(
        self, contract_id: str, letting_date: dt.date, schedule: str, line: str, bidder: str, value: str, reason: str
    ) -> Corrected:
        """Type in a unit price that was left blank; the bid's total, status and places follow."""
        return store.correct_price(
            self.store, contract_id, letting_date, schedule, line, bidder, value, reason, decided_at=_now()
        )

    def try_price(
        self, contract_id: str, letting_date: dt.date, schedule: str, line: str, bidder: str, value: str
    ) -> Corrected:
        """What typing a unit price in would make of the bid; nothing is stored."""
        return store.try_price(self.store, contract_id, letting_date, schedule, line, bidder, value)

    def take_back_price(
        self, contract_id: str, letting_date: dt.date, schedule: str, line: str, bidder: str
    ) -> Corrected:
        """Take a typed price back; the bid is what it was."""
        return store.take_back_price(self.store, contract_id, letting_date, schedule, line, bidder)

    def acceptances(self) -> pd.DataFrame:
        """Findings and rows set aside that were accepted, latest first."""
        return self._ask("acceptances")

    def accept(
        self, batch_id: int, source_file: str, source_sheet: str, source_row: int, code: str, text: str, reason: str
    ) -> None:
        """Let a finding, or a row set aside (code "set_aside"), stand; it is not counted as open any more."""
        store.accept(self.store, batch_id, source_file, source_sheet, source_row, code, text, reason, decided_at=_now())

    def reopen(self, sha256: str, source_sheet: str, source_row: int, code: str, text: str) -> None:
        """Take an acceptance back."""
        store.reopen(self.store, sha256, source_sheet, source_row, code, text)

    def rows_around(self, batch_id: int, source_sheet: str, source_row: int) -> pd.DataFrame:
        """A row of a file with the row above and the row below, as far as they are kept on record."""
        return self._ask("rows_around", batch_id=batch_id, source_sheet=source_sheet, source_row=source_row)

    # -- settings ----------------------------------------------------------------------------------------------

    def settings(self) -> pd.DataFrame:
        """Settings of this record: name and value."""
        return self._ask("settings")

    def keep_entry_rule(self, rule: str) -> None:
        """How unit prices are entered in bid tabs imported from now on. Raises BadValue for a rule there is not."""
        store.keep_setting(self.store, ENTRY_RULE, BidRules(entry_rule=rule).entry_rule)

    # -- what became of a letter ---------------------------------------------------------------------------------

    def proposal_outcomes(self) -> pd.DataFrame:
        """Outcomes recorded, by day: proposal, outcome, contract it became, reason."""
        return self._ask("proposal_outcomes")

    def record_outcome(
        self,
        proposal_id: str,
        outcome: str,
        reason: str,
        on: dt.date,
        contract_id: str | None = None,
        letting_date: dt.date | None = None,
    ) -> None:
        """Say what became of a proposal: accepted, declined, let_instead or expired; replaces what was said before.

        contract_id : the contract it became, or that was let instead; letting_date : where it was let more than once.
        """
        store.record_outcome(self.store, proposal_id, outcome, reason, on, contract_id, letting_date, decided_at=_now())

    def forget_outcome(self, proposal_id: str) -> str:
        """Take an outcome back; the proposal is open again. Returns what it was."""
        return store.forget_outcome(self.store, proposal_id)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(tzinfo=None)
