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
