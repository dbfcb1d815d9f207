"""Draws the page again when the reader changes between light and dark: pictures get their colors when they are drawn.

Streamlit tells the server the mode with the next run only; what the style sheet colors changes at once.
"""

from __future__ import annotations

import streamlit as st

#: Looks whether the mode is another than it was, and asks for a run when it is.
_SCRIPT = """
export default function ({ setTriggerValue }) {
  const mode = () => getComputedStyle(document.querySelector(".stApp")).colorScheme;
  let was = mode();
  const timer = setInterval(() => {
    const now = mode();
    if (now !== was) { was = now; setTriggerValue("mode", now); }
  }, 250);
  return () => clearInterval(timer);
}
"""


def mount() -> None:
    """Put the watch into the page; it has no size. Call once a run."""
    with st.container(key="mode_watch"):
        _component()(key="mode_watched", on_mode_change=lambda: None)


@st.cache_resource(show_spinner=False)
def _component():  # type: ignore[no-untyped-def]
    return st.components.v2.component("bidlens_mode_watch", js=_SCRIPT)
