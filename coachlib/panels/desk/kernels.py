"""Python processes of the desk: a few kept warm, one for each page that is open, none left behind.

A page's process lives as long as the page: it ends when the page is left, when its browser is gone, or when so
many pages are open that the one used longest ago must make room.
"""

import asyncio
import subprocess
from collections.abc import Callable
from typing import Any

from jupyter_client.kernelspec import KernelSpec, KernelSpecManager, NoSuchKernel
from jupyter_core.utils import ensure_async
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager

from coachlib.report.workbooks.kernel import KERNEL_NAME, this_python

#: Processes kept warm, and pages that may be open at once.  This project's own choice: with the server (about
#: 180 MB) and 200 to 300 MB a process the desk stays below 2.5 GB whatever a coach opens.
N_WARM, MOST_PAGES = 2, 6
#: Seconds until a process that was taken is replaced, so that the page that took it is drawn first.
REFILL_AFTER_S = 2.0
#: Seconds that a page's process waits for a browser that went away without a word: asleep, or crashed.
PATIENCE_S = 60.0
#: Longest time that warming up may take.  [s]
LONGEST_HEATING_S = 120.0

#: What a process prints outside a notebook interests nobody at the desk.
_QUIET: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
_HEAT = "from coachlib.panels.heating import heat; heat()"


class ThisPython(KernelSpecManager):
    """Knows one kind of process: this very Python, whatever else a machine has registered."""

    def find_kernel_specs(self) -> dict[str, str]:
        """Name the one there is."""
        return {KERNEL_NAME: ""}

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Describe how it is started."""
        if kernel_name != KERNEL_NAME:
            raise NoSuchKernel(kernel_name)
        return this_python(kernel_name)


class DeskKernels(AsyncMappingKernelManager):
    """Hands out warm processes, to pages and to JupyterLab, and ends those of pages nobody looks at."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._warm: list[tuple[str, asyncio.Task[bool]]] = []
        self._pages: list[str] = []
        self._one_page = asyncio.Lock()
        self._tasks: set[asyncio.Task[None]] = set()

    # ---- warm ------------------------------------------------------------------------------------------------

    async def fill(self) -> None:
        """Start processes until enough are warm, one after the other: they share the machine with the pages."""
        while len(self._warm) < N_WARM:
            kernel_id = await self._start(kernel_name=KERNEL_NAME, path="")
            heating = asyncio.ensure_future(self._heat(kernel_id))
            self._warm.append((kernel_id, heating))
            await asyncio.wait([heating])

    async def _heat(self, kernel_id: str) -> bool:
        """Let a process import everything; whether it is fit to be used."""
        client: Any = self.get_kernel(kernel_id).client()
        client.start_channels()
        try:
            await client.wait_for_ready(timeout=LONGEST_HEATING_S)
            reply = await client.execute(_HEAT, silent=True, reply=True, timeout=LONGEST_HEATING_S)
        except (RuntimeError, TimeoutError) as problem:
            self.log.warning("A process could not be warmed up: %s", problem)
            return False
        finally:
            client.stop_channels()
        return bool(reply["content"]["status"] == "ok")

    async def _take_warm(self) -> str | None:
        """A warm process, or one that will soon be; None where there is none."""
        while self._warm:
            kernel_id, heating = next((w for w in self._warm if w[1].done()), self._warm[0])
            self._warm.remove((kernel_id, heating))
            self._later(REFILL_AFTER_S, self.fill)
            fit = await heating
            if fit and kernel_id in self and await ensure_async(self.get_kernel(kernel_id).is_alive()):
                return kernel_id
            await self._end(kernel_id)
        return None

    async def start_kernel(  # type: ignore[override]
        self, *, kernel_id: str | None = None, path: str | None = None, **options: Any
    ) -> str:
        """Give a warm process where there is one, and start another where not."""
        wanted = options.get("kernel_name") or KERNEL_NAME
        if kernel_id is None and wanted == KERNEL_NAME and (warm := await self._take_warm()) is not None:
            return warm
        return await self._start(kernel_id=kernel_id, path=path, **options)

    async def _start(self, **options: Any) -> str:
        """Start another process."""
        kernel_id: str = await super().start_kernel(**_QUIET, **options)
        return kernel_id

    def list_kernels(self) -> list[dict[str, Any]]:
        """Every process that belongs to somebody."""
        return [model for model in super().list_kernels() if not self._is_warm(model["id"])]

    def _is_warm(self, kernel_id: str) -> bool:
        return any(kernel_id == warm for warm, _ in self._warm)

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End what was forgotten, but for those kept warm."""
        if not self._is_warm(kernel_id):
            await super().cull_kernel_if_idle(kernel_id)

    # ---- of pages --------------------------------------------------------------------------------------------

    async def start_for_page(self, is_wanted: Callable[[], bool]) -> str | None:
        """A process for a page; the page used longest ago makes room where there are too many.

        Pages get theirs one after the other: of many clicks in a row only the last is still wanted, and those
        before it take none (None) or give theirs back.
        """
        async with self._one_page:
            if not is_wanted():
                return None
            while len(self._pages) >= MOST_PAGES:
                await self.end_page(min(self._pages, key=self._last_used))
            kernel_id = await self.start_kernel(kernel_name=KERNEL_NAME, path="")
            if not is_wanted():
                await self._give_back(kernel_id)
                return None
            self._pages.append(kernel_id)
        return kernel_id

    async def _give_back(self, kernel_id: str) -> None:
        """Keep a process that nobody used for the next page."""
        if len(self._warm) < N_WARM:
            self._warm.append((kernel_id, asyncio.ensure_future(self._heat(kernel_id))))
        else:
            await self._end(kernel_id)

    def _last_used(self, kernel_id: str) -> Any:
        return self.kernel_model(kernel_id)["last_activity"]

    async def end_page(self, kernel_id: str) -> None:
        """End a page's process at once; what was not saved lies in its draft."""
        if kernel_id in self._pages:
            self._pages.remove(kernel_id)
            await self._end(kernel_id)

    def watch_page(self, kernel_id: str) -> None:
        """End the page's process unless its browser is there in a while."""
        self._later(PATIENCE_S, lambda: self._end_if_alone(kernel_id))

    def notify_disconnect(self, kernel_id: str) -> None:
        """A browser went away; where it does not come back, its process ends."""
        super().notify_disconnect(kernel_id)
        if kernel_id in self._pages:
            self.watch_page(kernel_id)

    def remove_kernel(self, kernel_id: str) -> Any:
        """Forget a process that has ended."""
        if kernel_id in self._pages:
            self._pages.remove(kernel_id)
        return super().remove_kernel(kernel_id)

    async def _end_if_alone(self, kernel_id: str) -> None:
        if kernel_id in self._pages and not self._kernel_connections.get(kernel_id):
            await self.end_page(kernel_id)

    async def _end(self, kernel_id: str) -> None:
        if kernel_id in self:
            await ensure_async(self.shutdown_kernel(kernel_id, now=True))

    def _later(self, seconds: float, act: Any) -> None:
        async def wait_and_act() -> None:
            await asyncio.sleep(seconds)
            await act()

        task = asyncio.ensure_future(wait_and_act())
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
