"""From an empty record to a first verdict: three steps, what is done, what is next; and the sample county."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import streamlit as st

from bidlens import workflow
from bidlens.dashboard import blocks, cache, words
from bidlens.dashboard.words import Html, esc
from bidlens.model.priors import ROWS_FOR_PREDICTION

RECORDS_PAGE = "pages/records.py"
IMPORTS, LINKS = "records?part=imports", "records?part=structures"
CHECK_TITLE = "Proposal check"
DONE, NEXT, LATER = "Done", "Next", "Then"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its state in a word, what there is or what to do, and where it is done if on another page."""

    title: str
    state: str
    text: str
    link: str = ""
    link_text: str = ""


def steps(contracts: int, linked: int, bridges: int, letters: int) -> list[Step]:
    """The three steps of a record with so many contracts, contracts with a structure, bridges listed and letters.

    A step is next when those before it are done. Four structures with a price give a first, rough answer.
    """
    enough, joined = contracts >= ROWS_FOR_PREDICTION, linked >= ROWS_FOR_PREDICTION
    first = f"{blocks.counted(contracts, 'contract')} on record." if contracts else "Any past bridge lettings will do."
    if not enough:
        first += f" A first, rough answer takes {ROWS_FOR_PREDICTION}."
    second = f"{linked} of {blocks.counted(contracts, 'contract')} {'have' if linked != 1 else 'has'} a structure."
    if not bridges:
        second = "The structure list gives length and width, and so the deck area."
    third = (
        f"{blocks.counted(letters, 'letter')} to look at." if letters else "Type in a supplier’s letter or upload it."
    )
    return [
        Step("Import bid tabs", DONE if enough else NEXT, first, IMPORTS, "Import files"),
        Step("Link structures", _state(joined, enough), second, LINKS if bridges else IMPORTS,
             "Look at the links" if bridges else "Import the list"),
        Step("Check a proposal", _state(bool(letters) and joined, joined), third),
    ]  # fmt: skip


def _state(done: bool, reached: bool) -> str:
    return DONE if done else NEXT if reached else LATER


def steps_of_record() -> list[Step]:
    """The three steps as this record stands."""
    if cache.is_empty():
        return steps(0, 0, 0, 0)
    structures: pd.DataFrame = cache.table("structures")
    let = set(cache.table("lettings")["contract_id"])
    linked = set(structures["contract_id"].dropna()) & let
    counts = cache.counts()
    letters = len(cache.proposals()) or int(any(str(key).startswith("letter ") for key in st.session_state))
    return steps(int(counts["contracts"]), len(linked), int(counts["structures"]), letters)


def steps_html(every: list[Step]) -> Html:
    """The steps as a numbered row; the one that is next carries its link, and is named as such to a screen reader."""
    return Html(f'<ol class="bl-steps" aria-label="First steps">{"".join(_step_html(one) for one in every)}</ol>')


def _step_html(step: Step) -> str:
    here = ' aria-current="step"' if step.state == NEXT else ""
    leads = step.link and step.state == NEXT
    link = f' <a href="{esc(step.link)}" target="_self">{esc(step.link_text)}</a>' if leads else ""
    return (
        f'<li class="bl-step-{step.state.lower()}"{here}><b>{esc(step.title)}</b>'
        f"<span><i>{esc(step.state)}.</i> {esc(step.text)}{link}</span></li>"
    )


def way_on(page: str) -> None:
    """Over a page of a record that cannot answer yet: what is done and what is next. Nothing once it can.

    page : its title. The page that checks letters goes on showing the way until there is a letter.
    """
    if cache.is_empty():
        return
    every = steps_of_record()
    if any(step.state != DONE for step in (every if page == CHECK_TITLE else every[:2])):
        st.html(steps_html(every))


def no_bid_tabs(question: str, *, on_records: bool = False) -> None:
    """The three-step start. on_records : whether the page below already offers the import."""
    blocks.opening(question, Html("<b>No bid tabs yet,</b> so there is nothing to compare with."))
    body = (
        "<ol><li><b>Import bid tabs</b> of any past bridge lettings (CSV, XLSX, XLS or PDF with text). "
        f"A first, rough answer takes {ROWS_FOR_PREDICTION} contracts.</li>"
        "<li><b>Link structures:</b> the structure list gives length, out-to-out width and type; each bridge is linked "
        "to the contract that paid for it.</li>"
        "<li><b>Check a proposal:</b> the supplier’s letter, as a file or typed in here.</li></ol>"
    )
    blocks.empty_box("Three steps to a first answer.", Html(body))
    with st.container(horizontal=True, gap="small", key="first_steps"):
        if not on_records and st.button("Import your first bid tab", type="primary", key="to_import"):
            st.switch_page(RECORDS_PAGE, query_params={"part": "imports"})
        if st.button("Look around the sample county", key="sample_county"):
            import_sample_county()


def import_sample_county() -> None:
    """Bring the invented county's files into this record, with progress, and start the page again."""
    bar = st.progress(0.0, text="Reading the sample county …")
    results = cache.database().import_files(
        workflow.sample_files(),
        progress=lambda done, of, name: bar.progress(done / max(of, 1), text=words.plain(name or "Done")),
    )
    failed = [result for result in results if result.error]
    for result in failed:
        blocks.stopped(result.error, "Not imported.")  # type: ignore[arg-type]
    if not failed:
        st.rerun()


def holds_only_the_sample() -> bool:
    """Whether everything in the record came with the sample county."""
    if cache.is_empty():
        return False
    return set(cache.table("imports")["source_file"]) <= {path.name for path in workflow.sample_files()}


def sample_note() -> None:
    """On the imports of a record that holds only the invented county: say so, and offer to take it back whole."""
    if not holds_only_the_sample():
        return
    blocks.note(
        "This is the sample county; its bridges, firms and prices are invented.",
        "Take it back whole to start with your own bid tabs.",
    )
    with st.popover("Take the sample county back"):
        st.html("<p>All its imports are taken back, newest first, and the record is empty again.</p>")
        if st.button("Yes, start with an empty record", key="sample_back"):
            with blocks.stops_shown():
                for batch in cache.table("imports").sort_values("batch_id", ascending=False)["batch_id"]:
                    cache.database().undo(int(batch))
                st.rerun()
