"""Supplier proposals from TOML, tables and forms. All firms and bridges are invented.

The layout of the TOML file is this project's own; there is nothing outside to hold it against but the words of the
trade: common practice, no source.
"""

import datetime as dt
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest
import xlsxwriter

from bidlens.batch import Batch
from bidlens.errors import BadValue, Place, UnreadableFile
from bidlens.ingest import proposals
from bidlens.ingest.grid import read_grids
from bidlens.ingest.proposals import parse_proposal, proposals_of, scope_of
from bidlens.tables import BY_NAME

LETTER = """
supplier = "Harrier Steel Works"            # invented
date = 2026-02-10
structure = "K-117"
superstructure = "galvanized rolled beams"
length = "62 ft"
width = "28'-0\\""
spans = 1
skew_deg = 0
price_usd = 158_000
scope = ["furnish", "deliver", "set", "bearings"]
delivery = 2026-09-01
service_life_years = 75
"""
FIELDS: dict[str, object] = {
    "supplier": "Harrier Steel Works",
    "superstructure": "rolled steel beam",
    "price_usd": 158_000,
    "scope": ["furnish"],
}


def read_toml(folder: Path, text: str) -> Batch:
    file = folder / "letter.toml"
    file.write_text(text, encoding="utf-8")
    return proposals.read_toml(file, "0" * 64)


def read_csv(folder: Path, text: str) -> Batch:
    file = folder / "offers.csv"
    file.write_text(text, encoding="utf-8")
    grids = read_grids(file)
    assert proposals.looks_like(grids)
    return proposals.read(grids, "0" * 64)


def test_a_letter_in_toml_is_read_as_written(tmp_path: Path) -> None:
    batch = read_toml(tmp_path, LETTER)
    assert (batch.kind, batch.contracts, batch.findings) == ("proposals", 1, [])
    (offer,) = proposals_of(batch)
    assert offer.proposal_id == "Harrier Steel Works / K-117 / 2026-02-10"
    assert (offer.supplier, offer.structure, offer.superstructure) == (
        "Harrier Steel Works",
        "K-117",
        "rolled steel beam",
    )
    assert (offer.date, offer.delivery) == (dt.date(2026, 2, 10), dt.date(2026, 9, 1))
    assert (offer.length_ft, offer.width_ft, offer.spans, offer.skew_deg) == (62, 28, 1, 0)
    assert (offer.price_usd, offer.price_per_sf) == (Decimal("158000.00"), None)
    assert offer.scope == ("furnish", "deliver", "set", "bearings")
    assert offer.service_life_years == 75
    assert offer.place == Place("letter.toml")


def test_several_proposals_in_one_toml_file_are_read(tmp_path: Path) -> None:
    entry = (
        '[[proposal]]\nsupplier = "{}"\nsuperstructure = "timber"\nprice_per_sf = 90.5\nscope = "furnish; deliver"\n'
    )
    batch = read_toml(tmp_path, entry.format("Alder Beam") + entry.format("Wren Timber"))
    assert [offer.supplier for offer in proposals_of(batch)] == ["Alder Beam", "Wren Timber"]
    assert [offer.price_per_sf for offer in proposals_of(batch)] == [Decimal("90.50000")] * 2


def test_what_is_stored_gives_the_same_proposals_back(tmp_path: Path) -> None:
    batch = read_toml(tmp_path, LETTER + 'span = "58.5 ft"\nprice_per_sf = "$91.01"\n')
    (offer,) = proposals_of(batch)
    stored = {name: BY_NAME[name].conform(frame.assign(batch_id=4)).to_pandas() for name, frame in batch.tables.items()}
    stored["proposal"] = stored["proposal"].astype({"price_usd": "float64", "price_per_sf": "float64"})
    stored["proposal"]["proposal_date"] = pd.to_datetime(stored["proposal"]["proposal_date"])
    (again,) = proposals_of(stored["proposal"], stored["proposal_scope"])
    assert again == offer
    assert again.span_ft == 58.5


def test_each_import_keeps_its_own_scope(tmp_path: Path) -> None:
    first = read_toml(tmp_path, LETTER)
    second = read_toml(tmp_path, LETTER.replace('"bearings"', '"deck"'))
    rows = pd.concat([batch.tables["proposal"].assign(batch_id=n) for n, batch in enumerate((first, second))])
    scope = pd.concat([batch.tables["proposal_scope"].assign(batch_id=n) for n, batch in enumerate((first, second))])
    assert [offer.scope[-1] for offer in proposals_of(rows, scope)] == ["bearings", "deck"]


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ('"62 ft"', '"28-0-0"', ["letter.toml, key “length”", "28-0-0", "26'-8\""]),
        ('"62 ft"', "-62", ["key “length”", "-62", "above zero"]),
        ("spans = 1", "spans = 0", ["key “spans”", "“0”", "whole number"]),
        ("spans = 1", "spans = 1.5", ["key “spans”", "1.5"]),
        ("skew_deg = 0", "skew_deg = 95", ["key “skew_deg”", "95", "0 to 90"]),
        ("158_000", '"1.2.50"', ["key “price_usd”", "1.2.50", "$158,000.00"]),
        ("158_000", "0", ["key “price_usd”", "“0”", "above zero"]),
        ("158_000", "true", ["key “price_usd”", "True"]),
        ("date = 2026-02-10", 'date = "soon"', ["key “date”", "soon", "2031-04-08"]),
        ("date = 2026-02-10", "date = [1]", ["key “date”", "[1]"]),
        ("= 75", '= "long"', ["key “service_life_years”", "long", "75"]),
        ('"bearings"]', '"bearngs"]', ["key “scope”", "bearngs", "Did you mean bearings?", "wearing_surface"]),
        ('"bearings"]', "7]", ["key “scope”", "7"]),
        ('["furnish", "deliver", "set", "bearings"]', "[]", ["states no scope", "furnish, deliver, set"]),
        ("spans = 1", "spanns = 1", ["spanns", "Did you mean spans?", "Names used"]),
        ("supplier =", "suplier =", ["suplier", "Did you mean supplier?"]),
        ("spans = 1", "length_ft = 62", ["length and length_ft are both given"]),
        ('superstructure = "galvanized rolled beams"', "", ["gives no superstructure", "adjacent box beam"]),
        ('supplier = "Harrier Steel Works"', "", ["gives no supplier"]),
        ("price_usd = 158_000", "", ["states no price", "price_per_sf"]),
        ('structure = "K-117"', "structure = [1, 2]", ["key “structure”", "[1, 2]"]),
    ],
)
def test_a_value_that_cannot_be_used_names_file_key_what_was_seen_and_what_to_do(
    tmp_path: Path, before: str, after: str, told: list[str]
) -> None:
    assert before in LETTER
    with pytest.raises(BadValue) as refused:
        read_toml(tmp_path, LETTER.replace(before, after))
    assert "letter.toml" in str(refused.value)
    for words in told:
        assert words in str(refused.value)


def test_text_that_is_not_toml_names_the_line_and_how_to_write_it(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="line 3") as refused:
        read_toml(tmp_path, 'supplier = "A"\nspans = 1\nlength = 62 ft\n')
    assert "quotation marks" in str(refused.value)
    with pytest.raises(UnreadableFile, match="no values"):
        read_toml(tmp_path, "# nothing yet\n")


def test_a_file_that_is_not_utf8_or_is_missing_says_so(tmp_path: Path) -> None:
    (tmp_path / "old.toml").write_bytes(b'supplier = "M\xf6we"\n')
    with pytest.raises(UnreadableFile, match="UTF-8"):
        proposals.read_toml(tmp_path / "old.toml", "")
    with pytest.raises(UnreadableFile, match="cannot be opened"):
        proposals.read_toml(tmp_path / "none.toml", "")


def test_a_table_with_one_proposal_a_row_is_read(tmp_path: Path) -> None:
    batch = read_csv(
        tmp_path,
        "Supplier,Date,Bridge,Type,Length (m),Width (out to out),Spans,Skew,Price per SF,Lump sum price,Scope,Delivery,"
        "Mood\n"
        'Harrier Steel Works,2/10/2026,K-117,rolled beams,18.9,28\'-0",1,0,,"$158,000.00",furnish; deliver + set,'
        "9/1/2026,x\n"
        'Alder Beam,,K-117,timber,18.9,28 ft,1,0,$95.50/sf,,"beams, freight, erection, bridge rail",,\n',
    )
    steel, timber = proposals_of(batch)
    assert steel.length_ft == pytest.approx(18.9 / 0.3048)
    assert (steel.price_usd, steel.date) == (Decimal("158000.00"), dt.date(2026, 2, 10))
    assert steel.scope == ("furnish", "deliver", "set")
    assert (timber.price_per_sf, timber.scope) == (Decimal("95.50000"), ("furnish", "deliver", "set", "railing"))
    assert timber.place == Place("offers.csv", None, 3)
    assert [(one.code, one.severity) for one in batch.findings] == [("columns_ignored", "note")]
    assert (batch.rows_read, batch.rows_kept, batch.contracts) == (3, 3, 2)


def test_a_row_that_cannot_be_used_is_set_aside_and_the_others_come_in(tmp_path: Path) -> None:
    text = "supplier,type,price_usd,scope\nAlder Beam,timber,none yet,furnish\n"
    with pytest.raises(BadValue, match="none yet"):
        read_csv(tmp_path, text)
    batch = read_csv(tmp_path, text + "Wren Timber,timber,9000,furnish\n")
    assert [offer.supplier for offer in proposals_of(batch)] == ["Wren Timber"]
    (aside,) = batch.set_aside.to_dict("records")
    assert (aside["source_row"], "column “price_usd”" in aside["reason"]) == (2, True)


def test_two_rows_that_make_one_proposal_are_an_error_naming_both(tmp_path: Path) -> None:
    row = "Alder Beam,timber,9000,furnish\n"
    with pytest.raises(BadValue, match="row 2 already") as refused:
        read_csv(tmp_path, f"supplier,type,price_usd,scope\n{row}{row}")
    assert "offers.csv, row 3" in str(refused.value)


def test_a_workbook_of_proposals_is_read(tmp_path: Path) -> None:
    path = tmp_path / "offers.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Offers")
        sheet.write_row(
            0, 0, ["supplier", "structure", "superstructure", "length_ft", "width_ft", "price_usd", "scope"]
        )
        sheet.write_row(1, 0, ["Alder Beam", 117, "timber", 62, 28, 158000, "furnish, deliver"])
    (offer,) = proposals_of(proposals.read(read_grids(path), "0" * 64))
    assert (offer.structure, offer.length_ft, offer.price_usd) == ("117", 62, Decimal("158000.00"))
    assert offer.place == Place("offers.xlsx", "Offers", 2)


def test_a_form_gives_values_by_the_same_names_and_blanks_count_as_not_given() -> None:
    offer = parse_proposal({**FIELDS, "structure": "", "length_ft": 62.0, "width_ft": float("nan"), "date": None})
    assert (offer.structure, offer.length_ft, offer.width_ft, offer.date) == (None, 62, None, None)
    with pytest.raises(BadValue, match="“length_ft”: a length"):
        parse_proposal({**FIELDS, "length_ft": 0})


@pytest.mark.parametrize(
    "price", ["$158,000", "158,000.00", "158000 USD", "$ 158 000", 158_000, 158_000.0, Decimal(158_000)]
)
def test_a_price_may_carry_dollar_and_thousands_marks(price: object) -> None:
    assert parse_proposal({**FIELDS, "price_usd": price}).price_usd == Decimal("158000.00")


@pytest.mark.parametrize(
    ("written", "parts"),
    [
        ("furnish and deliver", ("furnish", "deliver")),
        ("fabrication + freight + erection", ("furnish", "deliver", "set")),
        (["Rails", "bearing pads", "wearing surface"], ("bearings", "railing", "wearing_surface")),
        ("F.O.B. jobsite", ("deliver",)),
        ("closure pours; expansion joints; deck slab", ("deck", "closure", "joints")),
        ("beams, beams, furnish", ("furnish",)),
        ("joints & overlay", ("wearing_surface", "joints")),
    ],
)
def test_scope_is_read_in_the_words_of_letters(written: object, parts: tuple[str, ...]) -> None:
    assert scope_of(written) == parts


def test_scope_words_that_could_be_two_parts_are_asked_about() -> None:
    with pytest.raises(BadValue, match="set or bearings"):
        scope_of("set bearings")


def test_an_unknown_type_and_prices_that_differ_are_findings(tmp_path: Path) -> None:
    batch = read_toml(tmp_path, LETTER.replace("galvanized rolled beams", "moon rock") + "price_per_sf = 100\n")
    assert [finding.code for finding in batch.findings] == ["unknown_superstructure", "prices_differ"]
    # 158,000 / (62 x 28) = 91.01 $/sf
    assert "$91.01/sf" in batch.findings[1].text


def test_the_rows_fit_the_stored_tables(tmp_path: Path) -> None:
    batch = read_toml(tmp_path, LETTER)
    for name, frame in batch.tables.items():
        assert BY_NAME[name].conform(frame.assign(batch_id=1)).num_rows == len(frame)


def test_a_structure_list_is_not_taken_for_proposals(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("structure,type,deck area\n1,timber,900\n", encoding="utf-8")
    assert not proposals.looks_like(read_grids(file))


def test_a_bid_tab_that_calls_bidders_vendors_is_not_taken_for_proposals(tmp_path: Path) -> None:
    file = tmp_path / "tab.csv"
    file.write_text("proposal,line,item,quantity,unit,vendor,bid price\nA,1,x,2,EA,Kestrel,3.00\n", encoding="utf-8")
    assert not proposals.looks_like(read_grids(file))
