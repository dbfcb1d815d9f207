"""What stands about the tables: the contract, the letting date and the description of the work."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from bidlens.errors import BadValue
from bidlens.ingest import cells
from bidlens.ingest.pdf.columns import HEADING_WORDS
from bidlens.ingest.pdf.pages import Line, Page

_MONTHS = "jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
_DAY = re.compile(
    rf"\b(?:\d{{1,2}}[/-]\d{{1,2}}[/-](?:\d{{4}}|\d{{2}})|\d{{4}}-\d{{2}}-\d{{2}}|"
    rf"(?:{_MONTHS})[a-z]*\.? \d{{1,2}}, ?\d{{4}}|\d{{1,2}} (?:{_MONTHS})[a-z]* \d{{4}})(?!\d)",
    re.IGNORECASE,
)
_LETTING = re.compile(
    r"\blett?ing|\bopen(?:ing|ed)\b|\bbids? date\b|\bbid due\b|\bbids? received\b|\bdate of bid|\blet\b", re.IGNORECASE
)
_NOT_LETTING = re.compile(r"\bprint|\bpage\b|\brun\b|\bissued\b|\brevised\b|\baward", re.IGNORECASE)
_FROM_WORD_TO_DAY = 60  # characters between the word for the letting and its date

_ID = r"(?P<id>[A-Za-z0-9][\w\-/.]*\d[\w\-/.]*|\d)"
_NUMBER = r"(?:(?:id|no|nr|number|num)\b|#)"
_CONTRACT = (
    re.compile(rf"\bcontract\b\s*(?:{_NUMBER})?\s*[.:#]*\s*{_ID}", re.IGNORECASE),
    re.compile(rf"\b(?:solicitation|proposal|project|invitation|call|bid)\s*{_NUMBER}\s*[.:#]*\s*{_ID}", re.IGNORECASE),
    re.compile(rf"\b(?:solicitation|proposal|project|call)\s*[.:#]+\s*{_ID}", re.IGNORECASE),
)
_DESCRIBED = re.compile(r"^(?:contract|project|work|job)?\s*description\s*:?\s*(?P<rest>.*)$", re.IGNORECASE)
_PAGE_OF = re.compile(r"\bpage\s*:?\s*(\d+)\s*(?:of|/)\s*(\d+)\b", re.IGNORECASE)
_MONEY = re.compile(r"\$?\d[\d,]*\.\d\d\b")


def contract(lines: Sequence[Line]) -> str:
    """The contract named by lines that stand above a table; empty if none does."""
    for pattern in _CONTRACT:
        for line in lines:
            match = pattern.search(line.text)
            if match and not _DAY.search(match["id"]):
                return match["id"].rstrip(".-/")
    return ""


def letting_days(page: Page) -> list[dt.date]:
    """Dates of a page that stand behind a word for the letting, on its line."""
    found = []
    for line in page.lines:
        word = _LETTING.search(line.text)
        day = _DAY.search(line.text, word.end()) if word else None
        if word and day and day.start() - word.end() <= _FROM_WORD_TO_DAY:
            between = line.text[word.end() : day.start()]
            if not _NOT_LETTING.search(between) and (read := _day(day[0], page, line)):
                found.append(read)
    return found


def lone_days(page: Page, lines: Sequence[Line]) -> list[dt.date]:
    """Dates above a table that stand alone at the beginning of their line, as letting dates do in plain tables."""
    found = []
    for line in lines:
        day = _DAY.match(line.text)
        if day and not _NOT_LETTING.search(line.text) and (read := _day(day[0], page, line)):
            found.append(read)
    return found


def _day(text: str, page: Page, line: Line) -> dt.date | None:
    try:
        return cells.date(" ".join(text.split()), page.place(line.number))
    except BadValue:
        return None


def page_of(page: Page) -> tuple[int, int] | None:
    """“Page 3 of 8” as (3, 8); None if the page does not count itself."""
    match = next((found for line in page.lines if (found := _PAGE_OF.search(line.text))), None)
    return (int(match[1]), int(match[2])) if match else None


def described_work(page: Page) -> str:
    """The text behind the word for a description, down to the first line that holds no running text."""
    told: list[str] = []
    for line in page.lines:
        if not told:
            match = _DESCRIBED.match(line.text)
            told = [match["rest"]] if match else []
        elif "%" in line.text or _MONEY.search(line.text) or _is_heading(line):
            break
        else:
            told.append(line.text)
    return " ".join(" ".join(told).split())


def _is_heading(line: Line) -> bool:
    """Words far apart: headings of columns, not running text."""
    gaps = [two.left - one.right for one, two in zip(line.words, line.words[1:], strict=False)]
    return any(gap > 10 for gap in gaps)


def titles(lines: Sequence[Line], left_of: float) -> str:
    """The work as the lines above a table call it: their texts left of the prices that are no date and no contract."""
    told = []
    for line in lines:
        text = " ".join(word.text for word in line.words if word.middle < left_of)
        if all(HEADING_WORDS.fullmatch(word.strip(".:()")) for word in text.split()):
            continue
        if text and not contract([line]) and not _DAY.search(text) and any(map(str.isalpha, text)):
            told.append(text)
    return ", ".join(told)
