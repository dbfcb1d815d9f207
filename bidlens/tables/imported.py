"""Tables of what the files brought, the decisions on work categories, and the settings."""

from __future__ import annotations

from bidlens.schema import Column, Table
from bidlens.tables.letters import FURTHER_TERMS

_BATCH = Column("batch_id", "INTEGER", "The import this row came with.", required=True)
_SOURCE = (
    Column("source_file", "VARCHAR", "Name of the file the row was read from.", required=True),
    Column("source_sheet", "VARCHAR", "Sheet (or page) of that file; empty for plain text files."),
    Column("source_row", "INTEGER", "Row in that sheet, counted from 1.", check="source_row >= 1"),
)
_LETTING = (
    Column("contract_id", "VARCHAR", "Contract as the letting agency numbers it.", required=True),
    Column("letting_date", "DATE", "Day the bids were opened; with contract_id the key of a letting.", required=True),
)
_LINE = (
    Column(
        "schedule",
        "VARCHAR",
        "Section, schedule or alternate of the contract; empty where there is one.",
        required=True,
    ),
    Column("line", "VARCHAR", "Line of the bid schedule, unique within the schedule.", required=True),
)
_MONEY = "DECIMAL(18,2)"
_PRICE = "DECIMAL(18,5)"
_QUANTITY = "DECIMAL(18,4)"

IMPORT_BATCH = Table(
    "import_batch",
    "One row per imported file.",
    ("batch_id",),
    (
        _BATCH,
        Column("sha256", "VARCHAR", "Fingerprint of the file's bytes; the same bytes are imported once.", required=True),
        Column("source_file", "VARCHAR", "Name of the file.", required=True),
        Column("kind", "VARCHAR", "bid-tab, structures, nbi, proposals, cost-index or program.", required=True),
        Column("layout", "VARCHAR", "Layout the file was recognised as.", required=True),
        Column("imported_at", "TIMESTAMP", "When, UTC.", required=True),
        Column("rows_read", "INTEGER", "Rows in the file, blank rows not counted.", "rows", True, "rows_read >= 0"),
        Column("rows_kept", "INTEGER", "Rows that became data or named the columns.", "rows", True, "rows_kept >= 0"),
        Column("rows_set_aside", "INTEGER", "Rows kept as text with the reason; read = kept + set aside.", "rows", True,
               "rows_read = rows_kept + rows_set_aside"),
        Column("contracts", "INTEGER", "Contracts (or structures, proposals, index quarters) that came in.", "", True),
    ),
)  # fmt: skip

CONTRACT = Table(
    "contract",
    "One row per contract and letting; a contract let again has a second row.",
    ("contract_id", "letting_date"),
    (
        *_LETTING,
        Column("agency", "VARCHAR", "Letting agency, where the file names it."),
        Column("description", "VARCHAR", "Work as the file describes it."),
        Column("status", "VARCHAR", "awarded, rejected (all bids) or not stated.", required=True,
               check="status IN ('awarded', 'rejected', 'not stated')"),
        Column("award_rests_on", "VARCHAR", "Schedules the award rests on, where the owner named them; else the base bid."),
        Column("bids_stated", "INTEGER", "Bids received, where the file says so and does not list them all.", check="bids_stated >= 0"),
        Column("estimate_total", _MONEY, "Engineer's estimate, where the file gives its total alone.", "USD"),
        *_SOURCE,
        _BATCH,
        Column("structures_named", "VARCHAR", "Structure numbers that a column of the file names for it, joined by “; ”."),
    ),
)  # fmt: skip

CONTRACT_ITEM = Table(
    "contract_item",
    "One row per contract, schedule and line: the work, whoever bids it.",
    (*CONTRACT.key, "schedule", "line"),
    (
        *_LETTING,
        *_LINE,
        Column("item_code", "VARCHAR", "Pay item code, as text with its zeros; empty where the file has none."),
        Column("description", "VARCHAR", "Pay item description.", required=True),
        Column("pay_unit", "VARCHAR", "Pay unit in the standard spelling (LS, EA, LF, SF, SY, CY, LB, TON, ...)."),
        Column("pay_unit_as_read", "VARCHAR", "Pay unit as the file writes it."),
        Column("quantity", _QUANTITY, "Bid quantity.", "pay units", True),
        Column("alternate", "BOOLEAN", "Whether the line belongs to an alternate and not to the base bid."),
        Column(
            "work_category", "VARCHAR", "The part of the bridge this item pays for, or unclassified.", required=True
        ),
        Column("category_rule", "VARCHAR", "The rule or override that decided the category.", required=True),
        *_SOURCE,
        _BATCH,
    ),
    keyed=False,
)

BID = Table(
    "bid",
    "One row per contract and bidder.",
    (*CONTRACT.key, "bidder"),
    (
        *_LETTING,
        Column("bidder", "VARCHAR", "Bidder, white space tidied.", required=True),
        Column("status", "VARCHAR", "responsive, irregular, rejected or withdrawn; only responsive bids are ranked.", required=True,
               check="status IN ('responsive', 'irregular', 'rejected', 'withdrawn')"),
        Column("total_as_read", _MONEY, "Total as printed, or the sum of extensions as printed.", "USD"),
        Column("total_corrected", _MONEY, "Sum of quantity x unit price, each rounded to the cent.", "USD"),
        Column("rank_as_read", "INTEGER", "Place by total as read; ties share a place.", check="rank_as_read >= 1"),
        Column("rank_corrected", "INTEGER", "Place by corrected total; ties share a place.", check="rank_corrected >= 1"),
        *_SOURCE,
        _BATCH,
        Column("status_from", "VARCHAR", "What made the bid other than responsive, as far as known."),
    ),
)  # fmt: skip

BID_PRICE = Table(
    "bid_price",
    "One row per contract, schedule, line and bidder.",
    (*CONTRACT_ITEM.key, "bidder"),
    (
        *_LETTING,
        *_LINE,
        Column("bidder", "VARCHAR", "Bidder.", required=True),
        Column("unit_price", _PRICE, "Unit price as bid; null where left blank.", "USD per pay unit"),
        Column("extension_as_read", _MONEY, "Extension as printed, if printed.", "USD"),
        Column("extension", _MONEY, "Quantity x unit price to the cent: the unit price governs.", "USD"),
        *_SOURCE,
        _BATCH,
        Column("by_hand", "VARCHAR", "Why the unit price was typed by hand; empty where it stands as read."),
    ),
    keyed=False,
)

ESTIMATE_PRICE = Table(
    "estimate_price",
    "One row per contract, schedule and line of the engineer's estimate; the estimate is never a bidder.",
    CONTRACT_ITEM.key,
    tuple(column for column in BID_PRICE.columns if column.name not in ("bidder", "by_hand")),
    keyed=False,
)

BIDDER = Table(
    "bidder",
    "One row per bidder spelling and import; nothing merges by itself.",
    ("spelling", "batch_id"),
    (
        Column("bidder", "VARCHAR", "Bidder as used on record.", required=True),
        Column("spelling", "VARCHAR", "Bidder as the file spells it.", required=True),
        _BATCH,
    ),
)

STRUCTURE = Table(
    "structure",
    "One row per bridge and the contract that paid for it; contract_id is empty for a bridge in the inventory only.",
    ("structure_id", "contract_id", "schedule"),
    (
        Column("structure_id", "VARCHAR", "Structure number of the owner.", required=True),
        Column("contract_id", "VARCHAR", "Contract that paid for it; empty if none on record.", required=True),
        Column("letting_date", "DATE", "Letting of that contract; null where not stated."),
        Column("schedule", "VARCHAR", "Schedule that paid for it; empty: the whole contract.", required=True),
        Column("name", "VARCHAR", "Feature crossed or other name."),
        Column("superstructure", "VARCHAR", "Superstructure type in the standard name, or as written if unknown.", required=True),
        Column("superstructure_as_read", "VARCHAR", "Superstructure type as the file writes it."),
        Column("deck_area_sf", "DOUBLE", "Structure length x out-to-out width, no skew correction.", "sf", check="deck_area_sf > 0"),
        Column("area_from", "VARCHAR", "stated, length x width, or the file's own words."),
        Column("length_ft", "DOUBLE", "Structure length.", "ft", check="length_ft > 0"),
        Column("width_ft", "DOUBLE", "Out-to-out width.", "ft", check="width_ft > 0"),
        Column("spans", "INTEGER", "Number of spans.", check="spans > 0"),
        Column("span_ft", "DOUBLE", "Longest span.", "ft", check="span_ft > 0"),
        Column("skew_deg", "DOUBLE", "Skew.", "degrees", check="skew_deg BETWEEN 0 AND 90"),
        Column("year_built", "INTEGER", "Year the present bridge was built."),
        *_SOURCE,
        _BATCH,
    ),
)  # fmt: skip

PROPOSAL = Table(
    "proposal",
    "One row per supplier proposal and file.",
    ("proposal_id", "batch_id"),
    (
        Column("proposal_id", "VARCHAR", "Name of the proposal: the file's own, or supplier, structure and date.", required=True),
        Column("supplier", "VARCHAR", "Supplier.", required=True),
        Column("proposal_date", "DATE", "Date of the letter."),
        Column("structure_id", "VARCHAR", "Structure it is for, if named."),
        Column("superstructure", "VARCHAR", "Superstructure offered.", required=True),
        Column("length_ft", "DOUBLE", "Structure length.", "ft", check="length_ft > 0"),
        Column("width_ft", "DOUBLE", "Out-to-out width.", "ft", check="width_ft > 0"),
        Column("spans", "INTEGER", "Number of spans.", check="spans > 0"),
        Column("span_ft", "DOUBLE", "Longest span, if stated.", "ft", check="span_ft > 0"),
        Column("skew_deg", "DOUBLE", "Skew.", "degrees", check="skew_deg BETWEEN 0 AND 90"),
        Column("price_usd", _MONEY, "Lump sum quoted.", "USD"),
        Column("price_per_sf", _PRICE, "Price quoted by deck area.", "USD/sf"),
        Column("delivery", "DATE", "Delivery promised."),
        Column("service_life_years", "DOUBLE", "Service life the supplier states; an assumption.", "years"),
        *_SOURCE,
        _BATCH,
        *FURTHER_TERMS,
    ),
)  # fmt: skip

PROPOSAL_SCOPE = Table(
    "proposal_scope",
    "One row per proposal and part of the work it includes.",
    ("proposal_id", "batch_id", "scope"),
    (
        Column("proposal_id", "VARCHAR", "Proposal.", required=True),
        Column(
            "scope",
            "VARCHAR",
            "furnish, deliver, set, deck, closure, bearings, railing, wearing_surface or joints.",
            required=True,
        ),
        _BATCH,
    ),
)

PROGRAM_BRIDGE = Table(
    "program_bridge",
    "One row per bridge of a program list.",
    ("structure_id", "batch_id"),
    (
        Column("structure_id", "VARCHAR", "Bridge to be replaced.", required=True),
        Column("priority", "INTEGER", "Place in the owner's order.", check="priority >= 1"),
        Column("superstructure", "VARCHAR", "Superstructure planned.", required=True),
        Column("length_ft", "DOUBLE", "Planned structure length.", "ft", check="length_ft > 0"),
        Column("width_ft", "DOUBLE", "Planned out-to-out width.", "ft", check="width_ft > 0"),
        Column("spans", "INTEGER", "Planned number of spans.", check="spans > 0"),
        Column("skew_deg", "DOUBLE", "Planned skew.", "degrees", check="skew_deg BETWEEN 0 AND 90"),
        Column("letting_date", "DATE", "Planned letting."),
        *_SOURCE,
        _BATCH,
        Column("engineering_usd", _MONEY, "Engineering, as the owner gives it; not in the contract.", "USD"),
        Column("right_of_way_usd", _MONEY, "Right of way, likewise.", "USD"),
        Column("utilities_usd", _MONEY, "Utilities, likewise.", "USD"),
        Column("railroad_usd", _MONEY, "Railroad, likewise.", "USD"),
    ),
)

INDEX_SERIES = Table(
    "index_series",
    "One row per imported cost index series and release.",
    ("series", "release"),
    (
        Column("series", "VARCHAR", "Name of the series.", required=True),
        Column("release", "VARCHAR", "Release: its last quarter, unless the file says.", required=True),
        Column("seasonally_adjusted", "BOOLEAN", "Whether it is adjusted; null where the file does not say."),
        Column("source_file", "VARCHAR", "File it came from.", required=True),
        _BATCH,
    ),
)

INDEX_VALUE = Table(
    "index_value",
    "One row per series, release and quarter.",
    ("series", "release", "quarter"),
    (
        Column("series", "VARCHAR", "Name of the series.", required=True),
        Column("release", "VARCHAR", "Release.", required=True),
        Column("quarter", "VARCHAR", "Quarter, as 2024Q2.", required=True),
        Column(
            "value", "DOUBLE", "Index value; a monthly series is averaged over its quarter.", "index", True, "value > 0"
        ),
        _BATCH,
    ),
)

CATEGORY_OVERRIDE = Table(
    "category_override",
    "One row per pay item the engineer has placed by hand; wins over every rule.",
    ("item_code", "description", "pay_unit"),
    (
        Column("item_code", "VARCHAR", "Pay item code; empty: any.", required=True),
        Column("description", "VARCHAR", "Pay item description, as on record.", required=True),
        Column("pay_unit", "VARCHAR", "Pay unit; empty: any.", required=True),
        Column("work_category", "VARCHAR", "Where the engineer places it.", required=True),
        Column("reason", "VARCHAR", "Why.", required=True),
        Column("decided_at", "TIMESTAMP", "When, UTC.", required=True),
    ),
)

SET_ASIDE = Table(
    "set_aside",
    "One row per row of a file that was read and not taken as data.",
    ("batch_id", "source_sheet", "source_row"),
    (
        *_SOURCE,
        Column("reason", "VARCHAR", "Why it was set aside.", required=True),
        Column("text", "VARCHAR", "The row's cells as read.", required=True),
        _BATCH,
    ),
    keyed=False,
)

FINDING = Table(
    "finding",
    "One row per doubt met while reading a file.",
    ("batch_id", "source_row", "code", "text"),
    (
        Column("source_file", "VARCHAR", "File it speaks of."),
        Column("source_sheet", "VARCHAR", "Sheet or page."),
        Column("source_row", "INTEGER", "Row, counted from 1."),
        Column("contract_id", "VARCHAR", "Contract it speaks of."),
        Column("code", "VARCHAR", "Short stable name of the doubt.", required=True),
        Column("severity", "VARCHAR", "stop, check or note.", required=True, check="severity IN ('stop', 'check', 'note')"),
        Column("text", "VARCHAR", "What was seen.", required=True),
        Column("advice", "VARCHAR", "What can be done."),
        _BATCH,
    ),
    keyed=False,
)  # fmt: skip

SETTING = Table(
    "setting",
    "One row per setting of this cost record.",
    ("name",),
    (
        Column("name", "VARCHAR", "Setting, such as schema_version or county.", required=True),
        Column("value", "VARCHAR", "Its value.", required=True),
    ),
)

COLUMN_MAPPING = Table(
    "column_mapping",
    "One row per mapping kept: which column is what in files with these headings, as the engineer told it.",
    ("name",),
    (
        Column("name", "VARCHAR", "Name of the mapping.", required=True),
        Column("kind", "VARCHAR", "Kind of file it is for.", required=True),
        Column("layout", "VARCHAR", "Bid tab layout told; empty where none was."),
        Column("headings", "VARCHAR", "Headings it was made for, in small letters; it is used where they are the same.", required=True),
        Column("toml", "VARCHAR", "The mapping as it would be written by hand.", required=True),
        Column("decided_at", "TIMESTAMP", "When, UTC.", required=True),
    ),
)  # fmt: skip
