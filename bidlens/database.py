"""The county's cost record as one object: files in, unit-cost history and model out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType
from typing import Any

import pandas as pd

from bidlens import importing, indexes, letting, model, normalizer, proposal, quarters, reference, store
from bidlens.decisions import Decisions
from bidlens.errors import BadValue, NotOnRecord
from bidlens.findings import Finding, Unavailable
from bidlens.importing import ImportResult, Progress
from bidlens.ingest.proposals import proposals_of
from bidlens.links import Links
from bidlens.placing import Placing
from bidlens.reference import CostIndex
from bidlens.remembering import Remembered
from bidlens.tracing import Tracing

DEFAULT_BASIS = "superstructure"


@dataclass(frozen=True, slots=True, eq=False)
class PricedHistory:
    """The unit-cost history on one basis and the model fitted to it.

    model : None where there is too little history; `no_model` then says why.
    index : the cost index used, extended by forecast quarters where the record reaches past its last one.
    """

    history: normalizer.UnitCostHistory
    model: model.CostModel | None
    no_model: Unavailable | None
    index: CostIndex

    @property
    def frame(self) -> pd.DataFrame:
        return self.history.frame


@dataclass(frozen=True, slots=True, eq=False)
class Papers:
    """The papers behind one price: its letting, structure, bidders, and the rows of the basis with file, sheet, row."""

    letting: dict[str, Any]
    structure: dict[str, Any]
    bids: pd.DataFrame
    rows: pd.DataFrame


class Database(Decisions, Links, Placing, Tracing):
    """The county's cost record: one DuckDB file. Use `open_database`."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.store = store.Store(path)
        self._remembered = Remembered()

    def __enter__(self) -> Database:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.store.close()

    # -- files in ----------------------------------------------------------------------------------------------

    def import_files(
        self,
        paths: Iterable[str | Path],
        kind: str | None = None,
        *,
        dry_run: bool = False,
        progress: Progress | None = None,
        names: Sequence[str] | None = None,
        columns: importing.Columns = None,
        again: str = store.KEEP_FIRST,
        award: str | None = None,
        entry_rule: str | None = None,
    ) -> list[ImportResult]:
        """Import files one by one, each in a transaction of its own; a file that cannot be read changes nothing.

        kind : one of `ingest.KINDS`; recognised when None.
        progress : called with (done, of, name) before each file and once at the end.
        names : shown names, where the paths are temporary copies.
        columns : which column is what: a mapping or its TOML file for all files, or one for each file. A file
            `x.columns.toml` beside `x.csv` is read without being named, and a mapping kept for the same headings is
            used where none is told.
        again : "keep-first", "replace" or "keep-both", where a contract is on record from another file.
        award : the schedules the award rests on, as “base + ALT 1”; the base bid when None.
        entry_rule : "as-bid" or "tenth-of-a-cent", kept as the record's setting; what is kept holds when None.
        Returns one ImportResult a file; errors are kept in it and not raised, so that good files come in.
        """
        files = [Path(path) for path in paths]
        shown = list(names) if names else [path.name for path in files]
        chosen = importing.Choices(again, award, entry_rule)
        return importing.import_files(
            self.store, files, shown, kind, dry_run=dry_run, progress=progress, columns=columns, choices=chosen
        )

    def recognise(
        self,
        path: str | Path,
        kind: str | None = None,
        *,
        name: str | None = None,
        columns: importing.ColumnMapping | None = None,
        header_row: int | None = None,
    ) -> importing.Recognition:
        """What is recognised in a file: kind, layout, headings, letting date, and how sure. Nothing is stored.

        header_row : take this row, counted from 1, for the headings. Raises as reading the file would.
        """
        shown = name or Path(path).name
        return importing.recognise(self.store, Path(path), shown, kind, columns, header_row)

    def undo(self, batch_id: int) -> dict[str, int]:
        """Take one import back whole. Returns the rows removed, table by table."""
        return store.undo_batch(self.store, batch_id)

    def mappings(self) -> pd.DataFrame:
        """Which column is what, as told for files with the same headings; newest first."""
        return store.ask(self.store, "mappings")

    def forget_mapping(self, name: str) -> None:
        """Remove a mapping; what came in by it stays. Raises NotOnRecord if there is none of that name."""
        store.forget_mapping(self.store, name)

    # -- what is on record -------------------------------------------------------------------------------------

    def imports(self) -> pd.DataFrame:
        """One row per imported file, newest first."""
        return self._ask("imports")

    def lettings(self) -> pd.DataFrame:
        """One row per contract and letting: bidders, low bidder, low total."""
        return self._same_until_written("lettings")[0]

    def structures(self) -> pd.DataFrame:
        """The structure list, those in the inventory only included."""
        return self._same_until_written("structures")[0]

    def program_bridges(self) -> pd.DataFrame:
        """The program list imported last, in the owner's order."""
        return self._ask("program_bridges")

    def set_aside(self) -> pd.DataFrame:
        """Rows read and not taken as data, with their reason."""
        return self._ask("set_aside")

    def findings(self) -> pd.DataFrame:
        """Doubts met while importing."""
        return self._ask("findings")

    def category_summary(self) -> pd.DataFrame:
        """Dollars of low bids by work category."""
        return self._ask("category_summary")

    def pay_items(self) -> pd.DataFrame:
        """Distinct pay items with their work category, the rule that decided it, and their dollars."""
        return self._ask("pay_items")

    def counts(self) -> dict[str, Any]:
        """Files, contracts, structures, first and last letting, rows read, kept and set aside."""
        return dict(self._ask("counts").iloc[0])

    def stamp(self) -> str:
        """Changes whenever the database does; what a cache is keyed by."""
        return self.store.stamp()

    def proposals(self) -> list[proposal.Proposal]:
        """The supplier proposals on record."""
        return proposals_of(*self._same_until_written("proposals", "proposal_scope"))

    def index(self, name: str | None = None) -> CostIndex:
        """The cost index of a name: see `indexes.chosen_index`. The shipped NHCCI when None."""
        if name is None:
            return reference.load_shipped_index()
        return indexes.chosen_index(name, *self._same_until_written("index_series", "index_values"))

    def index_series(self) -> pd.DataFrame:
        """One row per imported cost index and release, with its import."""
        return self._ask("index_series")

    def index_names(self) -> list[str]:
        """Every name `index` takes: shipped, imported with its release, and "none"."""
        return indexes.known_names(self._ask("index_series"))

    def index_findings(self, index: CostIndex) -> list[Finding]:
        """What a reader must know of an index chosen: prices left as bid, or a newer release on record."""
        return indexes.choice_findings(index, *self._same_until_written("index_series"))

    def _same_until_written(self, *questions: str) -> list[pd.DataFrame]:
        """The answers to questions asked again and again, kept while the record stays as it is."""
        stamp = self.stamp()
        answers = self._remembered.known(stamp, *questions)
        if new := [name for name in questions if name not in answers]:
            with self.store.open():  # one opening for all of them
                answers |= {name: self._ask(name) for name in new}
            for name in new:
                self._remembered.keep(stamp, name, answers[name], len(answers[name]))
        return [answers[name].copy(deep=False) for name in questions]  # the one kept is not changed by who gets it

    def bids(self) -> pd.DataFrame:
        """One row per bid of every letting, and one without bidder for a letting without bids."""
        return self._same_until_written("review_bids")[0]

    def priced_rows(self) -> list[pd.DataFrame]:
        """What unit costs are made of: low bidders' lines, lettings, and structures with their contracts."""
        return self._same_until_written("low_bid_items_of_structures", "lettings", "structures_with_contract")

    def contract_list(self) -> pd.DataFrame:
        """Every letting on record, one row each: its bids, its estimate and what lies between them."""
        made = self._remembered.or_made(
            self.stamp(),
            "contract list",
            lambda: letting.contract_list(*self._same_until_written("review_bids", "review_estimates")),
            len,
        )
        return made.copy(deep=False)

    def _paid_lines(self, whole_contract: bool) -> normalizer.PaidLines:
        """Structures with the lines that pay for them, kept while the record stays as it is."""
        return self._remembered.or_made(
            self.stamp(),
            ("paid lines", whole_contract),
            lambda: normalizer.paid_lines(*self.priced_rows(), whole_contract=whole_contract),
            lambda paid: len(paid.lines),
        )

    def structure_prices(self, basis: str, *, include_mobilization: bool = False) -> normalizer.StructurePrices:
        """What each structure cost on a basis, as bid, kept while the record stays as it is.

        Raises BadValue for an unknown basis.
        """
        wanted = normalizer.basis_named(basis)
        return self._remembered.or_made(
            self.stamp(),
            ("structure prices", basis, include_mobilization),
            lambda: normalizer.structure_prices(
                self._paid_lines(wanted.whole_contract), wanted, include_mobilization=include_mobilization
            ),
            lambda prices: len(prices.paid.lines),
        )

    def prices_as_bid(self) -> dict[str, pd.DataFrame]:
        """The frames of `structure_prices` on every basis, by name; kept of records too long to keep the lines of."""
        return self._remembered.or_made(
            self.stamp(), "prices as bid", self._prices_as_bid, lambda frames: sum(map(len, frames.values()))
        )

    def _prices_as_bid(self) -> dict[str, pd.DataFrame]:
        found = normalizer.prices_on(list(normalizer.load_bases().values()), *self.priced_rows())
        return {name: one.frame for name, one in found.items()}

    # -- history and model -------------------------------------------------------------------------------------

    def price_history(
        self,
        basis: str = DEFAULT_BASIS,
        dollars_of: str | None = None,
        *,
        superstructure: str | None = None,
        index_name: str | None = None,
        include_mobilization: bool = False,
    ) -> PricedHistory:
        """Unit costs on one basis in dollars of one quarter, and the model fitted to them.

        dollars_of : quarter such as "2026Q1"; the index's last published quarter when None.
        superstructure : keep one type in the history shown; the model always sees all types.
        index_name : as `index` takes it; "none" leaves prices as bid.
        include_mobilization : add each contract's mobilization in proportion to the dollars of the basis.
        Raises BadValue for an unknown basis or type, MissingReference for a quarter outside the published index.
        """
        published = self.index(index_name)
        prices = self.structure_prices(basis, include_mobilization=include_mobilization)
        let = list(quarters.quarters_of(prices.paid.lettings["letting_date"]).dropna())
        base = indexes.base_quarter(published, dollars_of, let)
        index = indexes.reaching(published, let)
        history = normalizer.restated(prices, index, base)
        fitted, why_not = _fit(history, index)
        at_reference = (
            fitted.at_reference_span(history.frame) if fitted else pd.Series(float("nan"), history.frame.index)
        )
        frame = history.frame.assign(unit_cost_at_reference_span=at_reference)
        if superstructure:
            frame = _of_type(frame, superstructure)
        findings = [*self.index_findings(published), *history.findings]
        return PricedHistory(replace(history, frame=frame, findings=findings), fitted, why_not, index)

    def unit_cost_history(
        self, basis: str = DEFAULT_BASIS, dollars_of: str | None = None, *, superstructure: str | None = None
    ) -> pd.DataFrame:
        """The unit-cost history, one row per structure, each adjustment a column."""
        return self.price_history(basis, dollars_of, superstructure=superstructure).frame

    def papers(self, contract_id: str, letting_date: dt.date, structure_id: str, basis: str = DEFAULT_BASIS) -> Papers:
        """What stands behind one unit cost; the dollars of the rows sum to it, none where the structure is left out.

        Raises NotOnRecord if there is no such letting or structure.
        """
        date = pd.Timestamp(letting_date)
        lettings, structures = self._same_until_written("lettings", "structures_with_contract")
        letting = lettings[(lettings["contract_id"] == contract_id) & (lettings["letting_date"] == date)]
        mine = structures[(structures["contract_id"] == contract_id) & (structures["structure_id"] == structure_id)]
        if letting.empty or mine.empty:
            raise NotOnRecord(
                f"no letting of contract {contract_id} on {date:%d %b %Y} with structure {structure_id} is on record"
            )
        bids = self._ask("bidders_of_contract", contract_id=contract_id, letting_date=date.date())
        lines = self.structure_prices(basis).lines
        of_letting = (lines["contract_id"] == contract_id) & (lines["letting_date"] == date)
        rows = lines[of_letting & (lines["structure_id"] == structure_id)].reset_index(drop=True)
        return Papers(dict(letting.iloc[0]), dict(mine.iloc[0]), bids, rows)

    # -- records out -------------------------------------------------------------------------------------------

    def export(self, folder: str | Path, *, csv: bool = False) -> list[Path]:
        """Write every table as Parquet (or CSV), so that nobody is locked in."""
        return store.export_tables(self.store, Path(folder), csv=csv)


def _fit(history: normalizer.UnitCostHistory, index: CostIndex) -> tuple[model.CostModel | None, Unavailable | None]:
    if history.frame.empty:
        return None, Unavailable("no structure on record has a price on this basis")
    return model.fit_cost_model(history.frame, index=index), None


def _of_type(frame: pd.DataFrame, superstructure: str) -> pd.DataFrame:
    kept = frame[frame["superstructure"] == superstructure]
    if kept.empty and not frame.empty:
        known = ", ".join(sorted(frame["superstructure"].unique()))
        raise BadValue(f"no structure of type “{superstructure}” on record", do=f"Types on record: {known}.")
    return kept
