"""truth.json against the files themselves, read without bidlens.

Which wording belongs to which work category is taken from truth.json; the sums, the order of the bidders and the split
of bars are worked out here from the files.
"""

from __future__ import annotations

import json
import math
from collections import Counter, defaultdict
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest

from tests.sample.reading import CENT, SAMPLE, PriceRow, plain_name, read

TRUTH: dict[str, Any] = json.loads((SAMPLE / "truth.json").read_text(encoding="utf-8"))
CATEGORY = {item["description"]: item["work_category"] for item in TRUTH["pay_items"]}
UNIT = {item["description"]: item["pay_unit"] for item in TRUTH["pay_items"]}
BEAMS = {"beams", "bearings"}
SUPERSTRUCTURE = BEAMS | {"deck", "railing", "wearing_surface", "expansion_joints"}
BRIDGE = SUPERSTRUCTURE | {"substructure", "foundation", "structure_excavation", "reinforcement_unsplit"}


def name_of(contract: dict[str, Any]) -> str:
    return f"{contract['contract_id']} of {contract['letting_date']}"


def with_trouble(trouble: str) -> list[dict[str, Any]]:
    return [contract for contract in TRUTH["contracts"] if trouble in contract["troubles"]]


ROWS: dict[str, list[PriceRow]] = {path.name: read(path) for path in sorted((SAMPLE / "bid_tabs").iterdir())}


def rows_of(contract: dict[str, Any]) -> list[PriceRow]:
    return [row for row in ROWS[contract["file"]] if row.contract_id == contract["contract_id"]]


def totals(rows: list[PriceRow], *, corrected: bool) -> dict[str, Decimal]:
    """Base bid of each bidder whose bid counts: the alternate and irregular or rejected bids are left out."""
    some = [row for row in rows if row.status == "Responsive"] or rows
    out: dict[str, Decimal] = defaultdict(Decimal)
    for row in some:
        if not row.schedule.startswith("ALT"):
            out[row.firm] += row.extension if corrected else row.printed or Decimal(0)
    return dict(out)


def lowest(by_firm: dict[str, Decimal]) -> list[str]:
    return sorted(firm for firm, total in by_firm.items() if total == min(by_firm.values()))


@pytest.mark.parametrize("contract", TRUTH["contracts"], ids=name_of)
def test_the_low_bidder_and_its_totals_are_those_of_the_file(contract: dict[str, Any]) -> None:
    rows = rows_of(contract)
    corrected, as_read = totals(rows, corrected=True), totals(rows, corrected=False)
    low = plain_name(contract["low_bidder"])
    assert lowest(corrected) == sorted(plain_name(firm) for firm in contract["low_corrected"])
    assert lowest(as_read) == sorted(plain_name(firm) for firm in contract["low_as_read"])
    assert corrected[low] == Decimal(contract["low_total_corrected"])
    assert as_read[low] == Decimal(contract["low_total_as_read"])
    assert len({row.firm for row in rows}) == contract["bids_read"]
    assert len({row.firm for row in rows if row.status == "Responsive"}) == contract["bidders"]


@pytest.mark.parametrize("contract", [c for c in TRUTH["contracts"] if c["structures"]], ids=name_of)
def test_the_dollars_of_each_bridge_add_up_from_the_low_bidders_lines(contract: dict[str, Any]) -> None:
    low = plain_name(contract["low_bidder"])
    for bridge in contract["structures"]:
        lines = [row for row in rows_of(contract) if row.firm == low and row.schedule == bridge["schedule"]]
        for basis, categories in (("beams", BEAMS), ("superstructure", SUPERSTRUCTURE), ("bridge", BRIDGE)):
            dollars = sum((row.extension for row in lines if category_of(row) in categories), Decimal(0))
            if basis == "superstructure":
                dollars += deck_part_of_unsplit_bars(lines)
            share = Decimal(str(bridge["deck_area_sf"])) / area_on(contract, bridge["schedule"])
            stated = Decimal(bridge[f"{basis}_usd"])
            assert abs((dollars * share).quantize(CENT, ROUND_HALF_UP) - stated) <= CENT, (
                bridge["structure_id"],
                basis,
            )


@pytest.mark.parametrize("contract", [c for c in TRUTH["contracts"] if c["structures"]], ids=name_of)
def test_the_superstructure_dollars_are_within_two_of_what_the_law_gives(contract: dict[str, Any]) -> None:
    by_schedule: dict[str, list[float]] = defaultdict(list)
    for bridge in contract["structures"]:
        wanted = bridge["true_unit_cost"] * bridge["deck_area_sf"]
        by_schedule[bridge["schedule"]].append(wanted - float(bridge["superstructure_usd"]))
    assert all(abs(sum(gaps)) < 2 for gaps in by_schedule.values())


@pytest.mark.parametrize("contract", [c for c in TRUTH["contracts"] if c["structures"]], ids=name_of)
def test_the_law_in_truth_json_gives_the_stated_middle_price(contract: dict[str, Any]) -> None:
    # The index is the published one: raw NHCCI, read here from its table and not through bidlens.
    c = TRUTH["coefficients"]
    year, month = contract["letting_date"][:4], int(contract["letting_date"][5:7])
    # The first letting of a contract let again was priced when its bidders still counted.
    bidders = contract["bidders"] or contract["bids_read"]
    for bridge in contract["structures"]:
        ln_span = math.log(bridge["span_ft"] / 60)
        ln_price = (
            c["alpha"]
            + math.log(NHCCI[f"{year}Q{(month - 1) // 3 + 1}"])
            + c["b1_ln_span_over_60"] * ln_span
            + c["b2_ln_area_over_2000"] * math.log(bridge["deck_area_sf"] / 2000)
            + c["b3_bidders_less_5"] * (min(bidders, 8) - 5)
            + c["b4_skew_over_30_squared"] * (bridge["skew_deg"] / 30) ** 2
            + c["b5_ln_span_over_60_squared"] * ln_span**2
            + c["type_effect"][bridge["superstructure"]]
            + c["year_effect"][year]
        )
        assert math.isclose(math.exp(ln_price), bridge["middle_unit_cost"], rel_tol=1e-5)
        assert math.isclose(math.exp(ln_price + bridge["log_noise"]), bridge["true_unit_cost"], rel_tol=2e-5)


def test_types_are_let_in_uneven_numbers_and_one_offered_type_never() -> None:
    let = [b["superstructure"] for c in TRUTH["contracts"] if c["bidders"] for b in c["structures"]]
    assert Counter(let) == {
        "rolled steel beam": 19, "adjacent box beam": 16, "concrete slab": 13, "prestressed I-beam": 12, "timber": 6,
        "steel plate girder": 2,
    }  # fmt: skip
    assert 'superstructure = "steel tub girder"' in (SAMPLE / "proposals" / "wollastonite_k117.toml").read_text()


def test_every_planned_trouble_is_in_the_files() -> None:
    for trouble in ("extension error in the low bid", "extension error in the second bid"):
        (contract,) = with_trouble(trouble)
        assert contract["low_as_read"] != contract["low_corrected"] == [contract["low_bidder"]]
    (tie,) = with_trouble("tie")
    assert len(tie["low_corrected"]) == 2
    assert all(contract["bidders"] == 1 for contract in with_trouble("single bid"))
    for trouble, status in (("irregular bid below the low bid", "Irregular"), ("rejected bid", "Rejected")):
        (contract,) = with_trouble(trouble)
        unranked = [row for row in rows_of(contract) if row.status == status]
        assert sum(row.extension for row in unranked) < Decimal(contract["low_total_corrected"])
    first, second = with_trouble("let again")
    assert (first["contract_id"], first["bidders"], second["bidders"] > 0) == (second["contract_id"], 0, True)
    (blank,) = with_trouble("blank unit price")
    assert [row.printed for row in rows_of(blank) if row.price is None] == [None]
    (amount_only,) = with_trouble("blank unit price, amount given")
    assert [row.printed is not None for row in rows_of(amount_only) if row.price is None] == [True]
    for trouble in ("zero price in the low bid", "zero price in the second bid"):
        (contract,) = with_trouble(trouble)
        assert sum(row.price == 0 for row in rows_of(contract)) == 1
    (alternate,) = with_trouble("alternate")
    assert {row.schedule for row in rows_of(alternate)} == {"1", "2", "ALT 1"}
    assert sum(len(c["structures"]) == 2 for c in TRUTH["contracts"]) == 2


def category_of(row: PriceRow) -> str:
    if row.description in CATEGORY:
        return CATEGORY[row.description]
    # A description that runs on into the next row has lost its last word here.
    (found,) = {CATEGORY[text] for text in CATEGORY if text.rpartition(" ")[0] == row.description}
    return found


def deck_part_of_unsplit_bars(lines: list[PriceRow]) -> Decimal:
    """Bars of no named part, split by cubic yards of concrete with a weight of 2.2 for the deck."""
    bars = sum((row.extension for row in lines if category_of(row) == "reinforcement_unsplit"), Decimal(0))
    if not bars:
        return bars
    volume = {"deck": Decimal(0), "substructure": Decimal(0)}
    for row in lines:
        if category_of(row) in volume and UNIT.get(row.description) == "CY":
            volume[category_of(row)] += row.quantity
    deck = Decimal("2.2") * volume["deck"]
    return bars * deck / (deck + volume["substructure"])


def area_on(contract: dict[str, Any], schedule: str) -> Decimal:
    areas = [b["deck_area_sf"] for b in contract["structures"] if b["schedule"] == schedule]
    return sum((Decimal(str(area)) for area in areas), Decimal(0))


def _nhcci() -> dict[str, float]:
    lines = (SAMPLE.parent / "shared" / "nhcci.csv").read_text().splitlines()[1:]
    return {line.split(",")[0]: float(line.split(",")[1]) for line in lines}


NHCCI = _nhcci()
