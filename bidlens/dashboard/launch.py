"""Start the dashboard in this process, on this machine only unless told otherwise."""

from __future__ import annotations

import os
import socket
import sys
import threading
import time
import urllib.error
import urllib.request
import webbrowser
from pathlib import Path
from typing import Any

from bidlens.errors import BidlensError

#: Names the cost record to the pages, which run in threads of the server.
DATABASE_VARIABLE = "BIDLENS_DB"

LOCAL = "127.0.0.1"
FIRST_PORT = 8501
LARGEST_UPLOAD_MB = 50
_EVERYWHERE = ("0.0.0.0", "::")


def run(db_path: Path | str, port: int | None = None, host: str = LOCAL, open_browser: bool = True) -> None:
    """Serve the cost record at `db_path` until interrupted.

    port : used if it is free; else, or when None, the first free one is found and said on stderr.
    host : address to listen on. Anything but 127.0.0.1 lets other machines in: there is no login.
    open_browser : open the page once the server answers.
    Raises BidlensError if nothing can be listened on at that address.
    """
    from streamlit.runtime.pages_manager import PagesManager
    from streamlit.web import bootstrap

    chosen = free_port(host, port)
    url = f"http://{LOCAL if host in _EVERYWHERE else host}:{chosen}"
    if port is not None and chosen != port:
        _talk(f"Port {port} is taken.")
    _talk(f"The dashboard is at {url}  (stop it with Ctrl+C)")
    if host != LOCAL:
        _talk("Other machines can open it, and there is no login: anyone who reaches this address sees the record.")
    os.environ[DATABASE_VARIABLE] = str(Path(db_path).expanduser().absolute())
    if open_browser:
        threading.Thread(target=_open_when_ready, args=(url,), daemon=True).start()
    # Without this a link straight to a page, opened first of all, runs the page's file without its frame: Streamlit
    # takes a folder named pages for its older way of navigating until the frame has run once.
    PagesManager.uses_pages_directory = False
    settings = flags(host, chosen)
    bootstrap.load_config_options(settings)
    bootstrap.run(str(Path(__file__).with_name("app.py")), False, [], settings)


def flags(host: str, port: int) -> dict[str, Any]:
    """The server's settings, all in code: nothing is read from or sent to anywhere else."""
    from bidlens.dashboard.style import theme_flags

    return {
        "server_address": host,
        # A page elsewhere whose name is made to point here must not get in by that name.
        "server_allowedHosts": ["127.0.0.1", "localhost"] if host == LOCAL else [],
        "server_port": port,
        "server_headless": True,
        "server_fileWatcherType": "none",
        "server_maxUploadSize": LARGEST_UPLOAD_MB,
        "server_showEmailPrompt": False,
        "browser_gatherUsageStats": False,
        "client_toolbarMode": "minimal",
        "client_showErrorDetails": "none",
        "client_showErrorLinks": False,
        "logger_hideWelcomeMessage": True,
        **theme_flags(),
    }


def free_port(host: str, wanted: int | None) -> int:
    """The port wanted if it is free, else any free one. Raises BidlensError if the address cannot be listened on."""
    for port in (wanted or FIRST_PORT, 0):
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            if os.name != "nt":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except (OSError, OverflowError):
                continue
            return int(probe.getsockname()[1])
    raise BidlensError(f"cannot listen on the address {host}", do="Use 127.0.0.1, or an address of this machine.")


def _open_when_ready(url: str) -> None:
    """Wait for the server to answer, up to half a minute, then open the page."""
    for _ in range(150):
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2):
                webbrowser.open(url)
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.2)


def _talk(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
