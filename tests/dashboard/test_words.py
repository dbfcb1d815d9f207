"""Text from files stays text: in Markdown, in HTML, in an answer sentence."""

from __future__ import annotations

import html
import string

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.dashboard import words
from tests.dashboard.hostile import HOSTILE, LONG, SCRIPT, TURNED


@pytest.mark.parametrize("text", HOSTILE)
def test_no_punctuation_is_left_unescaped_for_markdown(text: str) -> None:
    escaped = words.plain(text)
    bare = "".join(
        char for before, char in zip(" " + escaped, escaped, strict=False) if not (before == "\\" or char == "\\")
    )
    assert not set(bare) & set(string.punctuation)


@given(st.text(max_size=60))
def test_escaped_markdown_reads_as_it_was_written(text: str) -> None:
    unescaped = words.plain(text)
    for char in string.punctuation:
        unescaped = unescaped.replace(f"\\{char}", char) if char != "\\" else unescaped
    assert unescaped.replace("\\\\", "\\") == words.label(text, 200)


@given(st.text())
def test_html_has_no_tags_and_no_quotes_of_the_text(text: str) -> None:
    escaped = words.esc(text)
    assert not set(escaped) & set("<>\"'")
    assert html.unescape(escaped).strip() == words.label(text, 400)


def test_markup_made_here_passes_once() -> None:
    assert words.esc(words.Html("<b>4</b>")) == "<b>4</b>"
    assert words.esc(words.esc("<b>")) == "&lt;b&gt;"


def test_direction_overrides_and_controls_are_taken_out() -> None:
    assert "\u202e" not in words.esc(TURNED)
    assert words.label("a\x00b\nc") == "a b c"


def test_long_text_is_cut_with_a_mark() -> None:
    assert len(words.label(LONG)) == 80
    assert words.label(LONG).endswith("…")


def test_answer_bolds_the_verdict_and_colors_amounts_by_role() -> None:
    shown = words.answer(
        "Usual. Like for like, Harrier’s offer is $163/sf, 11% above the $147/sf we would expect for this bridge.",
        "$163",
    )
    assert shown.startswith("<b>Usual.</b> Like for like")
    assert '<b class="bl-flag">$163/sf</b>' in shown
    assert '<b class="bl-own">$147/sf</b>' in shown


def test_answer_from_thin_history_keeps_its_range_together() -> None:
    shown = words.answer(
        "Above usual, from thin history. Between $142 and $265/sf would be usual; it is $271/sf.", "$271"
    )
    assert '<b class="bl-own">$142 and $265/sf</b>' in shown
    assert '<b class="bl-flag">$271/sf</b>' in shown


def test_answer_escapes_a_hostile_supplier() -> None:
    shown = words.answer(f"Usual. Like for like, {SCRIPT}’s offer is $163/sf.", "$163")
    assert "<script" not in shown
    assert "<img" not in shown


def test_what_is_missing_says_so() -> None:
    for missing in (None, float("nan"), pd.NA, pd.NaT, ""):
        assert "not given: no span" in words.or_not_given(missing, str, "no span")
    assert words.or_not_given(3, str) == "3"


def test_a_place_leaves_out_what_is_not_known() -> None:
    assert words.place("a.csv", None, 4) == "a.csv, row 4"
    assert words.place("a.xlsx", "Bids", pd.NA) == "a.xlsx, sheet “Bids”"


def test_years_are_one_or_a_span() -> None:
    assert words.years("2012-03-01", "2025-01-01") == "2012–2025"
    assert words.years("2012-03-01", "2012-11-01") == "2012"
    assert words.years(None, None) == ""


@pytest.mark.parametrize(
    ("said", "on_the_page"),
    [
        ("Name the schedules it rests on (--award).", "Name the schedules it rests on."),
        ("Take back import 3 (bidlens undo), and go on.", "Take back import 3, and go on."),
        ("Import the list as structures (--kind structures).", "Import the list as structures."),
        ("The low bid (2 of 3) stands (import 4).", "The low bid (2 of 3) stands (import 4)."),
    ],
)
def test_what_to_type_at_the_command_line_is_left_out_of_a_page(said: str, on_the_page: str) -> None:
    assert words.without_commands(said) == on_the_page
