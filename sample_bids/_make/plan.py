"""What is let when, in which file layout, and which troubles are planted where."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from _make.chance import Chance
from _make.county import Bridge, inventory

KIND = {
    "R": "rolled steel beam",
    "B": "adjacent box beam",
    "S": "concrete slab",
    "I": "prestressed I-beam",
    "T": "timber",
    "P": "steel plate girder",
}
#: Spans let, feet, and the out-to-out widths in use, for each type.
SPANS = {"R": (24, 92), "B": (26, 92), "S": (18, 46), "I": (44, 120), "T": (18, 34), "P": (88, 126)}
WIDTHS_IN = {
    "R": (288, 288, 312, 336, 336, 360, 416), "B": (288, 312, 336, 336, 360, 408), "S": (288, 312, 336, 360, 392),
    "I": (312, 336, 360, 408, 416), "T": (240, 288, 288, 312), "P": (336, 416),
}  # fmt: skip
SPAN_COUNTS = {
    "R": (1, 1, 1, 2, 3),
    "B": (1, 1, 1, 2, 3),
    "S": (1, 1, 2, 3),
    "I": (1, 1, 2, 3),
    "T": (1, 1, 2),
    "P": (1, 2),
}
SKEWS = (0, 0, 0, 0, 5, 10, 15, 20, 25, 30, 35, 45)

#: Letting date, layout of its file, and its contracts. Layouts: csv (long, estimate as a pseudo-bidder), money (same
#: series years later), book (long workbook), wide (workbook, bidders side by side), ansi (Windows-1252 CSV).
#: X is road resurfacing, C a box culvert; "S+S" is one contract for two bridges.
LETTINGS = (
    ("2012-03-14", "csv", "R S"), ("2012-09-12", "csv", "B T"),
    ("2013-02-13", "csv", "I B S"), ("2013-06-12", "wide", "R"),
    ("2014-03-12", "csv", "T B"), ("2014-05-14", "wide", "R"), ("2014-10-08", "csv", "S I"),
    ("2015-03-11", "csv", "R B T"), ("2015-09-09", "csv", "S R"),
    ("2016-03-09", "csv", "I R S"), ("2016-08-10", "csv", "B X"),
    ("2017-02-08", "book", "R B S"), ("2017-06-14", "book", "T I"),
    ("2018-03-14", "book", "B+B I R"), ("2018-07-11", "wide", "P"), ("2018-10-10", "book", "R"),
    ("2019-02-13", "book", "R I B"), ("2019-08-14", "book", "S T"),
    ("2020-03-11", "ansi", "R B S"), ("2020-09-09", "book", "I R"),
    ("2021-02-10", "book", "B C R"), ("2021-06-09", "wide", "I"),
    ("2022-03-09", "money", "S+S B R"), ("2022-08-10", "wide", "R"),
    ("2023-02-08", "money", "I B R"), ("2023-06-14", "wide", "S"), ("2023-10-11", "money", "R T"),
    ("2024-03-13", "money", "B I R"), ("2024-09-11", "wide", "S"), ("2024-11-13", "money", "P"),
    ("2025-02-12", "money", "R I B"), ("2025-05-14", "wide", "I"), ("2025-06-11", "money", "R S"),
    ("2025-09-10", "money", "B"),
)  # fmt: skip

TROUBLES: dict[str, tuple[str, ...]] = {
    "B-1203": ("description runs on into the next row",),
    "B-1301": ("zero price in the low bid",),
    "B-1402": ("single bid",),
    "B-1502": ("extension error in the low bid",),
    "B-1601": ("irregular bid below the low bid",),
    "B-1605": ("road work only",),
    "B-1702": ("extension error in the second bid",),
    "B-1801": ("two bridges on two schedules",),
    "B-1805": ("let again",),
    "B-1903": ("tie",),
    "B-2004": ("rejected bid",),
    "B-2102": ("box culvert",),
    "B-2103": ("single bid",),
    "B-2201": ("two bridges on one schedule",),
    "B-2204": ("blank unit price, amount given",),
    "B-2301": ("blank unit price",),
    "B-2302": ("zero price in the second bid",),
    "B-2401": ("emergency job",),
    "B-2402": ("alternate",),
    "B-2501": ("time bid",),
    "B-2503": ("unbalanced line in the low bid",),
    "B-2507": ("single bid",),
}
#: Reinforcement in one line for the whole bridge, to be split by concrete volume.
UNSPLIT_BARS = {"B-1202", "B-1304", "B-1602", "B-1803", "B-2003", "B-2303", "B-2505"}
#: Road work in a schedule of its own: 1 is road and general, 2 the bridge.
ROAD_SCHEDULE = {
    "B-1201", "B-1302", "B-1405", "B-1502", "B-1505", "B-1602", "B-1604", "B-1701", "B-1705", "B-1801", "B-1802",
    "B-1902", "B-2001", "B-2003", "B-2005", "B-2101", "B-2201", "B-2203", "B-2301", "B-2303", "B-2306", "B-2402",
    "B-2403", "B-2405", "B-2501", "B-2502", "B-2505",
}  # fmt: skip
#: Bridges of next year's program; they and the bridge of the lead example are not let.
PROGRAM = ("K-117", "K-139", "K-168", "K-204", "K-233", "K-271", "K-312", "K-346", "K-388", "K-421", "K-467")
BIDDER_COUNTS = (2, 2, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 6, 6, 7)


@dataclass(frozen=True, slots=True)
class Contract:
    """One contract at one letting, before anything is priced. `bridges` carry the new geometry."""

    contract_id: str
    letting_date: dt.date
    layout: str
    kind: str
    bridges: tuple[Bridge, ...]
    bidders: int
    award: str = "Awarded"

    @property
    def troubles(self) -> tuple[str, ...]:
        return TROUBLES.get(self.contract_id, ())

    def has(self, trouble: str) -> bool:
        return trouble in self.troubles

    @property
    def road_schedule(self) -> bool:
        return self.contract_id in ROAD_SCHEDULE

    @property
    def unsplit_bars(self) -> bool:
        return self.contract_id in UNSPLIT_BARS

    @property
    def title(self) -> str:
        if self.kind == "X":
            return "Corvane Road, resurfacing"
        if self.kind == "C":
            return "Hexley Lane, box culvert at Fothering Drain"
        return " and ".join(bridge.name for bridge in self.bridges) + ", bridge replacement"


def _new_bridges() -> dict[str, list[Bridge]]:
    """New bridges by type code, spans spread evenly over the type's range, on the sites of worn-out ones."""
    codes = "".join(contracts for _, _, contracts in LETTINGS).replace(" ", "").replace("+", "")
    needed = {code: codes.count(code) for code in KIND}
    sites = [b for b in inventory().values() if b.year_built < 1972 and b.structure_id not in PROGRAM]
    sites = Chance("sites").shuffled(sites)
    made: dict[str, list[Bridge]] = {}
    for code, count in needed.items():
        low, high = SPANS[code]
        made[code] = []
        for place, share in enumerate(Chance("spans", code).layered(count)):
            chance = Chance("new bridge", code, place)
            span = float(round(low * (high / low) ** share))
            spans = chance.pick(SPAN_COUNTS[code])
            site = sites.pop()
            made[code].append(
                Bridge(
                    site.structure_id, site.name, KIND[code], spans * span + chance.pick((0.0, 1.0, 1.5, 2.0, 2.5)),
                    chance.pick(WIDTHS_IN[code]), spans, span, chance.pick(SKEWS), 0,
                )
            )  # fmt: skip
    return made


def _built(bridge: Bridge, letting: dt.date) -> Bridge:
    """Opened to traffic the year it is let, or the next when let after June."""
    year = letting.year + (letting.month > 6)
    return Bridge(
        bridge.structure_id, bridge.name, bridge.superstructure, bridge.length_ft, bridge.width_in, bridge.spans,
        bridge.span_ft, bridge.skew_deg, year,
    )  # fmt: skip


def contracts() -> list[Contract]:
    """Every contract at every letting, in order; B-1805 is there twice."""
    bridges = _new_bridges()
    counts = [count for _ in range(6) for count in Chance("bidder counts", "each").shuffled(BIDDER_COUNTS)]
    number: dict[int, int] = {}
    let: list[Contract] = []
    for day_text, layout, codes in LETTINGS:
        day = dt.date.fromisoformat(day_text)
        for code in codes.split():
            again = day_text == "2019-02-13" and code == "R"
            if again:
                contract_id, own = "B-1805", let[-1].bridges
            else:
                number[day.year] = number.get(day.year, 0) + 1
                contract_id = f"B-{day.year % 100}{number[day.year]:02d}"
                own = tuple(bridges[part].pop() for part in code.split("+") if part in KIND)
            award = "All bids rejected" if contract_id == "B-1805" and not again else "Awarded"
            single = "single bid" in TROUBLES.get(contract_id, ())
            many = 4 if {"blank unit price", "tie"} & set(TROUBLES.get(contract_id, ())) else counts.pop()
            let.append(
                Contract(
                    contract_id, day, layout, code.split("+")[0], tuple(_built(bridge, day) for bridge in own),
                    1 if single else many, award,
                )
            )  # fmt: skip
    return let
