"""How fast the trace editor answers: mouse-up to updated numbers, and first draw, on a four-hour recording.

Run ``python tests/benchmarks/panel_latency.py``; needs Chromium and playwright.  Wanted: a median below
100 ms for the answer, and below 2 s for the first draw of a warm notebook (imports done).
"""

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
import lab_in_browser
from panel_roster import write_roster
from playwright.sync_api import sync_playwright

FOUR_HOURS_S = 14_400
N_DRAGS = 20

#: In the page: time from the pointer's release to the last change of the numbers under the trace.
WATCH = """() => {
  const root = document.querySelector(".coach-editor");
  window.answers = [];
  let released = null;
  window.addEventListener("pointerup", () => { released = performance.now(); }, true);
  new MutationObserver(() => { if (released) window.answers.push(performance.now() - released); released = null; })
    .observe(root.querySelector(".detail"), {childList: true, characterData: true, subtree: true});
}"""

#: In the page: run the panel's cell again and wait until the new editor has painted.
DRAW = """async () => {
  const started = performance.now();
  const book = window.jupyterapp.shell.currentWidget.content;
  document.querySelector(".coach-editor").classList.add("old");
  book.activeCellIndex = book.widgets.findIndex((cell) => cell.model.sharedModel.source.startsWith("panel ="));
  window.jupyterapp.commands.execute("notebook:run-cell");
  for (;;) {
    await new Promise(requestAnimationFrame);
    const editor = document.querySelector(".coach-editor:not(.old)");
    if (editor?.querySelector("canvas").height > 200 && editor.querySelector(".sentence").textContent) break;
  }
  return performance.now() - started;
}"""


def main() -> None:
    """Measure, and print what was found."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        write_roster(home / "roster", seconds=FOUR_HOURS_S)
        with lab_in_browser.jupyterlab(home / "roster", home) as address, sync_playwright() as play:
            browser = play.chromium.launch(
                executable_path=lab_in_browser.chromium(), args=lab_in_browser.FLAGS
            )
            page = browser.new_page(viewport={"width": 1280, "height": 1000})
            book = lab_in_browser.Notebook(page, address)
            started = time.monotonic()
            book.run_all()
            cold_ms = 1000 * (time.monotonic() - started)
            page.wait_for_timeout(4000)
            answers = measured_drags(page)
            draws = [page.evaluate(DRAW) for _ in range(5)]
            browser.close()
    print(f"run all to first draw in a cold kernel, imports and decoding included: {cold_ms:.0f} ms")
    tell("first draw, warm", draws, wanted_ms=2000)
    tell("mouse-up to numbers", answers, wanted_ms=100)


def measured_drags(page) -> list[float]:
    """Drag the window's end to and fro; milliseconds from each release to the new numbers."""
    page.evaluate(WATCH)
    handle = page.locator(".coach-editor .handle.stop")
    for number in range(N_DRAGS):
        box = handle.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + 40
        to_x = x + (-60 if number % 2 == 0 else 60)
        page.mouse.move(x, y)
        page.mouse.down()
        for step in range(1, 13):
            page.mouse.move(x + (to_x - x) * step / 12, y)
        page.mouse.up()
        page.wait_for_timeout(300)
    return page.evaluate("window.answers")


def tell(what: str, found_ms: list[float], *, wanted_ms: float) -> None:
    """One line of numbers."""
    median, p90 = np.median(found_ms), np.quantile(found_ms, 0.9)
    print(
        f"{what}: median {median:.0f} ms, 90th percentile {p90:.0f} ms, worst {max(found_ms):.0f} ms "
        f"of {len(found_ms)}; wanted: median below {wanted_ms:.0f} ms"
    )


if __name__ == "__main__":
    main()
