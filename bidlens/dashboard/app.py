"""The frame around every page: navigation, header line, style. Run by `launch`, page files are run from here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import streamlit as st

from bidlens.dashboard import blocks, cache, empty, filter_bar, mode_watch, style, words
from bidlens.dashboard.filters import shared
from bidlens.errors import BidlensError

PAGES = (
    ("pages/proposal_check.py", "Proposal check"),
    ("pages/unit_cost_history.py", "Unit cost history"),
    ("pages/letting_review.py", "Letting review"),
    ("pages/pay_item_prices.py", "Pay item prices"),
    ("pages/program_forecast.py", "Program forecast"),
    ("pages/records.py", "Records"),
    ("pages/how_it_works.py", "How it works"),
)


def main() -> None:
    """Draw the frame and run the page; an error of ours is shown in words, never as a traceback."""
    st.set_page_config(page_title="bidlens", layout="wide")
    colors = blocks.palette()
    st.html(style.css(colors))
    st.logo(style.mark(colors), size="medium")
    mode_watch.mount()
    pages = [st.Page(file, title=title, default=number == 0) for number, (file, title) in enumerate(PAGES)]
    page = st.navigation(pages, position="hidden")
    ways(pages, page)
    try:
        header()
        empty.way_on(page.title)
        filter_bar.not_applied(page.title)
        page.run()
    except BidlensError as error:
        blocks.stopped(error)
        filter_bar.way_back()


def ways(pages: Sequence[st.Page], here: st.Page) -> None:
    """A link to each page, the shared filters in its address: going on is one step, which one press of Back undoes.

    Streamlit's own row of pages drops what stands in the URL; putting it back afterwards makes a second step.
    """
    with st.container(horizontal=True, gap=None, key="ways"):
        for page in pages:
            st.page_link(page, label=f"**{page.title}**" if page == here else page.title, query_params=shared())


def header() -> None:
    """“Larkmoor County bridge cost record · 69 contracts, 2012–2025”, and the cost index in use."""
    index = f"Cost index: {index_in_use()}"
    if cache.is_empty():
        blocks.header_line("Bridge cost record · nothing imported yet", index)
        return
    counts = cache.counts()
    record = f"{county()} · {blocks.counted(counts['contracts'], 'contract')}"
    years = words.years(counts["first_letting"], counts["last_letting"])
    blocks.header_line(f"{record}, {years}" if years else record, index)


def index_in_use() -> str:
    """The index the URL names; the shipped one where it names none that is known, which the page then says."""
    try:
        return cache.index(st.query_params.get("index")).title
    except BidlensError:
        return cache.index(None).title


def county() -> str:
    """Whose record it is: the letting agency most contracts name, else the file's name."""
    agencies = Counter(name for name in cache.table("lettings")["agency"].dropna() if name.strip())
    if agencies:
        return f"{words.label(agencies.most_common(1)[0][0], 60)} bridge cost record"
    name = words.label(cache.database().path.stem.replace("_", " "), 60)
    return "Bridge cost record" if name == "bidlens" else f"{name[:1].upper()}{name[1:]} bridge cost record"


main()
