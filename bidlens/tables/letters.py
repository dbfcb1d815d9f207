"""Columns of the record that hold a letter's further terms. See imported.py."""

from __future__ import annotations

from bidlens.schema import Column

#: Columns of the table `proposal` beside the letter's price and geometry.
FURTHER_TERMS = (
    Column("price_per_beam", "DECIMAL(18,2)", "Price quoted by the beam.", "USD"),
    Column("beams", "INTEGER", "Beams in all, where the price is by the beam.", check="beams > 0"),
    Column("price_per_lb", "DECIMAL(18,5)", "Price quoted by weight.", "USD/lb"),
    Column("weight_lb", "DOUBLE", "Weight the price by the pound is for.", "lb", check="weight_lb > 0"),
    Column("valid_until", "DATE", "Last day the price stands."),
    Column("fob", "VARCHAR", "Where beams change hands: plant or site.", check="fob IN ('plant', 'site')"),
    Column("clear_width_ft", "DOUBLE", "Width between curbs or rails.", "ft", check="clear_width_ft > 0"),
    Column("clear_width_adds_ft", "DOUBLE", "What both sides add to the out-to-out width, if stated.", "ft"),
    Column("own_forces_usd", "DECIMAL(18,2)", "What the owner's crew adds, by the engineer.", "USD"),
    Column("own_forces_scope", "VARCHAR", "Parts of the work the owner's crew does, split by commas."),
    Column("own_figures", "VARCHAR", "The engineer's own cost of parts left out, split by semicolons."),
    Column("scope_unclear", "VARCHAR", "Words of the scope that name no part, split by vertical bars."),
    Column("estimate_usd", "DECIMAL(18,2)", "The owner's estimate for the same work, where the file states it.", "USD"),
    Column("deck_area_sf", "DOUBLE", "Deck area as stated, where length and width are not.", "sf"),
)
