"""The desk on a roster, in headless Chromium with the network closed: for tests and for measuring."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

#: Where to look for what a page of the desk has drawn.
DRAWN = {
    "roster": ".calls, .refusal",
    "recording": ".coach-editor .trace canvas",
    "letter": ".coach-diary button",
    "plan": ".coach-plan .add",
    "first_threshold": ".jupyter-widgets .letter",
    "second_threshold": ".jupyter-widgets .letter",
    "zones": ".jupyter-widgets .letter",
    "drift_test": ".letter figure, .refusal",
    "two_tests": ".letter h1, .letter h2, .letter [role=status], .refusal",
    "season": ".letter h1, .letter h2, .refusal",
}


@contextmanager
def desk(roster: Path, home: Path, *, more: dict[str, Any] | None = None) -> Iterator[str]:
    """The desk as ``coachlib open`` serves it; gives the address that opens it once."""
    start = f"from coachlib.panels.desk.server import open_desk; open_desk({str(roster)!r}, browser=False, more={more})"
    folders = {f"JUPYTER_{name}_DIR": str(home / name.lower()) for name in ("CONFIG", "DATA", "RUNTIME")}
    log = home / "desk.log"
    with log.open("w") as told:
        server = subprocess.Popen(
            [sys.executable, "-c", start],
            env={**os.environ, **folders, "OMP_NUM_THREADS": "1", "IPYTHONDIR": str(home / "ipython")},
            stdout=told,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    try:
        for _ in range(600):
            if found := re.search(r"http://\S+", log.read_text()):
                break
            if server.poll() is not None:
                raise RuntimeError(f"the desk did not start: {log.read_text()}")
            time.sleep(0.1)
        yield found[0]
    finally:
        server.send_signal(signal.SIGINT)
        try:
            server.wait(timeout=20)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
            server.wait()


class DeskPage:
    """A page of the desk in a browser that reaches nothing but this machine."""

    def __init__(self, page: Any, way_in: str | None = None) -> None:
        self.page = page
        self.outside: list[str] = []
        self.errors: list[str] = []
        page.route("**/*", self._only_here)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("console", lambda message: message.type == "error" and self.errors.append(message.text))
        if way_in is not None:
            self.base = way_in.split("/desk/", 1)[0]
            page.goto(way_in, wait_until="commit")

    def _only_here(self, route: Any) -> None:
        if route.request.url.startswith((self.base, "data:", "blob:")):
            route.continue_()
        else:
            self.outside.append(route.request.url)
            route.abort()

    def go(self, place: str, *, until: str | None = None, **subject: str) -> float:
        """Go to a place; seconds from the click to its first drawing."""
        from coachlib.report.page.places import page_address

        began = time.perf_counter()
        self.page.goto(self.base + page_address(place, **subject), wait_until="commit")
        self.page.wait_for_selector(until or DRAWN[place], timeout=180_000)
        return time.perf_counter() - began
