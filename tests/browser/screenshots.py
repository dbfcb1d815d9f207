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
from tests.browser import running

PICTURES = Path(__file__).with_name("pictures")
WIDTH, TALLEST, LARGEST_BYTES = 1280, 3200, 300_000
PAGES = (
    ("proposal_check", "/?contract=B-1602|2016-03-09|K-238", "light"),
    ("unit_cost_history", "/unit_cost_history", "light"),
    ("letting_review", "/letting_review", "light"),
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
            for name, address, mode in PAGES:
                if sys.argv[1:] and name not in sys.argv[1:]:
                    continue
                picture = take(browser, dashboard.url + address, "dark" if mode == "dark" else "light")
                (PICTURES / f"{name}.png").write_bytes(picture)
                print(f"{name}.png  {len(picture) / 1000:.0f} kB")


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
    small = io.BytesIO()
    image.quantize(128, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(small, "PNG", optimize=True)
    assert small.tell() < LARGEST_BYTES, f"{url}: {small.tell()} bytes"
    return small.getvalue()


if __name__ == "__main__":
    main()
