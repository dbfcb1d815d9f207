"""A program list held against the cost record: read the list, price it, forecast the year. Asked through `workflow`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from bidlens import ingest, program, quarters, wording
from bidlens.database import Database, PricedHistory
from bidlens.errors import BadValue, NotEnoughHistory
from bidlens.findings import Finding, worst_first
from bidlens.program.forecast import BASES, RUNS, SEED
from bidlens.program.mobilization import MobilizationShare, mobilization_share
from bidlens.program.rotation import SERVICE_LIFE_YEARS
from bidlens.program.sizes import AS_PRESENT, Growth

#: Said of the list by `program.plan_program` too, there with the bridge's name.
_SAID_AGAIN = ("unknown_superstructure", "superstructure_not_stated")


def read_program(path: str | Path, name: str | None = None) -> tuple[pd.DataFrame, list[Finding]]:
    """The bridges of a program list (CSV or workbook) and the doubts met in reading it. Nothing is stored."""
    batch = ingest.read_file(Path(path), "program", name=name)
    findings = [finding for finding in batch.findings if finding.code not in _SAID_AGAIN]
    if len(batch.set_aside):
        reasons = "; ".join(batch.set_aside["reason"].unique()[:3])
        text = f"{wording.count(len(batch.set_aside), 'row')} of {batch.source_file} set aside: {reasons}."
        findings.append(Finding("rows_set_aside", "check", text, "Correct the rows; they are not in the total."))
    return batch.tables["program_bridge"], findings


def forecast_program(
    db: Database,
    bridges: pd.DataFrame | str | Path,
    *,
    year: int,
    years: int = 1,
    budget_usd: float | Sequence[float] | None = None,
    carries_over: bool = True,
    basis: str = "contract",
    mobilization: bool = False,
    contingency_ratio: float = 0.0,
    growth: Growth = AS_PRESENT,
    service_life_years: tuple[float, float] = SERVICE_LIFE_YEARS,
    runs: int = RUNS,
    seed: int = SEED,
    index_name: str | None = None,
    priced: PricedHistory | None = None,
) -> program.ProgramForecast:
    """What the bridges to be let in one year or several will cost, how sure, and how many the budget covers.

    bridges : the path of a program list, or a frame with structure_id and superstructure, and where known priority,
        length_ft, width_ft, spans, skew_deg, letting_date and costs beside the contract (`program.FIXED_COSTS`).
    years : 1 to 6 letting years from `year` on. budget_usd : dollars a year, one amount or one for each year.
    carries_over : money not spent in one year is there in the next.
    basis : "contract" (all work, mobilization included) or "bridge"; mobilization adds it to bridge items.
    contingency_ratio : 0.10 adds 10 %. growth : of bridges without a planned size.
    service_life_years : shorter and longer life to hold the pace of replacement against; the user's assumption.
    priced : a history already computed on this basis (and with mobilization, where asked for), to save the work.
    Raises BadValue for what cannot be forecast, NotEnoughHistory below four priced structures.
    """
    if basis not in BASES:
        raise BadValue(f"a program cannot be priced on the {basis} basis", do=f"Use one of: {', '.join(BASES)}.")
    frame, findings = (bridges, []) if isinstance(bridges, pd.DataFrame) else read_program(bridges)
    if mobilization and basis != "bridge":
        raise BadValue("mobilization is in the contract basis already", do="Use the bridge basis, or leave it out.")
    priced = priced or db.price_history(basis, index_name=index_name, include_mobilization=mobilization)
    if priced.model is None:
        raise NotEnoughHistory(str(priced.no_model), do="Import bid tabs and the structure list first.")
    inventory, lettings = db.structures(), priced.frame["letting_date"]
    plan = program.plan_program(
        frame,
        inventory,
        year,
        first_letting=lettings.min().date(),
        last_published=quarters.quarter_of(lettings.max()) if priced.index.is_none else priced.index.last_published,
        contingency_ratio=contingency_ratio,
        growth=growth,
        years=years,
    )
    pace = program.rotation_of(inventory, _replaced(db), year, service_life_years, len(plan.frame) / years)
    found = program.forecast(
        plan, priced.history, priced.model, priced.index, pace, budget_usd=budget_usd, carries_over=carries_over,
        mobilization=_mobilization(db, priced, index_name) if mobilization else None, runs=runs, seed=seed,
    )  # fmt: skip
    doubts = [*found.findings, *findings, *db.index_findings(priced.index)]
    return replace(found, findings=tuple(worst_first(doubts)))


def _mobilization(db: Database, priced: PricedHistory, index_name: str | None) -> MobilizationShare | None:
    """What mobilization adds to the bridge items of the history used."""
    return mobilization_share(priced.frame, db.price_history("bridge", index_name=index_name).frame)


def _replaced(db: Database) -> pd.DataFrame:
    """Bridges let: structure_id and letting_date, that of the contract where the structure list states none.

    Contracts of which all bids were rejected bought nothing.
    """
    let = db.lettings().query("status != 'rejected'").groupby("contract_id")["letting_date"].max()
    bridges = db.structures().query("contract_id != ''")
    stated = bridges["letting_date"].fillna(bridges["contract_id"].map(let))
    return bridges[["structure_id"]].assign(letting_date=stated)[bridges["contract_id"].isin(let.index)]
