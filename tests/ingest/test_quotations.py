"""Suppliers' quotations in lists, as tables and as lines of minutes. All firms, roads and prices are invented.

What a file of quotations looks like has no published standard: common practice, no source. Deck areas and prices per
square foot are worked out by hand beside each check.
"""

from __future__ import annotations

import csv
import datetime as dt
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.batch import Batch
from bidlens.errors import BadValue, BidlensError, UnreadableFile
from bidlens.ingest import open_file, read_file, recognition_of
from bidlens.ingest.proposals import proposals_of
from bidlens.ingest.quotation_text import prices_in, shares, sizes_in
from bidlens.ingest.scope_text import scope_in_words
from tests.ingest.conftest import codes, conform_all

MINUTES = """\
Larch Road over Tansy Ditch, 42 ft x 26 ft, 6 adjacent boxes      estimate $58,000
  Umber Precast        $51,660   furnish and deliver              beams only
  Vale Prestress       $60,480   furnish, deliver and set         beams only
  Willow Steel         $73,900   furnish: tub girders with deck   includes deck: not comparable
  Yew Timber           no bid
Two bridges in one quotation:  Yarrow Precast  $118,200 + $97,350 = $215,550
One lump sum for three bridges: Zinnia Steel   $146,000 (sole bid)
own crew: abutments and setting, about $44,000
deck area = length x width out to out = 1,092 sf, so $47.31 and $55.38 per sf of deck, beams only
"""


def read(path: Path) -> Batch:
    batch = read_file(path)
    assert batch.kind == "proposals"
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    aside = batch.set_aside[["source_sheet", "source_row"]].apply(tuple, axis=1).tolist()
    taken = batch.tables["proposal"][["source_sheet", "source_row"]].apply(tuple, axis=1).tolist()
    assert len(set(aside)) == len(aside)
    assert not set(aside) & set(taken)
    return batch


def read_text(folder: Path, text: str, name: str = "minutes.txt") -> Batch:
    (path := folder / name).write_text(text, encoding="utf-8")
    return read(path)


def text_of(batch: Batch, code: str) -> str:
    return " ".join(finding.text for finding in batch.findings if finding.code == code)


# --- lines of minutes ---------------------------------------------------------------------------------------------


def test_lines_of_minutes_become_a_proposal_a_bridge_each_with_its_row(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES)
    offers = {offer.supplier + str(offer.price_usd): offer for offer in proposals_of(batch)}
    umber, vale, willow = (
        offers[name] for name in ("Umber Precast51660.00", "Vale Prestress60480.00", "Willow Steel73900.00")
    )
    assert (umber.scope, vale.scope) == (("furnish", "deliver"), ("furnish", "deliver", "set"))
    assert (willow.scope, willow.superstructure) == (("furnish", "deck"), "steel tub girder")
    assert (umber.superstructure, umber.length_ft, umber.width_ft) == ("adjacent box beam", 42, 26)
    assert {offer.estimate_usd for offer in (umber, vale, willow)} == {Decimal("58000.00")}
    assert [offer.place.row for offer in proposals_of(batch)] == [2, 3, 4, 6, 6]
    # 51,660 / (42 x 26 = 1,092) = 47.31 and 60,480 / 1,092 = 55.38, as the last line has it
    assert round(float(umber.price_usd) / 1092, 2) == 47.31
    assert "noted_price_differs" not in codes(batch)
    assert "deck_area_differs" not in codes(batch)
    assert batch.set_aside["source_row"].tolist() == [5, 7, 8, 9]


def test_two_bridges_in_one_quotation_take_nothing_from_the_job_above(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES)
    pair = [offer for offer in proposals_of(batch) if offer.supplier == "Yarrow Precast"]
    assert [offer.price_usd for offer in pair] == [Decimal("118200.00"), Decimal("97350.00")]
    assert {(offer.length_ft, offer.superstructure, offer.estimate_usd, offer.scope) for offer in pair} == {
        (None, "not stated", None, ())
    }
    assert "$118,200.00 + $97,350.00 = $215,550.00, as stated" in text_of(batch, "several_bridges")
    assert {"superstructure_not_stated", "scope_not_stated"} <= set(codes(batch))


def test_a_sum_that_does_not_add_up_is_set_aside_with_the_question(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES.replace("$215,550", "$215,500"))
    assert not [offer for offer in proposals_of(batch) if offer.supplier == "Yarrow Precast"]
    (reason,) = batch.set_aside.query("source_row == 6")["reason"]
    assert "$118,200.00 + $97,350.00 is $215,550.00, and the sum stated is $215,500.00" in reason
    assert any("Ask Yarrow Precast which stands" in finding.do for finding in batch.findings)


def test_one_lump_sum_for_several_bridges_is_asked_about_and_never_parted_by_a_guess(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES)
    (finding,) = [one for one in batch.findings if one.code == "row_set_aside"]
    assert "one price of $146,000.00 is for 3 bridges, and their deck areas are not stated" in finding.text
    assert "Ask Zinnia Steel for the price of each bridge" in finding.do


def test_one_lump_sum_is_parted_by_deck_area_where_every_size_is_stated(tmp_path: Path) -> None:
    text = MINUTES.replace("(sole bid)", "(40 ft x 24 ft; 36 ft x 24 ft; 50 ft x 26 ft)")
    batch = read_text(tmp_path, text)
    parted = [offer for offer in proposals_of(batch) if offer.supplier == "Zinnia Steel"]
    # 146,000 over 960 + 864 + 1,300 = 3,124 sf: 44,865.557, 40,379.001 and 60,755.442
    assert [offer.price_usd for offer in parted] == [Decimal("44865.56"), Decimal("40379.00"), Decimal("60755.44")]
    assert sum(offer.price_usd for offer in parted) == 146_000
    assert "960 sf and 864 sf and 1,300 sf" in text_of(batch, "lump_sum_by_area")


def test_no_bid_an_estimate_and_the_owners_own_cost_are_no_proposals(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES)
    assert "Yew Timber" not in {offer.supplier for offer in proposals_of(batch)}
    assert text_of(batch, "no_quotation") == "Yew Timber was asked and gave no price."
    # 51,660 / 58,000 = 0.891; 60,480 / 58,000 = 1.043
    told = text_of(batch, "owners_estimate")
    assert "Umber Precast 10.9% below it, Vale Prestress 4.3% above it" in told
    assert "“own crew: abutments and setting, about $44,000”; it is added to no quotation" in text_of(batch, "own_cost")
    assert all(offer.own_forces_usd is None for offer in proposals_of(batch))


def test_the_own_crews_cost_goes_to_the_quotations_that_leave_its_work_out(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES.replace("abutments and setting, about $44,000", "setting, about $4,000"))
    own = {offer.supplier: (offer.own_forces_usd, offer.own_forces_scope) for offer in proposals_of(batch)}
    assert own["Umber Precast"] == (Decimal("4000.00"), ("set",))
    assert own["Vale Prestress"] == (None, ())  # sets the beams itself


def test_a_deck_area_worked_out_wrongly_is_told(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES.replace("1,092 sf", "1,029 sf").replace("$47.31", "$50.20"))
    assert "a deck area of 1,029 sf; length x width is 1,092 sf" in text_of(batch, "deck_area_differs")
    assert "$50.20 per sf, which no quotation of the job comes to" in text_of(batch, "noted_price_differs")


def test_running_prose_with_commas_and_dashes_is_read_line_by_line(tmp_path: Path) -> None:
    text = (
        "Minutes of the regular session, March 4, 2031\n\n"
        "Quotes were opened for the superstructure of the Tansy Ditch bridge on Larch Road (42'-0\" x 26'-0\").\n"
        "Engineer's estimate: $58,000.00\n"
        "Umber Precast - $51,660.00 - furnish and deliver adjacent box beams\n"
        "Vale Prestress: $60,480.00, furnish, deliver and set adjacent box beams\n"
        "Yew Timber: no quote\n"
        "Moved by A, seconded by B, to accept the quote of Umber Precast. Motion carried.\n"
    )
    batch = read_text(tmp_path, text)
    umber, vale = proposals_of(batch)
    assert (umber.price_usd, umber.scope, umber.date) == (
        Decimal("51660.00"),
        ("furnish", "deliver"),
        dt.date(2031, 3, 4),
    )
    assert (vale.supplier, vale.price_usd, vale.scope) == (
        "Vale Prestress",
        Decimal("60480.00"),
        ("furnish", "deliver", "set"),
    )
    assert (umber.length_ft, umber.width_ft, umber.estimate_usd) == (42, 26, Decimal("58000.00"))
    assert batch.set_aside["source_row"].tolist() == [7, 8]


def test_a_second_job_takes_nothing_from_the_first(tmp_path: Path) -> None:
    text = [
        *MINUTES.splitlines()[:3],
        "Sorrel Lane over Pellan Run, 30 ft x 24 ft, rolled steel beams",
        "  Umber Precast        $41,000   furnish and deliver",
    ]
    offers = proposals_of(read_text(tmp_path, "\n".join(text)))
    assert [(one.length_ft, one.estimate_usd) for one in offers] == [(42, 58000), (42, 58000), (30, None)]
    assert offers[-1].superstructure == "rolled steel beam"
    assert offers[-1].proposal_id == "Umber Precast / Sorrel Lane over Pellan Run"


def test_lines_are_recognised_for_sure_and_other_text_is_not_taken_for_quotations(tmp_path: Path) -> None:
    (path := tmp_path / "minutes.txt").write_text(MINUTES)
    (sheet,) = recognition_of(open_file(path)).sheets
    assert (sheet.kind, sheet.layout, sheet.sure) == ("proposals", "quotations line by line", True)
    assert sheet.first_rows[0] == {
        "supplier": "Umber Precast", "price_usd": "$51,660", "scope": "furnish and deliver; beams only"
    }  # fmt: skip
    (other := tmp_path / "letter.txt").write_text(
        "We thank you for your letter.\nThe deck cost us $4,000 in repairs.\n"
    )
    with pytest.raises(UnreadableFile):
        read_file(other)


# --- tables -------------------------------------------------------------------------------------------------------


@pytest.fixture(params=["csv", "xlsx"])
def write(request, write_csv, write_xlsx):
    def as_file(rows, stem="quotations"):
        return (
            write_csv(f"{stem}.csv", rows) if request.param == "csv" else write_xlsx(f"{stem}.xlsx", {"Sheet1": rows})
        )

    return as_file


def test_a_table_with_the_job_above_and_columns_of_yes_and_no(write) -> None:
    rows = [
        ["Larch Road over Tansy Ditch"],
        ["42 ft x 26 ft, 6 adjacent boxes; quotes received March 4, 2031"],
        ["Engineer's estimate: $58,000"],
        ["Amount", "Vendor", "Furnish", "Deliver", "Set", "Rail"],
        [51660, "Umber Precast", "X", "X", "", ""],
        ["$60,480.00", "Vale Prestress", "yes", "yes", "yes", "no"],
        ["N/B", "Yew Timber", "", "", "", ""],
        ["County crew: setting, about $4,000"],
    ]
    batch = read(write(rows))
    umber, vale = proposals_of(batch)
    assert (umber.price_usd, umber.scope, umber.own_forces_usd) == (51660, ("furnish", "deliver"), 4000)
    assert (vale.price_usd, vale.scope, vale.own_forces_usd) == (60480, ("furnish", "deliver", "set"), None)
    assert (umber.length_ft, umber.width_ft, umber.estimate_usd, umber.date) == (42, 26, 58000, dt.date(2031, 3, 4))
    assert umber.proposal_id == "Umber Precast / Larch Road over Tansy Ditch / 2031-03-04"
    assert "columns_ignored" not in codes(batch)
    assert batch.set_aside["source_row"].tolist() == [7]


def test_blank_cells_below_a_job_mean_the_same_job_and_a_total_is_a_check(write) -> None:
    rows = [
        ["bridge no.", "length ft", "width (ft)", "bidder", "lump sum", "scope"],
        ["K-12", 42, 26, "Umber Precast", 51660, "F&D"],
        ["", "", "", "Vale Prestress", 60480, "F,D&S"],
        ["K-14", 36, 24, "Umber Precast", 41660, "F&D"],
        ["", "", "", "Vale Prestress", "-", ""],
        ["Total", "", "", "Umber Precast", 93320, ""],
    ]
    batch = read(write(rows))
    assert [(one.structure, one.length_ft, one.scope) for one in proposals_of(batch)] == [
        ("K-12", 42, ("furnish", "deliver")),
        ("K-12", 42, ("furnish", "deliver", "set")),
        ("K-14", 36, ("furnish", "deliver")),
    ]
    assert "quotation_total_differs" not in codes(batch)
    rows[5][4] = 93330
    assert "states $93,330.00, the quotations above it add up to $93,320.00" in text_of(
        read(write(rows, "again")), "quotation_total_differs"
    )


def test_several_structures_in_one_row_are_a_proposal_each(write) -> None:
    rows = [
        ["Structures", "Supplier", "Price", "Includes"],
        ["K-12, K-14", "Yarrow Precast", "$118,200 + $97,350 = $215,550", "furnish, deliver"],
        ["K-12, K-14", "Quince Beam", "$215,550", "furnish, deliver"],
    ]
    batch = read(write(rows))
    assert [(one.structure, one.price_usd) for one in proposals_of(batch)] == [("K-12", 118_200), ("K-14", 97_350)]
    assert batch.set_aside["source_row"].tolist() == [3]


def test_a_second_quotation_of_one_supplier_is_kept_and_asked_about_and_the_same_row_twice_is_an_error(write) -> None:
    rows = [
        ["Supplier", "Price", "Scope"],
        ["Umber Precast", 100, "furnish"],
        ["Umber Precast", 120, "furnish, deliver"],
    ]
    batch = read(write(rows))
    assert [one.proposal_id for one in proposals_of(batch)] == ["Umber Precast", "Umber Precast / offer 2"]
    assert "second_quotation" in codes(batch)
    with pytest.raises(BadValue, match="row 2 already"):
        read_file(write([*rows[:2], rows[1]], "twice"))


def test_a_row_that_is_no_whole_quotation_is_set_aside_with_its_reason(write) -> None:
    rows = [
        ["Supplier", "Price", "Scope"],
        ["Umber Precast", 100, "furnish"],
        ["Vale Prestress", "", "furnish"],
        ["", 90, "furnish"],
        ["Quince Beam", "$80 or $90", "furnish"],
        ["prices hold for 30 days"],
    ]
    batch = read(write(rows))
    reasons = dict(zip(batch.set_aside["source_row"], batch.set_aside["reason"], strict=True))
    assert list(reasons) == [3, 4, 5, 6]
    assert "states no price" in reasons[3]
    assert "names no supplier" in reasons[4]
    assert "two prices stand side by side, $80 and $90" in reasons[5]
    assert reasons[6] == "a remark, not a quotation"


def test_a_price_parted_at_its_comma_is_not_taken_for_less(tmp_path: Path) -> None:
    text = "Supplier,Price,Scope\nUmber Precast,$51,660,furnish\nVale Prestress,60480,furnish\n"
    batch = read_text(tmp_path, text, "quotations.csv")
    assert [one.supplier for one in proposals_of(batch)] == ["Vale Prestress"]
    assert "more cells than there are headings" in batch.set_aside["reason"][0]


def test_a_column_of_prices_for_each_bridge_is_reconciled_against_the_total(write) -> None:
    rows = [
        ["Supplier", "Larch Road bridge", "Sorrel Lane bridge", "Total", "Scope"],
        ["Yarrow Precast", "$118,200", "$97,350", "$215,550", "furnish"],
        ["Yew Timber", "no bid", "$90,000", "$90,000", "furnish"],
        ["Quince Beam", "$118,000", "$97,000", "$215,500", "furnish"],
    ]
    batch = read(write(rows))
    assert [(one.proposal_id, one.price_usd) for one in proposals_of(batch)] == [
        ("Yarrow Precast / Larch Road bridge", 118_200),
        ("Yarrow Precast / Sorrel Lane bridge", 97_350),
        ("Yew Timber / Sorrel Lane bridge", 90_000),
    ]
    assert batch.set_aside["source_row"].tolist() == [4]
    assert "the sum stated is $215,500.00" in batch.set_aside["reason"][0]
    assert "columns_ignored" not in codes(batch)


def test_a_price_for_two_bridges_whose_parts_stand_in_the_remarks(write) -> None:
    rows = [
        ["Supplier", "Price", "Scope", "Notes"],
        ["Umber Precast", "51660.00", "furnish", "2 bridges: $30,000 + $21,660 = $51,660"],
        ["Vale Prestress", "51660.00", "furnish", "2 bridges: $30,000 + $22,000 = $52,000"],
    ]
    batch = read(write(rows))
    assert [one.price_usd for one in proposals_of(batch)] == [30_000, 21_660]
    assert batch.set_aside["source_row"].tolist() == [3]


def test_a_sheet_for_each_job_names_it(write_xlsx) -> None:
    rows = [["42 ft x 26 ft"], ["Supplier", "Quote", "Scope"], ["Umber Precast", 51660, "F&D"]]
    batch = read(write_xlsx("q.xlsx", {"Larch Road": rows, "Sorrel Lane": rows}))
    assert [one.proposal_id for one in proposals_of(batch)] == [
        "Umber Precast / Larch Road",
        "Umber Precast / Sorrel Lane",
    ]


def test_numbered_lines_names_in_brackets_and_columns_in_plain_text(tmp_path: Path) -> None:
    text = (
        "QUOTATIONS FOR BRIDGE SUPERSTRUCTURE, LARCH ROAD\n"
        "Bridge No. K-117, 42'-0\" long, 26'-0\" wide out to out\n"
        "1. Umber Precast, Easton: $51,660 F&D adjacent box beams\n"
        "2. Willow Steel Co. (tub girders with deck): $73,900.00\n"
        "3. Quotes were also received from Vale Prestress, $60,480, furnish\n"
        "4. Yew Timber declined to quote\n"
        "Estimate: $58,000\n"
    )
    umber, willow, vale = proposals_of(read_text(tmp_path, text))
    assert (umber.supplier, umber.structure, umber.length_ft) == ("Umber Precast, Easton", "K-117", 42)
    assert (willow.supplier, willow.superstructure, willow.scope) == (
        "Willow Steel Co.",
        "steel tub girder",
        ("furnish", "deck"),
    )
    assert (vale.supplier, vale.price_usd, vale.estimate_usd) == ("Vale Prestress", 60_480, 58_000)
    columns = "Supplier            Price        Scope\nUmber Precast       $51,660      furnish and deliver\n"
    batch = read_text(tmp_path, columns, "columns.txt")
    assert [one.proposal_id for one in proposals_of(batch)] == ["Umber Precast"]
    assert batch.set_aside["reason"].tolist() == ["column headings"]


def test_a_second_price_on_a_line_is_never_dropped(tmp_path: Path) -> None:
    batch = read_text(tmp_path, MINUTES.replace("$51,660   furnish", "$51,660   $4,000   furnish"))
    (reason,) = batch.set_aside.query("source_row == 2")["reason"]
    assert "two prices stand side by side" in reason


# --- words and numbers --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("42 ft x 26 ft", [(42, 26)]),
        ("42'-6\" x 26'-8\"", [(42.5, 26 + 8 / 12)]),
        ("36-foot by 28-foot", [(36, 28)]),
        ("42 feet long and 26 feet wide", [(42, 26)]),
        ("12.8 m x 7.9 m", [(12.8 / 0.3048, 7.9 / 0.3048)]),
        ("box beams 21 in x 48 in", []),
        ("40 ft x 24 ft; 36 ft x 24 ft", [(40, 24), (36, 24)]),
        ("2 @ 40 ft x 28 ft", []),
    ],
)
def test_sizes_in_words(text: str, sizes: list[tuple[float, float]]) -> None:
    assert [pytest.approx(size) for size in sizes] == list(sizes_in(text))


@pytest.mark.parametrize(
    ("texts", "parts"),
    [
        (["furnish & deliver", "does not include railing, deck"], ("furnish", "deliver")),
        (["deck and rail by county; furnish, set"], ("furnish", "set")),
        (["F.O.B. jobsite, bearing pads"], ("furnish", "deliver", "bearings")),
        (["beams delivered"], ("furnish", "deliver")),
        (["set beams only"], ("set",)),
        (["turnkey"], ()),
        (["delivered", "rail excluded"], ("deliver",)),
    ],
)
def test_what_a_quotation_covers_in_words(texts: list[str], parts: tuple[str, ...]) -> None:
    assert scope_in_words(texts)[0].parts == parts


@given(st.decimals("0.01", "999999", places=2), st.lists(st.floats(8, 5000), min_size=1, max_size=6))
def test_shares_of_a_lump_sum_add_up_to_the_cent(total: Decimal, areas: list[float]) -> None:
    parts = shares(total, areas)
    assert sum(parts) == total
    for part, area in zip(parts, areas, strict=True):
        assert abs(float(part) - float(total) * area / sum(areas)) < 0.0100001


def test_two_prices_that_nothing_joins_are_refused() -> None:
    with pytest.raises(BadValue, match="side by side"):
        prices_in("$4,000 or $5,000")


# --- made up and read back ----------------------------------------------------------------------------------------

SUPPLIERS = ["Umber Precast", "Vale Prestress", "Willow Steel Co.", "Yew & Sons", "Quince Beam, Inc."]
SCOPES = {
    "furnish": ("furnish",), "furnish and deliver": ("furnish", "deliver"), "F,D&S": ("furnish", "deliver", "set"),
    "furnish, deliver, set, bearing pads": ("furnish", "deliver", "set", "bearings"),
}  # fmt: skip
TYPES = ["adjacent box beam", "rolled steel beam", "steel tub girder", "timber"]
HEADS = {
    "job": ["Job", "Location", "Crossing"], "supplier": ["Supplier", "Vendor", "Fabricator", "Quoted by"],
    "system": ["System", "Beam type", "Type of beam"], "size": ["Size", "Dimensions", "Length x width"],
    "price": ["Quotation", "Price ($)", "Lump sum", "Amount quoted"], "scope": ["Scope", "Covers", "What it includes"],
    "estimate": ["Engineer's Estimate", "Estimate", "County estimate"],
}  # fmt: skip


@st.composite
def jobs(draw):
    """[(title, length, width, estimate, [(supplier, system, scope, price or prices or None)])]."""
    made = []
    for number in range(draw(st.integers(1, 3))):
        names = draw(st.lists(st.sampled_from(SUPPLIERS), min_size=1, max_size=4, unique=True))
        price = st.decimals("1000", "400000", places=2)
        quotes = [
            (name, draw(st.sampled_from(TYPES)), draw(st.sampled_from(list(SCOPES))),
             draw(st.one_of(st.none(), price, st.tuples(price, price))))
            for name in names
        ]  # fmt: skip
        title = f"Larch Road {number} over Tansy Ditch"
        made.append((title, draw(st.integers(12, 150)), draw(st.integers(12, 60)), draw(price), quotes))
    return made


def wanted(made, area_of_pairs=True):
    found = set()
    for title, length, width, _, quotes in made:
        for name, system, scope, price in quotes:
            pair = isinstance(price, tuple)
            for part in (price if pair else (price,)) if price is not None else ():
                size = (None, None) if pair else (length, width)
                found.add((title, name, system, SCOPES[scope], part, *size))
    return found


def got(batch):
    return {
        (one.proposal_id.split(" / ")[1], one.supplier, one.superstructure, one.scope, one.price_usd, one.length_ft,
         one.width_ft)
        for one in proposals_of(batch)
    }  # fmt: skip


def money(value, style):
    return {"plain": f"{value}", "marked": f"${value:,}", "spaced": f"$ {value:,}"}[style]


def priced(price, style):
    if price is None:
        return "no bid"
    if isinstance(price, tuple):
        return f"${price[0]:,} + ${price[1]:,} = ${sum(price):,}"
    return money(price, style)


SETTINGS = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@SETTINGS
@given(jobs(), st.data())
def test_a_made_up_table_comes_back(made, data):
    names = {field: data.draw(st.sampled_from(heads)) for field, heads in HEADS.items()}
    order = data.draw(st.permutations(list(HEADS)))
    style = data.draw(st.sampled_from(["plain", "marked", "spaced"]))
    blanks = data.draw(st.booleans())
    as_book = data.draw(st.booleans())
    rows = [[names[field] for field in order]]
    for title, length, width, estimate, quotes in made:
        for name, system, scope, price in quotes:
            cell = {"job": title, "supplier": name, "system": system, "size": f"{length} ft x {width} ft",
                    "price": priced(price, style), "scope": scope, "estimate": f"${estimate:,}"}  # fmt: skip
            rows.append([cell[field] for field in order])
        rows += [[""] * len(order)] if blanks else []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / ("q.xlsx" if as_book else "q.csv")
        if as_book:
            with xlsxwriter.Workbook(str(path)) as book:
                sheet = book.add_worksheet()
                for at, row in enumerate(rows):
                    sheet.write_row(at, 0, row)
        else:
            with path.open("w", newline="", encoding="utf-8") as stream:
                csv.writer(stream).writerows(rows)
        check_read_back(path, made)


@SETTINGS
@given(jobs(), st.integers(2, 9), st.booleans())
def test_made_up_lines_come_back(made, gap, remark):
    between = " " * gap
    lines = []
    for title, length, width, estimate, quotes in made:
        lines.append(f"{title}, {length} ft x {width} ft{between}estimate ${estimate:,}")
        for name, system, scope, price in quotes:
            lines.append(f"  {name}{between}{priced(price, 'marked')}{between}{scope}{between}{system}")
        lines += ["", "prices hold for 30 days"] if remark else []
    with tempfile.TemporaryDirectory() as folder:
        (path := Path(folder) / "q.txt").write_text("\n".join(lines), encoding="utf-8")
        check_read_back(path, made)


def check_read_back(path, made):
    if not wanted(made):
        with pytest.raises((BadValue, UnreadableFile)):
            read_file(path)
        return
    batch = read(path)
    assert got(batch) == wanted(made)
    no_bids = sum(price is None for *_, quotes in made for *_, price in quotes)
    assert batch.set_aside["reason"].str.endswith("made no bid").sum() == no_bids


PIECES = st.sampled_from(
    ["Umber Precast", "$51,660", "$4,00", "$47.31/sf", "+", "=", "no bid", "42 ft x 26 ft", "estimate $58,000",
     "own crew", "furnish", "deck area = 1,092 sf", "  ", ": ", ",", "two bridges", "Total", "12", "3/4/2031",
     "13/45/2031", "(", "- "]
)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.lists(PIECES, max_size=8).map(" ".join), min_size=1, max_size=8), st.sampled_from([".txt", ".csv"]))
def test_no_lines_of_words_and_prices_end_in_anything_but_rows_or_a_refusal(lines, ending):
    with tempfile.TemporaryDirectory() as folder:
        (path := Path(folder) / f"q{ending}").write_text("Quotations to furnish\n" + "\n".join(lines), encoding="utf-8")
        try:
            batch = read_file(path)
        except BidlensError:
            return
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    assert not set(batch.set_aside["source_row"]) & set(batch.tables["proposal"]["source_row"])
