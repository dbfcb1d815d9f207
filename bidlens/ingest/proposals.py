"""Supplier proposals: a TOML file written by hand, or a table with one proposal a row.

Both end in the stored tables `proposal` and `proposal_scope`, from which `proposals_of` makes the proposals again.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd

from bidlens.batch import SET_ASIDE_COLUMNS, Batch, no_rows_set_aside
from bidlens.errors import BadValue, Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import further_terms, lists, quotations
from bidlens.ingest.grid import Grid
from bidlens.ingest.proposal_fields import NAMES, parse_proposal, scope_of, type_told
from bidlens.ingest.quotation_lines import bridge_columns, flag_columns
from bidlens.ingest.quotation_offers import told_apart
from bidlens.ingest.sheet_read import IN_LINES
from bidlens.proposal.offer import SCOPE_PARTS, Proposal
from bidlens.tables import PROPOSAL

__all__ = ["KIND", "NAMES", "looks_like", "parse_proposal", "proposals_of", "read", "read_toml", "scope_of"]

KIND = "proposals"

REQUIRED = quotations.REQUIRED
_COLUMNS = [name for name in PROPOSAL.column_names if name != "batch_id"]
_SEVERAL = "proposal"  # a file may hold several proposals, each under [[proposal]]


def looks_like(grids: Sequence[Grid]) -> bool:
    """The file is a table of suppliers and their prices, one a row, without quantities and items."""
    return any(quotations.header_of(grid) for grid in grids if not grid.hidden)


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """A list of proposals or quotations, one supplier a row. A row that cannot be used is set aside, with its reason.

    Raises UnreadableFile where no row is one, BadValue where none can be used or two rows make the same proposal.
    """
    found, rows_read, headers = quotations.read_sheets(grids)
    if not found.offers:
        raise found.first_problem or BadValue(
            "no supplier gave a price", where=grids[0].place(), do="Check the file; nothing was imported from it."
        )
    offers, twice = told_apart(found.offers)
    for grid, header in headers:
        stems, place = lists.stems_of("proposals"), grid.place(header.row)
        also = {**flag_columns(grid, header), **bridge_columns(grid, header)}
        found.findings += lists.ignored_columns(header, stems, place, also)
    layout = "table of proposals" if headers else IN_LINES
    aside = _set_aside(found.aside)
    return _batch(
        grids[0].file, sha256, layout, rows_read, offers, aside, list(dict.fromkeys([*found.findings, *twice]))
    )


def _set_aside(aside: Sequence[tuple[Grid, int, str]]) -> pd.DataFrame:
    in_order = sorted(aside, key=lambda one: one[1])
    rows = [(grid.file, grid.sheet, row + 1, reason, lists.shown_row(grid, row)) for grid, row, reason in in_order]
    return pd.DataFrame(rows, columns=list(SET_ASIDE_COLUMNS)) if rows else no_rows_set_aside()


def read_toml(path: str | Path, sha256: str, name: str | None = None) -> Batch:
    """A proposal written in TOML, or several under `[[proposal]]`. Any value that cannot be used is an error.

    name : shown name if the path is a temporary copy.
    """
    shown = name or Path(path).name
    try:
        told = tomllib.loads(Path(path).read_bytes().decode("utf-8-sig"))
    except OSError as error:
        raise UnreadableFile(f"the file cannot be opened ({error.strerror})", where=shown) from error
    except UnicodeDecodeError as error:
        raise UnreadableFile("the file is not UTF-8 text", where=shown, do="Save it as UTF-8.") from error
    except tomllib.TOMLDecodeError as error:
        raise UnreadableFile(
            f"the file is not valid TOML: {error}",
            where=shown,
            do='Put text in quotation marks, one name = value a line; an inch mark inside them is written \\".',
        ) from error
    entries = _entries(told, shown)
    offers, twice = told_apart([parse_proposal(entry, Place(shown)) for entry in entries])
    return _batch(shown, sha256, "proposal in TOML", len(entries), offers, no_rows_set_aside(), twice)


def _entries(told: Mapping[str, Any], shown: str) -> list[Mapping[str, object]]:
    """The proposals a TOML file holds."""
    if not told:
        raise UnreadableFile("the file holds no values", where=shown, do=f"Names used: {', '.join(NAMES)}.")
    several = told.get(_SEVERAL)
    if not isinstance(several, list):
        return [told]
    if len(told) > 1 or not all(isinstance(entry, dict) for entry in several):
        raise BadValue("the file mixes [[proposal]] with other values", where=shown, do="Put every value under one.")
    return several


def _batch(
    file: str,
    sha256: str,
    layout: str,
    rows_read: int,
    offers: Sequence[Proposal],
    set_aside: pd.DataFrame,
    findings: list[Finding],
) -> Batch:
    tables = {"proposal": _proposal_frame(offers, file), "proposal_scope": _scope_frame(offers)}
    doubts = findings + [doubt for offer in offers for doubt in offer.findings]
    return Batch(file, sha256, KIND, layout, rows_read, len(offers), tables, set_aside, doubts)


def _proposal_frame(offers: Sequence[Proposal], file: str) -> pd.DataFrame:
    rows = [
        {
            "proposal_id": offer.proposal_id,
            "supplier": offer.supplier,
            "proposal_date": offer.date,
            "structure_id": offer.structure,
            "superstructure": offer.superstructure,
            "length_ft": offer.length_ft,
            "width_ft": offer.width_ft,
            "spans": offer.spans,
            "span_ft": offer.span_ft,
            "skew_deg": offer.skew_deg,
            "price_usd": offer.price_usd,
            "price_per_sf": offer.price_per_sf,
            "delivery": offer.delivery,
            "service_life_years": offer.service_life_years,
            **further_terms.stored(offer),
            "source_file": file,
            "source_sheet": offer.place.sheet or "" if offer.place else "",
            "source_row": offer.place.row if offer.place else None,
        }
        for offer in offers
    ]
    return pd.DataFrame(rows, columns=_COLUMNS).astype({"spans": "Int64", "source_row": "Int64", "beams": "Int64"})


def _scope_frame(offers: Sequence[Proposal]) -> pd.DataFrame:
    rows = [(offer.proposal_id, part) for offer in offers for part in offer.scope]
    return pd.DataFrame(rows, columns=["proposal_id", "scope"])


# --- from the stored tables ---------------------------------------------------------------------------------------


def proposals_of(proposals: Batch | pd.DataFrame, scope: pd.DataFrame | None = None) -> list[Proposal]:
    """The proposals of a batch, or of rows of the tables `proposal` and `proposal_scope`, in the rows' order.

    With a column `batch_id` in both, each row takes the scope of its own import.
    """
    if isinstance(proposals, Batch):
        proposals, scope = proposals.tables["proposal"], proposals.tables["proposal_scope"]
    if scope is None:
        raise BadValue("the scope of the proposals is not given", do="Pass the rows of proposal_scope too.")
    keys = [name for name in ("proposal_id", "batch_id") if name in proposals and name in scope]
    parts: dict[tuple[object, ...], list[str]] = {}
    for *key, part in scope[[*keys, "scope"]].itertuples(index=False, name=None):
        parts.setdefault(tuple(key), []).append(str(part))
    return [
        _proposal_of(row, parts.get(tuple(row[key] for key in keys), []))
        for row in proposals.astype(object).to_dict("records")
    ]


def _proposal_of(row: Mapping[Any, Any], parts: Sequence[str]) -> Proposal:
    known: dict[str, Any] = {name: None if pd.isna(value) else value for name, value in row.items()}
    place = Place(known["source_file"], known.get("source_sheet") or None, _whole(known.get("source_row")))
    superstructure, unknown = type_told(known["superstructure"], place)
    return Proposal(
        proposal_id=known["proposal_id"],
        supplier=known["supplier"],
        superstructure=superstructure,
        scope=tuple(part for part in SCOPE_PARTS if part in parts),
        price_usd=_money(known["price_usd"], 2),
        price_per_sf=_money(known["price_per_sf"], 5),
        date=_day(known["proposal_date"]),
        structure=known["structure_id"],
        length_ft=known["length_ft"],
        width_ft=known["width_ft"],
        spans=_whole(known["spans"]),
        span_ft=known.get("span_ft"),
        skew_deg=known["skew_deg"],
        delivery=_day(known["delivery"]),
        service_life_years=known["service_life_years"],
        superstructure_as_read=known["superstructure"],
        place=place,
        findings=(unknown,) if unknown else (),
        **further_terms.from_stored(known),
    )


def _money(value: Any, scale: int) -> Decimal | None:
    """Exact again: the stored amounts come back as floats of as many decimals."""
    return None if value is None else Decimal(str(value)).quantize(Decimal(1).scaleb(-scale))


def _whole(value: Any) -> int | None:
    return None if value is None else int(value)


def _day(value: Any) -> dt.date | None:
    return None if value is None else pd.Timestamp(value).date()
