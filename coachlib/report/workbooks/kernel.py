"""One warm Python process for running notebooks."""

import asyncio
import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from jupyter_client.kernelspec import KernelSpec, KernelSpecManager
from jupyter_client.manager import AsyncKernelManager
from jupyter_core.utils import ensure_event_loop, run_sync

KERNEL_NAME = "python3"


def this_python(name: str) -> KernelSpec:
    """How a process of this very Python is started for notebooks; it keeps no history."""
    options = ["--HistoryManager.enabled=False", "--IPKernelApp.log_level=ERROR"]
    return KernelSpec(
        argv=[sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}", *options],
        name=name,
        display_name="Python",
        language="python",
    )


class _ThisPython(KernelSpecManager):
    """Knows one kernel: this very Python, whatever else a machine has registered under its name."""

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Describe how the kernel is started."""
        return this_python(kernel_name)


class _Manager(AsyncKernelManager):
    """Remembers the clients it makes, since a notebook's run leaves its own open."""

    def client(self, **options: Any) -> Any:
        """Make a client and remember it."""
        made = super().client(**options)
        self.clients = [*getattr(self, "clients", []), made]
        return made

    def close_clients(self) -> None:
        """Close the sockets of every client made so far."""
        for client in getattr(self, "clients", []):
            client.stop_channels()
        self.clients = []


class WarmKernel:
    """A kernel that is started by its first notebook and lives until it is stopped.

    The manager is the asynchronous one on purpose: with the plain one a notebook's time limit and the
    death of its kernel go unnoticed.

    Examples
    --------
    >>> kernel = WarmKernel()
    >>> kernel.manager.kernel_name
    'python3'
    >>> kernel.stop()
    """

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix=f"coach-{os.getpid()}-"))
        self.manager = _Manager(
            kernel_name=KERNEL_NAME,
            kernel_spec_manager=_ThisPython(),
            connection_file=str(self._folder / "kernel.json"),
            # Sockets in a folder of its own: two kernels that share one answer each other's questions.
            transport="tcp" if os.name == "nt" else "ipc",
        )

    def release(self) -> None:
        """Close what the last notebook left open; the process goes on."""
        self.manager.close_clients()

    def stop(self) -> None:
        """End the process at once and remove its sockets."""
        _forget_unfinished()
        self.release()
        if self.manager.has_kernel:
            run_sync(self.manager.shutdown_kernel)(now=True)
        shutil.rmtree(self._folder, ignore_errors=True)


def _forget_unfinished() -> None:
    """Drop what a run that was broken off still waits for; it would complain when the process ends."""
    loop = ensure_event_loop()
    if not loop.is_running() and (tasks := asyncio.all_tasks(loop)):
        for task in tasks:
            task.cancel()
        loop.run_until_complete(asyncio.gather(*tasks, return_exceptions=True))
