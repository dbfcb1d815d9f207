"""Tables and rows as HTML, and the server's own settings."""

from __future__ import annotations

import re
import socket

import pytest

from bidlens.dashboard import blocks, launch, style
from bidlens.dashboard.downloads import file_stem
from bidlens.errors import BidlensError
from bidlens.figures import DARK, LIGHT, Palette
from tests.dashboard.hostile import SCRIPT

COLUMNS = (blocks.Column("Contract", "nowrap"), blocks.Column("Bids", "n"), blocks.Column("$/sf", "n"))


def test_every_cell_of_a_table_is_escaped() -> None:
    shown = blocks.table_html(COLUMNS, [(SCRIPT, 3, SCRIPT)], total=(SCRIPT, "", 1))
    assert "<script" not in shown
    assert "<img" not in shown


def test_the_first_cell_of_a_total_row_reaches_over_the_blank_ones() -> None:
    shown = blocks.table_html(COLUMNS, [("a", 1, 2)], total=("sum", "", 2))
    assert '<td class="bl-nowrap" colspan="2">sum</td><td class="bl-n">2</td>' in shown
    last = blocks.table_html(COLUMNS, [], total=("sum", 5, ""))
    assert '<td class="bl-n">5</td><td class="bl-n"></td>' in last


def test_a_row_of_another_width_than_the_head_is_an_error() -> None:
    with pytest.raises(ValueError, match="zip"):
        blocks.table_html(COLUMNS, [("a", 1)])


@pytest.mark.parametrize("palette", [LIGHT, DARK])
def test_style_sheet_names_every_color_it_uses(palette: Palette) -> None:
    sheet = style.css(palette)
    used = set(re.findall(r"var\(--bl-([a-z0-9-]+)\)", sheet))
    given = set(re.findall(r"--bl-([a-z0-9-]+):", sheet))
    assert used <= given
    assert "http" not in sheet


def test_no_text_is_smaller_than_the_title_blocks_keys() -> None:
    sizes = [float(size) for size in re.findall(r"font-size:([\d.]+)px", style.css(LIGHT))]
    assert min(sizes) == 12.5


def test_the_server_listens_here_alone_and_reports_to_nobody() -> None:
    flags = launch.flags("127.0.0.1", 8501)
    assert flags["server_address"] == "127.0.0.1"
    assert flags["browser_gatherUsageStats"] is False
    assert flags["client_showErrorDetails"] == "none"
    assert flags["server_fileWatcherType"] == "none"
    assert flags["server_maxUploadSize"] == 50


def test_theme_values_are_given_for_both_modes() -> None:
    flags = style.theme_flags()
    assert flags["theme_light_backgroundColor"] == LIGHT.paper
    assert flags["theme_dark_backgroundColor"] == DARK.paper


def test_a_port_in_use_is_passed_over() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        assert launch.free_port("127.0.0.1", taken) != taken
    assert launch.free_port("127.0.0.1", None) > 0


def test_an_address_of_another_machine_is_refused_in_words() -> None:
    with pytest.raises(BidlensError, match="cannot listen"):
        launch.free_port("203.0.113.7", 8501)  # TEST-NET-3 of RFC 5737: an address no machine has


def test_file_names_of_downloads_hold_letters_and_digits_only() -> None:
    assert re.fullmatch(r"[A-Za-z0-9_]+", file_stem(SCRIPT + "/../../x"))
    assert file_stem("///") == "bidlens"
