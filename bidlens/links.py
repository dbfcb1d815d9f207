"""Which contract paid for which structure: what files say, what the contracts' words suggest, what is said by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import pandas as pd

from bidlens import normalizer, store
from bidlens.store import NewBridge
from bidlens.superstructure import read_type

_BRIDGE_BASIS = "bridge"
_PAIR = ["contract_id", "letting_date", "structure_id"]


class Links:
    """The part of `Database` that links structures and contracts."""

    store: store.Store

    def structure_links(self) -> pd.DataFrame:
        """What was said by hand, latest first."""
        return store.ask(self.store, "structure_links")

    def link_suggestions(self) -> pd.DataFrame:
        """Structures that contracts name and that are not linked to them; see `normalizer.suggest_links`.

        And bridge_usd, the dollars of bridge work of a contract without any structure, else missing. Those come first.
        """
        structures, said = store.ask(self.store, "structures"), self.structure_links()
        linked = structures.loc[structures["contract_id"] != "", _PAIR]
        decided = pd.concat([linked, said[_PAIR]], ignore_index=True)
        texts = store.ask(self.store, "link_texts")
        found = normalizer.suggest_links(texts, structures["structure_id"], decided)
        without = self.contracts_without_structure()[[*_PAIR[:2], "bridge_usd"]]
        found = found.merge(without, on=_PAIR[:2], how="left", validate="m:1")
        return found.sort_values("bridge_usd", ascending=False, kind="stable").reset_index(drop=True)

    def contracts_without_structure(self) -> pd.DataFrame:
        """Lettings with bridge work in the low bid and no structure linked, most dollars first."""
        categories = sorted(normalizer.load_bases()[_BRIDGE_BASIS].categories)
        return store.ask(self.store, "contracts_without_structure", categories=categories)

    def schedules_of(self, contract_id: str, letting_date: dt.date) -> list[str]:
        """The named schedules of one letting."""
        found = store.ask(self.store, "schedules_of_contract", contract_id=contract_id, letting_date=letting_date)
        return [str(name) for name in found["schedule"]]

    def link_structure(
        self,
        contract_id: str,
        structure_id: str,
        reason: str,
        *,
        letting_date: dt.date | None = None,
        schedules: Sequence[str] = (),
        bridge: NewBridge | None = None,
    ) -> list[str]:
        """Say that a contract paid for a structure: see `store.link_structure`. Returns the doubts about its type.

        bridge : what is known of the bridge that was built; its type in any usual spelling.
        """
        bridge = bridge or NewBridge()
        doubts: list[str] = []
        if bridge.superstructure:
            kind, unknown = read_type(bridge.superstructure)
            bridge = NewBridge(kind, bridge.length_ft, bridge.width_ft, bridge.span_ft, bridge.spans)
            doubts += [unknown.text] if unknown else []
        store.link_structure(
            self.store, contract_id, letting_date, structure_id, schedules, bridge, reason, decided_at=_now()
        )
        return doubts

    def unlink_structure(
        self, contract_id: str, structure_id: str, reason: str, *, letting_date: dt.date | None = None
    ) -> None:
        """Say that a contract did not pay for a structure; a link of a file does not count any more."""
        store.unlink_structure(self.store, contract_id, letting_date, structure_id, reason, decided_at=_now())

    def take_back_link(self, contract_id: str, structure_id: str, letting_date: dt.date | None = None) -> bool:
        """Take back what was said by hand of a contract and a structure. Returns whether it was a link."""
        return store.take_back_link(self.store, contract_id, letting_date, structure_id)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).replace(tzinfo=None)
