"""truth.json: what was put into the county, for tests to find again."""

from __future__ import annotations

import json
from decimal import Decimal

from _make import chance, truth
from _make.bids import Bid, Letting
from _make.catalog import BEAMS, BRIDGE, ITEMS, SUPERSTRUCTURE, UNITS
from _make.low_bid import Line, TrueCost, deck_share
from _make.money import ZERO, cents
from _make.superstructures import area_sf


def truth_json(lettings: list[Letting], files: dict[tuple[str, str], str]) -> bytes:
    """files : (contract_id, letting date) -> file name."""
    contracts = [
        _contract(letting, files[letting.contract.contract_id, letting.contract.letting_date.isoformat()])
        for letting in lettings
    ]
    data = {
        "about": "What make_samples.py put into Larkmoor County. Invented; only the cost index is published.",
        "seed": chance.SEED,
        "law": "ln(cost/sf) = alpha + ln I(quarter) + b1 ln(span/60) + b2 ln(area/2000) + b3 (min(bidders,8)-5) "
        "+ b4 (skew/30)^2 + b5 ln(span/60)^2 + type_effect + year_effect + s t(5)",
        "coefficients": truth.coefficients(),
        "lead_bridge": truth.lead_bridge(),
        "reinforcement": "unsplit bars: deck share = 2.2 Vdeck / (2.2 Vdeck + Vsubstructure), cubic yards as bid",
        "dollars": "of the low bid as corrected (quantity x unit price to the cent); superstructure, bridge and beams "
        "as the bases are defined; usd are of the structure's own share where two bridges share a schedule",
        "pay_items": [
            {"description": wording, "pay_unit": item.unit, "work_category": item.category}
            for item in ITEMS.values()
            for wording in dict.fromkeys(item.description(layout) for layout in UNITS)
        ],
        "contracts": contracts,
    }
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def _contract(letting: Letting, file: str) -> dict[str, object]:
    contract, lines = letting.contract, letting.lines
    base = [place for place, line in enumerate(lines) if not line.schedule.startswith("ALT")]
    responsive = [bid for bid in letting.bids if bid.status == "Responsive"]
    ranked = responsive or list(letting.bids)
    corrected = {bid.firm: _total(bid, lines, base, printed=False) for bid in ranked}
    as_read = {bid.firm: _total(bid, lines, base, printed=True) for bid in ranked}
    low = letting.low_bid
    assert corrected[low.firm] == min(corrected.values()), contract.contract_id
    return {
        "contract_id": contract.contract_id,
        "letting_date": contract.letting_date.isoformat(),
        "file": file,
        "layout": contract.layout,
        "award": contract.award if contract.layout == "book" else None,
        "troubles": list(contract.troubles),
        "bidders": len(responsive),
        "bids_read": len(letting.bids),
        "low_bidder": low.firm,
        "low_as_read": sorted(firm for firm, total in as_read.items() if total == min(as_read.values())),
        "low_corrected": sorted(firm for firm, total in corrected.items() if total == min(corrected.values())),
        "low_total_as_read": str(as_read[low.firm]),
        "low_total_corrected": str(corrected[low.firm]),
        "structures": [_structure(letting, cost) for cost in letting.low.costs],
    }


def _total(bid: Bid, lines: tuple[Line, ...], places: list[int], *, printed: bool) -> Decimal:
    """Base bid: every schedule but the alternate."""
    some = Bid(bid.firm, tuple(bid.prices[p] for p in places), tuple(bid.printed[p] for p in places), bid.status)
    return some.total_as_read if printed else some.total_corrected(tuple(lines[p] for p in places))


def _structure(letting: Letting, cost: TrueCost) -> dict[str, object]:
    bridge, area = cost.bridge, area_sf(cost.bridge)
    lines = [line for line in letting.lines if line.schedule == cost.schedule]
    sharing = sum(area_sf(other.bridge) for other in letting.low.costs if other.schedule == cost.schedule)
    share = Decimal(str(area)) / Decimal(str(sharing))
    dollars = basis_dollars(lines)
    return {
        "structure_id": bridge.structure_id,
        "schedule": cost.schedule,
        "superstructure": bridge.superstructure,
        "span_ft": bridge.span_ft,
        "spans": bridge.spans,
        "skew_deg": bridge.skew_deg,
        "length_ft": bridge.length_ft,
        "width": bridge.width,
        "deck_area_sf": round(area, 4),
        "area_share": round(float(share), 6),
        "deck_share_of_unsplit_bars": _unsplit_share(lines),
        "middle_unit_cost": round(cost.middle_unit_cost, 4),
        "log_noise": round(cost.log_noise, 5),
        "true_unit_cost": round(cost.unit_cost, 4),
        **{f"{basis}_usd": str(cents(amount * share)) for basis, amount in dollars.items()},
    }


def basis_dollars(lines: list[Line]) -> dict[str, Decimal]:
    """Dollars of the beams, superstructure and bridge bases in a schedule, at the low bidder's prices."""

    def of(categories: frozenset[str]) -> Decimal:
        return sum((line.extension for line in lines if line.item.category in categories), ZERO)

    bars = of(frozenset({"reinforcement_unsplit"}))
    deck_bars = bars * deck_share(lines) if bars else ZERO
    return {"beams": of(BEAMS), "superstructure": of(SUPERSTRUCTURE) + deck_bars, "bridge": of(BRIDGE)}


def _unsplit_share(lines: list[Line]) -> float | None:
    has = any(line.item.category == "reinforcement_unsplit" for line in lines)
    return round(float(deck_share(lines)), 6) if has else None
