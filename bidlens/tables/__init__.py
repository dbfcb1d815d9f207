"""The cost record's tables. Order matters: parents before children."""

from __future__ import annotations

from bidlens.schema import Table
from bidlens.tables.decisions import ACCEPTANCE, BIDDER_ALIAS, CORRECTION, ITEM_ALIAS, PROPOSAL_OUTCOME, STRUCTURE_LINK
from bidlens.tables.forecasts import FORECAST
from bidlens.tables.imported import (
    BID,
    BID_PRICE,
    BIDDER,
    CATEGORY_OVERRIDE,
    COLUMN_MAPPING,
    CONTRACT,
    CONTRACT_ITEM,
    ESTIMATE_PRICE,
    FINDING,
    IMPORT_BATCH,
    INDEX_SERIES,
    INDEX_VALUE,
    PROGRAM_BRIDGE,
    PROPOSAL,
    PROPOSAL_SCOPE,
    SET_ASIDE,
    SETTING,
    STRUCTURE,
)
from bidlens.tables.originals import KEPT_FILE
from bidlens.tables.replaced import REPLACED_ROW

#: Raised whenever a stored table changes; the store refuses a database from a newer version.
SCHEMA_VERSION = 2

#: What the engineer decided. It belongs to no import: it stays when one is taken back.
DECISIONS = (
    CATEGORY_OVERRIDE, BIDDER_ALIAS, CORRECTION, ACCEPTANCE, COLUMN_MAPPING, PROPOSAL_OUTCOME, STRUCTURE_LINK, ITEM_ALIAS,
)  # fmt: skip

TABLES: tuple[Table, ...] = (
    IMPORT_BATCH, CONTRACT, CONTRACT_ITEM, BID, BID_PRICE, ESTIMATE_PRICE, BIDDER, STRUCTURE, PROPOSAL, PROPOSAL_SCOPE,
    PROGRAM_BRIDGE, INDEX_SERIES, INDEX_VALUE, CATEGORY_OVERRIDE, SET_ASIDE, FINDING, SETTING,
    COLUMN_MAPPING, BIDDER_ALIAS, CORRECTION, ACCEPTANCE, REPLACED_ROW, KEPT_FILE, PROPOSAL_OUTCOME,
    FORECAST,
    STRUCTURE_LINK, ITEM_ALIAS,
)  # fmt: skip

BY_NAME: dict[str, Table] = {table.name: table for table in TABLES}
