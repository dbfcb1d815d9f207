"""Further terms of a letter, as TOML and as a table, and what its scope's words mean. All firms are invented.

The words are those of the trade: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest

from bidlens.batch import Batch
from bidlens.errors import BadValue
from bidlens.ingest import proposals, read_file
from bidlens.ingest.grid import read_grids
from bidlens.ingest.proposals import proposals_of
from bidlens.ingest.scope_text import read_scope
from bidlens.tables import BY_NAME

LETTER = """
supplier = "Gadwall Precast Co."
superstructure = "adjacent box beam"
length = "62 ft"
price_per_beam = "$21,700"
beams = 7
scope = "beams F.O.B. plant, complete package, railing by others"
valid_until = 2026-05-01
clear_width = "24 ft"
clear_width_adds = "2'-8\\""
own_forces_usd = 49_500
own_forces_scope = ["deck", "railing"]
[own_figures]
setting_usd = 12_000
delivery = "$4,500.50"
substructure_usd = 90_000
"""


def _toml(folder: Path, text: str) -> Batch:
    file = folder / "letter.toml"
    file.write_text(text, encoding="utf-8")
    return proposals.read_toml(file, "0" * 64)


def test_further_terms_are_read_and_come_back_from_the_stored_tables(tmp_path: Path) -> None:
    batch = _toml(tmp_path, LETTER)
    (offer,) = proposals_of(batch)
    assert (offer.price_per_beam, offer.beams) == (Decimal("21700.00"), 7)
    assert (offer.scope, offer.fob, offer.scope_unclear) == (("furnish",), "plant", ("complete package",))
    assert offer.valid_until == dt.date(2026, 5, 1)
    assert (offer.clear_width_ft, offer.clear_width_adds_ft) == (24, pytest.approx(2 + 8 / 12))
    assert (offer.own_forces_usd, offer.own_forces_scope) == (Decimal("49500.00"), ("deck", "railing"))
    assert offer.own_figures == (
        ("set", Decimal("12000.00")),
        ("deliver", Decimal("4500.50")),
        ("substructure", Decimal("90000.00")),
    )
    stored = {name: BY_NAME[name].conform(frame.assign(batch_id=4)).to_pandas() for name, frame in batch.tables.items()}
    for money in ("price_per_beam", "own_forces_usd"):
        stored["proposal"][money] = stored["proposal"][money].astype("float64")
    stored["proposal"]["valid_until"] = pd.to_datetime(stored["proposal"]["valid_until"])
    (again,) = proposals_of(stored["proposal"], stored["proposal_scope"])
    assert again == offer


@pytest.mark.parametrize(
    ("written", "parts", "fob", "unclear"),
    [
        ("furnish and deliver", ("furnish", "deliver"), None, ()),
        ("beams, F.O.B. plant", ("furnish",), "plant", ()),
        ("beams FOB jobsite", ("furnish", "deliver"), "site", ()),
        ("beams, f.o.b.", ("furnish",), None, ("f.o.b.",)),
        ("beams, set; deck by others", ("furnish", "set"), None, ()),
        ("beams, no railing", ("furnish",), None, ()),
        ("beams, railing, railing not included", ("furnish",), None, ("railing both included and left out",)),
        ("beams, galvanizing, shop drawings, sales tax", ("furnish", "coating", "engineering", "sales_tax"), None, ()),
        ("beams, hardware as required", ("furnish",), None, ("hardware as required",)),
    ],
)
def test_words_of_the_trade(written: str, parts: tuple[str, ...], fob: str | None, unclear: tuple[str, ...]) -> None:
    told = read_scope(written)
    assert (told.parts, told.fob, told.unclear) == (parts, fob, unclear)


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("beams = 7\n", "", "price_per_beam is given without beams"),
        ("setting_usd", "settng_usd", "own_figures names “settng_usd”"),
        ("12_000", '"a lot"', "cannot read “a lot” as a price"),
        ("12_000", "-5", "setting_usd is “-5”"),
        ("valid_until = 2026-05-01", 'valid_until = "spring"', "spring"),
        ("beams = 7", "beams = 0", "beams"),
    ],
)
def test_a_term_that_cannot_be_used_is_an_error_with_its_place(
    tmp_path: Path, before: str, after: str, told: str
) -> None:
    with pytest.raises(BadValue) as stopped:
        _toml(tmp_path, LETTER.replace(before, after))
    assert told in str(stopped.value)


def test_a_table_of_offers_by_the_beam_and_the_pound(tmp_path: Path) -> None:
    file = tmp_path / "offers.csv"
    file.write_text(
        "Supplier,Type,Length,Clear Roadway,Price,Price per Beam,Number of Beams,Price per Lb,Weight (lb),"
        "Valid Until,Scope\n"
        "Gadwall,adjacent box beam,62,24,,21700,7,,,2026-05-01,furnish\n"
        'Harrier,rolled steel beam,62,24,,,,2.35,"48,500",,furnish\n',
        encoding="utf-8",
    )
    grids = read_grids(file)
    by_beam, by_pound = proposals_of(proposals.read(grids, "0" * 64))
    assert (by_beam.price_per_beam, by_beam.beams, by_beam.clear_width_ft) == (Decimal("21700.00"), 7, 24)
    assert by_beam.valid_until == dt.date(2026, 5, 1)
    assert (by_pound.price_per_lb, by_pound.weight_lb) == (Decimal("2.35000"), 48_500)


def test_own_costs_stand_in_a_table_of_offers_too(tmp_path: Path) -> None:
    file = tmp_path / "offers.csv"
    file.write_text(
        "Supplier,Type,Length,Width,Price,Scope,Own forces USD,Own forces do,Own figures\n"
        'Gadwall Precast Co.,adjacent box beam,62 ft,28 ft,"$152,000",furnish; deliver,"21,000",deck,'
        '"setting $12,000; wearing surface: 8,000.50"\n'
        'Harrier Steel Works,rolled steel beam,62 ft,28 ft,"$181,500",furnish; deliver,,,\n',
        encoding="utf-8",
    )
    first, second = proposals_of(read_file(file, "proposals"))
    assert (first.own_forces_usd, first.own_forces_scope) == (Decimal("21000.00"), ("deck",))
    assert first.own_figures == (("set", Decimal("12000.00")), ("wearing_surface", Decimal("8000.50")))
    assert (second.own_forces_usd, second.own_figures) == (None, ())


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("set twelve thousand", "own_figures is “set twelve thousand”"),
        ("paint 4,000", "own_figures names “paint”"),
        ("set 1,000; set 2,000", "own_figures gives set twice"),
        ("set 1,000; setting 2,000", "own_figures gives set twice"),
    ],
)
def test_own_figures_in_one_text_that_cannot_be_used_are_told(tmp_path: Path, written: str, told: str) -> None:
    with pytest.raises(BadValue) as stopped:
        _toml(tmp_path, LETTER.split("[own_figures]")[0] + f'own_figures = "{written}"\n')
    assert told in str(stopped.value)
