"""The server of ``coachlib open``: the desk and JupyterLab on one roster, on this machine only."""

import os
import secrets
from typing import Any

from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.files.roster.places import ROSTER_VARIABLE
from coachlib.panels.desk.lab import lay_out_workbooks, settings_folder

#: Notebooks of JupyterLab that nobody used for so long lose their process.  Own choice: half an hour.  [s]
FORGOTTEN_AFTER_S = 1800
#: Extensions that a Jupyter installation may switch on by itself, and the desk has no use for.
NOT_WANTED = (
    "jupyter_server_terminals",
    "jupyter_lsp",
    "notebook_shim",
    "notebook",
    "voila.server_extension",
)


def open_desk(
    roster: str | os.PathLike[str] | None,
    *,
    lab: bool = False,
    browser: bool = True,
    more: dict[str, dict[str, Any]] | None = None,
) -> int:
    """Serve the desk of a roster until it is stopped.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    lab : bool
        Whether JupyterLab on the workbooks is opened instead of the call sheet.
    browser : bool
        Whether to open the web browser; else the address is printed.
    more : dict, optional
        Further settings of the server, by class and name.

    Returns
    -------
    int
        0 when it was stopped.

    Raises
    ------
    RosterProblem
        When the folder is no roster, or its derived folder cannot be written.

    Examples
    --------
    ``coachlib open athletes_demo`` does this from the command line.
    """
    folder = open_roster(roster)
    try:
        books = lay_out_workbooks(folder)
    except OSError as problem:
        raise RosterProblem(
            f"the desk keeps its workbooks in {problem.filename or folder.path}, which cannot be written "
            f"({problem.strerror}). Free the disk or allow writing there, then open again."
        ) from problem
    os.environ[ROSTER_VARIABLE] = str(folder.path)
    # settings in the folder one happens to stand in are none of ours
    os.chdir(books)

    from jupyter_server.serverapp import ServerApp
    from traitlets import Bool
    from traitlets.config import Config

    from coachlib.panels.desk.extension import HERE
    from coachlib.panels.desk.handlers import LAB_POLICY
    from coachlib.panels.desk.kernels import DeskKernels, ThisPython

    class DeskServer(ServerApp):
        """Leaves no file behind that holds the way in."""

        no_browser_open_file = Bool(True)

    wanted = {"coachlib.panels.desk.extension": True, "jupyterlab": True}
    config = Config(
        {
            "Application": {"log_level": "ERROR"},
            "ServerApp": {
                "jpserver_extensions": {**wanted, **dict.fromkeys(NOT_WANTED, False)},
                "ip": "127.0.0.1",
                "root_dir": str(books),
                "default_url": "/desk",
                "open_browser": False,
                "answer_yes": True,
                "allow_root": True,
                "terminals_enabled": False,
                "kernel_manager_class": DeskKernels,
                "kernel_spec_manager_class": ThisPython,
                "extra_template_paths": [str(HERE / "templates")],
                "tornado_settings": {
                    "headers": {"Content-Security-Policy": LAB_POLICY, "X-Content-Type-Options": "nosniff"},
                    "coachlib_opens": {
                        "browser": browser,
                        "first": "/lab/tree/roster.ipynb" if lab else None,
                    },
                },
            },
            "IdentityProvider": {"token": secrets.token_hex(24), "cookie_options": {"samesite": "Strict"}},
            "DeskKernels": {"cull_idle_timeout": FORGOTTEN_AFTER_S, "cull_interval": 60},
            "KernelRestarter": {"time_to_dead": 1.0},
            "LabApp": {
                "check_for_updates_class": "jupyterlab.handlers.announcements.NeverCheckForUpdate",
                "extension_manager": "readonly",
            },
            "LabServerApp": {"app_settings_dir": str(settings_folder(folder))},
        }
    )
    config.merge(Config(more or {}))
    DeskServer.launch_instance(argv=[], config=config)
    return 0
