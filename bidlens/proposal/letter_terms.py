"""Doubts that a letter's own terms raise: how long its price stands, where beams change hands, what words mean."""

from __future__ import annotations

import datetime as dt

from bidlens import wording
from bidlens.findings import Finding
from bidlens.proposal.geometry import OfferGeometry
from bidlens.proposal.offer import Proposal

#: Judgement, no source.
OLD_LETTER_DAYS, PRICE_DIFFERENCE = 180, 0.01
_PRICE_WORDS = {
    "price_usd": "lump sum",
    "price_per_beam": "price by the beam",
    "price_per_lb": "price by the pound",
    "price_per_sf": "price by the square foot",
}


def time_doubts(proposal: Proposal, today: dt.date | None) -> list[Finding]:
    """An offer that has run out, one that ends before delivery is ordered, or an old letter. today : None, no look."""
    until = proposal.valid_until
    if today and until and today > until:
        text = f"The offer was good until {wording.day(until)}; its price may no longer stand."
        return [Finding("offer_expired", "check", text, f"Ask {proposal.supplier} to renew the offer.")]
    if today and not until and proposal.date and (days := (today - proposal.date).days) > OLD_LETTER_DAYS:
        text = f"The letter is {days} days old; its price may no longer stand."
        return [Finding("letter_is_old", "check", text, f"Ask {proposal.supplier} to confirm the price.")]
    return []


def scope_doubts(proposal: Proposal) -> list[Finding]:
    """Words that name no part of the work, and where the price leaves the works."""
    findings = []
    if proposal.scope_unclear:
        said = ", ".join(f"“{words}”" for words in proposal.scope_unclear)
        text = f"The letter's scope says {said}, which names no part of the work; nothing was taken as included for it."
        do = f"Ask {proposal.supplier}: does the price include {_open_parts(proposal)}?"
        findings.append(Finding("scope_unclear", "check", text, do))
    if proposal.fob == "plant" and "deliver" not in proposal.scope:
        text = "The price is F.O.B. plant: freight, and what happens to the beams on the way, is the buyer's."
        do = f"Ask {proposal.supplier} for a price delivered to the site."
        findings.append(Finding("fob_plant", "check", text, do))
    elif proposal.fob == "plant":
        text = "The letter says F.O.B. plant and delivered; it was taken as delivered."
        findings.append(Finding("fob_and_delivered", "check", text, f"Ask {proposal.supplier} who pays the freight."))
    return findings


def _open_parts(proposal: Proposal) -> str:
    """The parts the letter does not name, as a question would."""
    named = {
        "deliver": "delivery",
        "set": "setting",
        "deck": "the deck",
        "bearings": "bearings",
        "railing": "railing",
        "wearing_surface": "the wearing surface",
        "joints": "joints",
    }
    left = [words for part, words in named.items() if part not in proposal.scope]
    if not left:
        return "coating, shop drawings and sales tax"
    return left[0] if len(left) == 1 else f"{', '.join(left[:-1])} or {left[-1]}"


def price_doubts(proposal: Proposal, geometry: OfferGeometry, quoted_per_sf: float) -> list[Finding]:
    """Two prices of one letter that do not say the same."""
    first, *others = proposal.lump_sums(geometry.deck_area_sf).items()
    findings = []
    for name, usd in others:
        if abs(first[1] / usd - 1) <= PRICE_DIFFERENCE:
            continue
        area = wording.number(geometry.deck_area_sf)
        stated = wording.per_sf(usd / geometry.deck_area_sf, 2)
        findings.append(
            Finding(
                "prices_differ",
                "check",
                f"The {_PRICE_WORDS[first[0]]} is {wording.per_sf(quoted_per_sf, 2)} on {area} sf of deck; the letter "
                f"also states a {_PRICE_WORDS[name]} that makes {stated}. The {_PRICE_WORDS[first[0]]} was used.",
                "Ask which deck area the letter means: length times out-to-out width is used here."
                if name == "price_per_sf"
                else "Ask which one stands.",
            )
        )
    return findings
