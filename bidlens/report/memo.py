"""The memo for the bridge file: one printed page of HTML a proposal, or a workbook with the working.

The page is self-contained: inline SVG, no script, nothing fetched.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from bidlens import quarters
from bidlens.errors import BadValue
from bidlens.findings import worst_first
from bidlens.report.answers import CAUTION, records, steps
from bidlens.report.place_svg import place_svg
from bidlens.report.terminal import MARKS
from bidlens.report.workbook import write_workbook
from bidlens.wording import day, number, percent, usd

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck

SURE = {"A": "well supported (A)", "B": "supported (B)", "C": "thin (C)", "D": "too thin to judge (D)"}

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
"""


def write_report(checks: Sequence[ProposalCheck], path: Path, sources: str) -> None:
    """Write the checks as a memo (.html) or as a workbook with the working (.xlsx).

    sources : the record's stamp line, printed at the foot.
    Raises BadValue for another ending or a place that cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in (".html", ".htm", ".xlsx"):
        raise BadValue(f"cannot write a report as “{path.name}”", do="End the file name in .html or .xlsx.")
    try:
        if ending == ".xlsx":
            write_workbook(path, working_sheets(checks), [*(check.verdict.text for check in checks), sources, CAUTION])
        else:
            path.write_text(memo_html(checks, sources), encoding="utf-8")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error


def memo_html(checks: Sequence[ProposalCheck], sources: str) -> str:
    """One self-contained page with a memo for each check."""
    memos = "".join(_memo(check, sources) for check in checks)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Proposal check</title>'
        f"<style>{PRINT_STYLE}</style></head><body>{memos}</body></html>"
    )


def _memo(check: ProposalCheck, sources: str) -> str:
    parts = [
        '<article class="memo"><p class="question">Is this price usual?</p>',
        f'<h1 class="answer">{_answer(check.verdict.text)}</h1><p class="support">{escape(check.verdict.support)}</p>',
        _title_block(check),
        place_svg(check),
        f'<div class="two"><section><h2>From the letter to a comparable price</h2>{_steps(check)}</section>',
        f"<section><h2>Closest past contracts</h2>{_comparables(check)}</section></div>",
        _findings(check),
        f'<p class="caution">{escape(CAUTION)}</p>',
        '<p class="signed">Reviewed by <span></span> Date <span></span></p>',
        f"<footer>{escape(sources)} · {escape(check.proposal.proposal_id)}</footer></article>",
    ]
    return "".join(parts)


def _answer(text: str) -> str:
    """The answer sentence, its verdict and its prices in bold."""
    verdict, stop, rest = text.partition(". ")
    prices = re.sub(r"\$[\d,]+(/sf)?", lambda found: f"<b>{found[0]}</b>", escape(rest))
    return f"<b>{escape(verdict)}{stop.strip()}</b> {prices}"


def _title_block(check: ProposalCheck) -> str:
    offer = check.proposal
    cells = (
        ("Bridge", offer.structure or "geometry of the letter"),
        ("Offered", f"{offer.superstructure}, {offer.supplier}"),
        ("Deck area", f"{number(check.deck_area_sf)} sf"),
        ("Basis", f"{check.basis}, in place"),
        ("Dollars of", quarters.shown(check.dollars_of)),
        ("History", f"{check.history.same_type} of this type, {check.history.contracts} in all · {SURE[check.grade]}"),
    )
    body = "".join(f"<div><span>{key}</span>{escape(value)}</div>" for key, value in cells)
    return f'<div class="block">{body}</div>'


def _row(cells: Sequence[str], numeric: str, kind: str = "") -> str:
    columns = "".join(
        f'<td class="n">{escape(cell)}</td>' if side == "r" else f"<td>{escape(cell)}</td>"
        for cell, side in zip(cells, numeric, strict=True)
    )
    return f'<tr class="{kind}">{columns}</tr>' if kind else f"<tr>{columns}</tr>"


def _steps(check: ProposalCheck) -> str:
    *lines, total = steps(check)
    rows = [_row((f"{what} ({source})", amount), "lr") for what, amount, source in lines]
    rows.append(_row(total[:2], "lr", "total"))
    return f'<table><thead><tr><th>step</th><th class="n">$/sf</th></tr></thead><tbody>{"".join(rows)}</tbody></table>'


def _comparables(check: ProposalCheck) -> str:
    if check.comparables.empty:
        return '<p class="soft">none on record</p>'
    rows = [
        (
            r.contract_id,
            day(r.letting_date),
            r.superstructure,
            usd(r.unit_cost),
            usd(r.comparable),
            percent(r.offer_ratio),
        )
        for r in records(check.comparables)
    ]
    words = "".join(f"<th>{title}</th>" for title in ("contract", "let", "type"))
    numbers = "".join(f'<th class="n">{title}</th>' for title in ("as bid", "comparable", "offer is"))
    body = "".join(_row(row, "lllrrr") for row in rows)
    return f"<table><thead><tr>{words}{numbers}</tr></thead><tbody>{body}</tbody></table>"


def _findings(check: ProposalCheck) -> str:
    return "".join(
        f'<p class="finding"><b>{MARKS[f.severity]}</b> {escape(f.text)} <span class="soft">{escape(f.do)}</span></p>'
        for f in worst_first(check.findings)[:3]
    )


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
