"""What a page would show, judged: no text of a file may act as markup, in whatever element it stands."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

from google.protobuf.message import Message
from streamlit.testing.v1 import AppTest

from tests.dashboard.hostile import UNSEEN

#: Markup of ours. Nothing here can fetch, run or leave the page.
TAGS = {"a", "b", "br", "div", "h1", "h2", "h3", "i", "li", "ol", "p", "small", "span", "table", "tbody", "td", "tfoot",
        "th", "thead", "tr", "ul", "svg", "path", "g", "line", "rect", "circle", "text", "title"}  # fmt: skip
ATTRIBUTES = re.compile(
    r"class|id|role|scope|colspan|rowspan|tabindex|target|href|style|aria-[a-z]+|d|fill|stroke(-\w+)?|x[12]?|y[12]?|"
    r"c[xy]|r|width|height|viewbox|xmlns|transform|text-anchor|font-\w+|points|opacity"
)
#: Markdown of the hostile files that would come to life.
ALIVE = ("![x](", "![y](", ":red[", ":material/", ":smile:", "[link](", "$x^2$", "\n# ", "```")
#: Fields of elements that Streamlit shows letter by letter, or not at all.
LITERAL = {"options", "id", "key", "user_key", "data", "raw_value", "raw_values", "default", "value", "url", "columns",
           "element_id", "url_path", "string_value", "config", "name"}  # fmt: skip
#: An address within the dashboard: of this page, or of another by its name.
OWN_ADDRESS = re.compile(r"[?#/]|[a-z_]+\?")
#: How a figure says that no second box stands beside what a mark tells; it belongs to the template, never to a text.
NO_SECOND_BOX = "<extra></extra>"
#: Plotly knows these tags only; text of a file has none at all.
FIGURE_TAGS = re.compile(r"<(?!/?(b|i|br|span|sup|sub)\b)[a-zA-Z/!]")


class _Judge(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.faults.append(f"<{tag}>")
        for name, value in attrs:
            if not ATTRIBUTES.fullmatch(name):
                self.faults.append(f"<{tag} {name}>")
            if name == "href" and not OWN_ADDRESS.match(value or ""):
                self.faults.append(f"href {value}")
            if name == "style" and re.search(r"url|expression|@import", value or ""):
                self.faults.append(f"style {value}")


def html_faults(body: str) -> list[str]:
    """What is in a piece of HTML that is no markup of ours."""
    if body.startswith("<style>"):
        return []
    judge = _Judge()
    judge.feed(body)
    return judge.faults + [f"unseen {sign!r}" for sign in UNSEEN if sign in body]


def figure_faults(spec: str) -> list[str]:
    """Strings of a figure that plotly would take for more than text."""
    faults = []
    for text in _strings(json.loads(spec)):
        if FIGURE_TAGS.search(text.removesuffix(NO_SECOND_BOX)) or "javascript:" in text.lower():
            faults.append(text[:80])
        faults += [f"unseen {sign!r} in {text[:40]}" for sign in UNSEEN if sign in text]
    return faults


def _strings(value: Any, key: str = "") -> Iterator[str]:
    if isinstance(value, str) and key not in ("customdata", "bdata"):
        yield value
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _strings(one, name)
    elif isinstance(value, list):
        for one in value:
            yield from _strings(one, key)


def faults(app: AppTest) -> list[str]:
    """Everything on a page by which text of a file would act."""
    found: list[str] = [f"exception {one.value}" for one in app.exception]
    for element in _elements(app._tree):
        proto = getattr(element, "proto", None)
        if element.type == "html":
            found += html_faults(proto.body)
        elif element.type == "plotly_chart":
            found += figure_faults(proto.spec)
        elif isinstance(proto, Message):
            found += [f"{element.type}.{name}: {text[:80]!r}" for name, text in _fields(proto) if _acts(name, text)]
    return found


def _elements(block: Any) -> Iterator[Any]:
    yield block
    for child in getattr(block, "children", {}).values():
        yield from _elements(child)


def _fields(message: Message) -> Iterator[tuple[str, str]]:
    for descriptor, value in message.ListFields():
        repeated = value if isinstance(value, (list, tuple)) or hasattr(value, "extend") else [value]
        for one in repeated:
            if isinstance(one, Message):
                yield from _fields(one)
            elif isinstance(one, str):
                yield descriptor.name, one


def _acts(name: str, text: str) -> bool:
    if name in LITERAL:
        return name == "options" and any(sign in text for sign in UNSEEN)
    return any(sign in text for sign in (*ALIVE, *UNSEEN, "<script", "<img", "<a "))
