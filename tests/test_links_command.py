"""`bidlens links`: a contract and its bridge put together by hand, parted, and taken back. Firms are invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from bidlens import cli
from tests.test_cli import LETTING

Run = Callable[..., tuple[str, str]]
BRIDGES = """structure,name,superstructure,length_ft,width_ft,spans,span_ft
K-1,Alder Lane over Fen Brook,rolled steel beam,60,30,1,58
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Call a command on a record with one letting and one bridge that nothing links."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BIDLENS_DB", str(tmp_path / "county.duckdb"))

    def call(*arguments: str, expect: int = 0) -> tuple[str, str]:
        status = cli.main(list(arguments))
        out, err = capsys.readouterr()
        assert status == expect, err
        return out, err

    (tmp_path / "letting_2024-03-12.csv").write_text(LETTING, encoding="utf-8")
    (tmp_path / "bridges.csv").write_text(BRIDGES, encoding="utf-8")
    call("import", "letting_2024-03-12.csv", "bridges.csv")
    return call


def said(run: Run) -> list[dict[str, Any]]:
    return list(json.loads(run("links", "--format", "json")[0])["said"])


def one_line(text: str) -> str:
    return " ".join(text.split())


def test_a_link_needs_its_reason_prices_the_bridge_and_is_taken_back(run: Run) -> None:
    # beams and concrete of the low bid: 100 LF x $200 + 40 CY x $880
    assert "1 contract with $55,200 of bridge work" in one_line(run("links")[0])
    _, err = run("links", "--link", "T-1", "K-1", expect=1)
    assert "reason" in err
    assert said(run) == []
    built = (
        "--type",
        "rolled steel beam",
        "--length",
        "62 ft",
        "--width",
        "28'-0\"",
        "--span",
        "60 ft",
        "--spans",
        "1",
    )
    _, talk = run("links", "--link", "T-1", "K-1", "--because", "plans, sheet 2", "--let", "2024-03-12", *built)
    assert "K-1 is linked to contract T-1, by hand" in one_line(talk)
    [link] = said(run)
    assert (link["linked"], link["in_use"], link["reason"]) == (True, True, "plans, sheet 2")
    assert (link["length_ft"], link["width_ft"], link["span_ft"], link["spans"]) == (62, 28, 60, 1)
    assert "Every contract with bridge work in its low bid has a structure." in one_line(run("links")[0])
    _, talk = run("links", "--take-back", "T-1", "K-1")
    assert "The link by hand of K-1 and contract T-1 is taken back" in one_line(talk)
    assert said(run) == []


def test_a_link_of_a_file_can_be_said_not_to_hold(run: Run, tmp_path: Any) -> None:
    linked = BRIDGES.replace("structure,", "structure,contract,").replace("K-1,", "K-2,T-1,")
    (tmp_path / "linked.csv").write_text(linked, encoding="utf-8")
    run("import", "linked.csv")
    _, talk = run("links", "--unlink", "T-1", "K-2", "--because", "deck repair only")
    assert "K-2 is not linked to contract T-1 any more" in one_line(talk)
    [word] = said(run)
    assert (word["structure_id"], word["linked"]) == ("K-2", False)
    _, talk = run("links", "--take-back", "T-1", "K-2")
    assert "The word against a link of K-2 and contract T-1 is taken back" in one_line(talk)


@pytest.mark.parametrize(
    ("arguments", "answer"),
    [
        (("--link", "T-9", "K-1", "--because", "plans"), "T-9"),
        (("--link", "T-1", "K-1", "--because", "plans", "--length", "long"), "--length"),
        (("--link", "T-1", "K-1", "--because", "plans", "--let", "spring"), "spring"),
        (("--take-back", "T-1", "K-1"), "K-1"),
    ],
)
def test_what_cannot_be_meant_is_refused_and_changes_nothing(run: Run, arguments: tuple[str, ...], answer: str) -> None:
    _, err = run("links", *arguments, expect=1)
    assert answer in err
    assert said(run) == []
