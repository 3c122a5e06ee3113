"""The desk as an extension of a Jupyter server: its addresses, its scripts, its warm processes."""

import os
import secrets
import sys
import webbrowser
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, select_autoescape
from jupyter_core.paths import jupyter_path
from jupyter_server.base.handlers import FileFindHandler
from jupyter_server.serverapp import ServerApp
from tornado.ioloop import IOLoop
from voila import __version__
from voila.configuration import VoilaConfiguration
from voila.utils import get_page_config, get_voila_labextensions_path

from coachlib.files.roster.folder import open_roster
from coachlib.panels.desk.handlers import ROUTES
from coachlib.panels.desk.look import desk_style
from coachlib.report.page.places import DESK, DESK_VARIABLE

HERE = Path(__file__).parent
#: What the page's scripts load beside themselves: the widgets, and what they are made of.
WIDGET_EXTENSIONS = ["@voila-dashboards/widgets-manager8", "@jupyter-widgets/jupyterlab-manager", "anywidget"]


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    return [{"module": "coachlib.panels.desk.extension"}]


def _load_jupyter_server_extension(app: ServerApp) -> None:
    """Set the desk up on a server; the roster is the one that the environment names."""
    base = app.base_url.rstrip("/")
    roster = open_roster()
    web = app.web_app
    templates = FileSystemLoader(HERE / "templates")
    environment = Environment(loader=templates, autoescape=select_autoescape(default=True))
    key, opens = secrets.token_urlsafe(24), web.settings.get("coachlib_opens", {})
    # sixty scripts a page: an address that says the version, or a checksum, is asked for once
    static, labextensions = f"{base}/voila/static/{__version__}", f"{base}/voila/labextensions"
    kept = web.settings.setdefault("static_immutable_cache", [])
    kept += [f"{static}/", f"{labextensions}/"]
    web.settings["coachlib_desk"] = {
        "roster": roster,
        "style": desk_style(roster.settings.accent),
        "static": static,
        "config": _page_config(app, static),
        "keys": {key},
        "first": opens.get("first") or f"{base}{DESK}",
        "templates": environment,
    }
    voila = [str(Path(path) / "templates" / "base" / "static") for path in jupyter_path("voila")]
    scripts = {
        static: [str(HERE / "static"), *voila],
        labextensions: get_voila_labextensions_path(),
    }
    web.add_handlers(".*$", [(f"{base}{address}", handler) for address, handler in ROUTES])
    web.add_handlers(
        ".*$", [(f"{address}/(.*)", FileFindHandler, {"path": path}) for address, path in scripts.items()]
    )

    def once_up() -> None:
        server = f"http://127.0.0.1:{app.port}{base}"
        os.environ[DESK_VARIABLE] = server  # for the processes behind the pages, which start from here on
        _open(f"{server}{DESK}/in?key={key}", browser=opens.get("browser", False))
        manager: Any = app.kernel_manager
        IOLoop.current().add_callback(manager.fill)

    IOLoop.current().add_callback(once_up)


def _page_config(app: ServerApp, static: str) -> dict[str, Any]:
    """What the page's scripts must know: where they lie, and which widgets there are."""
    configuration = VoilaConfiguration(parent=app, extension_allowlist=WIDGET_EXTENSIONS)
    config: dict[str, Any] = get_page_config(
        base_url=app.base_url,
        settings=app.web_app.settings,
        log=app.log,
        voila_configuration=configuration,
    )
    config["fullStaticUrl"] = static
    config["fullMathjaxUrl"] = f"{static}/no_formulas.js"
    return config


def _open(address: str, *, browser: bool) -> None:
    """Open the desk in the browser, and say where it is in any case: a browser may refuse, as for root, and not say so."""
    if browser and has_screen() and webbrowser.open(address):
        print(f"The desk opens in your browser. If it does not, the desk is at {address}", flush=True)
    else:
        print(f"The desk is at {address} (this address opens once).", flush=True)
        if browser:
            print(
                "No browser can be opened from here. In a container or over a remote line: coachlib help desk",
                flush=True,
            )
    print("The desk stays open until you press Ctrl+C here.", flush=True)


def has_screen() -> bool:
    """Whether a window can open here: without one only browsers of the terminal are left, which cannot show the desk."""
    needs_display = sys.platform.startswith(("linux", "freebsd"))
    return not needs_display or any(os.environ.get(v) for v in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"))
