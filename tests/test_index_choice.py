"""Which cost index prices are restated by: shipped, imported with its release, or none; never two of them mixed."""

import json

import numpy as np
import pandas as pd
import pytest

from bidlens import cli, indexes, reference, workflow
from bidlens.errors import BadValue, MissingReference
from bidlens.indexes import choice_findings, chosen_index, known_names, refuse_mixed

SHIPPED = reference.load_shipped_index()


def record_of(*named):
    """Rows of `index_series` and `index_value` for (series, release, adjusted, factor) of the shipped NHCCI."""
    series = [
        {"series": name, "release": release, "seasonally_adjusted": adjusted, "source_file": "made up.csv"}
        for name, release, adjusted, _ in named
    ]
    values = [
        {"series": name, "release": release, "quarter": quarter, "value": value * factor}
        for name, release, _, factor in named
        for quarter, value in zip(reaching(release), np.resize(SHIPPED.values, len(reaching(release))), strict=True)
    ]
    return (
        pd.DataFrame(series, columns=["series", "release", "seasonally_adjusted", "source_file"]),
        pd.DataFrame(values, columns=["series", "release", "quarter", "value"]),
    )


def reaching(release):
    extra = [quarter for quarter in ("2026Q2", "2026Q3") if quarter <= release]
    return [quarter for quarter in SHIPPED.quarters if quarter <= release] + extra


NOTHING = record_of()
TWO = record_of(("NHCCI", "2026Q2", False, 1.0), ("Steel", "2025Q4", None, 2.0), ("Steel", "2025Q2", None, 3.0))


def test_the_shipped_raw_index_is_the_default_and_has_its_own_names():
    assert chosen_index(None, *NOTHING).title == SHIPPED.title
    assert chosen_index("NHCCI", *NOTHING).title == SHIPPED.title
    assert chosen_index("nhcci 2026 Q1".replace(" Q", "Q"), *NOTHING).title == SHIPPED.title
    assert chosen_index("nhcci-adjusted", *NOTHING).seasonally_adjusted is True


def test_a_newer_release_of_the_same_name_is_chosen_by_its_release_and_never_silently():
    still = chosen_index("nhcci", *TWO)
    assert still.release == SHIPPED.release
    found = choice_findings(still, TWO[0])
    assert [finding.code for finding in found] == ["newer_index_on_record"]
    assert "NHCCI 2026Q2" in found[0].do
    newer = chosen_index("NHCCI 2026Q2", *TWO)
    assert (newer.release, newer.last) == ("2026Q2", "2026Q2")
    assert choice_findings(newer, TWO[0]) == []


def test_an_imported_series_is_its_newest_release_unless_one_is_named():
    assert chosen_index("steel", *TWO).release == "2025Q4"
    assert chosen_index("Steel 2025Q2", *TWO).release == "2025Q2"


@pytest.mark.parametrize("name", ["stone", "Steel 2024Q4", "nhcci 2019Q1", "none 2026Q1"])
def test_a_name_that_is_not_there_lists_those_that_are(name):
    with pytest.raises(MissingReference, match=r"Steel 2025Q4.*none"):
        chosen_index(name, *TWO)
    assert known_names(TWO[0]) == ["nhcci", "nhcci-adjusted", "NHCCI 2026Q2", "Steel 2025Q2", "Steel 2025Q4", "none"]


def test_raw_and_adjusted_and_two_releases_are_not_mixed():
    refuse_mixed(SHIPPED, indexes.reaching(SHIPPED, ["2027Q1"]))
    for other in (chosen_index("nhcci-adjusted", *TWO), chosen_index("NHCCI 2026Q2", *TWO), reference.no_index()):
        with pytest.raises(BadValue, match="cannot be mixed"):
            refuse_mixed(SHIPPED, other)


def test_prices_before_a_series_begins_are_declined():
    short = (TWO[0], TWO[1][TWO[1]["quarter"] >= "2020Q1"])
    assert chosen_index("Steel", *short).first == "2020Q1"
    with pytest.raises(MissingReference, match="no value for"):
        chosen_index("Steel", *short).at("2019Q4")


# -- through the record and the command line -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def db(sample_record):
    with workflow.open_database(sample_record) as opened:
        yield opened


def test_without_an_index_prices_stay_as_bid_and_it_is_said(db):
    priced = db.price_history(index_name="none")
    frame = priced.frame
    assert frame["unit_cost_adjusted"].equals(frame["unit_cost"])
    assert (frame["index_ratio"] == 1.0).all()
    assert priced.history.findings[0].code == "no_cost_index"
    assert priced.history.index_title == "no cost index, prices as bid"
    assert not any(finding.code == "last_letting_old" for finding in priced.model.findings)
    with pytest.raises(BadValue, match="without a cost index"):
        db.price_history(dollars_of="2020Q1", index_name="none")


def test_a_check_without_an_index_restates_nothing(db):
    check = workflow.check_proposal(db, workflow.lead_sample_proposal(), index_name="none")
    assert not any("dollars" in step.what for step in check.adjustments)
    assert check.index_title == "no cost index, prices as bid"
    assert any(finding.code == "no_cost_index" for finding in check.findings)
    last = check.contributions[-1]
    assert (last.part, last.ratio, last.what) == ("index", 1.0, "no cost index")
    assert check.expected["p50"] == pytest.approx(last.per_sf)


def test_a_history_by_one_index_takes_no_offer_by_another(db):
    priced = db.price_history()
    with pytest.raises(BadValue, match="cannot be mixed"):
        workflow.check_proposal(db, workflow.lead_sample_proposal(), priced=priced, index_name="nhcci-adjusted")


@pytest.mark.parametrize("command", ["history", "backtest", "check"])
def test_commands_say_which_index_and_release_they_used(command, sample_record, capsys):
    more = [str(workflow.lead_sample_proposal())] if command == "check" else []
    asked = [command, *more, "--index", "nhcci-adjusted", "--db", str(sample_record)]
    assert cli.main(asked) == 0
    assert "NHCCI to 2026 Q1, seasonally adjusted" in capsys.readouterr().out
    assert cli.main([*asked, "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    told = document["proposals"][0] if command == "check" else document
    assert told["index"] == "NHCCI to 2026 Q1, seasonally adjusted"


def test_a_wrong_name_on_the_command_line_says_what_there_is(sample_record, capsys):
    assert cli.main(["history", "--index", "cement", "--db", str(sample_record)]) == 1
    assert "nhcci-adjusted" in capsys.readouterr().err


def test_an_imported_release_is_used_when_named(tmp_path, capsys):
    quarters = [*SHIPPED.quarters, "2026Q2"]
    rows = [f"{quarter},{value}" for quarter, value in zip(quarters, [*SHIPPED.values, 3.4], strict=True)]
    file = tmp_path / "newer.csv"
    file.write_text("\n".join(["quarter,NHCCI", *rows]) + "\n", encoding="utf-8")
    with workflow.open_database(tmp_path / "county.duckdb") as db:
        result = db.import_files([file])[0]
        assert result.error is None
        assert db.index().release == "2026Q1"
        assert db.index("nhcci 2026Q2").at("2026Q2") == pytest.approx(3.4)
        assert db.index_findings(db.index())[0].code == "newer_index_on_record"


def test_the_county_s_own_prices_stand_beside_the_index_and_agree_with_the_review(db):
    frame = workflow.county_price_index(db)
    last = int(frame["year"].max())
    reviewed = workflow.review_lettings(db, last).price_index.set_index("year")
    ours = frame.set_index("year")
    both = ours.index.intersection(reviewed.index)
    assert len(both) > 5
    assert ours.loc[both, "fisher"].to_numpy() == pytest.approx(reviewed.loc[both, "index"].to_numpy(), nan_ok=True)
    assert list(ours.loc[both, "n"]) == list(reviewed.loc[both, "matched_items"])
    assert ours.loc[both, "national"].to_numpy() == pytest.approx(
        reviewed.loc[both, "published"].to_numpy(), nan_ok=True
    )
