"""Which offer is checked: one on record, a letter uploaded, or one typed in. The choice is kept in the URL."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import streamlit as st

from bidlens import workflow
from bidlens.dashboard import blocks, cache, letter_form
from bidlens.dashboard.filters import set_queries
from bidlens.dashboard.words import Html, label
from bidlens.proposal import Proposal

#: Values of `?proposal=` for a letter that lives in this browser session only.
TYPED, UPLOADED = "typed-in", "uploaded"
FILE_ENDINGS = ["toml", "csv", "xlsx", "xls"]


def chosen() -> Proposal | None:
    """The offer the URL names, else the newest letter on record; None where there is none."""
    wanted = st.query_params.get("proposal")
    if wanted in (TYPED, UPLOADED):
        held = st.session_state.get(f"letter {wanted}")
        if held is not None:
            return held
        blocks.note(
            "That letter was only open in an earlier browser session and was not stored.",
            "Type or upload it again, or import it under Records to keep it.",
        )
    known = newest_first(cache.proposals())
    by_id = {offer.proposal_id: offer for offer in known}
    if wanted and wanted not in by_id and wanted not in (TYPED, UPLOADED):
        blocks.note(f"There is no proposal “{wanted}” on record; the newest letter is shown.")
    return by_id.get(wanted or "", known[0] if known else None)


def newest_first(offers: Sequence[Proposal]) -> list[Proposal]:
    """By date of the letter, newest first, those without a date last; the sample county opens on its tour's letter."""
    lead = workflow.lead_sample_proposal().name

    def place(offer: Proposal) -> tuple[bool, int]:
        return not (offer.place and offer.place.file == lead), -(offer.date.toordinal() if offer.date else 0)

    return sorted(offers, key=place)


def is_on_record(offer: Proposal) -> bool:
    """Whether a link to this offer works in another browser."""
    return st.query_params.get("proposal") not in (TYPED, UPLOADED)


def chooser() -> None:
    """The popover to check another proposal: on record, uploaded, or typed in."""
    with st.popover("Check another proposal"):
        known = newest_first(cache.proposals())
        if known:
            _on_record(known)
        _upload()
        st.button("Type one in", on_click=_open_form, key="type_one_in")


def _on_record(known: Sequence[Proposal]) -> None:
    ids = [offer.proposal_id for offer in known]
    described = {offer.proposal_id: _described(offer) for offer in known}
    wanted = st.query_params.get("proposal")
    st.session_state["proposal_on_record"] = wanted if wanted in ids else (None if wanted else ids[0])
    st.selectbox(
        "On record",
        ids,
        format_func=lambda one: described.get(one, label(one)),
        key="proposal_on_record",
        placeholder="Choose a letter",
        on_change=lambda: _show(st.session_state["proposal_on_record"]),
    )


def _described(offer: Proposal) -> str:
    when = f", {offer.date:%d %b %Y}" if offer.date else ""
    return label(f"{offer.supplier}: {offer.superstructure}, {offer.structure or 'own geometry'}{when}", 110)


def _upload(words: str = "Or a letter as TOML, CSV or XLSX; it is read, not stored") -> None:
    turn = st.session_state.setdefault("upload turn", 0)
    file = st.file_uploader(words, type=FILE_ENDINGS, key=f"letter_file_{turn}")
    if file is None:
        return
    with blocks.stops_shown():
        offers = read_upload(file)
        st.session_state["upload turn"] = turn + 1
        st.session_state[f"letter {UPLOADED}"] = offers[0]
        if len(offers) > 1:
            st.session_state["letters not shown"] = len(offers) - 1
        _show(UPLOADED)
        st.rerun()


def read_upload(file: Any) -> list[Proposal]:
    """The proposals of an uploaded file; it is written to a temporary place for reading and removed."""
    with tempfile.TemporaryDirectory(prefix="bidlens-") as folder:
        path = Path(folder) / f"letter{Path(file.name).suffix.lower()}"
        path.write_bytes(file.getvalue())
        return workflow.read_proposals(path, name=file.name)


def _show(proposal_id: str | None) -> None:
    set_queries({"proposal": proposal_id, "contract": None})
    st.session_state.pop("form open", None)


def _open_form() -> None:
    st.session_state["form open"] = True


def form_is_open() -> bool:
    return bool(st.session_state.get("form open"))


def form() -> None:
    """The form for a letter typed in; the offer it makes is shown when it can be read."""
    blocks.section("The letter", "What the supplier offers, as the letter states it. Nothing is stored.")
    offer = letter_form.show(cache.table("structures"))
    if offer is not None:
        st.session_state[f"letter {TYPED}"] = offer
        _show(TYPED)
        st.rerun()
    st.button("Close without checking", on_click=lambda: st.session_state.pop("form open", None), key="close_form")


def source_note() -> None:
    """Say so where the letter is not on record."""
    wanted = st.query_params.get("proposal")
    if wanted in (TYPED, UPLOADED) and st.session_state.get(f"letter {wanted}") is not None:
        way = "typed in" if wanted == TYPED else "uploaded"
        more = st.session_state.get("letters not shown", 0) if wanted == UPLOADED else 0
        rest = f" The file holds {blocks.counted(more, 'more letter')}; import it to check those too." if more else ""
        blocks.note(f"This letter was {way} and is not on record.{rest}", "To keep it, import its file under Records.")


def none_yet() -> None:
    """What stands where no letter is there yet: upload one or type one in."""
    body = "<p>Upload the supplier’s letter as TOML, CSV or XLSX, or type it in here.</p>"
    blocks.empty_box("No letter to check yet.", Html(body))
    _upload("The letter; it is read, not stored")
    st.button("Type one in", on_click=_open_form, key="type_first_in", type="primary")
