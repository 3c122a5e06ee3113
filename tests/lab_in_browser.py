"""JupyterLab on a roster, in headless Chromium with the network closed: for tests and for measuring."""

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from coachlib.files.roster.folder import open_roster
from coachlib.panels.desk.lab import lab_command, lay_out_workbooks

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """Where a Chromium is installed; None where there is none."""
    named = os.environ.get("COACHLIB_CHROMIUM")
    names = ("chromium", "chromium-browser", "google-chrome")
    return named or next((found for name in names if (found := shutil.which(name))), None)


@contextmanager
def jupyterlab(roster: Path, home: Path) -> Iterator[str]:
    """JupyterLab as ``coachlib open`` starts it, on a free port; gives its address with a token."""
    books = lay_out_workbooks(open_roster(roster))
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    token = secrets.token_hex(12)
    options = (
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--IdentityProvider.token={token}",
        "--LabApp.expose_app_in_browser=True",
        "--allow-root",
    )
    folders = {f"JUPYTER_{name}_DIR": str(home / name.lower()) for name in ("CONFIG", "DATA", "RUNTIME")}
    log = (home / "lab.log").open("w")
    server = subprocess.Popen(
        lab_command(books, browser=False, options=options),
        env={**os.environ, **folders, "OMP_NUM_THREADS": "1"},
        stdout=log,
        stderr=log,
        start_new_session=True,
    )
    try:
        address = f"http://127.0.0.1:{port}"
        _wait_for(f"{address}/api?token={token}", server)
        yield f"{address}/lab/tree/recording.ipynb?token={token}&reset"
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        try:
            server.wait(timeout=15)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
            server.wait()
        log.close()


def _wait_for(address: str, server: subprocess.Popen) -> None:
    for _ in range(300):
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(address, timeout=2):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("JupyterLab did not start; see lab.log in the test's folder")


class Notebook:
    """A notebook open in a page: run it, find its editor, ask its kernel."""

    def __init__(self, page: Any, address: str | None = None) -> None:
        self.page = page
        self.outside: list[str] = []
        self.page_errors: list[str] = []
        page.route("**/*", self._only_here)
        page.on("pageerror", lambda error: self.page_errors.append(str(error)))
        if address is not None:
            self.open(address)

    def _only_here(self, route: Any) -> None:
        if "://127.0.0.1" in route.request.url or not route.request.url.startswith("http"):
            route.continue_()
        else:
            self.outside.append(route.request.url)
            route.abort()

    def open(self, address: str) -> None:
        """Open the notebook and wait for its kernel."""
        self.page.goto(address)
        self.page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
        self.page.wait_for_function(
            """() => window.jupyterapp?.shell.currentWidget?.context?.sessionContext.session?.kernel?.status === "idle" """,
            timeout=60_000,
        )

    def run(self, *, until: str) -> None:
        """Run all cells and wait until something stands in the page."""
        self.page.evaluate("window.jupyterapp.commands.execute('notebook:run-all-cells')")
        self.page.wait_for_selector(until, timeout=60_000)

    def run_all(self) -> None:
        """Run all cells; the editor is drawn afterwards."""
        self.run(until=".coach-editor .trace canvas")
        self.page.wait_for_function(
            "() => document.querySelector('.coach-editor .sentence')?.textContent.length > 0"
        )

    def count_cells(self) -> int:
        """How many cells the notebook has."""
        return self.page.evaluate("window.jupyterapp.shell.currentWidget.content.model.cells.length")

    def ask(self, expression: str) -> Any:
        """What an expression is in the kernel, by way of JSON."""
        said = self.page.evaluate(
            """async (code) => {
              const kernel = window.jupyterapp.shell.currentWidget.context.sessionContext.session.kernel;
              const future = kernel.requestExecute({code, silent: false, store_history: false});
              let text = "";
              future.onIOPub = (m) => { if (m.header.msg_type === "stream") text += m.content.text; };
              await future.done;
              return text;
            }""",
            f"import json; print(json.dumps({expression}))",
        )
        return json.loads(said)
