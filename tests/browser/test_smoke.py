"""The dashboard in a real browser: who can reach it, what it asks for, and a price followed to its source row."""

from __future__ import annotations

import http.client
import socket
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser import running
from tests.dashboard import hostile

pytestmark = pytest.mark.browser

MARKS = """() => {
  const plot = [...document.querySelectorAll('.js-plotly-plot')].find(d => d.data.some(t => t.name === 'band90'));
  plot.scrollIntoView({block: 'center'});
  const own = plot.data.find(t => t.name === 'rolled steel beam'), layout = plot._fullLayout;
  const frame = plot.getBoundingClientRect();
  return own.x.map((x, i) => ({
    x: frame.left + layout._size.l + layout.xaxis.d2p(x), y: frame.top + layout._size.t + layout.yaxis.d2p(own.y[i]),
    key: own.customdata[i]}));
}"""


def test_it_listens_on_this_machine_alone(served: running.Dashboard) -> None:
    with socket.create_connection(("127.0.0.1", served.port), timeout=5):
        pass
    table = Path("/proc/net/tcp")
    if table.exists():
        listening = [line.split() for line in table.read_text().splitlines()[1:]]
        addresses = {
            one[1].split(":")[0] for one in listening if one[1].endswith(f":{served.port:04X}") and one[3] == "0A"
        }
        assert addresses == {"0100007F"}  # 127.0.0.1 in the kernel's own writing, proc(5)
    others = {entry[4][0] for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    for address in {one for one in others if not one.startswith("127.")}:
        with pytest.raises(OSError, match=r"refused|timed out|unreachable"):
            socket.create_connection((str(address), served.port), timeout=2)


@pytest.mark.parametrize(
    ("host", "origin", "status"),
    [
        ("127.0.0.1", "http://127.0.0.1", 101),
        ("outside.invalid", "http://outside.invalid", 403),
        ("127.0.0.1", "http://outside.invalid", 403),
    ],
)
def test_a_page_from_elsewhere_is_not_let_in(served: running.Dashboard, host: str, origin: str, status: int) -> None:
    """101 Switching Protocols lets a WebSocket in (RFC 6455, section 4.2.2); 403 keeps it out."""
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=10)
    headers = {
        "Host": f"{host}:{served.port}",
        "Origin": f"{origin}:{served.port}",
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",  # the sample nonce of RFC 6455, section 1.3
    }
    connection.request("GET", "/_stcore/stream", headers=headers)
    answer = connection.getresponse()
    connection.close()
    assert answer.status == status


def test_the_first_view_holds_answer_title_block_and_first_picture(served: running.Dashboard, page: Page) -> None:
    page.goto(served.url)
    running.settle(page)
    expect(page.locator(".bl-answer")).to_contain_text("Harrier Steel Works’ offer is $")
    for part in (".bl-answer", ".bl-block", ".js-plotly-plot"):
        box = page.locator(part).first.bounding_box()
        assert box is not None
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= 720


def test_a_mark_leads_to_its_contract_and_the_contract_to_its_source_row(served: running.Dashboard, page: Page) -> None:
    page.goto(served.url)
    running.settle(page)
    marks = page.evaluate(MARKS)
    page.wait_for_timeout(300)
    mark = max(page.evaluate(MARKS), key=lambda one: _distance_to_others(one, marks))
    page.mouse.click(mark["x"], mark["y"])
    expect(page.locator(".bl-trail")).to_be_attached(timeout=20_000)
    running.settle(page)
    contract, letting_date, structure = mark["key"].split("|")
    trail = page.locator(".bl-trail")
    expect(trail).to_contain_text(contract)
    expect(trail).to_contain_text(structure)
    expect(trail).to_contain_text(f"letting_{letting_date}")
    assert trail.locator(".bl-read").count() == 1
    assert f"contract={contract}" in page.url


def _distance_to_others(mark: dict[str, float], marks: list[dict[str, float]]) -> float:
    """Squared px to the nearest other mark, so that the click meets one mark only."""
    gaps = [(mark["x"] - one["x"]) ** 2 + (mark["y"] - one["y"]) ** 2 for one in marks if one["key"] != mark["key"]]  # type: ignore[index]
    return min(gaps)


def test_pages_are_reached_by_the_keyboard(served: running.Dashboard, page: Page) -> None:
    page.goto(served.url)
    running.settle(page)
    link = page.get_by_role("link", name="How it works")
    link.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".bl-question")).to_have_text("Can I rely on it?", timeout=20_000)
    running.settle(page)


def test_a_link_straight_to_a_page_opens_it_in_its_frame(served: running.Dashboard, page: Page) -> None:
    page.goto(f"{served.url}/records?part=structures")
    running.settle(page)
    expect(page.locator(".bl-head")).to_contain_text("bridge cost record")
    expect(page.locator(".bl-section").first).to_have_text("Structures")


def test_uploaded_files_come_in_and_hostile_text_stays_text(
    served: running.Dashboard, page: Page, tmp_path: Path
) -> None:
    page.goto(f"{served.url}/records?part=imports")
    running.settle(page)
    files = hostile.write_files(tmp_path)
    page.locator("input[type=file]").set_input_files(files)
    button = page.get_by_test_id("stMain").get_by_role("button", name="Import files")
    expect(button).to_be_enabled(timeout=20_000)
    button.click()
    expect(page.get_by_text("What came in")).to_be_visible(timeout=60_000)
    running.settle(page)
    expect(page.get_by_role("row", name="letting_2014-05-01.csv").first).to_contain_text("imported")

    for address in ("/", "/unit_cost_history", "/records", "/records?part=categories", "/records?part=structures"):
        page.goto(served.url + address)
        running.settle(page)
        assert page.title() != "taken"
        assert page.locator("img[src*='outside.invalid'], img[src='x'], [onerror]").count() == 0
        assert page.locator("[data-testid='stMain'] script, [data-testid='stMain'] iframe").count() == 0
        hosts = page.evaluate("[...document.querySelectorAll('a[href]')].map(link => link.hostname)")
        assert set(hosts) <= {"127.0.0.1"}

    page.goto(served.url)
    running.settle(page)
    page.get_by_role("button", name="Check another proposal").click()
    box = page.get_by_role("combobox", name="On record")
    box.click()
    page.get_by_role("option").filter(has_text="<script>").first.click()
    expect(page.locator(".bl-answer")).to_contain_text("<script>document.title='taken'</script>", timeout=20_000)
    running.settle(page)
    assert page.title() != "taken"


def test_the_server_stops_when_it_is_told_to(sample_record: Path) -> None:
    with running.dashboard(sample_record) as dashboard:
        pass
    assert dashboard.process.returncode is not None
    assert "Traceback" not in "".join(dashboard.talk)
    if sys.platform != "win32":
        with pytest.raises(OSError, match="refused"):
            socket.create_connection(("127.0.0.1", dashboard.port), timeout=2)
