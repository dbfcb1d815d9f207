"""The sentences: placed, never graded; the range before the point where history is thin."""

from __future__ import annotations

import re
from typing import Any

import pytest

from bidlens.proposal.verdict import VERDICT_WORDS, Standing, possessive, type_words, verdict_code, word_verdict

EXPECTED = {
    "p05": 107.0,
    "p10": 116.0,
    "p25": 131.0,
    "p50": 147.0,
    "p75": 165.0,
    "p90": 186.0,
    "p95": 201.0,
    "mean": 150,
}
#: Words a price is never given.
NEVER = "fair|reasonabl|overpric|suspicio|collu|anomal|recommend|saving|confidence interval|significan"


def _standing(**changes: Any) -> Standing:
    fields: dict[str, Any] = {
        "supplier": "Harrier", "kind": "rolled steel beam", "offer_per_sf": 162.5, "expected": EXPECTED,
        "percentile": 0.7, "grade": "A", "thin": False, "contracts": 69, "same_type": 19, "first_year": 2012,
        "last_year": 2025,
    }  # fmt: skip
    return Standing(**(fields | changes))


@pytest.mark.parametrize(
    ("percentile", "code"),
    [
        (0.0, "well_below_usual"),
        (0.0499, "well_below_usual"),
        (0.05, "below_usual"),
        (0.0999, "below_usual"),
        (0.10, "usual"),
        (0.90, "usual"),
        (0.9001, "above_usual"),
        (0.95, "above_usual"),
        (0.9501, "well_above_usual"),
        (None, "not_enough_history"),
    ],
)
def test_usual_is_the_middle_eight_in_ten(percentile: float | None, code: str) -> None:
    assert verdict_code(percentile) == code


def test_the_answer_reads_as_one_sentence_with_both_numbers() -> None:
    verdict = word_verdict(_standing())
    assert verdict.text == (
        "Usual. Like for like, Harrier’s offer is $163/sf, 11% above the $147/sf we would expect for this bridge."
    )
    assert verdict.support == (
        "About 70 in 100 lettings like this one would come in lower; the difference is within the ordinary scatter of "
        "lettings. From 19 rolled steel beam contracts, helped by 50 of other types, let 2012–2025: well supported."
    )


def test_thin_history_says_the_range_before_the_point() -> None:
    verdict = word_verdict(_standing(thin=True, grade="C", contracts=6, same_type=6, percentile=0.93, offer_per_sf=190))
    assert verdict.text == (
        "Above usual, from thin history. Between $116 and $186/sf would be usual; like for like, Harrier’s offer is "
        "$190/sf, 29% above the middle of $147/sf. Indicative only."
    )
    assert verdict.support.endswith("From 6 rolled steel beam contracts, let 2012–2025: thin.")


def test_what_the_letter_leaves_out_is_said_in_the_sentence() -> None:
    verdict = word_verdict(_standing(gap=("delivery", "setting"), offer_per_sf=140, percentile=0.4))
    assert "Like for like but for delivery and setting, Harrier’s offer is $140/sf, 5% below" in verdict.text


def test_a_declined_verdict_gives_the_reason_and_no_comparison() -> None:
    told = "We have let no buried structure, so $118/sf is not judged."
    verdict = word_verdict(
        _standing(declined=told, percentile=None, grade="D", same_type=0, first_year=2025, last_year=2025)
    )
    assert verdict.code == "not_enough_history"
    assert verdict.text == f"Not enough history to say. {told}"
    assert verdict.support == "None of this type on record; 69 contracts of other types, let 2025: too thin to judge."


def test_a_difference_that_rounds_to_nothing_is_level() -> None:
    assert "level with the $147/sf we would expect" in word_verdict(_standing(offer_per_sf=147.2, percentile=0.5)).text


@pytest.mark.parametrize(("percentile", "said"), [(0.012, "Fewer than 5"), (0.03, "About 5"), (0.985, "More than 95")])
def test_chances_at_the_ends_are_not_decimals(percentile: float, said: str) -> None:
    assert word_verdict(_standing(percentile=percentile)).support.startswith(f"{said} in 100")


@pytest.mark.parametrize("percentile", [0.01, 0.07, 0.5, 0.93, 0.99, None])
@pytest.mark.parametrize("thin", [True, False])
def test_a_price_is_placed_and_never_graded(percentile: float | None, thin: bool) -> None:
    verdict = word_verdict(_standing(percentile=percentile, thin=thin, declined="" if percentile else "Too little."))
    assert verdict.code in VERDICT_WORDS
    assert not re.search(NEVER, f"{verdict.text} {verdict.support}", re.IGNORECASE)
    assert "!" not in verdict.text


def test_names_and_types_read_well() -> None:
    assert [possessive(name) for name in ("Harrier Steel Works", "Gadwall")] == ["Harrier Steel Works’", "Gadwall’s"]
    assert [type_words(kind) for kind in ("timber", "steel tub girder", "buried structure")] == [
        "timber bridge",
        "steel tub girder",
        "buried structure",
    ]
