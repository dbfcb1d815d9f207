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
