"""The commands as a user types them: answers on stdout, talk on stderr, exit status, and no traceback ever."""

import json
import subprocess
import sys

import duckdb
import pandas as pd
import pytest

from bidlens import cli, workflow

HARRIER = str(workflow.lead_sample_proposal())

LETTING = """Contract,Line,Item Code,Description,Quantity,Unit,Bidder,Rank,Unit Price,Extension
T-1,10,B-600,Rolled steel beams furnished and set,100,LF,Engineer's Estimate,0,210.00,21000.00
T-1,10,B-600,Rolled steel beams furnished and set,100,LF,Kestrel Bridge Co.,1,200.00,20000.00
T-1,10,B-600,Rolled steel beams furnished and set,100,LF,Alder & Daughters,2,220.00,22000.00
T-1,20,B-610,Superstructure concrete,40,CY,Engineer's Estimate,0,900.00,36000.00
T-1,20,B-610,Superstructure concrete,40,CY,Kestrel Bridge Co.,1,880.00,35200.00
T-1,20,B-610,Superstructure concrete,40,CY,Alder & Daughters,2,910.00,36400.00
"""


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BIDLENS_DB", str(tmp_path / "county.duckdb"))

    def call(*arguments, expect=0):
        status = cli.main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        assert status == expect, err
        assert "Traceback" not in out + err
        return out, err

    return call


def contents(path):
    """Every stored row, to see that a failed import left the record as it was."""
    with duckdb.connect(str(path), read_only=True) as con:
        tables = [name for (name,) in con.execute("SELECT table_name FROM duckdb_tables()").fetchall()]
        return {name: sorted(map(str, con.execute(f"SELECT * FROM {name}").fetchall())) for name in tables}  # noqa: S608


# -- answers ----------------------------------------------------------------------------------------------------------


def test_a_check_answers_first_and_in_the_public_form(run, sample_record):
    text, _ = run("check", HARRIER, "--db", sample_record)
    assert text.splitlines()[2].startswith("Usual. Like for like, Harrier Steel Works’ offer is $")
    document = json.loads(run("check", HARRIER, "--db", sample_record, "--format", "json")[0])
    assert document["schema"] == "bidlens/check/1"
    answer = document["proposals"][0]
    assert set(answer) >= {
        "quoted_usd", "deck_area_sf", "basis", "dollars_of", "quoted_per_sf", "like_for_like_per_sf", "adjustments",
        "expected", "percentile", "difference_ratio", "history", "comparables", "findings", "verdict",
    }  # fmt: skip
    assert set(answer["expected"]) == {"p05", "p10", "p25", "p50", "p75", "p90", "p95", "mean"}
    assert set(answer["history"]) >= {"contracts", "same_type", "first", "last"}
    assert all({"what", "per_sf", "source", "n"} <= set(step) for step in answer["adjustments"])
    assert answer["verdict"]["code"] == "usual"
    assert answer["difference_ratio"] == pytest.approx(answer["like_for_like_per_sf"] / answer["expected"]["p50"] - 1)
    total = answer["quoted_per_sf"] + sum(step["per_sf"] for step in answer["adjustments"])
    assert answer["like_for_like_per_sf"] == pytest.approx(total)


def test_a_declined_number_is_null_with_a_finding_that_says_why(run, sample_record):
    tub = workflow.sample_folder() / "proposals" / "wollastonite_k117.toml"
    answer = json.loads(run("check", tub, "--db", sample_record, "--format", "json")[0])["proposals"][0]
    assert answer["verdict"]["code"] == "not_enough_history"
    assert answer["percentile"] is None
    assert any("no history for this type" in finding["text"] for finding in answer["findings"])


def test_history_is_a_row_a_structure_with_each_adjustment_a_column(run, sample_record, tmp_path):
    document = json.loads(run("history", "--db", sample_record, "--format", "json")[0])
    columns = {
        "contract_id", "structure_id", "letting_date", "superstructure", "deck_area_sf", "span_ft", "skew_deg",
        "bidders", "unit_cost", "index_ratio", "unit_cost_adjusted", "unit_cost_at_reference_span", "basis",
        "source_file", "source_row",
    }  # fmt: skip
    assert columns <= set(document["history"][0])
    assert document["dollars_of"] == "2026Q1"
    for ending in ("csv", "xlsx", "parquet"):
        run("history", "--db", sample_record, "--out", tmp_path / f"h.{ending}")
    written = pd.read_parquet(tmp_path / "h.parquet")
    assert len(written) == len(document["history"])
    sheet = pd.read_excel(tmp_path / "h.xlsx", sheet_name="unit costs", engine="openpyxl")
    assert sheet["unit_cost"].sum() == pytest.approx(written["unit_cost"].sum())


def test_prices_restate_in_the_dollars_asked_for(run, sample_record):
    now, then = (
        pd.DataFrame(json.loads(run("history", "--db", sample_record, "--format", "json", *more)[0])["history"])
        for more in ((), ("--dollars-of", "2020 Q1"))
    )
    factor = now["unit_cost_adjusted"] / then["unit_cost_adjusted"]
    assert factor.std() < 1e-9
    assert factor.iloc[0] > 1.3


def test_import_says_so_when_the_same_bytes_come_again_and_undo_takes_them_back(run, tmp_path):
    (tmp_path / "letting_2025-04-09.csv").write_text(LETTING, encoding="utf-8")
    first = json.loads(run("import", "letting_2025-04-09.csv", "--format", "json")[0])["files"][0]
    assert {
        "name",
        "kind",
        "layout",
        "rows_read",
        "rows_kept",
        "rows_set_aside",
        "contracts",
        "status",
        "findings",
    } <= set(first)
    assert (first["status"], first["contracts"], first["rows_read"]) == ("imported", 1, 7)
    again = json.loads(run("import", "letting_2025-04-09.csv", "--format", "json")[0])["files"][0]
    assert again["status"] == "already imported"
    assert len(json.loads(run("imports", "--format", "json")[0])["imports"]) == 1
    run("undo", first["batch"])
    assert json.loads(run("imports", "--format", "json")[0])["imports"] == []
    assert set(map(len, contents(tmp_path / "county.duckdb").values())) == {
        0,
        1,
    }  # the schema version is all that is left


def test_a_dry_run_stores_nothing(run, tmp_path):
    (tmp_path / "letting_2025-04-09.csv").write_text(LETTING, encoding="utf-8")
    out, _ = run("import", "letting_2025-04-09.csv", "--dry-run")
    assert "would import" in out
    assert not (tmp_path / "county.duckdb").exists()


def test_export_writes_every_table(run, sample_record, tmp_path):
    files = json.loads(run("export", tmp_path / "out", "--db", sample_record, "--format", "json")[0])["files"]
    assert len(files) >= 15
    price = pd.read_parquet(tmp_path / "out" / "bid_price.parquet")
    assert {"unit_price", "extension", "work_category", "source_file", "source_sheet", "source_row"} <= set(price)


def test_the_look_back_gives_its_four_numbers(run, sample_record):
    answer = json.loads(run("backtest", "--db", sample_record, "--format", "json")[0])
    assert answer["n"] == len(answer["lettings"])
    assert 0 < answer["median_abs_error"] < answer["type_mean_median_abs_error"]
    assert 0.75 <= answer["coverage_90"] <= 1


def test_a_report_is_one_page_that_fetches_nothing_and_a_workbook_holds_the_working(run, sample_record, tmp_path):
    run("check", HARRIER, "--db", sample_record, "--report", tmp_path / "memo.html")
    page = (tmp_path / "memo.html").read_text(encoding="utf-8")
    assert "Like for like" in page
    assert "<script" not in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")
    run("check", HARRIER, "--db", sample_record, "--report", tmp_path / "working.xlsx")
    sheets = pd.read_excel(tmp_path / "working.xlsx", sheet_name=None, engine="openpyxl")
    assert set(sheets) >= {"answers", "steps", "closest contracts", "findings"}


# -- bad input: what, where, what was seen, what to do; exit 1; the record as it was ---------------------------------


def bad_letting(old, new):
    assert old in LETTING
    return LETTING.replace(old, new, 1)


BAD_FILES = {
    "empty file": ("letting_2025-04-09.csv", "", "empty"),
    "wrong extension": ("letting_2025-04-09.docx", LETTING, ".docx"),
    "text for a price": ("letting_2025-04-09.csv", bad_letting("200.00,20000.00", "1.2.50,20000.00"), "“1.2.50”"),
    "negative quantity": ("letting_2025-04-09.csv", LETTING.replace(",100,LF", ",-100,LF"), "-100"),
    "impossible date": ("letting_2025-13-45.csv", LETTING, "2025-13-45"),
    "no date anywhere": ("letting.csv", LETTING, "date"),
    "not a table": ("letting_2025-04-09.csv", "hello\nworld\n", "heading"),
    "not a workbook": ("letting_2025-04-09.xlsx", LETTING, "letting_2025-04-09.xlsx"),
}


@pytest.mark.parametrize("trouble", sorted(BAD_FILES))
def test_a_file_that_cannot_be_read_is_refused_in_plain_words(run, own_record, tmp_path, trouble):
    name, text, said = BAD_FILES[trouble]
    (tmp_path / name).write_text(text, encoding="utf-8")
    before = contents(own_record)
    out, _ = run("import", name, "--db", own_record, expect=1)
    assert "Not imported." in out
    assert name in out.replace("\n", " ")
    assert said.lower() in out.lower()
    assert contents(own_record) == before


def test_an_unknown_unit_is_a_finding_and_the_rows_come_in(run, tmp_path):
    (tmp_path / "letting_2025-04-09.csv").write_text(LETTING.replace(",LF,", ",FURLONG,"), encoding="utf-8")
    answer = json.loads(run("import", "letting_2025-04-09.csv", "--format", "json")[0])["files"][0]
    assert answer["status"] == "imported"
    assert any(finding["code"] == "unknown_unit" and "FURLONG" in finding["text"] for finding in answer["findings"])


def offer(**changes):
    lines = {
        "supplier": '"Dunlin Girder Works"',
        "superstructure": '"rolled steel beam"',
        "length": '"62 ft"',
        "width": '"28\'-0\\""',
        "spans": "1",
        "price_usd": "190000",
        "scope": '["furnish", "deliver", "set", "bearings"]',
        "delivery": "2026-05-01",
    } | changes
    return "\n".join(f"{key} = {value}" for key, value in lines.items() if value is not None)


BAD_OFFERS = {
    "missing width": (offer(width=None), "width"),
    "unknown structure": (offer(structure='"K-9999"'), "K-9999"),
    "zero price": (offer(price_usd="0"), "0"),
    "no price": (offer(price_usd=None), "price"),
    "unreadable length": (offer(length='"62-0-0"'), "62-0-0"),
    "unknown key": (offer(widht='"28 ft"'), "widht"),
    "unknown scope": (offer(scope='["paint the town"]'), "paint the town"),
    "not TOML": ("supplier = ", "offer.toml"),
}


@pytest.mark.parametrize("trouble", sorted(BAD_OFFERS))
def test_an_offer_that_cannot_be_checked_says_what_is_wrong(run, sample_record, tmp_path, trouble):
    text, said = BAD_OFFERS[trouble]
    (tmp_path / "offer.toml").write_text(text, encoding="utf-8")
    _, err = run("check", "offer.toml", "--db", sample_record, expect=1)
    assert "Stopped." in err
    assert said in err


@pytest.mark.parametrize("quarter", ["2031Q1", "1999Q4"])
def test_a_quarter_outside_the_index_says_how_far_the_index_goes(run, sample_record, quarter):
    _, err = run("history", "--db", sample_record, "--dollars-of", quarter, expect=1)
    assert "2003 Q1" in err
    assert "2026 Q1" in err


def test_an_unreadable_quarter_and_an_unknown_type_are_told(run, sample_record):
    assert "2026Q1" in run("history", "--db", sample_record, "--dollars-of", "soon", expect=1)[1]
    assert "rolled steel beam" in run("history", "--db", sample_record, "--type", "rope bridge", expect=1)[1]


def test_a_record_that_is_not_there_says_how_to_begin(run):
    _, err = run("history", expect=1)
    assert "Import a bid tab first" in err


def test_a_file_that_is_no_record_is_left_alone(run, tmp_path):
    (tmp_path / "county.duckdb").write_text("not a database", encoding="utf-8")
    run("imports", expect=1)
    assert (tmp_path / "county.duckdb").read_text(encoding="utf-8") == "not a database"


def test_a_record_from_a_newer_version_is_refused(run, own_record):
    with duckdb.connect(str(own_record)) as con:
        con.execute("UPDATE setting SET value = '99' WHERE name = 'schema_version'")
    _, err = run("history", "--db", own_record, expect=1)
    assert "newer" in err


def test_a_record_in_use_names_the_process_that_holds_it(run, own_record, monkeypatch):
    monkeypatch.setattr("bidlens.store.connection.SECONDS_TO_WAIT", 0.3)
    code = f"import duckdb, time; con = duckdb.connect({str(own_record)!r}); print('held', flush=True); time.sleep(60)"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as holder:
        try:
            assert holder.stdout.readline() == "held\n"
            _, err = run("imports", "--db", own_record, expect=1)
        finally:
            holder.kill()
    assert str(holder.pid) in err


def test_wrong_usage_is_two(capsys):
    with pytest.raises(SystemExit) as left:
        cli.main(["check"])
    assert left.value.code == 2
    assert "PROPOSAL" in capsys.readouterr().err


def test_hostile_text_stays_text(run, tmp_path):
    nasty = "=cmd|'/c calc'!A1 <script>alert(1)</script> ![x](http://example.invalid/x.png) \x1b[31m"
    quoted = nasty.replace('"', '""')
    (tmp_path / "letting_2025-04-09.csv").write_text(
        LETTING.replace("Kestrel Bridge Co.", f'"{quoted}"'), encoding="utf-8"
    )
    out, _ = run("import", "letting_2025-04-09.csv")
    assert "\x1b" not in out
    run("export", tmp_path / "out", "--csv")
    assert "\n=cmd" not in (tmp_path / "out" / "bid.csv").read_text(encoding="utf-8").replace(",", "\n")
