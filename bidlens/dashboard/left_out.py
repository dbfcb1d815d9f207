"""Contracts the engineer leaves out of a check, each with a reason: kept for the browser session, shown, put back."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks
from bidlens.dashboard.words import label
from bidlens.findings import Finding
from bidlens.proposal import ProposalCheck

_HELD = "contracts left out"
#: Code of the finding that says what was left out and what that changes.
CODE = "left_out_by_you"


def held(frame: pd.DataFrame) -> dict[str, str]:
    """Contracts left out since the page was opened that have a price in a history, with their reasons."""
    chosen: dict[str, str] = st.session_state.get(_HELD, {})
    priced = set(frame["contract_id"])
    return {contract: reason for contract, reason in chosen.items() if contract in priced}


def effect(check: ProposalCheck) -> Finding | None:
    """What leaving them out changes; None where nothing is left out."""
    return next((one for one in check.findings if one.code == CODE), None)


def part(check: ProposalCheck, frame: pd.DataFrame) -> None:
    """What is left out, each with a button to put it back, and the form to leave another out.

    frame : the whole history; check : made without the contracts left out.
    """
    out = held(frame)
    if (said := effect(check)) is not None:
        blocks.finding_box(said)
        with st.container(horizontal=True, gap="small", key="left_out_row"):
            for contract in out:
                st.button(
                    f"Put {label(contract, 40)} back", key=f"put_back_{contract}", on_click=_put_back, args=(contract,)
                )
    with st.expander("Leave a contract out" if not out else "Leave another contract out"):
        _form(check, frame, out)


def _form(check: ProposalCheck, frame: pd.DataFrame, out: dict[str, str]) -> None:
    described = _described(check, frame)
    with st.form("leave out", border=False, clear_on_submit=True):
        first, second = st.columns([1, 1.4])
        first.selectbox(
            "Contract, the closest first",
            [contract for contract in described if contract not in out],
            index=None,
            format_func=described.__getitem__,
            placeholder="Choose one",
            key="leave_out",
        )
        second.text_input("Why it is no comparison", key="leave_out_reason", placeholder="flood repair, let in a hurry")
        st.form_submit_button("Leave it out of this check", on_click=_leave_out)
    if problem := st.session_state.pop("leave_out_problem", None):
        blocks.note(problem)
    st.caption(
        "The range, the middle, the verdict and the memo are then made without it, in this browser session alone. The "
        "record keeps it."
    )


def _described(check: ProposalCheck, frame: pd.DataFrame) -> dict[str, str]:
    """Every contract of the history in words, the closest to the offer first."""
    closest = check.comparables["contract_id"] if len(check.comparables) else pd.Series(dtype="str")
    rest = frame.sort_values("letting_date", ascending=False)["contract_id"]
    known = {row["contract_id"]: row for row in frame.to_dict("records")}
    return {
        str(contract): (
            f"{label(contract, 40)}: {label(known[contract]['superstructure'], 40)}, let "
            f"{wording.month(known[contract]['letting_date'])}"
        )
        for contract in dict.fromkeys([*closest, *rest])
    }


def _leave_out() -> None:
    contract, reason = st.session_state["leave_out"], st.session_state["leave_out_reason"].strip()
    if not contract or not reason:
        st.session_state["leave_out_problem"] = "Choose a contract and give the reason; it is printed in the memo."
        return
    st.session_state[_HELD] = {**st.session_state.get(_HELD, {}), contract: reason}


def _put_back(contract: str) -> None:
    st.session_state[_HELD] = {
        one: reason for one, reason in st.session_state.get(_HELD, {}).items() if one != contract
    }
