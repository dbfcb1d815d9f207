"""What `bidlens forecast` says in a terminal: the answer first, then the list with its running total and cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bidlens import wording
from bidlens.program import words, year_words
from bidlens.report import program_tables as tables
from bidlens.report.terminal import WIDTH, findings_text, paragraph, plain, table

if TYPE_CHECKING:
    from bidlens.program import ProgramForecast

CAUTION = (
    "A forecast describes past bids and a past index: prices rose by more than any range of it in 2021–23. Service "
    "lives are your assumption; a 75-year design life is a load basis, not an expected life. The choice of a type is "
    "for a licensed engineer under the owner's standards and local codes."
)
HEAD = ("", "bridge", "planned type", "let", "span ft", "deck sf", "middle", "P80", "P10 to P90", "how sure")


def forecast_answer(found: ProgramForecast) -> str:
    """The whole answer as text."""
    parts = [
        paragraph(words.answer(found)),
        paragraph(words.support(found)),
        paragraph(about(found)),
        *_years(found),
        f"\n{_title(found)}\n{_bridges(found)}",
        "\nDo not add the P80 column: bridges rarely all come in high. The running total is of the whole list.",
        "",
        _total(found),
        *(paragraph(text) for text in words.budget_words(found)),
        *_alternatives(found),
        *_changes(found),
        "",
        paragraph(words.drivers_words(found)),
        *_pace(found),
        "",
        findings_text(found.findings),
        "",
        paragraph(CAUTION),
    ]
    return "\n".join(parts)


def about(found: ProgramForecast) -> str:
    """n, basis, dollars-of, index, draws, in one line."""
    area = wording.number(float(found.structures["deck_area_sf"].sum()))
    years = f"{found.first_year}–{found.last_year}"
    return (
        f"{wording.count(len(found.structures), 'bridge')}, {area} sf of deck · {found.basis} basis · "
        f"n = {wording.count(found.contracts, 'contract')}, {years} · index: {found.index_title}, growth "
        f"{words.growth_words(found)} · {found.runs:,} draws, seed {found.seed}"
    )


def _title(found: ProgramForecast) -> str:
    return f"Bridge by bridge, in your order\n{'─' * WIDTH}"


def bridge_rows(found: ProgramForecast) -> list[tuple[str, ...]]:
    """One row a bridge: place, number, type, letting, span, deck, middle, P80, P10 to P90, grade, running P80, cut."""
    rows = []
    for place, row in enumerate(found.structures.to_dict("records"), start=1):
        sure = row["grade"] if row["grade"] in "AB" else f"{row['grade']}, {words.SURE[row['grade']]}"
        rows.append(
            (
                str(place),
                row["structure_id"],
                row["superstructure"],
                wording.month(row["letting_date"]),
                "not known" if row["span_ft"] != row["span_ft"] else wording.number(row["span_ft"]),
                wording.number(row["deck_area_sf"]),
                words.rounded(row["p50"]),
                words.rounded(row["p80"]),
                f"{words.rounded(row['p10'])} to {words.rounded(row['p90'])}",
                sure,
                words.rounded(row["running_p80"]),
                *([fits(found, place)] if found.budget else []),
            )
        )
    return rows


def fits(found: ProgramForecast, place: int) -> str:
    """“fits” down to the last bridge the budget covers with 80 chances of 100, “over” below."""
    return "fits" if found.budget and place <= found.budget.covered[80] else "over"


def heads(found: ProgramForecast) -> tuple[str, ...]:
    """Heads of `bridge_rows`."""
    cut = (words.millions(found.budget.usd, short=True),) if found.budget else ()
    return (*HEAD, "running P80", *cut)


def _bridges(found: ProgramForecast) -> str:
    return table(heads(found), bridge_rows(found), "rlllrrrrrlrl"[: len(heads(found))])


def _total(found: ProgramForecast) -> str:
    total = found.total
    head = ("whole list", "P10", "middle", "P80", "P90", "mean", "P80 more draws would move by less than")
    values = [words.rounded(value) for value in (total.p10, total.p50, total.p80, total.p90, total.mean)]
    return plain_table(head, [("", *values, f"± {words.rounded(found.p80_error)}")])


def _years(found: ProgramForecast) -> list[str]:
    """The years, and what was moved; nothing for a single year."""
    if found.schedule is None:
        return []
    years = table(tables.YEAR_HEADS, tables.year_rows(found), tables.YEAR_SIDES)
    bridges = table(tables.LETTING_HEADS, tables.letting_years(found), tables.LETTING_SIDES)
    return [
        f"\nYear by year, in dollars of each letting\n{'─' * WIDTH}\n{years}",
        "",
        *(paragraph(text) for text in year_words.schedule_words(found)),
        "",
        bridges,
    ]


def _alternatives(found: ProgramForecast) -> list[str]:
    if found.alternatives.empty:
        return []
    rows = table(tables.ALTERNATIVE_HEADS, tables.alternative_rows(found), tables.ALTERNATIVE_SIDES)
    said = [paragraph(text) for text in year_words.alternatives_words(found.alternatives)]
    return [f"\nAlternatives of type, in the same futures\n{'─' * WIDTH}\n{rows}", *said]


def _changes(found: ProgramForecast) -> list[str]:
    """What one change does to the total, against the same futures."""
    parts = []
    for head, rows, sides in tables.changes_parted(found):
        parts += [table(head, rows, sides), ""]
    return [f"\nWhat changing one bridge does to the whole list, in the same futures\n{'─' * WIDTH}", *parts[:-1],
            paragraph(year_words.waiting_words(found))]  # fmt: skip


def _pace(found: ProgramForecast) -> list[str]:
    said = [words.rotation_words(found.rotation), *year_words.pace_words(found)]
    rows = tables.pace_rows(found)
    return [
        *(paragraph(text) for text in said),
        *(["", table(tables.PACE_HEADS, rows, tables.PACE_SIDES)] if rows else []),
    ]


def plain_table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """A table of numbers."""
    return table(head, rows, "lrrrrrr")


def written(path: object) -> str:
    """What was written where."""
    return f"Written: {plain(path)}"
