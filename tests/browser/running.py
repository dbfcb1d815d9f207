"""The dashboard as a process of its own and a real Chromium in front of it, for the tests and the pictures."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
#: Streamlit asks for these beside a page's own address first, finds nothing, and then asks at the root.
_PROBES = re.compile(r"http://127\.0\.0\.1:\d+/\w+/_stcore/(health|host-config)$")
SECONDS_TO_START = 60


def chromium() -> str | None:
    """Path of a Chromium on this machine."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


@dataclass
class Dashboard:
    """A running dashboard: its address, and what it said on stderr so far."""

    url: str
    port: int
    process: subprocess.Popen[str]
    talk: list[str] = field(default_factory=list)


@contextmanager
def dashboard(record: Path) -> Iterator[Dashboard]:
    """Start the dashboard on a record, as a user would, on a port of its own choosing; stop it at the end."""
    command = [sys.executable, "-m", "bidlens", "dashboard", "--db", str(record), "--no-open"]
    process = subprocess.Popen(
        command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True, env={**os.environ, "PYTHONUTF8": "1"}
    )
    talk: list[str] = []
    said = threading.Event()

    def listen() -> None:
        assert process.stderr is not None
        for line in process.stderr:
            talk.append(line)
            if "http://" in line:
                said.set()
        said.set()

    threading.Thread(target=listen, daemon=True).start()
    try:
        said.wait(SECONDS_TO_START)
        found = re.search(r"http://127\.0\.0\.1:(\d+)", "".join(talk))
        assert found, f"the dashboard did not say its address: {''.join(talk)}"
        _wait_until_healthy(found[0])
        yield Dashboard(found[0], int(found[1]), process, talk)
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _wait_until_healthy(url: str) -> None:
    pause = threading.Event()
    for _ in range(SECONDS_TO_START * 5):
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2):
                return
        except OSError:
            pause.wait(0.2)
    raise AssertionError(f"the dashboard at {url} does not answer")


@contextmanager
def browser() -> Iterator[Browser]:
    """Chromium without a window; as root it has to do without its sandbox."""
    path = chromium()
    assert path is not None
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-background-networking"]
        )
        try:
            yield opened
        finally:
            opened.close()


@dataclass
class Watch:
    """What a page asked for and complained about."""

    outside: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    dialogs: list[str] = field(default_factory=list)


def watched(page: Page) -> Watch:
    """Note every request that leaves this machine, every error of the console, every dialog."""
    watch = Watch()
    failed: set[str] = set()

    def asked(url: str) -> None:
        if not re.match(r"(https?|wss?)://127\.0\.0\.1[:/]|data:|blob:|about:", url):
            watch.outside.append(url)

    def answered(status: int, url: str) -> None:
        if status >= 400 and not _PROBES.match(url):
            failed.add(url)
            watch.errors.append(f"{status} {url}")

    def dialog(message: str) -> None:
        watch.dialogs.append(message)

    page.on("request", lambda request: asked(request.url))
    page.on("websocket", lambda socket: asked(socket.url))
    page.on("response", lambda response: answered(response.status, response.url))
    page.on("pageerror", lambda error: watch.errors.append(str(error)))
    page.on(
        "console",
        lambda message: (
            watch.errors.append(message.text)
            # A failed request is judged by `answered`, which knows its address.
            if message.type == "error" and "Failed to load resource" not in message.text
            else None
        ),
    )
    page.on("dialog", lambda seen: (dialog(seen.message), seen.dismiss()))
    return watch


def settle(page: Page) -> None:
    """Wait until the page is drawn to its end and nothing is running any more."""
    page.wait_for_selector(".bl-caution", timeout=60_000)
    page.wait_for_function(
        "() => !document.querySelector('[data-testid=\"stStatusWidget\"]') "
        "&& !document.querySelector('[data-stale=\"true\"]')",
        timeout=60_000,
    )
    page.wait_for_timeout(600)
