"""Files in: upload and import with progress, what came of it, the list of imports, and taking one back."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache, columns_part, empty
from bidlens.dashboard.filters import set_query
from bidlens.dashboard.words import esc, label, or_not_given, plain
from bidlens.ingest import KINDS, ColumnMapping
from bidlens.workflow import ImportResult

ENDINGS = ["csv", "xlsx", "xls", "toml", "tsv", "txt", "pdf"]
RECOGNISE = "recognise each file"


def show() -> None:
    """The whole part: the form, the results of the last import, and the history of imports."""
    upload_form()
    results_of_last()
    if cache.database().path.exists():
        history()


def upload_form() -> None:
    """Choose files and bring them in; the widget is emptied after an import, so that nothing comes in twice."""
    blocks.section(
        "Import files", "Bid tabs, structure lists, letters, a cost index. Each file comes in whole or not at all."
    )
    turn = st.session_state.setdefault("import turn", 0)
    files = st.file_uploader(
        "Files to import", type=ENDINGS, accept_multiple_files=True, key=f"files_{turn}", label_visibility="collapsed"
    )
    chosen = st.selectbox("Kind of file", [RECOGNISE, *KINDS], key="kind", width=260)
    kind = None if chosen == RECOGNISE else chosen
    told, comes_in = columns_part.show(files, kind) if files else ({}, False)
    pressed = st.button("Import files", type="primary", disabled=not comes_in, key="import_files")
    if pressed and files:
        results = import_uploads(files, kind, told)
        columns_part.forget()
        st.session_state["results"] = results
        st.session_state["import turn"] = turn + 1
        set_query("part", "imports")
        st.rerun()


def import_uploads(
    files: Sequence[Any], kind: str | None, told: Mapping[str, ColumnMapping] | None = None
) -> list[ImportResult]:
    """Import uploaded files under the names they had; temporary copies are removed.

    told : file name -> which column is what, where that was corrected.
    """
    bar = st.progress(0.0, text="Reading …")
    with tempfile.TemporaryDirectory(prefix="bidlens-") as folder:
        paths = [_copy(file, Path(folder), number) for number, file in enumerate(files)]
        return cache.database().import_files(
            paths,
            kind,
            names=[file.name for file in files],
            columns=[(told or {}).get(file.name) for file in files],
            progress=lambda done, of, name: bar.progress(done / max(of, 1), text=plain(name or "Done")),
        )


def _copy(file: Any, folder: Path, number: int) -> Path:
    """The upload as a file of our own naming: the name a browser sends is not used as a path."""
    path = folder / f"{number}{Path(file.name).suffix.lower()}"
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
    if taken := st.session_state.pop("taken back", None):
        blocks.note(taken)
    if frame.empty:
        blocks.note("Nothing has been imported yet.")
        return
    empty.sample_note()
    _undo(frame)
    st.dataframe(
        _listed(frame),
        hide_index=True,
        key="imports_table",
        column_config={"When, UTC": st.column_config.DatetimeColumn(format="D MMM YYYY, HH:mm")},
    )


def _listed(frame: pd.DataFrame) -> pd.DataFrame:
    names = {
        "batch_id": "Import", "imported_at": "When, UTC", "source_file": "File", "kind": "Kind", "layout": "Layout",
        "rows_read": "Rows read", "rows_kept": "Kept", "rows_set_aside": "Set aside", "contracts": "Came in",
        "findings": "Findings",
    }  # fmt: skip
    return frame[list(names)].rename(columns=names)


def _undo(frame: pd.DataFrame) -> None:
    """Choose an import, see what would go, confirm once."""
    words = {row["batch_id"]: label(f"{row['batch_id']}: {row['source_file']}") for row in frame.to_dict("records")}
    with st.container(horizontal=True, vertical_alignment="bottom", key="undo_row"):
        batch = st.selectbox(
            "Take an import back", list(words), index=None, format_func=lambda one: words.get(one, str(one)),
            key="undo_batch", placeholder="Choose an import", width=420,
        )  # fmt: skip
        if batch is None:
            return
        with st.popover("Take it back"):
            row = frame[frame["batch_id"] == batch].iloc[0]
            st.html(
                f"<p>{esc(row['source_file'])}: {blocks.counted(row['rows_kept'], 'row')} and what was read from them "
                f"go, {blocks.counted(row['rows_set_aside'], 'row')} set aside with them. The file itself stays where "
                "it is and can be imported again.</p>"
            )
            if st.button("Yes, take it back", key="undo_yes"):
                _take_back(int(batch), str(row["source_file"]))


def _take_back(batch: int, name: str) -> None:
    with blocks.stops_shown():
        removed = cache.database().undo(batch)
        gone = ", ".join(f"{wording.number(n)} {table.replace('_', ' ')}" for table, n in removed.items() if n)
        st.session_state["taken back"] = f"Import {batch}, {name}, was taken back. Rows removed: {gone}."
        st.session_state.pop("undo_batch", None)
        st.session_state.pop("results", None)
        st.rerun()
