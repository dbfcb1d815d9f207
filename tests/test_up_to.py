"""A review looks at nothing let later: its prices are those of a record the later files never came into."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from bidlens import normalizer, up_to, workflow

HEAD = "Contract,Letting date,Line,Description,Quantity,Unit,Bidder,Unit Price,Extension\n"
LIST = "Structure,Contract,Superstructure,Length (ft),Width (out to out),Spans\nK-1,T-1,rolled steel beam,60,30,1\n"


def let(folder: Path, contract: str, day: str, beams_usd: int) -> Path:
    """One bid on one contract: beams and a deck. Invented."""
    rows = [(10, "Rolled steel beams furnished and set", beams_usd), (20, "Superstructure concrete", 30_000)]
    text = "".join(f"{contract},{day},{line},{words},1,LS,Kestrel,{usd},{usd}\n" for line, words, usd in rows)
    path = folder / f"{contract} {day}.csv"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


def bring(db: workflow.Database, *paths: Path) -> None:
    for path in paths:
        [result] = db.import_files([path])
        assert result.error is None, result.error


def priced_in(db: workflow.Database, year: int) -> pd.DataFrame:
    time = up_to.review_time(db, (year, year), None)
    return up_to.priced(db, time, ["superstructure"])["superstructure"].frame


@pytest.mark.parametrize("year", [2013, 2019, 2024])
@pytest.mark.parametrize("basis", ["superstructure", "contract"])
def test_prices_up_to_a_year_are_those_of_the_rows_up_to_it(sample_record: Path, year: int, basis: str) -> None:
    with workflow.open_database(sample_record) as db:
        time = up_to.review_time(db, (year, year), None)
        found = up_to.priced(db, time, [basis])[basis].frame
        items, lettings, structures = db.priced_rows()
    items, lettings = (frame[frame["letting_date"].dt.year <= year] for frame in (items, lettings))
    alone = normalizer.unit_cost_history(items, lettings, structures, time.index, basis, time.dollars_of).frame
    assert len(alone) > 0
    pd.testing.assert_frame_equal(found[alone.columns], alone)


def test_a_contract_let_again_later_is_priced_by_the_letting_of_the_time(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(LIST, encoding="utf-8")
    with workflow.open_database(tmp_path / "record.duckdb") as db:
        bring(db, let(tmp_path, "T-1", "2018-03-13", 150_000), tmp_path / "list.csv")
        early = priced_in(db, 2018)
        bring(db, let(tmp_path, "T-1", "2021-05-11", 240_000))
        same, later = priced_in(db, 2018), priced_in(db, 2021)
    assert early["basis_usd"].tolist() == [180_000]
    pd.testing.assert_frame_equal(same, early)
    assert later["basis_usd"].tolist() == [270_000]


def test_a_review_on_another_basis_is_the_review_made_on_it(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        usual = workflow.review_lettings(db, (2023, 2024))
        for basis in ("beams", "contract"):
            made, turned = workflow.review_lettings(db, (2023, 2024), basis), workflow.review_on(db, usual, basis)
            assert turned.basis == basis
            assert turned.change == made.change
            assert turned.bidders_in_words == made.bidders_in_words
            assert turned.findings == made.findings
            pd.testing.assert_frame_equal(turned.change_by_year, made.change_by_year)
