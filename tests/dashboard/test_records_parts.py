"""Index series, settings, imports and uploads on the Records page."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.pages import STOPPED, html_of, opened

INDEX = b"quarter,value\n" + b"".join(
    f"{year}Q{quarter},{100 + 4 * (year - 2012) + quarter}\n".encode()
    for year in range(2012, 2026)
    for quarter in range(1, 5)
)
HEAD = "Contract,Line,Item Code,Description,Quantity,Unit,Bidder,Unit Price,Extension\n"


def tab(contract: str, price: int) -> bytes:
    rows = "".join(f"{contract},1,S-1,Steel beams,1,LS,{name},{price},{price}\n" for name in ("Harrier", "Ouzel"))
    return f"{HEAD}{rows}".encode()


def test_an_imported_index_is_listed_with_its_release_and_taken_out(
    own_record: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "own index.csv"
    file.write_bytes(INDEX)
    with workflow.open_database(own_record) as db:
        assert db.import_files([file], "cost-index")[0].error is None
        name = f"{db.index_series()['series'].iloc[0]} {db.index_series()['release'].iloc[0]}"
    app = opened(own_record, monkeypatch, "records", part="index")
    assert name in html_of(app)
    assert "own index.csv, import 41" in html_of(app)
    app.selectbox(key="index_shown").set_value(name).run()
    app.selectbox(key="index_out").select_index(0).run()
    assert "56 index quarters" in html_of(app)
    app.button(key="index_out_yes").click().run()
    assert not app.exception
    assert "was taken back" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.index_series().empty


def test_settings_are_shown_with_their_sources_and_the_entry_rule_is_kept(
    own_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(own_record, monkeypatch, "records", part="settings")
    shown = html_of(app)
    for said in ("chapter 8, section 3", "not seen: off until you look it up", "Federal Highway Administration"):
        assert said in shown
    app.selectbox(key="entry_rule").set_value("tenth-of-a-cent").run()
    app.button(key="keep_rule").click().run()
    assert not app.exception
    with workflow.open_database(own_record) as db:
        assert dict(db.settings()[["name", "value"]].to_numpy())["entry_rule"] == "tenth-of-a-cent"


def test_before_an_import_is_taken_back_it_says_what_would_go(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "records", part="imports")
    app.selectbox(key="undo_batch").set_value(2).run()
    shown = html_of(app)
    assert "With import 2, letting_2012-03-14.csv, would go: " in shown
    with workflow.open_database(sample_record) as db:
        contents = dict(db.batch_contents(2).to_numpy())
        assert f"{contents['bid price']} bid prices" in shown
        with db.store.open() as cursor:
            counted = cursor.execute("SELECT count(*) FROM bid_price WHERE batch_id = 2").fetchall()[0][0]
        assert contents["bid price"] == counted
        original = (workflow.sample_folder() / "bid_tabs" / "letting_2012-03-14.csv").read_bytes()
        assert db.original(2).content == original
    assert len(app.get("download_button")) == 1


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("scan.pdf", b"%PDF-1.4 no"),
        ("tab.xlsx", b"PK\x03\x04 no workbook"),
        ("tab.xlsx", b"a,b\n1,2\n"),
        ("tab.xls", b"\xd0\xcf\x11\xe0" + b"\0" * 600),
        ("empty.csv", b""),
        ("blank.csv", b"\n \n,,\n"),
        ("letter.toml", b"supplier = ["),
        ("list.csv", b"\x00\x01\x02,\xff\n"),
        ("~$lock.xlsx", b"x"),
        ("../../etc/passwd.csv", b"a;b\n1;2\n"),
        ("C:\\x\\y.csv", b"\xef\xbb\xbf"),
    ],
)
def test_an_upload_that_cannot_be_read_is_refused_in_words(
    name: str, content: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(tmp_path / "own.duckdb", monkeypatch, "records")
    app.get("file_uploader")[0].set_value([(name, content, "application/octet-stream")]).run()
    assert not app.exception
    assert STOPPED in html_of(app)
    assert app.button(key="import_files").disabled
    assert list(tmp_path.iterdir()) == []


def test_two_files_of_one_name_both_come_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = tmp_path / "own.duckdb"
    app = opened(record, monkeypatch, "records")
    name = "letting_2031-04-08.csv"
    files = [(name, tab("C-1", 100), "text/csv"), (name, tab("C-2", 200), "text/csv")]
    app.get("file_uploader")[0].set_value(files).run()
    app.selectbox(key="look_at").set_value(1).run()
    assert "C-2" in html_of(app)
    app.button(key="import_files").click().run()
    assert not app.exception
    with workflow.open_database(record) as db:
        assert db.imports()["source_file"].tolist() == [name, name]
        assert sorted(db.lettings()["contract_id"]) == ["C-1", "C-2"]


def test_a_file_of_the_wrong_kind_is_refused_in_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(tmp_path / "own.duckdb", monkeypatch, "records")
    app.selectbox(key="kind").set_value("nbi").run()
    app.get("file_uploader")[0].set_value([("letting_2031-04-08.csv", tab("C-1", 100), "text/csv")]).run()
    assert not app.exception
    assert STOPPED in html_of(app)


def test_a_contract_from_a_second_file_takes_the_place_of_the_first_when_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record, first = tmp_path / "own.duckdb", tmp_path / "letting_2031-04-08.csv"
    first.write_bytes(tab("C-1", 100))
    with workflow.open_database(record) as db:
        db.import_files([first])
    app = opened(record, monkeypatch, "records", part="imports")
    app.selectbox(key="again").set_value("replace").run()
    app.get("file_uploader")[0].set_value([("letting_2031-04-08.csv", tab("C-1", 300), "text/csv")]).run()
    app.button(key="import_files").click().run()
    assert not app.exception
    with workflow.open_database(record) as db:
        assert db.lettings()["low_total"].tolist() == [300.0]
    app.selectbox(key="undo_batch").set_value(2).run()
    assert "1 contract that it replaced would come back" in html_of(app)


def test_what_to_do_about_a_finding_names_no_option_of_the_command_line(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = html_of(opened(sample_record, monkeypatch, "records"))
    assert "name the schedules; an import that is in" in shown
    assert " --" not in shown


def test_before_a_file_comes_in_it_says_what_would_become_of_a_contract_on_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record, first = tmp_path / "own.duckdb", tmp_path / "letting_2031-04-08.csv"
    first.write_bytes(tab("C-1", 100))
    with workflow.open_database(record) as db:
        db.import_files([first])
    app = opened(record, monkeypatch, "records", part="imports")
    app.get("file_uploader")[0].set_value([("letting_2031-04-08.csv", tab("C-1", 300), "text/csv")]).run()
    assert "the rows of it in this file were set aside" in html_of(app)
    app.selectbox(key="again").set_value("replace").run()
    assert "these rows take the place of those from" in html_of(app)
    app.selectbox(key="again").set_value("keep-both").run()
    assert "this one is kept beside it as “C-1 (2)”" in html_of(app)
    app.get("file_uploader")[0].set_value([("letting_2031-04-08.csv", tab("C-1", 100), "text/csv")]).run()
    assert "the same file was imported on" in html_of(app)
    assert app.button(key="import_files").disabled
    with workflow.open_database(record) as db:
        assert db.imports()["batch_id"].tolist() == [1]


def test_before_a_file_comes_in_the_bids_are_ranked_by_the_schedules_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = "Contract,Schedule,Line,Item Code,Description,Quantity,Unit,Bidder,Unit Price\n"
    rows = "".join(
        f"C-1,{schedule},{line},S-{line},Work {line},1,LS,{bidder},{price}\n"
        for schedule, line, prices in (("Base", 1, (100, 110)), ("ALT 1", 2, (50, 10)))
        for bidder, price in zip(("Harrier", "Ouzel"), prices, strict=True)
    )
    app = opened(tmp_path / "own.duckdb", monkeypatch, "records", part="imports")
    upload = ("letting_2031-04-08.csv", f"{head}{rows}".encode(), "text/csv")
    app.get("file_uploader")[0].set_value([upload]).run()
    shown = html_of(app)
    assert "kept as alternates" in shown
    assert shown.index("Harrier") < shown.index("Ouzel")
    app.text_input(key="award").set_value("Base + ALT 1").run()
    shown = html_of(app).partition("First bids, as they would be ranked")[2].partition("First rows")[0]
    assert shown.index("Ouzel") < shown.index("Harrier")
    assert ">120<" in shown
    assert not app.exception
