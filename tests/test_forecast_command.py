"""`bidlens forecast` as a user types it."""

from __future__ import annotations

import json

import pytest

from bidlens import cli, workflow

PROGRAM = str(workflow.sample_folder() / "program_2027.csv")


@pytest.fixture
def run(capsys, tmp_path, monkeypatch, sample_record):
    monkeypatch.chdir(tmp_path)

    def call(*arguments, expect=0):
        status = cli.main(["forecast", *(str(argument) for argument in arguments), "--db", str(sample_record)])
        out, err = capsys.readouterr()
        assert status == expect, err
        assert "Traceback" not in out + err
        return out, err

    return call


def test_a_forecast_answers_in_the_public_form(run):
    out, _ = run(PROGRAM, "--year", 2027, "--budget", 6_400_000, "--runs", 2000, "--format", "json")
    document = json.loads(out)
    assert document["schema"] == "bidlens/forecast/1"
    assert set(document) >= {
        "year", "dollars_of", "structures", "total", "budget", "rotation", "index_growth", "findings",
    }  # fmt: skip
    assert document["year"] == 2027
    assert len(document["structures"]) == 11
    assert all({"p10", "p50", "p80", "p90"} <= set(bridge) for bridge in document["structures"])
    total = document["total"]
    assert total["p10"] < total["p50"] < total["p80"] < total["p90"]
    assert document["budget"]["usd"] == 6_400_000
    assert 0 <= document["budget"]["chance_covers"] <= 1
    assert document["rotation"]["inventory"] == 400
    assert all({"code", "severity", "text"} <= set(finding) for finding in document["findings"])
    again, _ = run(PROGRAM, "--year", 2027, "--budget", 6_400_000, "--runs", 2000, "--format", "json")
    assert again == out
    other, _ = run(PROGRAM, "--year", 2027, "--runs", 2000, "--seed", 2, "--format", "json")
    assert json.loads(other)["total"] != total
    assert json.loads(other)["budget"]["usd"] is None


def test_a_forecast_in_words_with_its_report(run):
    out, err = run(PROGRAM, "--year", 2027, "--contingency", 10, "--runs", 500, "--report", "board.html")
    assert out.startswith("The eleven bridges will most likely cost about $")
    assert "Contingency of 10% added to every contract." in " ".join(out.split())
    assert "Written: board.html" in err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--year", 2027, "--budget", 0), "a budget of 0 dollars"),
        (("--year", 2027, "--budget", -5), "a budget of -5 dollars"),
        (("--year", 2031), "no bridge of the program list is planned for 2031"),
        (("--year", 2027, "--runs", 5), "5 runs of 11 bridges"),
        (("--year", 2027, "--service-life", 100, 75), "a service life of 100 to 75 years"),
        (("--year", 2027, "--report", "board.docx"), "End the file name in .html or .xlsx"),
    ],
)
def test_what_cannot_be_forecast_is_said_and_ends_with_one(run, arguments, told):
    out, err = run(PROGRAM, *arguments, expect=1)
    assert told in " ".join(err.split())
    assert out == ""


def test_several_years_in_the_public_form_and_in_words(run):
    asked = (PROGRAM, "--year", 2027, "--years", 4, "--budget", 1_800_000, "--runs", 1000)
    out, _ = run(*asked, "--format", "json")
    document = json.loads(out)
    assert document["years"] == 4
    schedule = document["schedule"]
    assert [row["year"] for row in schedule["years"]] == [2027, 2028, 2029, 2030]
    assert [row["budget_usd"] for row in schedule["years"]] == [1_800_000] * 4
    assert len(schedule["bridges"]) == 11
    assert set(schedule["cost_of_waiting"]) == {"p10", "p50", "p80", "p90", "mean"}
    assert len(document["structures"]) == 11 - len(schedule["fits_no_year"])
    assert {change["change"] for change in document["changes"]} == {"left out", "a year later", "as another type"}
    assert document["rotation"]["budget_needed"][0]["p10"] < document["rotation"]["budget_needed"][0]["p90"]
    again, _ = run(*asked, "--format", "json")
    assert again == out
    told, err = run(*asked, "--report", "years.html")
    assert told.startswith("From 2027 to 2030 $1.8 million a year lets ")
    assert "Waiting for money moves" in " ".join(told.split())
    assert "Year by year, in dollars of each letting" in told
    assert "Written: years.html" in err


def test_alternatives_another_index_and_mobilization_are_asked_for(run, tmp_path):
    rows = "1,K-117,adjacent box beam | concrete slab,40,28,2027\n2,K-204,timber,,,\n"
    (tmp_path / "list.csv").write_text(f"priority,structure,type,length,width,letting\n{rows}")
    out, _ = run(
        "list.csv", "--year", 2027, "--basis", "bridge", "--mobilization", "--index", "nhcci-adjusted", "--longer", 10,
        "--width-to", 30, "--runs", 500, "--format", "json",
    )  # fmt: skip
    document = json.loads(out)
    assert [row["superstructure"] for row in document["alternatives"]] == ["adjacent box beam", "concrete slab"]
    share, low, high = document["mobilization_share"]
    assert 0 < low < share < high < 0.3
    assert "seasonally adjusted" in document["index"]
    assert any("(+10% length, width to 30 ft): K-204" in finding["text"] for finding in document["findings"])


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--years", 7), "a program of 7 years cannot be forecast"),
        (("--years", 2, "--budget", 1e6, 1e6, 1e6), "3 budgets given for 2 years"),
        (("--budget", 1e6, 1e6), "2 budgets given for 1 year"),
        (("--years", 3, "--budget", 1), "no bridge of the list fits a yearly budget"),
        (("--mobilization",), "mobilization is in the contract basis already"),
        (("--index", "moon"), "there is no cost index “moon”"),
        (("--width-to", 2), "a width of 2.0 ft cannot be used for new bridges"),
        (("--longer", 900), "new bridges 900% longer cannot be used"),
    ],
)
def test_what_of_several_years_and_rules_cannot_be_is_said(run, arguments, told):
    _, err = run(PROGRAM, "--year", 2027, *arguments, expect=1)
    assert told in " ".join(err.split())


@pytest.mark.parametrize(
    ("rows", "year", "told"),
    [
        (
            "1,K-117,timber,40,28,2027\n2,K-117,timber,40,28,2027",
            2027,
            "structure K-117 stands in row 2 and again in row 3",
        ),
        ("1,NEW-1,timber,40,,2027", 2027, "NEW-1 has no planned width, and it is not in the structure list"),
        ("1,K-117,timber,40,28,2034", 2034, "lettings are asked for to 2034"),
        ("1,K-117,timber,40,28,2004", 2004, "before the history begins"),
        ("", 2027, "holds no bridge"),
    ],
)
def test_a_list_that_cannot_be_forecast_is_refused_in_clear_words(run, tmp_path, rows, year, told):
    (tmp_path / "list.csv").write_text(f"priority,structure,type,length,width,letting\n{rows}\n")
    _, err = run("list.csv", "--year", year, expect=1)
    assert told in " ".join(err.split())


def test_an_unknown_type_is_forecast_and_marked(run, tmp_path):
    (tmp_path / "list.csv").write_text("priority,structure,type,length,width,letting\n1,K-117,moon rock,40,28,2027\n")
    out, _ = run("list.csv", "--year", 2027, "--runs", 500)
    assert "K-117 on history too thin to judge" in " ".join(out.split())
    assert "“moon rock” is no standard type" in " ".join(out.split())


def test_a_forecast_is_kept_listed_and_forgotten(own_record, capsys):
    def call(*arguments):
        status = cli.main([*(str(argument) for argument in arguments), "--db", str(own_record)])
        out, err = capsys.readouterr()
        assert status == 0, err
        return " ".join(out.split()), " ".join(err.split())

    assert "No forecast is kept yet" in call("forecasts")[0]
    assert "Kept as forecast 2027-1" in call("forecast", PROGRAM, "--year", 2027, "--runs", 500, "--keep")[1]
    assert "kept already, as 2027-1" in call("forecast", PROGRAM, "--year", 2027, "--runs", 500, "--keep")[1]
    assert "no bridge of it has been let since" in call("forecasts")[0]
    assert json.loads(call("forecasts", "--format", "json")[0])["forecasts"][0]["forecast_id"] == "2027-1"
    assert "Forecast 2027-1 of 11 bridges was forgotten" in call("forecasts", "--forget", "2027-1")[1]
