"""What a line of minutes or a letter says of a quotation: prices, sizes, how many bridges, no bid, an estimate.

Pure text in, exact values out. What is not understood is left to the reader, which sets the line aside with its reason.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from bidlens.errors import BadValue
from bidlens.ingest import cells
from bidlens.ingest.above import DAY
from bidlens.lengths import parse_length_ft

_USD = r"\$\s?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d{1,2})?(?!\d|,\d)"
# An amount without its mark, in a cell of its own; a year is none.
_BARE = r"(?:\d{1,3}(?:,\d{3})+|(?!(?:19|20)\d\d\b(?!\.))\d{4,9})(?:\.\d{2})?(?![\d.,]*\d)"
_PRICE = re.compile(_USD)
_SUM = re.compile(rf"(?P<parts>(?:{_USD}|{_BARE})(?:\s*\+\s*(?:{_USD}|{_BARE}))+)(?:\s*=\s*(?P<total>{_USD}|{_BARE}))?")
_ALONE = re.compile(rf"(?:{_USD}|{_BARE})")
_PER_SF = re.compile(
    r"(?P<usd>\$\s?\d[\d,]*(?:\.\d+)?)\s*(?:/|per|a|each)\s*(?:sf\b|s\.f\.|sq\.?\s*ft\b\.?|square\s+f(?:oo|ee)t)", re.I
)
_UNIT = r"(?:'|’|′|ft\b\.?|feet|foot|meters?|metres?|m\b)"
_INCH = r"(?:\s*-?\s*\d+(?:\.\d+)?(?:[ -]\d+/\d+)?\s*(?:\"|”|″|''|in\b\.?|inch(?:es)?))?"
_LENGTH = rf"\d+(?:\.\d+)?\s*-?\s*{_UNIT}?{_INCH}"
_SIZE = re.compile(
    rf"(?<![\d.$,@])(?<!@ )(?P<length>{_LENGTH})"
    r"(?:(?:\s*(?:long|in length|length))?\s*(?:x|×|by)\s*|\s*(?:long|in length)\s*,?\s*(?:and\s+)?)"
    rf"(?P<width>{_LENGTH})(?:\s*(?:wide|in width|width))?(?!\s*(?:x|×)\s*\d)",
    re.I,
)
_INCHES = re.compile(r"(?:\"|”|″|''|\bin\b|inch)", re.I)
_AREA = re.compile(r"(?P<sf>\d[\d,]*(?:\.\d+)?)\s*(?:sf\b|s\.f\.|sq\.?\s*ft\b\.?|square\s+feet)", re.I)
_LEAST_FT = 8.0  # a deck is no smaller; two numbers below it are the section of a beam
_NO_BID = re.compile(
    r"\bno[ -](?:bid|quote|quotation|price|response|offer|reply)\b|\bdeclined\b|\bdid not (?:bid|quote|respond|reply)\b"
    r"|\bnot quoted\b|\bwithdr[ae]wn?\b",
    re.I,
)
_ESTIMATE = re.compile(
    r"\b(?:(?:engineer|owner|county|agency|department|designer)['’]?s?['’]?\s+)?(?:cost\s+)?est(?:imated?(?:\s+cost)?|\.)"
    rf"\s*(?:of|is|was|at|:|=|-|–)?\s*(?P<usd>{_USD}|{_BARE})",
    re.I,
)
_OWN = re.compile(
    r"\b(?:own|our|county|owner['’]?s?|township|town|district)(?:['’]s)?\s+(?:crews?|forces?|labor|costs?|work|share)\b"
    r"|\bforce account\b|\bby (?:the )?(?:county|owner)\b",
    re.I,
)
_LITTLE_WORDS = re.compile(
    r"\b(?:about|approx(?:imately)?\b\.?|roughly|some|estimated|cost(?:s|ing)?|total|additional|extra|more|for|at|of|the|to|another|adds?)\b",
    re.I,
)
_WORDS_OF_MONEY = re.compile(r"\b(?:usd|dollars?|lump\s+sum|l\.?s\.?|each|ea|total|net)\b\.?", re.I)
_PLACE = re.compile(
    r"\b(?:roads?|rd|street|st|avenue|ave|lane|highway|hwy|route|bridges?|creek|river|run|ditch|drain|branch|fork|brook"
    r"|over|township|crossing|structures?|[CTS]R)\b",
    re.I,
)
_HOW_MANY = {"two": 2, "both": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_BRIDGES = re.compile(
    rf"\b(?P<count>\d{{1,2}}|{'|'.join(_HOW_MANY)})\s+(?:\w+\s+)?(?:bridges|structures|crossings|superstructures|sites|locations)\b",
    re.I,
)
_STRUCTURE = re.compile(
    r"\b(?:structure|bridge)\s*(?:no\b\.?|number\b|id\b|#)?\s*:?\s*(?P<id>[A-Z]{0,4}[-.]?\d[\w\-.]*\w|\d)\b", re.I
)


@dataclass(frozen=True, slots=True)
class Prices:
    """The prices a text states.

    parts : lump sums, one a bridge where there are several. total : their sum as stated. per_sf : a price by deck area.
    start, end : the part of the text they stand in.
    """

    parts: tuple[Decimal, ...]
    total: Decimal | None
    per_sf: Decimal | None
    start: int
    end: int

    @property
    def adds_up(self) -> bool:
        return self.total is None or sum(self.parts) == self.total


def prices_in(text: str, *, bare: bool = False) -> Prices | None:
    """The prices in a text: one, or several joined by + with their sum; None if there is none.

    bare : the text is a cell of its own, in which an amount may stand without its $.
    Raises BadValue for two prices that nothing joins: which is meant cannot be told.
    """
    by_area = _PER_SF.search(text)
    rest = text[: by_area.start()] + " " * len(by_area[0]) + text[by_area.end() :] if by_area else text
    per_sf = _exact(by_area["usd"], 5) if by_area else None
    joined = _SUM.search(rest)
    if joined:
        parts = tuple(_exact(one) for one in _ALONE.findall(joined["parts"]))
        total = _exact(joined["total"]) if joined["total"] else None
        found = Prices(parts, total, per_sf, joined.start(), joined.end())
        rest = rest[: joined.start()] + rest[joined.end() :]
    elif match := _PRICE.search(rest) or (re.fullmatch(rf"\s*{_BARE}\s*", rest) if bare else None):
        found = Prices((_exact(match[0]),), None, per_sf, match.start(), match.end())
        rest = rest[: match.start()] + rest[match.end() :]
    elif by_area:
        return Prices((), None, per_sf, by_area.start(), by_area.end())
    else:
        return None
    other = _PRICE.search(rest)
    if other:
        raise BadValue(f"two prices stand side by side, {text[found.start : found.end]} and {other[0]}")
    return found


def price_alone(cell: cells.Cell) -> Decimal | None:
    """The one price above zero that a cell holds; None for no bid, a blank, and anything else."""
    try:
        read = cells.number(without_words_of_money(cell) if isinstance(cell, str) else cell, 2)
    except ValueError:
        return None
    return read if read and read > 0 else None


def price_beside(text: str) -> bool:
    """Whether a cell beside a price states another, that is neither a price by area nor the estimate."""
    try:
        found = prices_in(without(text, "estimate", "per sf"), bare=True)
    except BadValue:
        return True
    return found is not None and bool(found.parts)


def _exact(shown: str, scale: int = 2) -> Decimal:
    try:
        value = cells.number(shown.replace("$ ", "$").strip(), scale)
    except ValueError as error:
        raise BadValue(f"cannot read “{shown}” as a price") from error
    if value is None:
        raise BadValue(f"cannot read “{shown}” as a price")
    return value


def sizes_in(text: str, unit: str = "ft") -> tuple[tuple[float, float], ...]:
    """Lengths and widths in feet, as in `42 ft x 26 ft`, `42'-0" x 26'-8"` or `42 x 26 ft`; sections of beams are none.

    unit : of bare numbers; a unit written beside one of the two goes for both.
    """
    found = []
    for match in _SIZE.finditer(text):
        one, other = (
            re.sub(r"(\d)\s*-\s*(?=[a-z'’′])", r"\1 ", match[part].strip(), flags=re.I) for part in ("length", "width")
        )
        if (_INCHES.search(one) and not re.search(_UNIT, one)) or (
            _INCHES.search(other) and not re.search(_UNIT, other)
        ):
            continue
        units = [written for side in (one, other) if (written := re.search(r"\bm\b|met", side, re.I))]
        own = "m" if units else unit
        try:
            size = parse_length_ft(one, own), parse_length_ft(other, own)
        except BadValue:
            continue
        if min(size) >= _LEAST_FT:
            found.append(size)
    return tuple(found)


def without(text: str, *what: str) -> str:
    """A text without its sizes, estimate, day, or price, as far as named in `what`."""
    patterns = {"size": _SIZE, "estimate": _ESTIMATE, "day": DAY, "price": _PRICE, "per sf": _PER_SF}
    for name in what:
        text = patterns[name].sub(" ", text)
    return text


def areas_in(text: str) -> tuple[float, ...]:
    """Areas in square feet; a price per square foot is none."""
    return tuple(float(match["sf"].replace(",", "")) for match in _AREA.finditer(_PER_SF.sub(" ", text)))


def per_sf_in(text: str) -> tuple[Decimal, ...]:
    """Prices per square foot, also where several share the words: `$47.31 and $55.38 per sf`."""
    match = _PER_SF.search(text)
    if match is None:
        return ()
    return tuple(_exact(one) for one in _PRICE.findall(text[: match.end()]))


def estimate_in(text: str) -> Decimal | None:
    """The owner's estimate where a text states it: `estimate $58,000`."""
    match = _ESTIMATE.search(text)
    return _exact(match["usd"]) if match else None


def says_no_bid(text: str) -> bool:
    """The supplier was asked and gave no price."""
    return bool(_NO_BID.search(text)) or text.strip().lower() in cells.NO_BID


def no_bid_at(text: str) -> int | None:
    """Where in a text the word of no bid begins; None if it is not said."""
    match = _NO_BID.search(text)
    return match.start() if match else (0 if text.strip().lower() in cells.NO_BID else None)


def is_own_cost(text: str) -> bool:
    """The words speak of what the owner's own crew does or costs."""
    return bool(_OWN.search(text))


def own_work(text: str) -> str:
    """What the owner's crew does, without the words that name the crew, the amount, and words such as “about”."""
    return _LITTLE_WORDS.sub(" ", without(_OWN.sub(" ", text), "price"))


def without_words_of_money(text: str) -> str:
    """A price without `USD`, `dollars`, `lump sum` and the marks of a footnote beside it."""
    return _WORDS_OF_MONEY.sub("", text).strip().rstrip("*†^ ")


def names_unit(text: str) -> bool:
    """Whether a unit of length stands in a text."""
    return bool(re.search(rf"(?<![a-z]){_UNIT}|\"", text, re.I))


def names_a_job(text: str) -> bool:
    """Whether a line may head a job: it names a road, a stream, a bridge, a size or an estimate."""
    told = sizes_in(text) or bridges_in(text) or structure_in(text) or estimate_in(text)
    return bool(told) or bool(_PLACE.search(text))


def bridges_in(text: str) -> int | None:
    """How many bridges one price is for, where the text says two or more."""
    match = _BRIDGES.search(text)
    if match is None:
        return None
    count = int(match["count"]) if match["count"].isdigit() else _HOW_MANY[match["count"].lower()]
    return count if count > 1 else None


def structure_in(text: str) -> str | None:
    """The number after the word structure or bridge: `Bridge No. K-117`."""
    match = _STRUCTURE.search(text)
    return match["id"] if match else None


def day_in(text: str) -> str | None:
    """The first day of the calendar a text holds, as written."""
    match = DAY.search(text)
    return match[0] if match else None


def shares(total: Decimal, areas: Sequence[float]) -> tuple[Decimal, ...]:
    """A lump sum parted by deck area, to the cent; the cents left over go to the largest remainders."""
    cents = int(total * 100)
    exact = [cents * area / sum(areas) for area in areas]
    parts = [int(share) for share in exact]
    order = sorted(range(len(areas)), key=lambda at: parts[at] - exact[at])
    for at in order[: cents - sum(parts)]:
        parts[at] += 1
    return tuple(Decimal(part) / 100 for part in parts)
