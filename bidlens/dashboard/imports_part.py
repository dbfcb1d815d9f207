"""Files in: upload and import with progress, what came of it, the list of imports, and taking one back."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import store, wording
from bidlens.dashboard import blocks, cache, columns_part, downloads, empty, on_paper
from bidlens.dashboard.filters import set_query
from bidlens.dashboard.launch import LARGEST_UPLOAD_MB
from bidlens.dashboard.words import Html, esc, label, or_not_given, plain
from bidlens.errors import NotOnRecord
from bidlens.ingest import KINDS, ColumnMapping
from bidlens.report.replaced import still_counts
from bidlens.workflow import ImportResult

ENDINGS = ["csv", "xlsx", "xls", "toml", "tsv", "txt", "pdf"]
RECOGNISE = "recognise each file"
AGAIN = dict(
    zip(
        store.AGAIN,
        ("stays; the new rows are set aside", "gives its place to the new file", "stays beside the new one"),
        strict=True,
    )
)


def show() -> None:
    """The whole part: the form, the results of the last import, and the history of imports."""
    upload_form()
    results_of_last()
    if cache.database().path.exists():
        history()


def upload_form() -> None:
    """Choose files and bring them in; the widget is emptied after an import, so that nothing comes in twice."""
    blocks.section(
        "Import files",
        "Bid tabs, structure lists, letters, a cost index. Each file comes in whole or not at all. Up to "
        f"{LARGEST_UPLOAD_MB} MB a file here; a larger one comes in at the command line, “bidlens import FILE”.",
    )
    turn = st.session_state.setdefault("import turn", 0)
    files = st.file_uploader(
        "Files to import", type=ENDINGS, accept_multiple_files=True, key=f"files_{turn}", label_visibility="collapsed"
    )
    with st.container(horizontal=True, vertical_alignment="bottom", key="import_choices"):
        chosen = st.selectbox("Kind of file", [RECOGNISE, *KINDS], key="kind", width=260)
        again = st.selectbox(
            "A contract already on record from another file", list(AGAIN), format_func=AGAIN.__getitem__, key="again",
            width=330,
        )  # fmt: skip
        award = st.text_input(
            "Schedules the award rests on", key="award", placeholder="the base bid, if nothing is named", width=300
        )
    kind = None if chosen == RECOGNISE else chosen
    choices = columns_part.Choices(kind, again or store.KEEP_FIRST, label(award) or None)
    told, comes_in = columns_part.show(files, choices) if files else ({}, False)
    pressed = st.button("Import files", type="primary", disabled=not comes_in, key="import_files")
    if pressed and files:
        results = import_uploads(files, choices, told)
        columns_part.forget()
        st.session_state["results"] = results
        st.session_state["import turn"] = turn + 1
        set_query("part", "imports")
        st.rerun()


def import_uploads(
    files: Sequence[Any],
    choices: columns_part.Choices,
    told: Mapping[str, ColumnMapping] | None = None,
) -> list[ImportResult]:
    """Import uploaded files under the names they had; temporary copies are removed.

    told : key of an upload -> which column is what, where corrected.
    """
    bar = st.progress(0.0, text="Reading …")
    with tempfile.TemporaryDirectory(prefix="bidlens-") as folder:
        paths = [_copy(file, Path(folder), number) for number, file in enumerate(files)]
        return cache.database().import_files(
            paths,
            choices.kind,
            names=[file.name for file in files],
            columns=[(told or {}).get(columns_part.key_of(file)) for file in files],
            again=choices.again,
            award=choices.award,
            progress=lambda done, of, name: bar.progress(done / max(of, 1), text=plain(name or "Done")),
        )


def _copy(file: Any, folder: Path, number: int) -> Path:
    """The upload as a file of our own naming: the name a browser sends is not used as a path."""
    ending = Path(file.name).suffix.lower()
    path = folder / (f"{number}{ending}" if ending.removeprefix(".") in ENDINGS else str(number))
    path.write_bytes(file.getvalue())
    return path


def results_of_last() -> None:
    """What became of each file of the last import from this page."""
    results: list[ImportResult] = st.session_state.get("results", [])
    if not results:
        return
    blocks.section("What came in")
    heads = (("File", ""), ("Kind", "nowrap"), ("Layout", ""), ("What became of it", ""), ("Rows read", "n"),
             ("Kept", "n"), ("Set aside", "n"), ("Came in", "n"))  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], [_result(result) for result in results])
    for result in results:
        if result.error:
            blocks.stopped(result.error, "Not imported.")
    blocks.findings([finding for result in results for finding in result.findings])


def _result(result: ImportResult) -> list[object]:
    counts = (result.rows_read, result.rows_kept, result.rows_set_aside, result.contracts)
    if result.error:
        numbers: list[object] = [or_not_given(None, str, "not read")] * 4
    else:
        numbers = [wording.number(count) for count in counts]
    kind, layout = (or_not_given(text, str, "not read") for text in (result.kind, result.layout))
    return [result.name, kind, layout, result.status, *numbers]


def history() -> None:
    """Every import, newest first, with a way to take one back."""
    frame: pd.DataFrame = cache.table("imports")
    blocks.section("Imports, newest first", "Taking an import back removes everything that came with its file.")
    taken_back()
    if frame.empty:
        blocks.note("Nothing has been imported yet.")
        return
    empty.sample_note()
    for said in still_counts(frame.itertuples()):
        blocks.note(said)
    _undo(frame)
    on_paper.scrolling(
        _listed(frame),
        height=blocks.list_height(len(frame)),
        key="imports_table",
        column_config={"When, UTC": st.column_config.DatetimeColumn(format="D MMM YYYY, HH:mm")},
    )


def taken_back() -> None:
    """What the last taking back removed."""
    if taken := st.session_state.pop("taken back", None):
        blocks.note(taken)


def _listed(frame: pd.DataFrame) -> pd.DataFrame:
    names = {
        "batch_id": "Import", "imported_at": "When, UTC", "source_file": "File", "kind": "Kind", "layout": "Layout",
        "rows_read": "Rows read", "rows_kept": "Kept", "rows_set_aside": "Set aside", "contracts": "Came in",
        "rows_replaced": "Replaced", "rows_counting": "Still count", "findings": "Findings",
    }  # fmt: skip
    if not frame["rows_replaced"].any():
        names = {name: title for name, title in names.items() if name not in ("rows_replaced", "rows_counting")}
    return frame[list(names)].rename(columns=names)


def _undo(frame: pd.DataFrame) -> None:
    """Choose an import: have its file back, or see what would go and take the import back, asked once."""
    words = {row["batch_id"]: label(f"{row['batch_id']}: {row['source_file']}") for row in frame.to_dict("records")}
    with st.container(horizontal=True, vertical_alignment="bottom", key="undo_row"):
        batch = st.selectbox(
            "One import", list(words), index=None, format_func=lambda one: words.get(one, str(one)),
            key="undo_batch", placeholder="Choose an import to have its file back or to take it back", width=520,
        )  # fmt: skip
        if batch is None:
            return
        name = str(frame.loc[frame["batch_id"] == batch, "source_file"].iloc[0])
        _file_back(int(batch), name)
        with st.popover("Take it back"):
            st.html(what_would_go(int(batch), name))
            if st.button("Yes, take it back", key="undo_yes"):
                take_back(int(batch), name)


def what_would_go(batch: int, name: str) -> Html:
    """What one import brought, as a sentence of what would go."""
    contents: pd.DataFrame = cache.database().batch_contents(batch)
    going = [blocks.counted(n, what) for what, n in contents.values if what != "contract that comes back"]
    back = contents.loc[contents["what"] == "contract that comes back", "how_many"].sum()
    again = f" {blocks.counted(int(back), 'contract')} that it replaced would come back." if back else ""
    gone = ", ".join(going) or "nothing but its place in this list"
    return Html(
        f"<p>With import {batch}, {esc(name, 120)}, would go: {esc(gone)}.{esc(again)} What you decided by hand stays. "
        "The file on your disk is not touched and can be imported again.</p>"
    )


def _file_back(batch: int, name: str) -> None:
    """The file of an import, byte for byte, where it was kept; named without what a file system may take amiss."""
    try:
        content = cache.database().original(batch).content
    except NotOnRecord:
        return
    safe = f"{downloads.file_stem(Path(name).stem)}.{downloads.file_stem(Path(name).suffix.lower())}"
    st.download_button("The file as imported", content, safe, "application/octet-stream", key="file_back")


def take_back(batch: int, name: str) -> None:
    """Take an import back and start the page again with a word of what went."""
    with blocks.stops_shown():
        removed = cache.database().undo(batch)
        gone = ", ".join(f"{wording.number(n)} of {table.replace('_', ' ')}" for table, n in removed.items() if n)
        st.session_state["taken back"] = f"Import {batch}, {name}, was taken back. Rows removed: {gone}."
        for widget in ("undo_batch", "index_out"):
            st.session_state.pop(widget, None)
        st.session_state.pop("results", None)
        st.rerun()
