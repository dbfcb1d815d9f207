"""The cost record: one DuckDB file with every letting, price, structure and proposal, and where each was read."""

from bidlens.store.acceptances import accept, reopen
from bidlens.store.again import AGAIN, KEEP_FIRST, keep_setting
from bidlens.store.ask import ask
from bidlens.store.connection import Store, discard
from bidlens.store.corrections import Corrected, correct_price, take_back_price, try_price
from bidlens.store.export import export_tables
from bidlens.store.forecasts import forget_forecast, keep_forecast
from bidlens.store.item_aliases import confirm_item, forget_item, items_of
from bidlens.store.links import NewBridge, link_structure, take_back_link, unlink_structure
from bidlens.store.mappings import forget_mapping, keep_mapping
from bidlens.store.migrate import bring_up_to_date, create_or_upgrade
from bidlens.store.names import confirm_alias, forget_alias, kept_apart
from bidlens.store.originals import Original, Packed, original, pack
from bidlens.store.outcomes import forget_outcome, record_outcome
from bidlens.store.overrides import apply_override, remove_override, set_categories
from bidlens.store.save import Saved, save_batch
from bidlens.store.statements import question_names
from bidlens.store.undo import undo_batch
from bidlens.store.would_save import would_save

__all__ = [
    "AGAIN",
    "KEEP_FIRST",
    "Corrected",
    "NewBridge",
    "Original",
    "Packed",
    "Saved",
    "Store",
    "accept",
    "apply_override",
    "ask",
    "bring_up_to_date",
    "confirm_alias",
    "confirm_item",
    "correct_price",
    "create_or_upgrade",
    "discard",
    "export_tables",
    "forget_alias",
    "forget_forecast",
    "forget_item",
    "forget_mapping",
    "forget_outcome",
    "items_of",
    "keep_forecast",
    "keep_mapping",
    "keep_setting",
    "kept_apart",
    "link_structure",
    "original",
    "pack",
    "question_names",
    "record_outcome",
    "remove_override",
    "reopen",
    "save_batch",
    "set_categories",
    "take_back_link",
    "take_back_price",
    "try_price",
    "undo_batch",
    "unlink_structure",
    "would_save",
]
