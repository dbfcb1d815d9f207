"""Pay units: the spellings that bid tabs use, one standard spelling for each, and conversion within a dimension.

A plain table does here what a units library would not: pay units are words of the trade (LS, FA, STA), and two units of
one dimension are still two pay units, never pooled without `convert`. Spellings: the pay unit lists of two state
departments (Nevada, Washington) and common use in public bid tabs.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from bidlens.errors import BadValue

_SIGNS = re.compile(r"[.\s,_\-]+")


@dataclass(frozen=True, slots=True)
class PayUnit:
    """One pay unit.

    name : standard spelling. title : in words. dimension : what it measures; only units of one dimension convert.
    factor : how many of the dimension's base unit it is (foot, square foot, cubic foot, pound, gallon, hour, each);
        None where an amount of it is agreed and not measured.
    aliases : other spellings, compared without case, blanks, points and dashes.
    """

    name: str
    title: str
    dimension: str
    factor: Decimal | None
    aliases: tuple[str, ...] = ()


def _unit(name: str, title: str, dimension: str, factor: str | None, aliases: str) -> PayUnit:
    return PayUnit(name, title, dimension, None if factor is None else Decimal(factor), tuple(aliases.split()))


# The foot is 0.3048 m and the pound 0.45359237 kg exactly (international yard and pound agreement, 1959); the U.S.
# gallon is 231 cubic inches, kept apart from cubic feet because it measures liquids in bid tabs.
_METRE = Decimal(1) / Decimal("0.3048")
_KILOGRAM = Decimal(1) / Decimal("0.45359237")

PAY_UNITS: tuple[PayUnit, ...] = (
    _unit("LS", "lump sum", "lump sum", None, "LSUM LUMP LUMPSUM LPSM LMSM LPS"),
    _unit("EA", "each", "count", "1", "EACH EAC UNIT UNITS NO NUMBER PCS PC"),
    _unit("PAIR", "pair", "count", "2", "PR PAIRS"),
    _unit("SET", "set", "set", None, "SETS"),
    _unit("LF", "linear foot", "length", "1", "LFT LNFT FT FOOT FEET LINFT LINEARFOOT LINEARFEET LINEALFOOT"),
    _unit("IN", "inch", "length", str(Decimal(1) / 12), "INCH INCHES"),
    _unit("YD", "linear yard", "length", "3", "LY LYD YARD"),
    _unit("STA", "station of 100 feet", "length", "100", "STATION STATIONS"),
    _unit("MI", "mile", "length", "5280", "MILE MILES MLE"),
    _unit("LNMI", "lane mile", "lane length", "5280", "LANEMILE LANEMILES LNMILE"),
    _unit("SI", "square inch", "area", str(Decimal(1) / 144), "SIN SQIN SQINCH"),
    _unit("SF", "square foot", "area", "1", "SFT SQFT SQUAREFOOT SQUAREFEET SQF FT2"),
    _unit("SY", "square yard", "area", "9", "SYD SYS SQYD SQUAREYARD SQUAREYARDS SQY YD2"),
    _unit("ACRE", "acre", "area", "43560", "AC ACRES ACR"),
    _unit("CF", "cubic foot", "volume", "1", "CFT CUFT CUBICFOOT CUBICFEET FT3"),
    _unit("CY", "cubic yard", "volume", "27", "CYD CYS CUYD CUBICYARD CUBICYARDS YD3"),
    _unit("MBM", "thousand board feet", "lumber", "1000", "MFBM MBF MBDFT"),
    _unit("BF", "board foot", "lumber", "1", "BDFT BM FBM"),
    _unit("LB", "pound", "weight", "1", "LBS POUND POUNDS"),
    _unit("CWT", "hundred pounds", "weight", "100", "HUNDREDWEIGHT"),
    _unit("TON", "ton of 2,000 pounds", "weight", "2000", "TONS TN TONG"),
    _unit("GAL", "gallon", "liquid", "1", "GALLON GALLONS GALS"),
    _unit("MGAL", "thousand gallons", "liquid", "1000", "MG MGL MGALLON"),
    _unit("HR", "hour", "time", "1", "HOUR HOURS HRS"),
    _unit("DAY", "day", "days", "1", "DAYS DY CDAY CALDAY CALENDARDAY WORKDAY WORKINGDAY"),
    _unit("WK", "week", "days", "7", "WEEK WEEKS WKS"),
    _unit("MO", "month", "months", "1", "MOS MONTH MONTHS MNTH MON"),
    _unit("USD", "dollar", "dollars", "1", "$ DLR DOL DOLL DOLLAR DOLLARS"),
    _unit("FA", "force account", "force account", None, "FORCEACCOUNT FACT"),
    _unit("EST", "estimated amount", "estimated amount", None, "ESTIMATE ESTIMATED"),
    _unit("CALC", "calculated amount", "calculated amount", None, "CALCULATED"),
    _unit("ALLOW", "allowance", "allowance", None, "ALLOWANCE ALW"),
    _unit("M", "metre", "length", str(_METRE), "METER METERS METRE METRES LM LINM"),
    _unit("M2", "square metre", "area", str(_METRE**2), "M² SQM SM SQUAREMETER SQUAREMETRE"),
    _unit("M3", "cubic metre", "volume", str(_METRE**3), "M³ CUM CM3 CUBICMETER CUBICMETRE"),
    _unit("KG", "kilogram", "weight", str(_KILOGRAM), "KILOGRAM KILOGRAMS KGS"),
    _unit("T", "metric ton of 1,000 kilograms", "weight", str(_KILOGRAM * 1000), "TONNE TONNES METRICTON MTON MT"),
)  # fmt: skip

UNIT_BY_NAME: Mapping[str, PayUnit] = {unit.name: unit for unit in PAY_UNITS}


def _plain(text: str) -> str:
    return _SIGNS.sub("", text).upper()


def _spellings(units: Iterable[PayUnit]) -> dict[str, str]:
    found: dict[str, str] = {}
    for unit in units:
        for spelling in (unit.name, *unit.aliases):
            known = found.setdefault(_plain(spelling), unit.name)
            if known != unit.name:
                raise BadValue(f"the spelling {spelling} stands for both {known} and {unit.name}")
    return found


_BY_SPELLING = _spellings(PAY_UNITS)


def canonical_unit(text: str) -> str | None:
    """The standard spelling of a pay unit: “L.F.”, “Lft” and “FT” are LF. None if the spelling is not known."""
    return _BY_SPELLING.get(_plain(text))


def standard_unit(text: str) -> str:
    """A pay unit in the standard spelling; one that is not known is kept as read, in capitals."""
    return canonical_unit(text) or " ".join(text.upper().split())


def convert(quantity: Decimal | float, from_unit: str, to_unit: str) -> float:
    """A quantity in another pay unit of the same dimension: 1 TON is 2,000 LB.

    Raises BadValue for units not known, or of two dimensions, or that are not measured (a lump sum).
    """
    source, target = _known(from_unit), _known(to_unit)
    if source.dimension != target.dimension or source.factor is None or target.factor is None:
        if source.name == target.name:
            return float(quantity)
        raise BadValue(
            f"{source.title} ({source.name}) cannot be turned into {target.title} ({target.name})",
            do=f"{source.name} measures {source.dimension}, {target.name} measures {target.dimension}.",
        )
    return float(Decimal(str(quantity)) * source.factor / target.factor)


def _known(text: str) -> PayUnit:
    name = canonical_unit(text)
    if name is None:
        raise BadValue(f"“{text}” is no pay unit we know", do=f"Known: {', '.join(UNIT_BY_NAME)}.")
    return UNIT_BY_NAME[name]
