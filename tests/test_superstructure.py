"""Superstructure types by their words and by inventory code.

Outside checks: the code table of FHWA-PD-96-001, Item 43 (`shared/nbi_item43.csv`). Word lists are trade usage: common
practice, no source.
"""

import pytest

from bidlens.errors import Place
from bidlens.reference import load_table
from bidlens.superstructure import (
    all_types,
    material_of,
    nbi_judgement,
    read_type,
    standard_type,
    type_of_nbi,
)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("prestressed adjacent box beam", "adjacent box beam"),
        ("Adjacent Box Beams", "adjacent box beam"),
        ("precast concrete box beams, side-by-side", "adjacent box beam"),
        ("P/S adjacent boxes", "adjacent box beam"),
        ("prestressed spread box beam", "spread box beam"),
        ("SPREAD BOX BEAMS", "spread box beam"),
        ("galvanized rolled beams", "rolled steel beam"),
        ("rolled steel beam", "rolled steel beam"),
        ("Steel beam, wide-flange", "rolled steel beam"),
        ("W.F. beams", "rolled steel beam"),
        ("steel stringers with timber deck", "rolled steel beam"),
        ("concrete slab on steel beams", "rolled steel beam"),
        ("press-formed steel tub girder", "steel tub girder"),
        ("steel tub girders, galvanized", "steel tub girder"),
        ("steel box girder", "steel box girder"),
        ("welded plate girders", "steel plate girder"),
        ("prestressed I-beam", "prestressed I-beam"),
        ("Pre-stressed concrete I girders", "prestressed I-beam"),
        ("prestressed bulb-tee", "bulb-tee beam"),
        ("bulb T beams", "bulb-tee beam"),
        ("double tees", "prestressed tee beam"),
        ("reinforced concrete slab", "concrete slab"),
        ("cast-in-place flat slab", "concrete slab"),
        ("precast voided slabs", "prestressed slab"),
        ("cast-in-place T-beam", "concrete tee beam"),
        ("precast channel beams", "concrete channel beam"),
        ("timber stringers", "timber"),
        ("glulam beams with wood deck", "timber"),
        ("concrete box culvert", "buried structure"),
        ("three-sided precast arch culvert", "buried structure"),
        ("steel pony truss", "truss"),
    ],
)
def test_types_are_recognised_by_the_words_owners_use(written: str, name: str) -> None:
    assert standard_type(written) == name


@pytest.mark.parametrize(
    "written",
    ["box beam", "prestressed box beam", "concrete beam", "girder", "steel", "folded steel plate girder", "", "n/a",
     None, "moon rock", "prestressed steel beam"],
)  # fmt: skip
def test_a_description_that_fits_no_type_or_several_is_not_forced(written: str | None) -> None:
    assert standard_type(written) is None


def test_every_standard_name_is_recognised_as_itself_in_any_case() -> None:
    for kind in all_types():
        assert standard_type(kind.name) == kind.name
        assert standard_type(f"  {kind.name.upper()} ") == kind.name


def test_every_line_of_words_leads_to_its_own_type() -> None:
    strayed = {
        (kind.name, " ".join(sorted(line))): standard_type(" ".join(sorted(line)))
        for kind in all_types()
        for line in kind.words
        if standard_type(" ".join(sorted(line))) != kind.name
    }
    assert not strayed


def test_steel_and_prestressed_boxes_are_never_mixed() -> None:
    boxes = ["adjacent box beam", "spread box beam", "box girder", "box beams, multiple"]
    for words in boxes:
        assert material_of(standard_type(f"steel {words}") or "") in ("steel", None)
        assert material_of(standard_type(f"prestressed {words}") or "") in ("concrete", None)


def test_an_unknown_type_is_kept_as_written_with_a_finding_at_its_place() -> None:
    name, finding = read_type("  Moon   rock arches", Place("bridges.csv", None, 4, "type"))
    assert name == "Moon rock arches"
    assert finding is not None
    assert (finding.code, finding.severity) == ("unknown_superstructure", "check")
    assert finding.place is not None
    assert finding.place.row == 4
    assert "adjacent box beam" in finding.do


def test_a_known_type_brings_no_finding() -> None:
    assert read_type("rolled beams") == ("rolled steel beam", None)


@pytest.mark.parametrize(
    ("code_a", "code_b", "name"),
    [
        # Whole codes: 302 steel stringer, 501 prestressed slab, 505 and 506 prestressed box, multiple and single or
        # spread, 522 prestressed channel, 319 steel culvert.
        ("3", "02", "rolled steel beam"),
        ("3", "2", "rolled steel beam"),
        (3, 2, "rolled steel beam"),
        ("3.0", "2.0", "rolled steel beam"),
        ("5", "01", "prestressed slab"),
        ("5", "05", "adjacent box beam"),
        ("6", "06", "spread box beam"),
        ("5", "22", "concrete channel beam"),
        ("3", "19", "buried structure"),
        ("1", "01", "concrete slab"),
        ("7", "02", "timber"),
        ("3", "06", "steel box girder"),
        ("9", "17", None),
        ("", "", None),
        ("N", "02", None),
        ("3", "102", None),
    ],
)
def test_inventory_codes_give_the_type(code_a: object, code_b: object, name: str | None) -> None:
    assert type_of_nbi(code_a, code_b) == name


def test_a_whole_code_in_a_type_column_is_read_as_item_43() -> None:
    assert standard_type("302") == "rolled steel beam"


def test_every_code_in_the_rules_stands_in_the_published_table() -> None:
    # FHWA-PD-96-001, Item 43, as stored in the published table; 43B is text there.
    table = load_table("nbi_item43").frame
    materials = set(table.loc[table["item"] == "43A", "code"])
    designs = set(table.loc[table["item"] == "43B", "code"])
    for kind in all_types():
        for code in kind.item43:
            assert code[0] in materials
            assert code[1:] in designs


def test_the_material_digit_agrees_with_the_material_of_the_type() -> None:
    # FHWA-PD-96-001, Item 43A: 1, 2 concrete; 3, 4 steel; 5, 6 prestressed concrete; 7 wood or timber.
    by_digit = dict.fromkeys("1256", "concrete") | dict.fromkeys("34", "steel") | {"7": "timber"}
    for kind in all_types():
        for code in kind.item43:
            if kind.material != "other":
                assert by_digit[code[0]] == kind.material


def test_a_code_read_by_judgement_says_so_and_the_owner_may_read_it_otherwise() -> None:
    assert "plate girder has the same code" in nbi_judgement("3", "02")
    assert "tub girder has no code of its own" in nbi_judgement("3", "6")
    assert nbi_judgement("1", "01") == ""
    assert nbi_judgement("x", "01") == ""
    assert type_of_nbi("3", "06", judged={"306": "steel tub girder"}) == "steel tub girder"
