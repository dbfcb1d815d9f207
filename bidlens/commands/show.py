"""The sample county and the dashboard: `demo` and `dashboard`."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    demo = add("demo", _demo, "build the invented sample county, check a proposal, open the dashboard")
    demo.add_argument("--no-open", action="store_true", help="stop before the dashboard")
    demo.add_argument("--port", type=int, help="port of the dashboard")

    dashboard = add("dashboard", _dashboard, "the dashboard in the browser, on this machine only")
    dashboard.add_argument("--port", type=int, help="port to use; a free one is found when not given")
    dashboard.add_argument(
        "--host", default="127.0.0.1", help="address to listen on; other machines see it only if you change this"
    )
    dashboard.add_argument("--no-open", action="store_true", help="do not open a browser")


def _demo(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import answers, as_json

    path = arguments.db or edge.data_folder() / "sample_county.duckdb"
    with workflow.build_sample_county(path, fresh=arguments.db is None, progress=edge.progress) as db:
        results = workflow.check_files(db, workflow.lead_sample_proposal(), today=None)
        if arguments.format == "json":
            print(as_json.document("demo", db=str(path), proposals=[check.as_dict() for check in results]))
        else:
            print("\n\n".join(answers.check_answer(check) for check in results))
    edge.talk(f"The sample county is in {path}")
    if arguments.no_open:
        edge.talk(f"To open the dashboard: bidlens dashboard --db {_quoted(path)}")
        return 0
    return _open_dashboard(path, arguments.port, "127.0.0.1", open_browser=True)


def _dashboard(arguments: argparse.Namespace) -> int:
    path = arguments.db or edge.default_database()
    return _open_dashboard(path, arguments.port, arguments.host, open_browser=not arguments.no_open)


def _open_dashboard(path: Path, port: int | None, host: str, *, open_browser: bool) -> int:
    from bidlens.dashboard import launch

    launch.run(path, port=port, host=host, open_browser=open_browser)
    return 0


def _quoted(path: Path) -> str:
    return f'"{path}"' if " " in str(path) else str(path)
