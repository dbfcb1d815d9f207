"""Cost indexes from the layouts publishers use.

Outside checks: published statements about the National Highway Construction Cost Index (`nhcci_check_values.csv`, rows
marked `agrees`; publisher and release stand in each row). Other values are made up to show one thing each.
"""

from pathlib import Path

import pandas as pd
import pytest
import xlsxwriter

from bidlens.batch import Batch
from bidlens.errors import BadValue, MissingReference, UnreadableFile
from bidlens.ingest import cost_index
from bidlens.ingest.cost_index import index_from_file, index_from_frame, index_of_rows
from bidlens.ingest.grid import read_grids
from bidlens.reference import load_shipped_index, load_table
from bidlens.tables import BY_NAME


def write(folder: Path, text: str, name: str = "index.csv") -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def read(file: Path) -> Batch:
    grids = read_grids(file)
    assert cost_index.looks_like(grids)
    return cost_index.read(grids, "0" * 64)


def published_layout(quoted: bool, raw: str = "NHCCI", adjusted: str = "NHCCI-Seasonally-Adjusted") -> str:
    """The shipped table laid out as its publisher does: blank in the quarter, contribution columns after the series."""
    frame = load_table("nhcci").frame
    rows = [["quarter", raw, adjusted, "grp9-pct-change-asphalt", "grp9-pct-change-bridge"]]
    for n, (quarter, value, other) in enumerate(frame.itertuples(index=False)):
        rows.append(
            [f"{quarter[:4]} {quarter[4:]}", repr(value), repr(other), *(["", ""] if n == 0 else ["0.1", "-0.2"])]
        )
    mark = '"' if quoted else ""
    return "\n".join(",".join(f"{mark}{cell}{mark}" for cell in row) for row in rows) + "\n"


@pytest.mark.parametrize("quoted", [True, False])
def test_the_published_nhcci_layout_gives_a_raw_and_an_adjusted_series(tmp_path: Path, quoted: bool) -> None:
    batch = read(write(tmp_path, published_layout(quoted)))
    assert batch.tables["index_series"].to_dict("records") == [
        {"series": "NHCCI", "release": "2026Q1", "seasonally_adjusted": False, "source_file": "index.csv"},
        {"series": "NHCCI SA", "release": "2026Q1", "seasonally_adjusted": True, "source_file": "index.csv"},
    ]
    assert (batch.kind, batch.contracts, batch.rows_read, batch.rows_set_aside) == ("cost-index", 186, 94, 0)
    assert [(one.code, "2 columns" in one.text) for one in batch.findings] == [("columns_ignored", True)]


def test_lower_case_field_names_are_the_same_series(tmp_path: Path) -> None:
    file = write(tmp_path, published_layout(False, "nhcci", "nhcci_seasonally_adjusted"))
    raw, adjusted = index_from_file(file), index_from_file(file, "nhcci sa")
    assert (raw.name, raw.seasonally_adjusted, adjusted.name, adjusted.seasonally_adjusted) == (
        "NHCCI",
        False,
        "NHCCI SA",
        True,
    )
    assert list(raw.values) == list(load_shipped_index("nhcci").values)
    assert list(adjusted.values) == list(load_shipped_index("nhcci-adjusted").values)


def test_an_imported_nhcci_gives_the_levels_and_changes_its_readers_published(tmp_path: Path) -> None:
    # BTS and the Eno Center quoting FHWA; four decimals for levels, 0.005 points of slack for changes, which were taken
    # from rounded levels.
    index = index_from_file(write(tmp_path, published_layout(True)))
    told = load_table("nhcci_check_values").frame
    told = told[told["comparison"] == "agrees"]
    levels, changes = told[told["metric"] == "index level"], told[told["metric"] == "pct change"]
    assert (len(levels), len(changes)) == (12, 11)
    for row in levels.itertuples():
        assert index.at(row.to_quarter) == pytest.approx(float(row.published_value), abs=0.00005)
    for row in changes.itertuples():
        digits = len(str(row.published_value).split(".")[1])
        slack = 0.5 * 10.0**-digits + 0.005
        assert (index.ratio(row.from_quarter, row.to_quarter) - 1) * 100 == pytest.approx(
            float(row.published_value), abs=slack
        )


@pytest.mark.parametrize("heading", ["DATE,WPU1", "observation_date,WPU1", '"Date","WPU1"'])
@pytest.mark.parametrize("missing", [".", "NA", ""])
def test_monthly_series_are_averaged_over_complete_quarters(tmp_path: Path, heading: str, missing: str) -> None:
    rows = [
        f"2023-{month:02d}-01,{value}"
        for month, value in zip(range(1, 9), (10, 20, 30, 40, 50, 60, 70, 80), strict=True)
    ]
    batch = read(write(tmp_path, "\n".join([heading, *rows, f"2023-09-01,{missing}"]) + "\n"))
    assert batch.tables["index_value"].to_dict("records") == [
        {"series": "WPU1", "release": "2023Q2", "quarter": "2023Q1", "value": 20.0},
        {"series": "WPU1", "release": "2023Q2", "quarter": "2023Q2", "value": 50.0},
    ]
    (finding,) = batch.findings
    assert (finding.code, finding.severity) == ("incomplete_quarter", "note")
    assert "2023 Q3 of WPU1 has 2 of 3 months" in finding.text
    assert batch.layout == "monthly index"


def test_a_first_quarter_that_begins_late_is_left_out_too(tmp_path: Path) -> None:
    file = write(tmp_path, "date,value\n2023-02-01,1\n2023-03-01,1\n2023-04-01,2\n2023-05-01,2\n2023-06-01,2\n")
    assert index_from_file(file).quarters == ("2023Q2",)


def test_a_quarterly_series_dated_by_its_first_month_is_not_taken_for_months(tmp_path: Path) -> None:
    index = index_from_file(write(tmp_path, "observation_date,X\n2023-01-01,1.5\n2023-04-01,1.6\n2023-07-01,1.7\n"))
    assert (index.quarters, list(index.values)) == (("2023Q1", "2023Q2", "2023Q3"), [1.5, 1.6, 1.7])


@pytest.mark.parametrize("quarter", ["2023Q{}", "2023 Q{}", "2023-q{}"])
def test_quarter_and_value_go_by_the_name_of_the_file(tmp_path: Path, quarter: str) -> None:
    text = "quarter,value\n" + "".join(f"{quarter.format(n)},{n}\n" for n in (1, 2, 3))
    index = index_from_file(write(tmp_path, text, "county prices.csv"))
    assert (index.name, index.release, index.seasonally_adjusted) == ("county prices", "2023Q3", None)
    assert index.title == "county prices to 2023 Q3"


def test_text_pages_and_old_dates_are_read(tmp_path: Path) -> None:
    page = "Title:  Prices of something\n\nDATE        VALUE\n" + "".join(
        f"1947-{m:02d}-01  21.{m}\n" for m in range(1, 7)
    )
    index = index_from_file(write(tmp_path, page, "page.txt"))
    assert (index.first, index.last) == ("1947Q1", "1947Q2")


def test_a_workbook_with_true_dates_and_two_series_is_read(tmp_path: Path) -> None:
    path = tmp_path / "two.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet, day = book.add_worksheet(), book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.write_row(0, 0, ["Date", "Steel", "Concrete (seasonally adjusted)"])
        for n, month in enumerate(pd.date_range("2024-01-01", periods=6, freq="MS"), start=1):
            sheet.write_datetime(n, 0, month.to_pydatetime(), day)
            sheet.write_row(n, 1, [100.0 + n, 200.0])
    assert index_from_file(path, "steel").at("2024Q1") == 102
    assert index_from_file(path, "Concrete (seasonally adjusted)").seasonally_adjusted is True
    with pytest.raises(BadValue, match=r"holds 2 series\nName one of: Steel, Concrete"):
        index_from_file(path)
    with pytest.raises(BadValue, match="no series “timber”"):
        index_from_file(path, "timber")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("quarter,value\n2023Q1,1\n2023Q3,1\n", ["no value for 2023 Q2", "does not guess"]),
        ("quarter,value\n2023Q1,1\n2023Q2,.\n2023Q3,1\n", ["no value for 2023 Q2"]),
        ("quarter,value\n2023Q1,1\n2023Q1,1\n", ["row 2 and again in row 3"]),
        ("quarter,value\n2023Q1,1\n2023Q2,-1\n", ["row 3", "“-1”", "above zero"]),
        ("quarter,value\n2023Q1,1\n2023Q2,0\n", ["row 3", "“0”"]),
        ("quarter,value\n2023Q1,1\n2023Q2,1.2.3\n", ["row 3, column “value”", "1.2.3"]),
        ("quarter,value\n2023Q1,.\n", ["no complete quarter"]),
        ("date,value\n2023-01-01,1\n2023-02-01,1\n", ["no complete quarter"]),
        ("date,X,X\n2023-01-01,1,1\n", ["two columns are the series X"]),
    ],
)
def test_holes_repeats_and_values_not_above_zero_are_errors(tmp_path: Path, text: str, told: list[str]) -> None:
    with pytest.raises(BadValue) as refused:
        cost_index.read(read_grids(write(tmp_path, text)), "")
    for words in told:
        assert words in str(refused.value)


def test_a_missing_month_in_the_middle_is_named(tmp_path: Path) -> None:
    months = "".join(f"2023-{month:02d}-01,1\n" for month in range(1, 10) if month != 5)
    with pytest.raises(BadValue, match=r"2023 Q2 \(months without a value: 2023-05\)"):
        index_from_file(write(tmp_path, "DATE,X\n" + months))


def test_rows_without_a_period_are_set_aside(tmp_path: Path) -> None:
    batch = read(write(tmp_path, "Our prices\nquarter,value\n2023Q1,1\n2023Q2,1.1\nSource: the county\n"))
    assert list(batch.set_aside["source_row"]) == [1, 5]
    assert (batch.rows_read, batch.rows_kept) == (5, 3)


def test_other_tables_are_not_taken_for_an_index(tmp_path: Path) -> None:
    for n, text in enumerate(
        [
            "date,supplier,price_usd\n2023-01-01,Alder,3\n",
            "structure,type,deck area\n1,timber,900\n",
            "date,value\nsoon,much\n",
        ]
    ):
        assert not cost_index.looks_like(read_grids(write(tmp_path, text, f"{n}.csv")))
    with pytest.raises(UnreadableFile, match="quarter or date"):
        cost_index.read(read_grids(write(tmp_path, "structure,type\n1,timber\n")), "")


def test_the_rows_fit_the_stored_tables_and_give_the_index_back(tmp_path: Path) -> None:
    batch = read(write(tmp_path, published_layout(False)))
    for name, frame in batch.tables.items():
        assert BY_NAME[name].conform(frame.assign(batch_id=1)).num_rows == len(frame)
    series, values = batch.tables["index_series"], batch.tables["index_value"]
    again = index_of_rows("nhcci", series, values)
    assert (again.first, again.last, again.seasonally_adjusted) == ("2003Q1", "2026Q1", False)
    older_series = pd.concat([series.assign(release="2025Q4"), series])
    older_values = pd.concat([values.assign(release="2025Q4", value=1.0), values])
    assert index_of_rows("NHCCI", older_series, older_values).release == "2026Q1"
    assert index_of_rows("NHCCI", older_series, older_values, "2025Q4").at("2026Q1") == 1
    with pytest.raises(MissingReference, match="Imported series: NHCCI, NHCCI SA"):
        index_of_rows("steel", series, values)


def test_a_frame_of_quarters_and_values_is_an_index() -> None:
    index = index_from_frame(pd.DataFrame({"quarter": ["2024 Q2", "2024Q1"], "value": [1.1, 1.0]}), "own")
    assert (index.quarters, list(index.values), index.release) == (("2024Q1", "2024Q2"), [1.0, 1.1], "2024Q2")
    with pytest.raises(BadValue, match="no column value"):
        index_from_frame(pd.DataFrame({"quarter": ["2024Q1"]}))
    with pytest.raises(MissingReference, match="jumps over or repeats"):
        index_from_frame(pd.DataFrame({"quarter": ["2024Q1", "2024Q3"], "value": [1.0, 1.0]}))
    with pytest.raises(MissingReference, match="not positive"):
        index_from_frame(pd.DataFrame({"quarter": ["2024Q1", "2024Q2"], "value": [1.0, float("nan")]}))


@pytest.mark.parametrize(
    ("heading", "parts"),
    [
        ("Quarter", ["1", "2", "3", "4"]),
        ("Qtr", ["Q1", "Q2", "Q3", "Q4"]),
        ("Quarter", ["1st", "2nd", "3rd Quarter", "4th qtr."]),
    ],
)
def test_the_year_and_its_quarter_may_stand_in_two_columns(tmp_path: Path, heading: str, parts: list[str]) -> None:
    rows = [f"2029,{part},{100 + at}" for at, part in enumerate(parts)]
    batch = read(write(tmp_path, "\n".join([f"Year,{heading},Index", *rows, "Source: invented,,"]) + "\n"))
    values = batch.tables["index_value"].set_index("quarter")["value"].to_dict()
    assert values == {"2029Q1": 100, "2029Q2": 101, "2029Q3": 102, "2029Q4": 103}
    assert (batch.rows_read, len(batch.set_aside)) == (6, 1)
    header = cost_index.headings_found(read_grids(tmp_path / "index.csv")[0])
    assert header is not None
    assert dict(header.columns) == {"quarter": (0, 1), "value": (2,)}


NAMES = ["January", "Feb.", "March", "April", "May", "June", "July", "Aug", "Sept.", "October", "Nov", "December"]


@pytest.mark.parametrize("months", [[str(at) for at in range(1, 13)], NAMES])
def test_the_year_and_its_month_may_stand_in_two_columns(tmp_path: Path, months: list[str]) -> None:
    rows = [f"2029,{month},{100 + at}" for at, month in enumerate(months)]
    batch = read(write(tmp_path, "\n".join(["Year,Month,Value", *rows]) + "\n"))
    values = batch.tables["index_value"].set_index("quarter")["value"].to_dict()
    assert values == {"2029Q1": 101, "2029Q2": 104, "2029Q3": 107, "2029Q4": 110}
