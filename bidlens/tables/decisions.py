"""Tables of what the engineer decides about the record. They belong to no import and outlive every one."""

from __future__ import annotations

from bidlens.schema import Column, Table

#: What can become of a supplier's offer, and how it is said; one without an outcome is open.
OUTCOMES = {"accepted": "accepted", "declined": "declined", "let_instead": "let instead", "expired": "expired"}
#: Outcomes that can name a contract: the one the offer became, or the one let instead.
WITH_CONTRACT = ("accepted", "let_instead")

_LETTING = (
    Column("contract_id", "VARCHAR", "Contract as the letting agency numbers it.", required=True),
    Column("letting_date", "DATE", "Day the bids were opened; with contract_id the key of a letting.", required=True),
)
_LINE = (
    Column("schedule", "VARCHAR", "Section, schedule or alternate of the contract; empty: none.", required=True),
    Column("line", "VARCHAR", "Line of the bid schedule, unique within the schedule.", required=True),
)
_REASON = Column("reason", "VARCHAR", "Why.", required=True)
_DECIDED = Column("decided_at", "TIMESTAMP", "When, UTC.", required=True)
_FILE_ROW = (
    Column("sha256", "VARCHAR", "Fingerprint of the file; a decision holds when it comes in again.", required=True),
    Column("source_file", "VARCHAR", "Name of the file.", required=True),
    Column("source_sheet", "VARCHAR", "Sheet or page; empty for plain text files.", required=True),
    Column("source_row", "INTEGER", "Row, counted from 1; 0: none.", required=True, check="source_row >= 0"),
)  # fmt: skip

BIDDER_ALIAS = Table(
    "bidder_alias",
    "One row per spelling of a bidder that the engineer has said to be another on record; rows as read keep theirs.",
    ("spelling",),
    (
        Column("spelling", "VARCHAR", "Bidder as it stands in the bids.", required=True),
        Column("bidder", "VARCHAR", "Bidder it is shown and counted as.", required=True),
        _DECIDED,
        _REASON,
    ),
)

CORRECTION = Table(
    "correction",
    "One row per price typed by hand in place of one that was blank or could not be read.",
    ("sha256", "source_sheet", "source_row", "contract_id", "letting_date", "schedule", "line", "bidder", "field"),
    (
        *_FILE_ROW,
        *_LETTING,
        *_LINE,
        Column("bidder", "VARCHAR", "Bidder.", required=True),
        Column("field", "VARCHAR", "What was typed: unit_price.", required=True, check="field = 'unit_price'"),
        Column("value_as_read", "VARCHAR", "What the file says; empty: blank.", required=True),
        Column("value", "DECIMAL(18,5)", "What was typed.", "USD per pay unit", True),
        Column("bid_status_as_read", "VARCHAR", "Status of the bid before any price was typed.", required=True),
        Column("bid_total_as_read", "DECIMAL(18,2)", "Corrected total of the bid before any price was typed.", "USD"),
        _REASON,
        _DECIDED,
    ),
)

ACCEPTANCE = Table(
    "acceptance",
    "One row per finding or row set aside that the engineer has looked at and accepted.",
    ("sha256", "source_sheet", "source_row", "code", "text"),
    (
        *_FILE_ROW,
        Column("code", "VARCHAR", "Code of the finding; set_aside for a row set aside.", required=True),
        Column("text", "VARCHAR", "The finding, or the row's text.", required=True),
        _REASON,
        _DECIDED,
    ),
)

PROPOSAL_OUTCOME = Table(
    "proposal_outcome",
    "One row per supplier proposal whose outcome the engineer has recorded; a proposal without one is open.",
    ("proposal_id",),
    (
        Column("proposal_id", "VARCHAR", "Proposal, as in the table proposal.", required=True),
        Column("outcome", "VARCHAR", f"One of: {', '.join(OUTCOMES)}.", "", True, f"outcome IN {tuple(OUTCOMES)}"),
        Column("outcome_date", "DATE", "Day of the decision.", required=True),
        Column("contract_id", "VARCHAR", "Contract the offer became, or that was let instead; null: none named."),
        Column("letting_date", "DATE", "Letting of that contract."),
        _REASON,
        _DECIDED,
    ),
)  # fmt: skip

STRUCTURE_LINK = Table(
    "structure_link",
    "One row per structure and schedule that the engineer has linked to a contract, or unlinked from it, by hand.",
    ("contract_id", "letting_date", "structure_id", "schedule"),
    (
        *_LETTING,
        Column("structure_id", "VARCHAR", "Structure number, as in the table structure.", required=True),
        Column("schedule", "VARCHAR", "Schedule that paid for it; empty: all that no other names.", required=True),
        Column("linked", "BOOLEAN", "Linked by hand; false: a link from a file does not count.", required=True),
        Column("superstructure", "VARCHAR", "Superstructure of the new bridge, by hand; null: of the structure list."),
        Column("length_ft", "DOUBLE", "Its length, by hand; null: of the structure list.", "ft", check="length_ft > 0"),
        Column("width_ft", "DOUBLE", "Its out-to-out width, by hand; null likewise.", "ft", check="width_ft > 0"),
        Column("span_ft", "DOUBLE", "Its longest span, by hand; null likewise.", "ft", check="span_ft > 0"),
        Column("spans", "INTEGER", "Its number of spans, by hand; null likewise.", check="spans > 0"),
        _REASON,
        _DECIDED,
    ),
)  # fmt: skip

ITEM_ALIAS = Table(
    "item_alias",
    "One row per pay item description that the engineer has said to be the same item as another in the same unit.",
    ("description", "pay_unit"),
    (
        Column("description", "VARCHAR", "Description as it stands in the bid tabs.", required=True),
        Column("pay_unit", "VARCHAR", "Pay unit of both; empty: none.", required=True),
        Column("same_as", "VARCHAR", "Description it is counted as.", required=True),
        _REASON,
        _DECIDED,
    ),
)
