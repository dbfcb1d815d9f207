"""What stands where nothing has been imported yet: three steps, and the sample county to look around in."""

from __future__ import annotations

import streamlit as st

from bidlens import workflow
from bidlens.dashboard import blocks, cache, words
from bidlens.dashboard.words import Html

RECORDS_PAGE = "pages/records.py"


def no_bid_tabs(question: str, *, on_records: bool = False) -> None:
    """The three-step start. on_records : whether the page below already offers the import."""
    blocks.opening(question, Html("<b>No bid tabs yet,</b> so there is nothing to compare with."))
    steps = (
        "<ol><li>Bid tabs of any past bridge lettings (CSV, XLSX or XLS). "
        "Four contracts give a first, rough answer.</li>"
        "<li>The structure list: length, out-to-out width, type, and the contract that paid.</li>"
        "<li>The supplier’s letter, as TOML, CSV or XLSX, or typed in here.</li></ol>"
    )
    blocks.empty_box("Three files make a start.", Html(steps))
    with st.container(horizontal=True, gap="small", key="first_steps"):
        if not on_records and st.button("Import files", type="primary", key="to_import"):
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
