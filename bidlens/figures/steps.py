"""From the letter's price to a comparable one, read downward like a take-off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, Trace, bar
from bidlens.figures.scope import scope_words
from bidlens.figures.theme import CAPTION, LABEL, NARROW, Palette, apply_theme, axis_title, empty_figure

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck

ROW, LEFT = 56, 296
_LABEL_WIDTH = 34


@dataclass(frozen=True, slots=True)
class Step:
    """One bar: from `start` to `end`, $/sf; `note` is its source in small words."""

    what: str
    note: str
    start: float
    end: float
    role: str  # quoted, added, taken off, total

    @property
    def amount(self) -> float:
        return self.end - self.start


def steps_of(check: ProposalCheck) -> list[Step]:
    """Quoted price, each adjustment where the one before ended, and the total."""
    date = check.proposal.date
    letter = f"letter of {wording.day(date)}" if date else "the letter"
    steps = [Step(f"Quoted: {scope_words(check.proposal.scope)}", letter, 0.0, check.quoted_per_sf, "quoted")]
    for item in check.adjustments:
        start = steps[-1].end
        role = "added" if item.per_sf >= 0 else "taken off"
        steps.append(Step(item.what, _note(item), start, start + item.per_sf, role))
    return [*steps, Step("Like for like", "", 0.0, check.like_for_like_per_sf, "total")]


def _note(item: object) -> str:
    """“n = 17, middle half 29–41” where the amount comes from contracts, else its source."""
    n, low, high = getattr(item, "n", None), getattr(item, "low_per_sf", None), getattr(item, "high_per_sf", None)
    source = words.escape(getattr(item, "source", ""), 60)
    if not n:
        return source
    if words.is_number(low) and words.is_number(high):
        return f"n = {n}, middle half {wording.half_up(float(low))}–{wording.half_up(float(high))}"  # type: ignore[arg-type]
    return f"n = {n}, {source}" if source else f"n = {n}"


def like_for_like_steps(check: ProposalCheck, history: pd.DataFrame, palette: Palette) -> go.Figure:
    """Horizontal bars from zero: quoted hollow, additions in the band's color, deductions hatched, total solid.

    history : HISTORY rows of the check's basis, for the source line.
    """
    if not words.is_number(check.like_for_like_per_sf):
        return empty_figure("The offer could not be brought to this basis, so there are no steps to draw.", palette)
    steps = steps_of(check)
    amounts = printed_amounts(steps)
    figure = Drawing([_bars(steps, palette)])
    for row, step in enumerate(steps):
        _row_words(figure, row, step, amounts[row], palette)
        if row + 1 < len(steps):
            figure.add_shape(
                type="line",
                x0=step.end,
                x1=step.end,
                y0=row + 0.22,
                y1=row + 0.78,
                line={"color": palette.soft, "width": 1, "dash": "dot"},
            )
    reach = max(max(step.start, step.end) for step in steps)
    figure.update_xaxes(range=[0, reach * 1.1], tickprefix="$", nticks=5, title=axis_title("$ per sf of deck"))
    figure.update_yaxes(range=[len(steps) - 0.5, -0.5], visible=False)
    figure.update_layout(bargap=0.56, barmode="overlay")
    caption = words.caption_lines(_caption(check, history), NARROW - 8)
    return apply_theme(figure, palette, plot_height=ROW * len(steps), caption=caption, left=LEFT, right=16, top=8)


def _bars(steps: list[Step], palette: Palette) -> Trace:
    fill = {"quoted": palette.paper, "added": palette.band50, "taken off": palette.paper, "total": palette.flag}
    edge = {"quoted": palette.flag, "added": palette.own, "taken off": palette.own, "total": palette.ink}
    return bar(
        y=list(range(len(steps))),
        base=[step.start for step in steps],
        x=[step.amount for step in steps],
        orientation="h",
        marker={
            "color": [fill[step.role] for step in steps],
            "line": {
                "color": [edge[step.role] for step in steps],
                "width": [2 if step.role == "quoted" else 1.2 for step in steps],
            },
            "pattern": {
                "shape": ["/" if step.role == "taken off" else "" for step in steps],
                "fgcolor": palette.own,
                "size": 5,
            },
        },
        hoverinfo="skip",
        name="steps",
    )


def printed_amounts(steps: list[Step]) -> list[str]:
    """Each step's amount as printed, in a column that adds up on paper."""
    quoted, *between, total = [step.amount for step in steps]
    return wording.adding_up(quoted, between, total)


def _row_words(figure: Drawing, row: int, step: Step, amount: str, palette: Palette) -> None:
    total = step.role == "total"
    lines = words.wrapped(step.what, _LABEL_WIDTH)
    text = "<br>".join(words.escape(line) for line in lines)
    text = f"<b>{text}</b>" if total else text
    if step.note:
        note = "<br>".join(words.wrapped(step.note, 38, most=2 if len(lines) == 1 else 1))
        text += f'<br><span style="font-size:{CAPTION}px;color:{palette.soft}">{note}</span>'
    for said, shift, color in (
        (text, -86, palette.ink),
        (f"<b>{amount}</b>" if total else amount, -12, palette.flagtext if total else palette.ink),
    ):
        figure.add_annotation(
            x=0,
            xref="paper",
            y=row,
            text=said,
            showarrow=False,
            xanchor="right",
            yanchor="middle",
            xshift=shift,
            align="right",
            font={"size": LABEL, "color": color},
        )


def _caption(check: ProposalCheck, history: pd.DataFrame) -> list[str]:
    date = check.proposal.date
    letter = f"letter of {wording.day(date)}" if date else "the letter"
    return [
        words.basis_words(check.basis),
        words.dollars_words(check.dollars_of),
        "n beside each step",
        f"source: {letter}; bid tabs {words.years(history['letting_date'])}".rstrip(),
    ]
