"""From an empty record to a first verdict, as someone does it who has never seen the program."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from bidlens import workflow
from bidlens.dashboard.launch import LARGEST_UPLOAD_MB
from tests.browser import running

pytestmark = pytest.mark.browser


def _bring_in(page: Page, files: list[Path]) -> None:
    page.locator("input[type=file]").set_input_files(files)
    button = page.get_by_test_id("stMain").get_by_role("button", name="Import files")
    expect(button).to_be_enabled(timeout=30_000)
    button.click()
    expect(page.get_by_role("row", name=files[0].name).first).to_contain_text("imported", timeout=60_000)
    running.settle(page)


def test_own_files_lead_to_a_verdict_in_three_steps(chromium: Browser, page: Page, tmp_path: Path) -> None:
    structures, *bid_tabs = (one for one in workflow.sample_files() if one.suffix != ".toml")
    with running.dashboard(tmp_path / "own.duckdb") as empty:
        page.goto(empty.url)
        running.settle(page)
        expect(page.locator(".bl-answer")).to_contain_text("No bid tabs yet")
        page.get_by_role("button", name="Import your first bid tab").click()
        _bring_in(page, [one for one in bid_tabs if one.name.startswith("letting_202")])

        page.get_by_role("link", name="Proposal check").click()
        following = page.locator("[aria-current=step]")
        expect(following).to_contain_text("Link structures", timeout=20_000)
        following.get_by_role("link", name="Import the list").click()
        _bring_in(page, [structures])

        page.get_by_role("link", name="Proposal check").click()
        expect(following).to_contain_text("Check a proposal", timeout=20_000)
        page.locator("input[type=file]").first.set_input_files(workflow.lead_sample_proposal())
        expect(page.locator(".bl-answer")).to_contain_text("Harrier Steel Works’ offer is $", timeout=30_000)
        running.settle(page)
        expect(page.locator(".js-plotly-plot").first).to_be_visible(timeout=30_000)
        expect(page.locator("ol.bl-steps")).to_have_count(0)


def test_the_sample_county_is_one_click_away(page: Page, tmp_path: Path) -> None:
    with running.dashboard(tmp_path / "look.duckdb") as empty:
        page.goto(f"{empty.url}/unit_cost_history")
        running.settle(page)
        page.get_by_role("button", name="Look around the sample county").click()
        expect(page.locator(".bl-answer")).to_contain_text("on average for a superstructure", timeout=90_000)
        running.settle(page)
        expect(page.locator(".bl-head")).to_contain_text("68 contracts")


def test_a_file_over_the_limit_stays_out_and_the_page_says_so(
    served: running.Dashboard, page: Page, tmp_path: Path
) -> None:
    large = tmp_path / "letting_2031-04-08.csv"
    with large.open("wb") as file:
        file.truncate((LARGEST_UPLOAD_MB + 2) * 2**20)
    page.goto(f"{served.url}/records?part=imports")
    running.settle(page)
    expect(page.locator(".bl-lead").first).to_contain_text(f"Up to {LARGEST_UPLOAD_MB} MB a file here")
    page.locator("input[type=file]").set_input_files(large)
    expect(page.get_by_role("alert").filter(has_text="or smaller")).to_be_visible()
    expect(page.get_by_test_id("stMain").get_by_role("button", name="Import files")).to_be_disabled()


def test_a_file_over_the_limit_is_refused_by_the_server_too(served: running.Dashboard, chromium: Browser) -> None:
    page = chromium.new_page()
    asked: list[Request] = []
    page.on("request", lambda request: asked.append(request) if request.method == "PUT" else None)
    page.goto(f"{served.url}/records?part=imports")
    running.settle(page)
    small = {"name": "a.csv", "mimeType": "text/csv", "buffer": b"a"}
    page.locator("input[type=file]").set_input_files(small)  # type: ignore[arg-type]
    page.wait_for_timeout(1000)
    sent = """async ([url, token, megabytes]) => {
      const body = new FormData();
      body.append("file", new File([new Uint8Array(megabytes * 2 ** 20)], "large.csv"));
      return (await fetch(url, {method: "PUT", body, headers: {"X-Xsrftoken": token}})).status;
    }"""
    token = asked[0].headers["x-xsrftoken"]
    assert page.evaluate(sent, [asked[0].url, token, 1]) == 204
    assert page.evaluate(sent, [asked[0].url, token, LARGEST_UPLOAD_MB + 2]) == 413
    page.close()
