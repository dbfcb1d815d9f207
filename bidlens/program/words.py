"""The forecast in sentences: the answer first, then what it is and how sure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bidlens import quarters, wording
from bidlens.findings import Unavailable

if TYPE_CHECKING:
    from bidlens.program.forecast import ProgramForecast
    from bidlens.program.rotation import Rotation
    from bidlens.program.schedule import Schedule

_WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
SURE = {"A": "well supported", "B": "supported", "C": "thin", "D": "too thin to judge"}


def millions(usd: float, short: bool = False) -> str:
    """“$6.1 million” (or “$6.1 M”); below a million to the nearest $10,000."""
    if abs(usd) < 999_500:
        return rounded(usd)
    return f"{wording.usd(usd / 1e6, 1)} {'M' if short else 'million'}"


def rounded(usd: float) -> str:
    """A forecast in dollars to the nearest $10,000; small ones to the nearest $1,000."""
    step = 10_000 if abs(usd) >= 100_000 else 1_000
    return wording.usd(float(wording.half_up(usd / step)) * step)


def in_words(n: int) -> str:
    """one to twelve as words, larger as figures."""
    return _WORDS[n] if n < len(_WORDS) else f"{n:,}"


def chances_of_100(probability: float) -> str:
    """“65 chances of 100”, to the nearest 5."""
    return wording.chances(probability).replace("about ", "").replace(" in 100", " chances of 100")


def answer(found: ProgramForecast) -> str:
    """The answer sentence."""
    if found.schedule:
        return schedule_answer(found, found.schedule)
    n = len(found.structures)
    bridges = "The one bridge" if n == 1 else f"The {in_words(n)} bridges"
    unknown = found.structures[found.structures["grade"] == "D"]
    thin = ""
    if len(unknown):
        some = unknown["structure_id"].iloc[0] if len(unknown) == 1 else f"{in_words(len(unknown))} of them"
        thin = f", {some} on history too thin to judge"
    first = f"{bridges} will most likely cost about {millions(found.total.p50)}{thin}."
    if found.budget is None:
        cost = "it costs" if n == 1 else "they cost"
        return f"{first} With 80 chances of 100 {cost} less than {millions(found.total.p80)}."
    covered = found.budget.covered[80]
    reach = f", the first {in_words(covered)} in 80"
    if covered in (0, n):
        reach = f"; with 80 it covers {'them all' if covered else 'none of them'}"
    return (
        f"{first} The budget of {millions(found.budget.usd)} covers {'it' if n == 1 else 'them'} in "
        f"{chances_of_100(found.budget.chance_covers)}{reach}."
    )


def schedule_answer(found: ProgramForecast, laid_out: Schedule) -> str:
    """The answer sentence of a program of several years."""
    n, listed = len(found.structures), len(laid_out.bridges)
    years = f"From {found.year} to {found.plan.last_year}"
    cost = millions(found.total.p50)
    if found.budget is None:
        return (
            f"{years} the {in_words(n)} bridges will most likely cost about {cost}. With 80 chances of 100 they cost "
            f"less than {millions(found.total.p80)}."
        )
    which = f"all {in_words(n)} bridges" if n == listed else f"{in_words(n)} of the {in_words(listed)} bridges"
    last = laid_out.years["chance_covers"].min()
    return (
        f"{years} {budgets_words(laid_out)} lets {which}, most likely for about {cost}. The money of each year covers "
        f"what is let in it in {chances_of_100(float(last))} or more."
    )


def budgets_words(laid_out: Schedule) -> str:
    """“$1.8 million a year”, or “$7.0 million over 4 years”."""
    each = laid_out.years["budget_usd"]
    if each.nunique() == 1:
        return f"{millions(float(each.iloc[0]))} a year"
    return f"{millions(float(each.sum()))} over {len(each)} years"


def support(found: ProgramForecast) -> str:
    """The second line: P80, what the dollars are, what is in the doubt."""
    what = "Whole contracts, mobilization included" if found.basis == "contract" else "Bridge items only"
    what = "Bridge items and mobilization" if found.mobilization else what
    p80 = millions(found.total.p80, short=True)
    ahead = " Doubt in the index forecast is included." if found.index_growth else ""
    return f"P80 of the whole list: {p80}. {what}, in dollars of {dollars_words(found)}.{ahead}"


def dollars_words(found: ProgramForecast) -> str:
    """“2027 Q2”, or “each letting, 2027 Q1 to 2027 Q4”."""
    first, _, last = found.dollars_of.partition("-")
    return f"each letting, {quarters.shown(first)} to {quarters.shown(last)}" if last else quarters.shown(first)


def growth_words(found: ProgramForecast) -> str:
    """“3.9% a year, 1.0 to 6.9”."""
    growth = found.index_growth
    if growth is None:
        return "no index" if found.index_title.startswith("no cost index") else "published"
    middle, low, high = (wording.number(value * 100, 1) for value in (growth.per_year, growth.low, growth.high))
    return f"{middle}% a year, {low} to {high}"


def budget_words(found: ProgramForecast) -> list[str]:
    """How far the budget reaches, in sentences."""
    budget, names = found.budget, found.structures["structure_id"]
    if budget is None or found.schedule:
        return []
    reach = [
        f"{'none' if n == 0 else 'all' if n == len(names) else f'the first {in_words(n)}'} with {level} chances of 100"
        for level, n in budget.covered.items()
    ]
    said = [f"In your order {millions(budget.usd)} covers {'; '.join(reach)}."]
    if len(budget.by_priority) > budget.covered[80]:
        over = ", ".join(names.iloc[place] for place in budget.by_priority[budget.covered[80] :])
        said.append(f"Passing over what does not fit, {over} would fit too, with 80 chances of 100.")
    if len(budget.most_bridges) > len(budget.by_priority):
        said.append(f"Cheapest first, it would buy {in_words(len(budget.most_bridges))} bridges.")
    return said


def rotation_words(rotation: Rotation | Unavailable) -> str:
    """The pace against the inventory; steady state is called so."""
    if isinstance(rotation, Unavailable):
        return f"The pace of replacement is {rotation}."
    low, high = rotation.needed_per_year
    pace = wording.number(rotation.per_year, 1)
    years = rotation.implied_years
    served = "" if years is None else f" means each must serve {wording.number(years)} years"
    shorter, longer = (wording.number(life) for life in rotation.service_life_years)
    lives = f"{shorter} years" if shorter == longer else f"{shorter} to {longer} years"
    need = wording.number(low, 1) if low == high else f"{wording.number(low, 1)} to {wording.number(high, 1)}"
    return (
        f"{wording.count(rotation.inventory, 'bridge')} at {pace} a year ({rotation.first_year}–{rotation.last_year})"
        f"{served}; a service life of {lives} (your assumption) needs {need} a year in a steady state, as if ages were "
        "spread evenly."
    )


def drivers_words(found: ProgramForecast) -> str:
    """What the doubt comes from, strongest first."""
    parts = [
        f"{row['words']} ({wording.half_up(max(row['narrower'], 0) * 100)}%)"
        for row in found.drivers.to_dict("records")
    ]
    return f"How much narrower the range of the total would be if it were known: {', '.join(parts)}."
