"""Which column is what, as told: the file comes in as if it had plain headings; wrong mappings are told in words."""

from __future__ import annotations

import csv
import random
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens import ingest
from bidlens.errors import BadValue
from bidlens.ingest.mapping import parse_mapping
from bidlens.ingest.told import letter

FIELDS = ("contract", "line", "item_code", "description", "unit", "quantity", "bidder", "unit_price", "amount")
PLAIN = ("Contract", "Line", "Item Code", "Description", "Unit", "Quantity", "Bidder", "Unit Price", "Amount")
ROWS = [
    ("B-1", 1, "0501", "Steel beams, furnish and set", "LB", 1000, "Heron Bridge Co.", 2.5, 2500),
    ("B-1", 2, "0502", "Concrete, deck", "CY", 40, "Heron Bridge Co.", 900, 36000),
    ("B-1", 1, "0501", "Steel beams, furnish and set", "LB", 1000, "Wren & Sons, Inc.", 2.75, 2750),
    ("B-1", 2, "0502", "Concrete, deck", "CY", 40, "Wren & Sons, Inc.", 850, 34000),
]
TABLES = ("contract", "contract_item", "bid", "bid_price")
NONSENSE = st.lists(
    st.text("bcdfghjkmnpqvwxyz ", min_size=4, max_size=12).map(lambda text: f"z{text.strip()}q"),
    min_size=len(FIELDS),
    max_size=len(FIELDS),
    unique_by=str.casefold,
)


def written(path: Path, headings: tuple[str, ...] | list[str], order: list[int], above: int = 0) -> Path:
    with path.open("w", newline="", encoding="utf-8") as stream:
        out = csv.writer(stream)
        out.writerows([["a line above", *[""] * (len(order) - 1)]] * above)
        out.writerow([headings[place] for place in order])
        out.writerows([[row[place] for place in order] for row in ROWS])
    return path


def same(one: ingest.Batch, other: ingest.Batch, file: str = "source_file") -> None:
    for name in TABLES:
        left, right = (
            batch.tables[name].drop(columns=[file, "source_row"]).astype("str").sort_values(list(_key(batch, name)))
            for batch in (one, other)
        )
        pd.testing.assert_frame_equal(left.reset_index(drop=True), right.reset_index(drop=True), check_like=True)


def _key(batch: ingest.Batch, name: str) -> list[str]:
    return [key for key in ("contract_id", "line", "bidder") if key in batch.tables[name]]


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> ingest.Batch:
    path = written(tmp_path_factory.mktemp("plain") / "letting_2031-04-08.csv", PLAIN, list(range(9)))
    return ingest.read_file(path)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(headings=NONSENSE, seed=st.integers(0, 10_000), above=st.integers(0, 3), by_letter=st.booleans())
def test_columns_shuffled_under_nonsense_headings_come_in_right_through_a_mapping(
    plain: ingest.Batch, tmp_path: Path, headings: list[str], seed: int, above: int, by_letter: bool
) -> None:
    order = random.Random(seed).sample(range(9), 9)
    path = written(tmp_path / "letting_2031-04-08.csv", headings, order, above)
    told = {
        FIELDS[place]: (letter(order.index(place)) if by_letter else headings[place],) for place in range(len(FIELDS))
    }
    mapping = ingest.ColumnMapping("any", told, kind="bid-tab", header_row=above + 1 if by_letter else None)
    again = parse_mapping(mapping.as_toml(), "any.columns.toml")
    assert again == mapping
    batch = ingest.read_file(path, mapping=again)
    same(batch, plain)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    assert [finding.code for finding in batch.findings].count("columns_told") == 1


@settings(max_examples=60, deadline=None)
@given(
    st.builds(
        ingest.ColumnMapping,
        name=st.text(min_size=1).map(str.strip).filter(bool),
        columns=st.dictionaries(
            st.sampled_from(FIELDS), st.lists(st.text(min_size=1).filter(str.strip), min_size=1, max_size=3).map(tuple)
        ),
        kind=st.just("bid-tab"),
        layout=st.sampled_from(["", "long", "wide"]),
        header_row=st.none() | st.integers(1, 500),
        letting_date=st.none() | st.dates(pd.Timestamp("1950-01-01").date(), pd.Timestamp("2090-01-01").date()),
        not_used=st.lists(st.text(min_size=1).filter(str.strip), max_size=3).map(tuple),
    )
)
def test_a_mapping_written_and_read_again_is_the_same(mapping: ingest.ColumnMapping) -> None:
    assert parse_mapping(mapping.as_toml(), "x.columns.toml") == mapping


def test_a_bid_tab_side_by_side_comes_in_through_a_mapping(tmp_path, write_xlsx) -> None:
    head = [
        ["Contract B-77"],
        ["Opened April 8, 2031"],
        ["", "", "", "", "Heron Bridge Co.", "", "Wren & Sons, Inc.", ""],
    ]
    rows = [["Nr", "Thing", "Much", "Of", "Each", "Sum", "Each", "Sum"],
            [1, "Steel beams", 1000, "LB", 2.5, 2500, 2.75, 2750],
            [2, "Deck concrete", 40, "CY", 900, 36000, 850, 34000]]  # fmt: skip
    path = write_xlsx("tab.xlsx", {"Tab": [row + [""] * (8 - len(row)) for row in head] + rows, "Notes": [["no bids"]]})
    mapping = parse_mapping(
        '[columns]\nline = "Nr"\ndescription = "Thing"\nquantity = "Much"\nunit = "Of"\n'
        'unit_price = "Each"\namount = "Sum"',
        "tab.columns.toml",
    )
    batch = ingest.read_file(path, mapping=mapping)
    assert batch.layout == "wide"
    totals = batch.tables["bid"].set_index("bidder")["total_corrected"].astype("float")
    assert totals.to_dict() == {"Heron Bridge Co.": 38_500.0, "Wren & Sons, Inc.": 36_750.0}


@pytest.mark.parametrize(
    ("kind", "columns", "head", "row", "table"),
    [
        ("structures", 'structure_id = "Nm"\nsuperstructure = "Art"\nlength_ft = "L"\nwidth_ft = "W"',
         "Nm,Art,L,W", "K-1,rolled steel beam,60,28", "structure"),
        ("program", 'structure_id = "Nm"\npriority = "Turn"\nsuperstructure = "Art"', "Nm,Turn,Art",
         "K-1,1,rolled steel beam", "program_bridge"),
        ("proposals", 'supplier = "Who"\nsuperstructure = "Art"\nlength = "L"\nwidth = "W"\n'
         'price_usd = "Ask"\nscope = "For"',
         "Who,Art,L,W,Ask,For", "Harrier Steel,rolled steel beam,60,28,158000,furnish; deliver", "proposal"),
        ("cost-index", 'quarter = "When"\nvalue = "Level"', "Level,When", "1.9,2024Q1", "index_value"),
    ],
)  # fmt: skip
def test_every_kind_of_file_can_be_told(kind, columns, head, row, table, tmp_path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(f"{head}\n{row}\n", encoding="utf-8")
    mapping = parse_mapping(f'kind = "{kind}"\n[columns]\n{columns}', "list.columns.toml")
    batch = ingest.read_file(path, mapping=mapping)
    assert batch.kind == kind
    assert len(batch.tables[table]) == 1
    seen = ingest.recognition_of(ingest.open_file(path, mapping=mapping))
    assert seen.sure
    assert [column.field for column in seen.sheets[0].columns if column.field]


@pytest.mark.parametrize(
    ("toml", "said"),
    [
        ('[columns]\nunit_prise = "Prc"', ["unit_prise", "Did you mean unit_price?", "Fields: contract, "]),
        ('[columns]\nunit_price = "Prcc"', ["“Prcc”", "Did you mean “Prc”?", "Headings of row 1: A “Ctr”"]),
        ('kind = "bidtab"', ["“bidtab”", "Did you mean bid-tab?", "structures"]),
        ('layout = "lnog"', ["“lnog”", "Did you mean long?", "wide"]),
        ('heder_row = 3', ["heder_row", "Did you mean header_row?"]),
        ('header_row = 0', ["header_row is “0”", "counted from 1"]),
        ('header_row = 99\n[columns]\nunit_price = "Prc"', ["the file has 3 rows"]),
        ('[columns]\nunit_price = "C"', ["by letter only", "header_row"]),
        ('[columns]\nunit_price = "Prc"\nquantity = "Prc"\nbidder = "Wer"', ["told to be unit_price and quantity"]),
        ('[columns]\nunit_price = "Prc"', ["told to be quantity, bidder", "Columns not used yet: A “Ctr”"]),
        ('[columns]\nunit_price = 3', ["unit_price is “3”"]),
        ('sheet = "Tba"\n[columns]\nunit_price = "Prc"', ["there is no sheet “Tba”"]),
        ('letting_date = "soon"', ["soon"]),
        ("columns = [", ["not valid TOML"]),
    ],
)  # fmt: skip
def test_a_wrong_mapping_is_told_in_words_with_what_there_is(toml: str, said: list[str], tmp_path: Path) -> None:
    path = tmp_path / "odd.csv"
    path.write_text("Ctr,Wrd,Qn,Wer,Prc\nB-1,Steel beams,10,Heron Co,2\nB-1,Deck,4,Heron Co,3\n", encoding="utf-8")
    with pytest.raises(BadValue) as caught:
        ingest.read_file(path, mapping=parse_mapping(toml, "odd.columns.toml"))
    for words in ("odd.columns.toml", *said):
        assert words in str(caught.value)


def test_a_letting_date_told_alone_leaves_the_columns_to_their_headings(tmp_path: Path) -> None:
    path = written(tmp_path / "odd.csv", PLAIN, list(range(9)))
    with pytest.raises(BadValue, match="no letting date"):
        ingest.read_file(path)
    batch = ingest.read_file(path, mapping=parse_mapping("letting_date = 2031-04-08", "odd.columns.toml"))
    assert str(batch.tables["contract"]["letting_date"].iloc[0]) == "2031-04-08"


def test_what_was_recognised_says_where_the_date_is_from_and_how_sure_it_is(tmp_path: Path) -> None:
    sure = ingest.recognition_of(ingest.open_file(written(tmp_path / "tab_2031-04-08.csv", PLAIN, list(range(9)))))
    sheet = sure.sheets[0]
    assert sure.sure
    assert (sheet.header_row, sheet.letting_date, sheet.letting_date_from) == (1, "2031-04-08", "in the file's name")
    assert [column.field for column in sheet.columns] == list(FIELDS)
    assert sheet.first_rows[0]["unit_price"] == "2.5"
    odd = ingest.recognition_of(
        ingest.open_file(written(tmp_path / "x.csv", [f"q{n}z" for n in range(9)], list(range(9))))
    )
    assert not odd.sure
    assert odd.kind == ""
    assert any("quantity" in reason for reason in odd.sheets[0].unsure)
    assert any("no letting date" in reason for reason in odd.sheets[0].unsure)


def test_the_mapping_of_what_was_recognised_reads_the_file_the_same(plain: ingest.Batch, tmp_path: Path) -> None:
    path = written(tmp_path / "letting_2031-04-08.csv", PLAIN, [8, 3, 0, 1, 2, 7, 6, 5, 4])
    sheet = ingest.recognition_of(ingest.open_file(path)).sheets[0]
    same(ingest.read_file(path, mapping=ingest.mapping_of(sheet, "as seen")), plain)
