"""Suppliers' letters: one TOML each for the bridge of the lead example, and several offers in one CSV."""

from __future__ import annotations

BRIDGE_117 = """\
structure = "K-117"
superstructure = "{superstructure}"
length = "62 ft"
width = "28'-0\\""            # out to out
spans = 1
skew_deg = 0
"""

LETTERS: dict[str, str] = {
    "harrier_k117.toml": """\
# Harrier Steel Works, letter of 10 February 2026: galvanized rolled-beam span for K-117, set on the county's abutments.
supplier = "Harrier Steel Works"
date = 2026-02-10
"""
    + BRIDGE_117.format(superstructure="rolled steel beam")
    + """\
price_usd = 181_500
scope = ["furnish", "deliver", "set", "bearings"]
delivery = 2026-09-01
""",
    "gadwall_k117.toml": """\
# Gadwall Precast Co., letter of 17 February 2026: adjacent box beams for the same bridge, post-tensioned in place.
supplier = "Gadwall Precast Co."
date = 2026-02-17
"""
    + BRIDGE_117.format(superstructure="adjacent box beam")
    + """\
price_usd = 152_000
scope = ["furnish", "deliver", "set", "bearings"]
delivery = 2026-08-15
service_life_years = 75
""",
    "wollastonite_k117.toml": """\
# Wollastonite Tub Girders, letter of 24 February 2026. The county has never let this type.
supplier = "Wollastonite Tub Girders"
date = 2026-02-24
"""
    + BRIDGE_117.format(superstructure="steel tub girder")
    + """\
price_per_sf = 118.00
scope = ["furnish", "deliver", "bearings"]
delivery = 2026-10-01
service_life_years = 100
""",
    "whitebeam_k117.toml": """\
# Whitebeam Bridge Supply, letter of 3 March 2026: the whole span complete, deck and railing included.
supplier = "Whitebeam Bridge Supply"
date = 2026-03-03
"""
    + BRIDGE_117.format(superstructure="rolled steel beam")
    + """\
price_usd = 398_000
scope = ["furnish", "deliver", "set", "bearings", "deck", "railing", "wearing_surface", "joints"]
delivery = 2026-09-15
service_life_years = 75
""",
}

SEVERAL = "\n".join(
    (
        "supplier,date,structure,superstructure,length,width,spans,skew_deg,price_usd,price_per_sf,scope,delivery",
        "Harrier Steel Works,2026-02-10,K-139,rolled steel beam,54 ft,26 ft 0 in,1,10,151000,,"
        "furnish; deliver; set; bearings,2026-09-15",
        "Gadwall Precast Co.,2026-02-17,K-204,adjacent box beam,48 ft,28 ft 0 in,1,15,,84.50,"
        "furnish; deliver; set; bearings,2026-08-15",
        "Gadwall Precast Co.,2026-02-17,K-388,prestressed I-beam,88 ft,34 ft 8 in,1,20,268000,,"
        "furnish; deliver; bearings,2026-09-30",
        "Whitebeam Bridge Supply,2026-03-03,K-168,timber,26 ft,24 ft 0 in,1,0,71500,,"
        "furnish; deliver; set; deck; railing,2026-07-01",
        "",
    )
)

QUOTATIONS = """\
Larkmoor County, quotations for bridge superstructures, opened February 17, 2026

Bridge K-204, Greywether Road over Quillfen Creek, 48 ft x 28 ft, adjacent box beams      estimate $118,000
  Gadwall Precast Co.         $113,570   furnish, deliver and set       beams and bearings
  Harrier Steel Works         $121,900   furnish and deliver            rolled steel beams, bearings
  Wollastonite Tub Girders    $139,400   furnish: tub girders with deck
  Whitebeam Bridge Supply     no bid
Two bridges in one quotation:  Harrier Steel Works  $92,400 + $88,150 = $180,550
own crew: setting, about $9,500
deck area = 48 ft x 28 ft = 1,344 sf, so $84.50 and $90.70 per sf
"""
