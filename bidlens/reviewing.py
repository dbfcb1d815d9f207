"""A letting review from the record: bids, estimates and lines of its year, prices and unit costs up to it."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pandas as pd

from bidlens import indexes, letting, normalizer, quarters, store, up_to, wording
from bidlens.database import DEFAULT_BASIS, Database
from bidlens.errors import BadValue, NotOnRecord
from bidlens.findings import Finding
from bidlens.letting import item_prices
from bidlens.letting.years import Years, checked


def review_lettings(
    db: Database,
    years: int | Years,
    basis: str = DEFAULT_BASIS,
    *,
    triggers: Path | None = None,
    index_name: str | None = None,
) -> letting.LettingReview:
    """Review the lettings of a year: competition, estimates, lines far from them, prices that moved.

    years : one year, or the first and the last of some years.
    basis : what the explained $/sf contains; unit costs by type are given on every basis.
    triggers : TOML file with edited triggers, put over those kept with the record, put over those that ship.
    Nothing later than the last year is looked at. Raises BadValue for an unknown basis, years that end before they
    begin, or a trigger that cannot be read.
    """
    normalizer.basis_named(basis)  # refused before anything is asked of the record
    known = review_triggers(db, triggers)
    time = up_to.review_time(db, checked((years, years) if isinstance(years, int) else years), index_name)
    priced = up_to.priced(db, time, list(normalizer.load_bases()))
    return letting.review(
        up_to.review_data(db, time, priced), up_to.basis_data(basis, priced[basis]), time.years, known
    )


def review_on(
    db: Database, review: letting.LettingReview, basis: str, index_name: str | None = None
) -> letting.LettingReview:
    """A review made by that index, with the average $/sf of another basis explained.

    Raises BadValue for an unknown basis.
    """
    normalizer.basis_named(basis)
    time = up_to.review_time(db, review.years, index_name)
    return letting.on_basis(review, up_to.basis_data(basis, up_to.priced(db, time, [basis])[basis]))


TRIGGERS = "review_triggers"


def review_triggers(db: Database, file: Path | None = None) -> letting.Triggers:
    """The numbers that ask for a second look: as they ship, as kept with the record, as a file has them; last holds."""
    settings = store.ask(db.store, "settings") if db.path.exists() else pd.DataFrame({"name": [], "value": []})
    kept = settings.loc[settings["name"] == TRIGGERS, "value"]
    edits = [(str(text), "the triggers kept with the record") for text in kept]
    return letting.load_triggers(*edits, *([(_text_of(file), file.name)] if file else []))


def keep_triggers(db: Database, settings: Mapping[str, Mapping[str, bool | float]]) -> letting.Triggers:
    """Keep `on` and numbers of triggers with the record, in place of what was kept; as shipped where left out.

    Raises BadValue for a trigger or number there is none of.
    """
    store.keep_setting(db.store, TRIGGERS, letting.triggers.as_toml(settings))
    return review_triggers(db)


def compare_bids(db: Database, contract_id: str, letting_date: dt.date | None = None) -> letting.BidComparison:
    """Set the bids of one contract side by side: items by bidders, and what makes low, second and estimate differ.

    letting_date : which letting, where the contract was let more than once; the last one when None, which a finding
    then says. Raises NotOnRecord if there is no such contract or letting.
    """
    lettings = store.ask(db.store, "comparison_lettings", contract_id=contract_id)
    if lettings.empty:
        near = difflib.get_close_matches(contract_id, db.lettings()["contract_id"].unique().tolist(), 4, 0.5)
        do = f"Near it: {', '.join(near)}." if near else "Import its bid tab, or look at the lettings on record."
        raise NotOnRecord(f"no contract “{contract_id}” is on record", do=do)
    days = [one.date() for one in lettings["letting_date"]]
    chosen = letting_date or days[0]
    if chosen not in days:
        known = ", ".join(day.isoformat() for day in days)
        raise NotOnRecord(
            f"contract {contract_id} was not let on {chosen.isoformat()}", do=f"Lettings on record: {known}."
        )
    key = {"contract_id": contract_id, "letting_date": chosen}
    with db.store.open():  # one opening for both questions
        bidders, prices = (store.ask(db.store, name, **key) for name in ("bidders_of_contract", "comparison_prices"))
    found = letting.compare({str(k): v for k, v in lettings.iloc[days.index(chosen)].items()}, bidders, prices)
    return replace(found, findings=[*_other_lettings(contract_id, days, chosen), *found.findings])


def _other_lettings(contract_id: str, days: list[dt.date], chosen: dt.date) -> list[Finding]:
    others = [wording.day(day) for day in days if day != chosen]
    if not others:
        return []
    text = f"{contract_id} was also let on {' and '.join(others)}; shown is the letting of {wording.day(chosen)}"
    return [Finding("let_again", "note", text, "Name the other by its letting date.", contract_id=contract_id)]


def pay_item_prices(
    db: Database,
    words: str,
    *,
    unit: str | None = None,
    years: Years | None = None,
    quantity: float | None = None,
    index_name: str | None = None,
) -> list[letting.ItemPrices]:
    """The price history of each pay item whose description or code holds all the words, most low-bid dollars first.

    unit : only items in this pay unit, those in others of its dimension converted to it. years : only these lettings.
    quantity : what the suggested price is for. Prices are restated in dollars of the index's last published quarter.
    Raises NotOnRecord if no item is found, BadValue for an unknown pay unit, no words, or a quantity not above zero.
    """
    if quantity is not None and not quantity > 0:
        raise BadValue(f"a quantity of {wording.number(quantity, 2)} cannot be priced", do="Give one above zero.")
    known = store.ask(db.store, "pay_items")
    found = item_prices.matching(known, words, unit)
    if found.empty:
        raise NotOnRecord(
            f"no pay item on record holds “{words}”{f' in {unit}' if unit else ''}", do=_near(known, words, unit)
        )
    prices = store.ask(db.store, "pay_item_prices", descriptions=sorted(set(found["description"])))
    prices = prices.merge(found[_ITEM].drop_duplicates(), on=_ITEM, how="inner", validate="m:1")
    index = db.index(index_name)
    reaching = indexes.reaching(index, list(quarters.quarters_of(prices["letting_date"]).dropna().unique()))
    base = index.last_published
    items = item_prices.prices_of_items(prices, reaching, base, unit=unit, years=years, quantity=quantity)
    if not items:
        raise NotOnRecord(f"no bid for “{words}” is on record in those years", do="Ask for more years.")
    return items


_ITEM = ["item_code", "description", "pay_unit"]


def _near(known: pd.DataFrame, words: str, unit: str | None) -> str:
    """The pay units the item is on record in, or words on record that look like those asked for."""
    units = sorted(set(item_prices.matching(known, words)["pay_unit"])) if unit else []
    if units:
        return f"It is on record in {', '.join(units)}, which cannot be turned into {unit}."
    on_record = {word for text in known["description"].astype("str") for word in text.lower().replace(",", " ").split()}
    near = [difflib.get_close_matches(word, on_record, 2, 0.7) for word in words.lower().split()]
    said = sorted({one for found in near for one in found})
    return f"Words on record near it: {', '.join(said)}." if said else "Try fewer words, or only their beginnings."


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadValue(f"cannot read {path}: {error}", do="Name a text file that is there.") from error
