"""A cost record of any size, invented: contracts with road and bridge items, an estimate, bidders, and their bridges.

Streamed to a CSV a contract at a time and imported as any file is, so that what is measured on it is the program as it
stands. The same seed gives the same record.
"""

from __future__ import annotations

import csv
import datetime as dt
import random
from collections.abc import Iterator
from pathlib import Path

from bidlens import workflow

HEAD = "Contract,Letting Date,Agency,Line,Item Code,Description,Unit,Quantity,Bidder,Unit Price,Rank\n"
STRUCTURES = (
    "Structure,Name,Contract,Letting date,Superstructure,Length (ft),Width (out to out),Spans,Longest span (ft),"
    "Skew (deg)\n"
)
FIRST_YEAR, YEARS = 2006, 20
FIRMS = [f"Invented Builder {number:02d}, Inc." for number in range(48)]
ROAD = [
    (f"{200 + n // 60}-{n:05d}", f"{work} {kind}, type {n % 60}", unit)
    for n, (work, kind, unit) in enumerate(
        (work, kind, unit)
        for work in ("Aggregate base", "Asphalt surface", "Pipe culvert", "Curb and gutter", "Guardrail", "Seeding")
        for kind in ("class A", "class B", "special", "extra", "repair")
        for unit in ("TON", "LF", "SY", "EA")
        for _ in range(25)
    )
]
#: Description, unit, share of the price of a bridge, unit price in the dollars of the first year.
BRIDGE = [
    ("Structural steel beams, furnished and erected", "LB", 0.22, 1.4),
    ("Elastomeric bearing", "EA", 0.02, 900.0),
    ("Superstructure concrete, deck", "CY", 0.20, 620.0),
    ("Reinforcing bars, epoxy coated, superstructure", "LB", 0.08, 1.1),
    ("Bridge railing, concrete parapet", "LF", 0.07, 110.0),
    ("Expansion joint, sealed", "LF", 0.03, 260.0),
    ("Substructure concrete, abutments and piers", "CY", 0.16, 560.0),
    ("Steel piles, furnished and driven", "LF", 0.09, 48.0),
    ("Removal of existing bridge", "LS", 0.08, 0.0),
    ("Structure excavation", "CY", 0.05, 28.0),
]
TYPES = {"rolled steel beam": 150.0, "prestressed I-beam": 140.0, "adjacent box beam": 165.0, "concrete slab": 130.0}


def make_record(record: Path, folder: Path, contracts: int, seed: int = 1) -> None:
    """Write the invented files into a folder and import them into a new record. About 360 bid rows a contract."""
    tab, bridges = folder / "invented_lettings.csv", folder / "invented_structures.csv"
    dice = random.Random(seed)
    with tab.open("w", encoding="utf-8", newline="") as lines, bridges.open("w", encoding="utf-8", newline="") as list_:
        to_lines, to_list = csv.writer(lines), csv.writer(list_)
        lines.write(HEAD)
        list_.write(STRUCTURES)
        for number in range(contracts):
            to_lines.writerows(_contract(dice, number, contracts, to_list))
    with workflow.open_database(record) as db:
        for result in db.import_files([tab, bridges]):
            if result.error:
                raise result.error


def _contract(dice: random.Random, number: int, contracts: int, structures) -> Iterator[list[object]]:  # type: ignore[no-untyped-def]
    """The rows of one contract; every fifth builds a bridge, which is written to the structure list."""
    day = dt.date(FIRST_YEAR, 1, 10) + dt.timedelta(days=int(number * YEARS * 365.2 / contracts))
    level = 1.035 ** ((day - dt.date(FIRST_YEAR, 1, 1)).days / 365.25)
    items: list[tuple[str, str, str, float, float]] = []
    name = f"C{number:06d}"
    if number % 5 == 0:
        items += _bridge(dice, name, day, level, structures)
    for code, text, unit in dice.sample(ROAD, dice.randint(55, 95)):
        items.append((code, text, unit, dice.randint(1, 50_000) / 10, level * dice.randint(100, 9_000) / 100))
    items.append(("101-00001", "Mobilization", "LS", 1.0, level * dice.randint(10_000, 90_000)))
    bidders = ["Engineer's Estimate", *dice.sample(FIRMS, dice.randint(1, 8))]
    prices = [[round(price * dice.lognormvariate(0.0, 0.15), 2) for _ in bidders] for *_, price in items]
    totals = [sum(item[3] * row[at] for item, row in zip(items, prices, strict=True)) for at in range(len(bidders))]
    order = sorted(range(1, len(bidders)), key=totals.__getitem__)
    place = {0: 0} | {at: rank for rank, at in enumerate(order, 1)}
    for line, ((code, text, unit, quantity, _), row) in enumerate(zip(items, prices, strict=True), 1):
        for at, bidder in enumerate(bidders):
            told = (code, text, unit, quantity, bidder, row[at], place[at])
            yield [name, day.isoformat(), "Invented County", f"{line:04d}", *told]


def _bridge(
    dice: random.Random, contract: str, day: dt.date, level: float, structures
) -> list[tuple[str, str, str, float, float]]:  # type: ignore[no-untyped-def]
    """The items of one bridge, priced by its deck area, and its row of the structure list."""
    kind = dice.choice(list(TYPES))
    span, spans, width = dice.randint(24, 110), dice.choice((1, 1, 2, 3)), dice.choice((26, 32, 36, 44))
    area = span * spans * width
    bridge = (f"K-{contract[1:]}", f"Invented road over stream {contract[1:]}", contract, day.isoformat(), kind)
    structures.writerow([*bridge, span * spans, width, spans, span, dice.choice((0, 0, 15, 30))])
    usd = area * TYPES[kind] * (span / 60) ** 0.2 * (area / 3000) ** -0.1 * dice.lognormvariate(0.0, 0.12)
    return [
        (f"501-{at:05d}", text, unit, 1.0, level * usd * share)
        if unit == "LS"
        else (f"501-{at:05d}", text, unit, max(round(usd * share / price, 1), 1.0), level * price)
        for at, (text, unit, share, price) in enumerate(BRIDGE)
    ]
