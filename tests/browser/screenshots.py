"""Take README's pictures of every page on the sample county: `python tests/browser/screenshots.py`.

Each is 1280 wide, in 128 colors so that it stays small, and stands in tests/browser/pictures/.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser

sys.path.insert(0, str(Path(__file__).parents[2]))

from bidlens import workflow
from bidlens.report import memo
from tests.browser import running

PICTURES = Path(__file__).with_name("pictures")
WIDTH, TALLEST, LARGEST_BYTES = 1280, 3200, 300_000
PAGES = (
    ("proposal_check", "/?contract=B-1602|2016-03-09|K-238", "light"),
    ("unit_cost_history", "/unit_cost_history", "light"),
    ("letting_review", "/letting_review", "light"),
    ("pay_item_prices", "/pay_item_prices", "light"),
    ("program_forecast", "/program_forecast", "light"),
    ("records", "/records", "light"),
    ("how_it_works", "/how_it_works", "light"),
    ("proposal_check_dark", "/", "dark"),
)


def main() -> None:
    """Build the sample county in a temporary place and picture it; names given as arguments choose pages."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "larkmoor_county.duckdb"
        with workflow.build_sample_county(record):
            pass
        with running.dashboard(record) as dashboard, running.browser() as browser:
            if not sys.argv[1:] or "memo" in sys.argv[1:]:
                (PICTURES / "memo.png").write_bytes(take_memo(browser, record))
                print("memo.png")
            for name, address, mode in PAGES:
                if sys.argv[1:] and name not in sys.argv[1:]:
                    continue
                picture = take(browser, dashboard.url + address, "dark" if mode == "dark" else "light")
                (PICTURES / f"{name}.png").write_bytes(picture)
                print(f"{name}.png  {len(picture) / 1000:.0f} kB")


def take_memo(browser: Browser, record: Path) -> bytes:
    """The lead letter's memo as it is printed: one Letter page at 96 px an inch, its margins left white."""
    with workflow.open_database(record) as db:
        check = workflow.check_files(db, workflow.lead_sample_proposal())[0]
        html = memo.memo_html([check], workflow.sources_of(db))
    page = browser.new_page(viewport={"width": 816, "height": 1056})
    page.set_content(html)
    page.emulate_media(media="print")
    page.add_style_tag(content="body { margin:11mm 15mm !important }")
    image = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    page.close()
    return _small(image)


def take(browser: Browser, url: str, mode: Literal["light", "dark"]) -> bytes:
    """One page from top to bottom, cut at `TALLEST` px."""
    page = browser.new_page(viewport={"width": WIDTH, "height": 900}, color_scheme=mode)
    page.goto(url)
    running.settle(page)
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": WIDTH, "height": min(int(height), TALLEST)})
    running.settle(page)
    image = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    page.close()
    return _small(image)


def _small(image: Image.Image) -> bytes:
    """The picture in 128 colors."""
    small = io.BytesIO()
    image.quantize(128, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(small, "PNG", optimize=True)
    assert small.tell() < LARGEST_BYTES, f"{small.tell()} bytes"
    return small.getvalue()


if __name__ == "__main__":
    main()
