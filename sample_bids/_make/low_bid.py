"""The low bidder's priced lines: superstructure dollars as the truth has them, then all other work."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from decimal import Decimal

from _make import other_work, truth
from _make.catalog import ITEMS, PayItem
from _make.chance import Chance
from _make.county import Bridge
from _make.money import CENT, ZERO, cents, extension, quantity, round_price
from _make.other_work import Work
from _make.plan import Contract
from _make.superstructures import BALANCING, area_sf, parts


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the bid schedule, with the low bidder's price."""

    schedule: str
    number: int
    item: PayItem
    quantity: Decimal
    price: Decimal

    @property
    def extension(self) -> Decimal:
        return extension(self.quantity, self.price)


@dataclass(frozen=True, slots=True)
class TrueCost:
    """What the truth says of one bridge: middle price, noise, and the price that came of them, all $/sf."""

    bridge: Bridge
    schedule: str
    middle_unit_cost: float
    log_noise: float
    unit_cost: float


@dataclass(frozen=True, slots=True)
class LowBid:
    """One contract priced by its low bidder."""

    contract: Contract
    lines: tuple[Line, ...]
    costs: tuple[TrueCost, ...] = field(default=())


def price_low_bid(contract: Contract) -> LowBid:
    """Price a contract. A contract let again has the same quantities and, at the first letting, dearer prices."""
    chance = Chance("low bid", contract.contract_id, contract.letting_date)
    work: list[tuple[str, Work]] = []
    costs: list[TrueCost] = []
    by_schedule = _bridges_by_schedule(contract)
    for schedule, bridges in by_schedule.items():
        true_costs = [_true_cost(contract, bridge, schedule, chance) for bridge in bridges]
        costs += true_costs
        lines = [other_work.substructure(bridge, contract, _works_chance(contract, bridge)) for bridge in bridges]
        below = _merged([work for one in lines for work in one])
        work += [(schedule, one) for one in _superstructure(contract, true_costs, below, chance)]
    general = _general_schedule(contract)
    work += [(general, one) for one in _road_and_general(contract, chance)]
    if contract.has("alternate"):
        work += [("ALT 1", one) for one in other_work.alternate(contract, chance)]
    mobilization = sum((extension(w.quantity, w.price) for _, w in work), ZERO) * Decimal(
        str(chance.uniform(0.04, 0.08))
    )
    work.insert(0, (general, Work("mobilization", Decimal(1), round_price(float(mobilization)))))
    return LowBid(contract, _numbered(_troubled(contract, work)), tuple(costs))


def _bridges_by_schedule(contract: Contract) -> dict[str, list[Bridge]]:
    """Schedule 1 holds everything, or road and general work where the bridge has a schedule of its own."""
    first = 2 if contract.road_schedule else 1
    if contract.has("two bridges on two schedules"):
        return {str(first + place): [bridge] for place, bridge in enumerate(contract.bridges)}
    return {str(first): list(contract.bridges)} if contract.bridges else {}


def _general_schedule(contract: Contract) -> str:
    return "1"


def _works_chance(contract: Contract, bridge: Bridge) -> Chance:
    """The same bridge let again keeps its quantities."""
    return Chance("works", contract.contract_id, bridge.structure_id)


def _true_cost(contract: Contract, bridge: Bridge, schedule: str, chance: Chance) -> TrueCost:
    area = area_sf(bridge)
    middle = truth.log_unit_cost(
        bridge.superstructure, bridge.span_ft, area, bridge.skew_deg, contract.bidders, contract.letting_date
    )
    noise = truth.NOISE_S * chance.student5(truth.NOISE_LIMIT)
    if contract.has("emergency job"):
        noise = truth.EMERGENCY
    if contract.award != "Awarded":
        noise = 0.42
    return TrueCost(bridge, schedule, math.exp(middle), noise, math.exp(middle + noise))


def _merged(lines: list[Work]) -> list[Work]:
    """Two bridges on one schedule are billed in the same lines: quantities added, the first one's price."""
    merged: dict[str, Work] = {}
    for one in lines:
        if one.key not in merged:
            merged[one.key] = one
        elif one.quantity == 1 and ITEMS[one.key].unit == "LS":
            merged[one.key] = replace(one, price=merged[one.key].price + one.price)
        else:
            merged[one.key] = replace(merged[one.key], quantity=merged[one.key].quantity + one.quantity)
    return list(merged.values())


def _superstructure(contract: Contract, costs: list[TrueCost], below: list[Work], chance: Chance) -> list[Work]:
    """Superstructure lines worth the true dollars, then the other bridge lines, with unsplit bars where planned."""
    wanted = sum(cost.unit_cost * area_sf(cost.bridge) for cost in costs)
    made: dict[str, tuple[Decimal, float]] = {}
    for cost in costs:
        for part in parts(
            cost.bridge, Chance("parts", contract.contract_id, len(costs) == 1 and cost.bridge.structure_id)
        ):
            amount, share = made.get(part.key, (Decimal(0), 0.0))
            lump = ITEMS[part.key].unit == "LS"
            made[part.key] = (Decimal(1) if lump else amount + part.quantity, share + part.share / len(costs))
    balance = next(key for key in BALANCING if key in made)
    lines = {
        key: Work(key, amount, round_price(wanted * share / float(amount)))
        for key, (amount, share) in made.items()
        if key != balance
    }
    own = {key: extension(line.quantity, line.price) for key, line in lines.items()}
    if contract.unsplit_bars:
        lines, below, deck_dollars = _unsplit(lines, below)
        own["deck_bars"] = deck_dollars
    amount = made[balance][0]
    rest = cents((Decimal(str(wanted)) - sum(own.values(), ZERO)) / amount)
    if rest < CENT:
        raise ValueError(f"{contract.contract_id}: nothing is left for {balance}")
    lines[balance] = Work(balance, amount, rest)
    return [lines[key] for key in (*made, "bars") if key in lines] + below


def _unsplit(lines: dict[str, Work], below: list[Work]) -> tuple[dict[str, Work], list[Work], Decimal]:
    """All bars in one line at the deck bars' price; the deck's dollars are its share by weighted concrete volume."""
    deck = lines.pop("deck_bars")
    legs = next(one for one in below if one.key == "substructure_bars")
    bars = Work("bars", quantity(float(deck.quantity + legs.quantity)), deck.price)
    below = [one for one in below if one.key != "substructure_bars"]
    share = deck_share([*lines.values(), *below])
    return {**lines, "bars": bars}, below, cents(extension(bars.quantity, bars.price) * share)


def deck_share(work: list[Work] | list[Line]) -> Decimal:
    """2.2 Vdeck / (2.2 Vdeck + Vsubstructure), cubic yards as bid."""
    volume = {"deck": Decimal(0), "substructure": Decimal(0)}
    for one in work:
        item = one.item if isinstance(one, Line) else ITEMS[one.key]
        if item.unit == "CY" and item.category in volume:
            volume[item.category] += one.quantity
    weighted = Decimal("2.2") * volume["deck"]
    return weighted / (weighted + volume["substructure"])


def _road_and_general(contract: Contract, chance: Chance) -> list[Work]:
    special = {"X": other_work.resurfacing, "C": other_work.culvert}
    extra = special[contract.kind](contract, chance) if contract.kind in special else []
    approaches = [] if contract.kind == "X" else other_work.road(contract, Chance("road", contract.contract_id))
    return [*other_work.general(contract, chance), *extra, *approaches]


def _troubled(contract: Contract, work: list[tuple[str, Work]]) -> list[tuple[str, Work]]:
    """A zero price and an unbalanced line, both outside the superstructure."""
    if contract.has("zero price in the low bid"):
        work = [(s, replace(w, price=ZERO) if w.key == "seeding" else w) for s, w in work]
    if contract.has("unbalanced line in the low bid"):
        work = [
            (s, replace(w, price=round_price(float(w.price) * 4.5)) if w.key == "structure_excavation" else w)
            for s, w in work
        ]
    return work


def _numbered(work: list[tuple[str, Work]]) -> tuple[Line, ...]:
    """Lines by schedule, then by pay item code as a spec book orders them, numbered in tens."""
    in_order = sorted(work, key=lambda pair: (pair[0].startswith("ALT"), pair[0]))
    return tuple(
        Line(schedule, 10 * (place + 1), ITEMS[one.key], one.quantity, one.price)
        for place, (schedule, one) in enumerate(in_order)
    )
