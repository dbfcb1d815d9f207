"""Text for the page. Whatever comes from a file, a form or a URL goes through `plain` (Markdown) or `esc` (HTML)."""

from __future__ import annotations

import html
import re
import string
from typing import Any

import pandas as pd

from bidlens import wording

_BLANKS = re.compile(r"\s+")
_YEARS = re.compile(r"(?<=\d)–(?=\d)")
#: “ (--award)”, “ (bidlens undo)”
_COMMANDS = re.compile(r" \((?:“?bidlens [a-z]|[^()]*--[a-z])[^()]*\)")
_PUNCTUATION = re.compile(f"([{re.escape(string.punctuation)}])")
_AMOUNT = re.compile(r"−?\$[\d,.]*\d(?: (?:and|to) \$[\d,.]*\d)?(?:/sf)?")


class Html(str):
    """Markup made in this room; everything else is escaped when it goes into a page."""

    __slots__ = ()


def plain(text: object, most: int = 200) -> str:
    """Text as it is written, for any widget or label that reads Markdown.

    Every ASCII punctuation mark is escaped, so that no image, link, formula, color, icon or emoji code comes to life.
    """
    return _PUNCTUATION.sub(r"\\\1", _one_line(text, most).strip())


def esc(text: object, most: int = 400) -> Html:
    """Text as it is written, for HTML. Markup made here passes unchanged."""
    if isinstance(text, Html):
        return text
    return Html(html.escape(_one_line(text, most), quote=True))


def without_commands(text: str) -> str:
    """What to do, for one who reads a page: what to type at the command line stands in parentheses and is left out."""
    return _COMMANDS.sub("", text)


def label(text: object, most: int = 80) -> str:
    """Text for places that show it literally, such as the entries of a select box: one line, cut with “…”."""
    return _one_line(text, most).strip()


def _one_line(text: object, most: int) -> str:
    """One line; blanks at the ends stay, since a piece of a sentence may need them."""
    flat = _BLANKS.sub(" ", wording.visible(text))
    return flat if len(flat) <= most else flat[: most - 1] + "…"


def answer(sentence: str, offer: str | None = None) -> Html:
    """An answer sentence as HTML: the verdict words bold, dollar amounts bold and colored by role.

    offer : the printed amount of the thing in question; amounts that hold it are flagged, all others are ours.
    """
    verdict, dot, rest = sentence.partition(". ")
    head = f"<b>{esc(verdict + dot.strip())}</b> " if rest else ""
    return Html(_unbroken(head + _amounts(rest or verdict, offer)))


def _amounts(text: str, offer: str | None) -> str:
    parts, end = [], 0
    for match in _AMOUNT.finditer(text):
        role = "bl-flag" if offer and offer in match[0] else "bl-own"
        parts += [esc(text[end : match.start()], 200), f'<b class="{role}">{esc(match[0])}</b>']
        end = match.end()
    return "".join([*parts, esc(text[end:], 200)])


def bold_numbers(*parts: str | tuple[str]) -> Html:
    """A sentence of pieces; a piece in a tuple of one is bold."""
    joined = "".join(f"<b>{esc(part[0])}</b>" if isinstance(part, tuple) else esc(part) for part in parts)
    return Html(_unbroken(joined))


def _unbroken(markup: str) -> str:
    """Keep a span of years on one line."""
    return _YEARS.sub("\u2060–\u2060", markup)


def known(value: Any) -> bool:
    """Whether a cell holds something to show."""
    return not (value is None or value is pd.NaT or (not isinstance(value, str) and pd.isna(value)) or value == "")


def or_not_given(value: Any, shown: Any, reason: str = "not in the file") -> Html:
    """The value in words, or “not given: reason” in its own drawing; never blank, 0 or a dash."""
    return esc(shown(value)) if known(value) else Html(f'<span class="bl-not-given">not given: {esc(reason)}</span>')


def place(file: object, sheet: object, row: object) -> str:
    """Where a row stands: file, sheet, row; what is not known is left out."""
    parts = [str(file)] if known(file) else []
    parts += [f"sheet “{sheet}”"] if known(sheet) else []
    parts += [f"row {int(row)}"] if known(row) else []  # type: ignore[call-overload]
    return ", ".join(parts)


def years(first: Any, last: Any) -> str:
    """“2012–2025”, or one year."""
    if not known(first) or not known(last):
        return ""
    a, b = pd.Timestamp(first).year, pd.Timestamp(last).year
    return str(a) if a == b else f"{a}–{b}"


def file_size(count: int) -> str:
    """Bytes as kB or MB."""
    return f"{wording.number(count / 1e6, 1)} MB" if count >= 1e6 else f"{wording.number(max(count / 1e3, 0.1), 1)} kB"
