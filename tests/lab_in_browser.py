"""JupyterLab at the desk of a roster, in headless Chromium with the network closed: for tests and for measuring."""

import json
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import desk_in_browser

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
    """JupyterLab as ``coachlib open --lab`` serves it; gives its address with a token, for any browser."""
    token = secrets.token_hex(12)
    more = {"IdentityProvider": {"token": token}, "LabApp": {"expose_app_in_browser": True}}
    with desk_in_browser.desk(roster, home, more=more) as way_in:
        yield f"{way_in.split('/desk/')[0]}/lab/tree/recording.ipynb?token={token}&reset"


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
        self.wait_until_ready()

    def wait_until_ready(self) -> None:
        """Wait until the notebook stands on the page and its kernel is idle."""
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
