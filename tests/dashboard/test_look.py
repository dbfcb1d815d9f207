"""Contrast of the palette's roles, by the formula and the limits of WCAG 2.2 (w3.org/TR/WCAG22).

Relative luminance and contrast ratio: the definitions of that name. Text needs 4.5 to 1 (success criterion 1.4.3),
parts of a picture or control that carry meaning 3 to 1 (1.4.11). Rules, grid and bands are decoration: edges and words
say what they say.
"""

from __future__ import annotations

import pytest

from bidlens.dashboard import style
from bidlens.figures import DARK, LIGHT, PRINT, Palette

TEXT, GRAPHIC = 4.5, 3.0
EVERY = pytest.mark.parametrize("palette", [LIGHT, DARK, PRINT], ids=lambda one: one.name)


def luminance(color: str) -> float:
    """Relative luminance of “#RRGGBB”."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_runs_from_1_to_21() -> None:
    """The range the definition names."""
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)
    assert contrast("#1B5A74", "#1B5A74") == 1


@EVERY
@pytest.mark.parametrize("role", ["ink", "soft", "own", "flagtext", "stop"])
@pytest.mark.parametrize("ground", ["paper", "field"])
def test_text_is_read_on_the_page_and_in_a_note(palette: Palette, role: str, ground: str) -> None:
    assert contrast(getattr(palette, role), getattr(palette, ground)) >= TEXT


@EVERY
@pytest.mark.parametrize("role", ["ink", "own"])
def test_text_that_stands_on_a_band_is_read_there(palette: Palette, role: str) -> None:
    assert contrast(getattr(palette, role), palette.band80) >= TEXT


@EVERY
@pytest.mark.parametrize("role", ["ink", "own", "others", "flag"])
@pytest.mark.parametrize("ground", ["paper", "band90", "band80"])
def test_marks_are_seen_on_paper_and_on_bands(palette: Palette, role: str, ground: str) -> None:
    assert contrast(getattr(palette, role), getattr(palette, ground)) >= GRAPHIC


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=lambda one: one.name)
def test_the_words_of_a_primary_button_are_read(palette: Palette) -> None:
    assert contrast(style.on_own(palette), palette.own) >= TEXT
