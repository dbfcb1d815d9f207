"""The answer in words: where an offer stands among what lettings like it would cost, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from bidlens import wording

#: First words of each verdict. A price is placed, not graded.
VERDICT_WORDS = {
    "well_below_usual": "Well below usual",
    "below_usual": "Below usual",
    "usual": "Usual",
    "above_usual": "Above usual",
    "well_above_usual": "Well above usual",
    "not_enough_history": "Not enough history to say",
}
SURE = {"A": "well supported", "B": "supported", "C": "thin", "D": "too thin to judge"}
_NOUNS = ("beam", "i-beam", "girder", "slab", "structure", "arch", "truss", "culvert", "bridge", "frame")


@dataclass(frozen=True, slots=True)
class Verdict:
    """code : one of VERDICT_WORDS. text : the answer. support : n, how sure, over what period."""

    code: str
    text: str
    support: str


@dataclass(frozen=True, slots=True)
class Standing:
    """What the sentences are made of. Money in $/sf of the base quarter.

    expected : p10, p25, p50 and p90 among others; None where the model gives none.
    percentile : 0 to 1, None where declined. thin : grade C, or fewer than 12 priced structures.
    gap : what the letter leaves out that our prices hold and do not show alone, such as "setting".
    declined : why nothing is said of the price, as a sentence; empty where it is.
    """

    supplier: str
    kind: str
    offer_per_sf: float
    expected: dict[str, float] | None
    percentile: float | None
    grade: str
    thin: bool
    contracts: int
    same_type: int
    first_year: int | None
    last_year: int | None
    gap: tuple[str, ...] = ()
    declined: str = ""


def verdict_code(percentile: float | None) -> str:
    """The verdict for a share of like lettings that would come in lower; None is not enough history.

    Usual is the middle 8 in 10.
    """
    if percentile is None:
        return "not_enough_history"
    for code, within in (
        ("well_below_usual", percentile < 0.05),
        ("below_usual", percentile < 0.10),
        ("usual", percentile <= 0.90),
        ("above_usual", percentile <= 0.95),
    ):
        if within:
            return code
    return "well_above_usual"


def word_verdict(standing: Standing) -> Verdict:
    """The answer sentence and the line of support under it."""
    code = verdict_code(None if standing.declined else standing.percentile)
    if code == "not_enough_history" or standing.expected is None:
        text = f"{VERDICT_WORDS['not_enough_history']}. {standing.declined}"
        return Verdict("not_enough_history", text, _basis_of_knowledge(standing))
    text = _thin_answer(code, standing) if standing.thin else _answer(code, standing)
    return Verdict(code, text, f"{_chance(standing)}{_scatter(standing)}. {_basis_of_knowledge(standing)}")


def possessive(name: str) -> str:
    """Harrier Steel's; Harrier Steel Works’ for a name that ends in s."""
    return f"{name}’" if name.endswith(("s", "S")) else f"{name}’s"


def type_words(kind: str) -> str:
    """A superstructure type as a thing one can let: rolled steel beam; timber bridge."""
    last = kind.split()[-1].lower() if kind.split() else ""
    return kind if last in _NOUNS else f"{kind} bridge".strip()


def _offer_words(standing: Standing) -> str:
    """The offer like for like, or but for what the letter leaves out."""
    scope = f"like for like but for {' and '.join(standing.gap)}" if standing.gap else "like for like"
    return f"{scope}, {possessive(standing.supplier)} offer is {wording.per_sf(standing.offer_per_sf)}"


def _answer(code: str, standing: Standing) -> str:
    offer = _offer_words(standing)
    middle = f"the {wording.per_sf(_middle(standing))} we would expect for this bridge"
    return f"{VERDICT_WORDS[code]}. {offer[0].upper()}{offer[1:]}, {_against(standing, middle)}."


def _thin_answer(code: str, standing: Standing) -> str:
    """Thin history: the range before the point."""
    expected = standing.expected or {}
    usual = f"Between {wording.usd(expected['p10'])} and {wording.per_sf(expected['p90'])} would be usual"
    offer = _offer_words(standing)
    middle = f"the middle of {wording.per_sf(_middle(standing))}"
    return f"{VERDICT_WORDS[code]}, from thin history. {usual}; {offer}, {_against(standing, middle)}. Indicative only."


def _middle(standing: Standing) -> float:
    return standing.expected["p50"] if standing.expected else float("nan")


def _against(standing: Standing, middle: str) -> str:
    """11% above the middle; level with it where the difference rounds to nothing."""
    percent = 100 * (standing.offer_per_sf / _middle(standing) - 1)
    size = wording.number(abs(percent))
    if size == "0":
        return f"level with {middle}"
    return f"{size}% {'above' if percent > 0 else 'below'} {middle}"


def _chance(standing: Standing) -> str:
    count = wording.chances(standing.percentile if standing.percentile is not None else float("nan"))
    return f"{count[0].upper()}{count[1:]} lettings like this one would come in lower"


def _scatter(standing: Standing) -> str:
    """Said where the offer lies in the middle half: such a difference is noise."""
    expected = standing.expected or {}
    inside = expected and expected["p25"] <= standing.offer_per_sf <= expected["p75"]
    return "; the difference is within the ordinary scatter of lettings" if inside else ""


def _basis_of_knowledge(standing: Standing) -> str:
    """From 19 rolled steel beam contracts, helped by 50 of other types, let 2012–2025: well supported."""
    if not standing.contracts:
        return "Nothing on record has a price on this basis."
    others = standing.contracts - standing.same_type
    if not standing.same_type:
        parts = [f"None of this type on record; {wording.count(others, 'contract')} of other types"]
    else:
        parts = [f"From {wording.count(standing.same_type, f'{standing.kind} contract')}"]
        parts += [f"helped by {others:,} of other types"] if others else []
    if standing.first_year is not None:
        years = {standing.first_year, standing.last_year}
        parts.append(f"let {'–'.join(str(year) for year in sorted(year for year in years if year is not None))}")
    return f"{', '.join(parts)}: {SURE[standing.grade]}."
