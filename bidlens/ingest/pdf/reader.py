"""A PDF bid tab to a `Batch`: pages told apart, tabulation pages read, everything else a check or set aside."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd

from bidlens.batch import SET_ASIDE_COLUMNS, Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.doubts import look_over
from bidlens.ingest.pdf import companions, facts
from bidlens.ingest.pdf.checks import Contract, reconcile
from bidlens.ingest.pdf.columns import find_columns
from bidlens.ingest.pdf.frames import Letting, priced_rows
from bidlens.ingest.pdf.pages import Page, read_pages
from bidlens.ingest.pdf.tabs import Reader
from bidlens.ingest.rules import AS_READ, BidRules, entry_notes
from bidlens.ingest.tabulation import tables, tabulate

LAYOUT = "pdf"
_ONLY_CHECKED = "in a report beside the tabulation ({}), used as a check only"


def read(path: Path, sha256: str, name: str, rules: BidRules = AS_READ) -> Batch:
    """The contracts of a PDF bid tab, or an error that says plainly what keeps it from being read; never half of it.

    rules : the owner's word on which schedules count and how unit prices are entered.
    Raises UnreadableFile if the file holds no readable tabulation or one that does not add up, BadValue where no
    letting date is given.
    """
    pages, findings = read_pages(path, name)
    kinds = {page.number: companions.kind_of(page) for page in pages}
    _refuse_without_tabulation(pages, kinds, name)
    contract_of = _contracts_of(pages, kinds, name)
    reader = _read_tabulations(pages, kinds, contract_of)
    _refuse_missing_pages(pages, kinds, contract_of)
    rankings: dict[str, list[companions.Ranked]] = {}
    low: dict[str, list[companions.LowItem]] = {}
    for page in pages:
        if kinds[page.number] == "ranking":
            rankings.setdefault(contract_of[page.number], []).extend(companions.ranking(page))
        elif kinds[page.number] == "low bid by item":
            low.setdefault(contract_of[page.number], []).extend(companions.low_items(page))
    contracts = reconcile(reader.blocks, rankings, low)
    if not contracts:
        raise UnreadableFile(
            "no line of this PDF is a priced item",
            where=name,
            do="Import the bid tabulation itself, or its spreadsheet.",
        )
    lettings = {contract.contract: _letting(contract, pages, contract_of, name) for contract in contracts}
    done = tabulate(priced_rows(contracts, lettings, name, len(reader.kept), rules), name, rules)
    aside = _set_aside(pages, kinds, reader, name)
    rows_read = sum(len(page.lines) for page in pages)
    notes = [
        *findings,
        *entry_notes(rules, name),
        *_other_names(contracts, rankings),
        *_not_in_summary(contracts, pages, kinds),
    ]
    return Batch(name, sha256, "bid-tab", LAYOUT, rows_read, len(done.lettings), tables(done), aside,
                 [*notes, *done.findings, *look_over(done, len(reader.kept))])  # fmt: skip


def _refuse_without_tabulation(pages: list[Page], kinds: dict[int, str], name: str) -> None:
    found = set(kinds.values())
    if "tabulation" in found:
        return
    if "price list" in found:
        what = (
            "this PDF is a list of unit prices without quantities (a price agreement): it holds no contract, "
            "no extensions and no total"
        )
    elif "low bid by item" in found:
        what = "this PDF lists only the low bid by item, not the bids of every bidder"
    elif found & {"ranking", "letting summary"}:
        what = "this PDF lists contracts or bidders with their totals only: it holds no items"
    else:
        what = "no page of this PDF has the headings of a bid tab (quantity, and unit price and amount for each bidder)"
    raise UnreadableFile(what, where=name, do="Import the bid tabulation itself; nothing was imported from this file.")


def _contracts_of(pages: list[Page], kinds: dict[int, str], name: str) -> dict[int, str]:
    """Page number -> its contract: named above its table, else that of the page before, else the file's name."""
    found: dict[int, str] = {}
    last = ""
    for page in pages:
        above = [line for line in page.lines if not _is_summary(kinds, page)]
        heads = [index for index in range(len(page.lines)) if kinds[page.number] == "tabulation"
                 and find_columns(page.lines, index) is not None]  # fmt: skip
        last = facts.contract(above[: heads[0]] if heads else above) or last
        found[page.number] = last
    return {number: contract or Path(name).stem for number, contract in found.items()}


def _is_summary(kinds: dict[int, str], page: Page) -> bool:
    return kinds[page.number] in ("letting summary", "price list")


def _read_tabulations(pages: list[Page], kinds: dict[int, str], contract_of: dict[int, str]) -> Reader:
    """Tabulation pages in order, and pages of plain text that follow one of the same contract without headings."""
    reader = Reader()
    open_contract = ""
    for page in pages:
        contract = contract_of[page.number]
        kind = kinds[page.number]
        if kind == "tabulation" or (kind in ("text", "price list") and contract == open_contract):
            reader.read(page, contract)
            open_contract = contract
        elif kind != "text":
            open_contract = ""
    return reader


def _refuse_missing_pages(pages: list[Page], kinds: dict[int, str], contract_of: dict[int, str]) -> None:
    """“Page 3 of 8” on the pages of a tabulation: where one of the eight is not there, its items are not either.

    The count may run through one contract, through several, or through the whole file.
    """
    counted: dict[int, dict[str, dict[int, Page]]] = {}
    for page in pages:
        if told := facts.page_of(page):
            counted.setdefault(told[1], {}).setdefault(contract_of[page.number], {})[told[0]] = page
    for count, by_contract in counted.items():
        own = [page for found in by_contract.values() for page in found.values()]
        if not any(kinds[page.number] == "tabulation" for page in own):
            continue
        together = set().union(*by_contract.values())
        restarts = len(together) < len(own)
        for found in by_contract.values():
            missing = sorted(set(range(1, count + 1)) - (set(found) if restarts else together))
            if missing:
                raise UnreadableFile(
                    f"the tabulation counts {count} pages, and page {missing[0]} of them is not there",
                    where=found[max(found)].place(),
                    do="Download the file again or ask the agency for it; nothing was imported from this file.",
                )


# --- the letting --------------------------------------------------------------------------------------------------


def _letting(contract: Contract, pages: list[Page], contract_of: dict[int, str], name: str) -> Letting:
    own = [page for page in pages if contract_of[page.number] == contract.contract]
    first = contract.blocks[0].pages[0]
    index = next((at for at in range(len(first.lines)) if find_columns(first.lines, at)), 0)
    above = first.lines[:index]
    work = next((told for page in own if (told := facts.described_work(page))), "")
    if not work and not _has_numbers(contract):
        columns = find_columns(first.lines, index)
        work = facts.titles(above, columns.edge if columns else 0.0)
    return Letting(contract.contract, _letting_date(own, pages, first, len(above), name), work)


def _has_numbers(contract: Contract) -> bool:
    """Bidders are numbered above their names: such pages are headed by the agency and the report, not by the work."""
    return any(bidder.order is not None for block in contract.blocks for bidder in block.bidders)


def _letting_date(own: list[Page], pages: list[Page], first: Page, above: int, name: str) -> dt.date:
    """Beside a word for the letting: on the contract's pages, on the nearest page before, on any; else a date that
    stands alone above the table; else in the file's name.
    """
    before = [page for page in pages if page.number < own[0].number][::-1]
    after = [page for page in pages if page.number > own[-1].number]
    for page in [*own, *before, *after]:
        if days := facts.letting_days(page):
            return cells.in_reach(days[0], page.place())
    if days := facts.lone_days(first, first.lines[:above]):
        return cells.in_reach(days[0], first.place())
    found = cells.date_in_name(Path(name).stem)
    if found is None:
        raise BadValue(
            "no letting date stands beside a word for the letting on any page, or in the file's name",
            where=first.place(),
            do="Rename the file to the day of the letting, as 2031-04-08.",
        )
    return found


# --- what else the file says --------------------------------------------------------------------------------------


def _set_aside(pages: list[Page], kinds: dict[int, str], reader: Reader, name: str) -> pd.DataFrame:
    rows = []
    for page in pages:
        kind = kinds[page.number]
        spare = "text that belongs to no table" if kind in ("text", "tabulation") else _ONLY_CHECKED.format(kind)
        for line in page.lines:
            key = page.number, line.number
            if key not in reader.kept:
                rows.append((name, page.sheet, line.number, reader.reasons.get(key, spare), line.text))
    return pd.DataFrame(rows, columns=list(SET_ASIDE_COLUMNS))


def _other_names(contracts: list[Contract], rankings: dict[str, list[companions.Ranked]]) -> list[Finding]:
    """Bidders whose name in the ranking is not the one above their prices: said, so that both can be searched for."""
    found = []
    for contract in contracts:
        names = {line.order: line.name for line in rankings.get(contract.contract, []) if line.order > 0}
        for bid in contract.bids:
            bidder = bid.block.bidders[bid.place]
            other = names.get(bidder.order, "").removeprefix(bidder.ident).strip() if bidder.order else ""
            if other and bidder.name.lower()[:6] not in other.lower():
                text = f"Contract {contract.contract}: the ranking calls {bidder.name} “{other}”"
                found.append(Finding("bidder_named_otherwise", "note", text, "Both may be names of one firm.",
                                     bid.block.pages[0].place(), contract.contract))  # fmt: skip
    return found


def _not_in_summary(contracts: list[Contract], pages: list[Page], kinds: dict[int, str]) -> list[Finding]:
    """A letting summary that names none of a contract's totals."""
    summaries = [page for page in pages if kinds[page.number] == "letting summary"]
    told = set().union(*(companions.totals_in(page) for page in summaries)) if summaries else set()
    found = []
    for contract in contracts:
        sums = {sum(bid.amounts, start=companions.NOTHING) for bid in contract.bids}
        if summaries and not sums & told:
            text = f"Contract {contract.contract}: the letting summary gives none of its bids' totals"
            found.append(Finding("summary_differs", "check", text, "Look whether both are of the same letting.",
                                 summaries[0].place(), contract.contract))  # fmt: skip
    return found
