"""The memo for the bridge file: one printed page of HTML a proposal, or a workbook with the working.

The page is self-contained: inline SVG, no script, nothing fetched.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from bidlens import quarters
from bidlens.errors import BadValue
from bidlens.findings import Finding, worst_first
from bidlens.report import by_hand
from bidlens.report.answers import CAUTION, records, steps
from bidlens.report.escaping import escape
from bidlens.report.memo_fit import cut, lines, rows_mm, zoom
from bidlens.report.place_svg import place_svg
from bidlens.report.terminal import MARKS
from bidlens.report.workbook import write_workbook
from bidlens.wording import count, month, number, percent, usd

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck

SURE = {"A": "well supported (A)", "B": "supported (B)", "C": "thin (C)", "D": "too thin to judge (D)"}

#: Findings printed; the rest stands in the working.
_FINDINGS = 3

PRINT_STYLE = """
@page { size: Letter; margin: 11mm 15mm }
body { font: 11pt/1.35 "Source Sans 3","Source Sans","Segoe UI","Helvetica Neue",Arial,"Nimbus Sans",sans-serif;
  color:#17262B; background:#fff; max-width:184mm; margin:8mm auto }
@media print { body { margin:0 } .memo { break-after:page } .memo:last-child { break-after:auto } }
.question { color:#4A5A60; font-weight:600; border-top:1.5px solid #17262B; padding-top:2mm; margin:0 }
.answer { font-weight:400; font-size:17pt; line-height:1.25; margin:1mm 0 }
.support { margin:0 0 3mm } h2 { font-size:11pt; margin:4mm 0 1mm }
.block { display:grid; grid-template-columns:repeat(3,1fr); border:1px solid #4A5A60 }
.block div { padding:1mm 2mm; border:.3px solid #C3CED0 } .block span { display:block; font-size:8.5pt; color:#4A5A60 }
.two { display:grid; grid-template-columns:45% 1fr; gap:6mm }
table { border-collapse:collapse; width:100%; font-size:9pt } thead { display:table-header-group }
th { text-align:left; font-weight:600; color:#4A5A60; border-bottom:1.5px solid #17262B; padding:.6mm 1mm }
td { border-bottom:.5px solid #E3E9EA; padding:.6mm 1mm; vertical-align:top } tr { break-inside:avoid }
.n { text-align:right; white-space:nowrap } .total td { border-top:1px solid #17262B; font-weight:700 }
.finding { background:#F3F6F6; border-left:4px double #17262B; padding:1mm 2mm; margin:1mm 0; font-size:9.5pt }
.soft,.caution,footer { color:#4A5A60; font-size:8.5pt }
.signed { display:flex; gap:12mm; margin-top:4mm; font-size:9.5pt }
.signed span { flex:1; border-bottom:.7px solid #17262B } footer { border-top:.7px solid #C3CED0; margin-top:3mm }
svg { width:100%; height:auto }
.compared h2 { margin-top:3mm } .compared section { break-inside:avoid }
.compared .lead { margin:0 0 .6mm; font-size:8.5pt; color:#4A5A60 }
.compared table { font-size:8pt } .compared .wide { font-size:7.6pt } .compared .soft { margin:.5mm 0 }
.falls { display:grid; grid-template-columns:1fr 1fr; gap:1mm 8mm; align-items:start }
.falls figure { margin:1mm 0; break-inside:avoid }
.falls figcaption { font-size:9pt; font-weight:600 }
"""


def write_report(
    checks: Sequence[ProposalCheck],
    path: Path,
    sources: str,
    front: str = "",
    more_sheets: Mapping[str, pd.DataFrame] | None = None,
) -> None:
    """Write the checks as a memo (.html) or as a workbook with the working (.xlsx).

    sources : the record's stamp line, printed at the foot. front, more_sheets : as `comparison_memo` makes them, to
    stand before the memos of several offers.
    Raises BadValue for another ending or a place that cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in (".html", ".htm", ".xlsx"):
        raise BadValue(f"cannot write a report as “{path.name}”", do="End the file name in .html or .xlsx.")
    try:
        if ending == ".xlsx":
            sheets = working_sheets(checks) | dict(more_sheets or {})
            write_workbook(path, sheets, [*(check.verdict.text for check in checks), sources, CAUTION])
        else:
            path.write_text(memo_html(checks, sources, front), encoding="utf-8")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error


def memo_html(checks: Sequence[ProposalCheck], sources: str, front: str = "") -> str:
    """One self-contained page with a memo for each check; front : an article before them."""
    memos = "".join(_memo(check, sources) for check in checks)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Proposal check</title>'
        f"<style>{PRINT_STYLE}</style></head><body>{front}{memos}</body></html>"
    )


def _memo(check: ProposalCheck, sources: str) -> str:
    """One page: printed smaller where names, steps or findings are many."""
    foot = cut(f"{sources} · {check.proposal.proposal_id}", 260)
    answer, support, drawn = cut(check.verdict.text, 420), cut(check.verdict.support, 420), place_svg(check)
    tall = 7.6 * lines(answer, 58) + 5.4 * lines(support, 88) + (41.0 if drawn else 0.0) + 4.2 * lines(foot, 110)
    tall += 58.0 + _block_mm(check) + _tables_mm(check) + _findings_mm(check)
    smaller = zoom(tall)
    style = "" if smaller == 1 else f' style="zoom:{smaller}"'
    parts = [
        f'<article class="memo"{style}><p class="question">Is this price usual?</p>',
        f'<h1 class="answer">{_answer(answer)}</h1><p class="support">{escape(support)}</p>',
        _title_block(check),
        drawn,
        f'<div class="two"><section><h2>From the letter to a comparable price</h2>{_steps(check)}</section>',
        f"<section><h2>Closest past contracts</h2>{_comparables(check)}</section></div>",
        _findings(check),
        f'<p class="caution">{escape(CAUTION)}</p>',
        '<p class="signed">Reviewed by <span></span> Date <span></span></p>',
        f"<footer>{escape(foot)}</footer></article>",
    ]
    return "".join(parts)


def _block_mm(check: ProposalCheck) -> float:
    cells = [lines(value, 25) for _, value in _cells(check)]
    return sum(5.4 * max(cells[first : first + 3]) + 6.4 for first in (0, 3))


def _tables_mm(check: ProposalCheck) -> float:
    left = rows_mm([((words, 40),) for words, _ in _step_rows(check)])
    right = rows_mm([((row[0], 10), (row[2], 12)) for row in _comparable_rows(check)])
    below = by_hand.note_below(check.comparables)
    return max(left, right + (3.8 * lines(below, 62) if below else 0.0))


def _findings_mm(check: ProposalCheck) -> float:
    return sum(4.8 * lines(f"{one.text} {one.do}", 98) + 3.2 for one in _chosen(check.findings))


def _answer(text: str) -> str:
    """The answer sentence, its verdict and its prices in bold."""
    verdict, stop, rest = text.partition(". ")
    prices = re.sub(r"\$[\d,]+(/sf)?", lambda found: f"<b>{found[0]}</b>", escape(rest))
    return f"<b>{escape(verdict)}{stop.strip()}</b> {prices}"


def _cells(check: ProposalCheck) -> tuple[tuple[str, str], ...]:
    offer = check.proposal
    return (
        ("Bridge", cut(offer.structure or "geometry of the letter", 60)),
        ("Offered", f"{cut(offer.superstructure, 60)}, {cut(offer.supplier, 60)}"),
        ("Deck area", f"{number(check.deck_area_sf)} sf"),
        ("Basis", f"{check.basis}, in place"),
        ("Dollars of", quarters.shown(check.dollars_of)),
        ("History", f"{check.history.same_type} of this type, {check.history.contracts} in all · {SURE[check.grade]}"),
    )


def _title_block(check: ProposalCheck) -> str:
    body = "".join(f"<div><span>{key}</span>{escape(value)}</div>" for key, value in _cells(check))
    return f'<div class="block">{body}</div>'


def _row(cells: Sequence[str], numeric: str, kind: str = "") -> str:
    columns = "".join(
        f'<td class="n">{escape(cell)}</td>' if side == "r" else f"<td>{escape(cell)}</td>"
        for cell, side in zip(cells, numeric, strict=True)
    )
    return f'<tr class="{kind}">{columns}</tr>' if kind else f"<tr>{columns}</tr>"


def _step_rows(check: ProposalCheck) -> list[tuple[str, str]]:
    """What each step is and where it is from, and its amount; the last row is the total."""
    return [(cut(f"{what} ({source})" if source else what, 130), amount) for what, amount, source in steps(check)]


def _steps(check: ProposalCheck) -> str:
    *parts, total = _step_rows(check)
    rows = [*(_row(part, "lr") for part in parts), _row(total, "lr", "total")]
    return f'<table><thead><tr><th>step</th><th class="n">$/sf</th></tr></thead><tbody>{"".join(rows)}</tbody></table>'


def _comparable_rows(check: ProposalCheck) -> list[tuple[str, ...]]:
    return [
        (
            cut(r.contract_id, 20),
            month(r.letting_date),
            cut(r.superstructure, 40),
            by_hand.starred(usd(r.unit_cost), r.by_hand),
            usd(r.comparable),
            percent(r.offer_ratio),
        )
        for r in records(check.comparables)
    ]


def _comparables(check: ProposalCheck) -> str:
    if check.comparables.empty:
        return '<p class="soft">none on record</p>'
    words = "".join(f"<th>{title}</th>" for title in ("contract", "let", "type"))
    numbers = "".join(f'<th class="n">{title}</th>' for title in ("as bid", "comparable", "offer is"))
    body = "".join(_row(row, "lllrrr") for row in _comparable_rows(check))
    below = by_hand.note_below(check.comparables)
    note = f'<p class="soft">{escape(below)}</p>' if below else ""
    return f"<table><thead><tr>{words}{numbers}</tr></thead><tbody>{body}</tbody></table>{note}"


def _chosen(findings: Sequence[Finding]) -> list[Finding]:
    """The findings a page has room for, worst first; what the engineer left out is always among them."""
    ordered = worst_first(findings)
    own = [one for one in ordered if one.code == "left_out_by_you"]
    others = [one for one in ordered if one.code != "left_out_by_you"]
    return [*own, *others[: _FINDINGS - len(own)]]


def _findings(check: ProposalCheck) -> str:
    chosen = _chosen(check.findings)
    more = len(check.findings) - len(chosen)
    boxes = "".join(
        f'<p class="finding"><b>{MARKS[f.severity]}</b> {escape(cut(f.text, 420))} '
        f'<span class="soft">{escape(cut(f.do, 200))}</span></p>'
        for f in chosen
    )
    return boxes + (f'<p class="soft">{count(more, "more finding")} in the working.</p>' if more else "")


def working_sheets(checks: Sequence[ProposalCheck]) -> dict[str, pd.DataFrame]:
    """The working as frames: answers, steps, expected prices, closest contracts, findings; one row a thing."""
    name = [check.proposal.proposal_id for check in checks]
    answers = pd.DataFrame(
        [
            {
                "proposal": check.proposal.proposal_id,
                "supplier": check.proposal.supplier,
                "superstructure": check.proposal.superstructure,
                "verdict": check.verdict.text,
                "support": check.verdict.support,
                "quoted_usd": check.quoted_usd,
                "deck_area_sf": check.deck_area_sf,
                "basis": check.basis,
                "dollars_of": check.dollars_of,
                "quoted_per_sf": check.quoted_per_sf,
                "like_for_like_per_sf": check.like_for_like_per_sf,
                **{f"expected_{key}": value for key, value in (check.expected or {}).items()},
                "percentile": check.percentile,
                "grade": check.grade,
            }
            for check in checks
        ]
    )
    steps = pd.DataFrame(
        [
            {"proposal": check.proposal.proposal_id, "step": a.what, "per_sf": a.per_sf, "n": a.n, "source": a.source}
            for check in checks
            for a in check.adjustments
        ],
        columns=["proposal", "step", "per_sf", "n", "source"],
    )
    findings = pd.DataFrame(
        [
            {"proposal": check.proposal.proposal_id, **finding.as_dict()}
            for check in checks
            for finding in check.findings
        ]
    )
    closest = pd.concat(
        [check.comparables.assign(proposal=one) for one, check in zip(name, checks, strict=True)], ignore_index=True
    )
    return {"answers": answers, "steps": steps, "closest contracts": closest, "findings": findings}
