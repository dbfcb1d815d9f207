"""The story of bidlens in short functions. Read this first; the command line and the dashboard call nothing else.

    file -> (ingest) typed rows and findings -> (store) DuckDB
         -> (normalizer) unit-cost history -> (model) expected price -> (proposal) verdict

`Database` (in database.py) is the county's cost record; the functions here are the questions asked of it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from bidlens import indexes, ingest, letting, model, proposal, quarters, reference, store, wording
from bidlens.database import DEFAULT_BASIS, Database, Papers, PricedHistory
from bidlens.errors import BadValue, NotOnRecord, Place
from bidlens.findings import Finding, worst_first
from bidlens.forecasting import forecast_program, read_program
from bidlens.importing import ImportResult, Progress
from bidlens.ingest.cost_index import index_from_file
from bidlens.ingest.proposals import proposals_of
from bidlens.reference import CostIndex
from bidlens.reviewing import compare_bids, keep_triggers, pay_item_prices, review_lettings, review_on, review_triggers
from bidlens.store import NewBridge

__all__ = [
    "DEFAULT_BASIS",
    "Database",
    "ImportResult",
    "NewBridge",
    "Papers",
    "PricedHistory",
    "Progress",
    "compare_bids",
    "forecast_program",
    "keep_triggers",
    "pay_item_prices",
    "read_program",
    "review_lettings",
    "review_on",
    "review_triggers",
]


def open_database(path: str | Path) -> Database:
    """Open the county's cost record, or name a new one: the file is made by the first import. A context manager.

    A record of an earlier bidlens is brought up to date: it gains tables and columns, and keeps all it has.
    """
    db = Database(Path(path))
    store.bring_up_to_date(db.store)
    return db


def load_index(name_or_path: str | Path) -> CostIndex:
    """A cost index: "nhcci", "nhcci-adjusted", or a CSV or workbook with quarters or months and values."""
    if str(name_or_path).lower() in reference.SHIPPED_INDEXES:
        return reference.load_shipped_index(str(name_or_path).lower())
    return index_from_file(Path(name_or_path))


def read_proposals(path: str | Path, name: str | None = None) -> list[proposal.Proposal]:
    """The proposals a file holds (TOML: one; CSV or XLSX: one a row). Nothing is stored."""
    batch = ingest.read_file(Path(path), "proposals", name=name)
    found = proposals_of(batch.tables["proposal"], batch.tables["proposal_scope"])
    if not found:
        reasons = "; ".join(batch.set_aside["reason"].unique()) or "it holds no row with a supplier and a price"
        raise BadValue(f"no proposal can be read: {reasons}", where=Place(batch.source_file))
    return found


def to_compare(offers: Sequence[proposal.Proposal]) -> list[proposal.Proposal]:
    """Of several offers those that can be held against anything; a finding on the first names the others and why.

    An offer of a list may say nothing of what it covers, or of how large the bridge is. Where none can be compared
    all are given back, and checking them says what is missing.
    """
    missing = {at: why for at, offer in enumerate(offers) if (why := _missing(offer))}
    left = [offer for at, offer in enumerate(offers) if at not in missing]
    if not missing or not left:
        return list(offers)
    told = "; ".join(f"{offers[at].proposal_id} ({why})" for at, why in missing.items())
    do = "Ask what is missing, fill it in and check again."
    finding = Finding("offers_left_out", "check", f"Not compared: {told}.", do, offers[next(iter(missing))].place)
    return [replace(left[0], findings=(*left[0].findings, finding)), *left[1:]]


def _missing(offer: proposal.Proposal) -> str:
    sized = offer.length_ft and (offer.width_ft or offer.clear_width_ft)
    told = (
        ("nothing says what the price covers", offer.scope),
        ("no size and no structure is named", sized or offer.deck_area_sf or offer.structure),
    )
    return ", ".join(words for words, given in told if not given)


def check_proposal(
    db: Database,
    offer: proposal.Proposal | str | Path,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    today: dt.date | None = None,
    priced: PricedHistory | None = None,
    index_name: str | None = None,
    brief: bool = False,
) -> proposal.ProposalCheck:
    """Hold one offer against the county's history, like for like.

    offer : a Proposal, or the path of a file that holds one.
    today : to say when a letter is stale; not looked at when None.
    priced : a history already computed on this basis, to save the work. index_name : as `Database.index` takes it.
    brief : without contributions, where many offers are placed.
    Raises BadValue where a history by one index is given and another index is named.
    """
    if isinstance(offer, str | Path):
        offer = read_proposals(offer)[0]
    if priced and index_name:
        indexes.refuse_mixed(priced.index, db.index(index_name))
    priced = priced or db.price_history(basis, dollars_of, index_name=index_name)
    when = offer.delivery or offer.date
    index = indexes.reaching(priced.index, [quarters.quarter_of(when)] if when else [])
    structure = _structure_of(db, offer)
    check = proposal.check_proposal(
        offer,
        structure=structure,
        history=priced.history,
        model=priced.model,
        index=index,
        today=today,
        brief=brief,
    )
    return replace(check, findings=tuple(worst_first([*db.index_findings(priced.index), *check.findings])))


def check_files(
    db: Database,
    *paths: Path,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    today: dt.date | None = None,
    index_name: str | None = None,
) -> list[proposal.ProposalCheck]:
    """Every proposal in the files, each held against the same history."""
    offers = to_compare([offer for path in paths for offer in read_proposals(path)])
    priced = db.price_history(basis, dollars_of, index_name=index_name)
    return [check_proposal(db, offer, basis, today=today, priced=priced) for offer in offers]


def span_curve(priced: PricedHistory, check: proposal.ProposalCheck) -> pd.DataFrame:
    """Predicted $/sf against span at the offer's width, over the spans on record: span_ft, p05 to p95, in_range."""
    if priced.model is None or check.expected is None:
        return pd.DataFrame(columns=["span_ft", "p05", "p10", "p25", "p50", "p75", "p90", "p95", "in_range"])
    return proposal.span_curve(check, priced.model, priced.history, priced.index)


def backtest(db: Database, basis: str = DEFAULT_BASIS, *, priced: PricedHistory | None = None) -> model.Backtest:
    """How well the model would have predicted this county's own lettings, each year from the years before it.

    priced : a history already computed on this basis, by the index wanted; else by the shipped one. Where other methods
    find other effects than the model, a finding says so.
    """
    priced = priced or db.price_history(basis)
    result = model.backtest(priced.frame, priced.index)
    differ = model.disagreements(priced.model.cross_checks()) if priced.model else []
    return replace(result, findings=worst_first([*db.index_findings(priced.index), *result.findings, *differ]))


def county_price_index(db: Database, index_name: str | None = None) -> pd.DataFrame:
    """How the county's own repeating pay items moved, year by year, beside a published index.

    Columns of `model.county_price_index`: year, n matched items, items, share, four indexes, national.
    """
    return letting.county_index(store.ask(db.store, "review_item_years", last_year=dt.MAXYEAR), db.index(index_name))


def sources_of(db: Database) -> str:
    """One line for the foot of a report: the record, what is in it, the cost index and its release."""
    counts = db.counts()
    imports = db.imports()
    last = f" · last import {wording.day(imports['imported_at'].max())}" if len(imports) else ""
    years = f", {counts['first_letting'].year}–{counts['last_letting'].year}" if counts["contracts"] else ""
    read = (
        f"{wording.count(int(counts['contracts']), 'contract')}{years}, {wording.count(int(counts['files']), 'file')}"
    )
    return f"{db.path.name} · {read}{last} · {db.index().title}"


def sample_folder() -> Path:
    """Folder of the invented sample county's files."""
    return reference.sample_dir()


def sample_files() -> list[Path]:
    """The sample county's files in the order they are imported: structures, bid tabs, proposals, program."""
    folder = sample_folder()
    bid_tabs = sorted(file for file in (folder / "bid_tabs").iterdir() if file.is_file())
    proposals = sorted((folder / "proposals").glob("*.toml"))
    return [folder / "structures.csv", *bid_tabs, *proposals, *sorted(folder.glob("program_*.csv"))]


def lead_sample_proposal() -> Path:
    """The sample proposal a first look is about."""
    return sample_folder() / "proposals" / "harrier_k117.toml"


def build_sample_county(path: Path, *, fresh: bool = False, progress: Progress | None = None) -> Database:
    """The invented county's cost record at `path`, imported from its sample files.

    fresh : start anew if the file is there already.
    """
    if fresh:
        store.discard(path)
    db = open_database(path)
    for result in db.import_files(sample_files(), progress=progress):
        if result.error:
            raise result.error
    return db


def _structure_of(db: Database, offer: proposal.Proposal) -> pd.Series | None:
    if offer.structure is None:
        return None
    structures = db.structures()
    rows = structures[structures["structure_id"] == offer.structure]
    if len(rows):
        return rows.iloc[-1]
    raise NotOnRecord(
        f"the proposal names structure {offer.structure}, which is not on record",
        where=offer.place,
        do="Import the structure list that holds it, correct the number, or leave it out and give length and width.",
    )
