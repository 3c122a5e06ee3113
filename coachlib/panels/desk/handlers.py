"""What the desk's server answers: pages made of workbooks, pages that were made, the way in, the way behind."""

import json
import secrets
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import tornado.web
from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.base.handlers import APIHandler, JupyterHandler
from tornado.ioloop import IOLoop
from tornado.iostream import StreamClosedError

from coachlib.errors import CoachError
from coachlib.files.roster.folder import RosterFolder
from coachlib.panels.desk.books import book_for
from coachlib.panels.desk.kernels import DeskKernels
from coachlib.panels.desk.lab import set_copy_to
from coachlib.panels.desk.line import line_of_places, title_of
from coachlib.panels.desk.running import BookRun
from coachlib.panels.desk.subjects import checked, newest_week
from coachlib.report.page.places import DESK, PLACES, page_address, subject_of

#: Everything comes from this server and nothing is sent elsewhere; JupyterLab makes code of text.
LAB_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval' blob:; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; worker-src 'self' blob:; object-src 'none'; "
    "base-uri 'self'; form-action 'self'; frame-ancestors 'self'"
)
#: As above, and no script but the page's own.
PAGE_POLICY = (
    "default-src 'none'; script-src 'self' 'nonce-{nonce}' blob:; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; font-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "object-src 'none'; frame-ancestors 'none'"
)
#: Nothing is loaded and nothing runs: what was made is only looked at.
MADE_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; sandbox allow-popups allow-top-navigation-by-user-activation"
)


class DeskHandler(JupyterHandler):
    """What the desk's own pages have in common: the roster, the look, refusals in words."""

    @property
    def desk(self) -> Mapping[str, Any]:
        """What the extension was set up with: ``roster``, ``style``, ``config``, ``key``."""
        found: Mapping[str, Any] = self.settings["coachlib_desk"]
        return found

    @property
    def kernels(self) -> DeskKernels:
        """The processes of the desk."""
        manager: DeskKernels = self.settings["kernel_manager"]
        return manager

    @property
    def roster(self) -> RosterFolder:
        """The one roster of this desk, as it is now."""
        folder: RosterFolder = self.desk["roster"]
        return folder.fresh()

    @property
    def content_security_policy(self) -> str:
        """What a page may load and run; scripts carry a number that only this answer knows."""
        self.nonce = getattr(self, "nonce", None) or secrets.token_urlsafe(16)
        return PAGE_POLICY.format(nonce=self.nonce)

    def set_default_headers(self) -> None:
        """Keep what a page says on this machine and in this window."""
        super().set_default_headers()
        self.set_header("Content-Security-Policy", self.content_security_policy)
        self.set_header("Cache-Control", "no-store")
        self.set_header("Referrer-Policy", "same-origin")
        self.set_header("Cross-Origin-Opener-Policy", "same-origin")

    def refuse(self, status: int, sentence: str, *, heading: str = "Not here") -> None:
        """Answer with a sentence in place of a page."""
        self.set_status(status)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        said = sentence[:1].upper() + sentence[1:]
        self.finish(self.drawn("error.html", heading=heading, refusal=said))

    def drawn(self, template: str, **values: Any) -> str:
        """A template of the desk, set; what jupyter offers its own templates (the token) is not passed on."""
        made = (
            self.desk["templates"]
            .get_template(template)
            .render(base_url=self.base_url, style=self.desk["style"], **values)
        )
        return str(made)


class EnterHandler(DeskHandler):
    """The way in: a key that opens once gives the browser its own, and leaves no trace in the address."""

    @allow_unauthenticated
    def get(self) -> None:
        """Open with the key in the address, once."""
        given = self.get_query_argument("key", "")
        keys: set[str] = self.desk["keys"]
        if not any(secrets.compare_digest(given.encode(), key.encode()) for key in keys):
            if self.current_user is None:
                self.refuse(
                    403,
                    "this address opened the desk before, and opens it once only. Type `coachlib open` again.",
                    heading="Closed",
                )
                return
        else:
            keys.discard(given)
            self.identity_provider.set_login_cookie(
                self, self.identity_provider.generate_anonymous_user(self)
            )
        self.redirect(self.desk["first"])


class FirstHandler(DeskHandler):
    """The desk itself: the call sheet of the last complete week."""

    @tornado.web.authenticated
    def get(self) -> None:
        """Go to the call sheet."""
        week = newest_week(self.roster, date.today())
        self.redirect(page_address("roster", week=week))


class PageHandler(DeskHandler):
    """A workbook as a page: head and line of places at once, then what its cells show."""

    _gone = False
    _kernel_id: str | None = None

    @tornado.web.authenticated
    async def get(self, key: str) -> None:
        """Run the workbook of a place on the subject in the address."""
        try:
            if key not in PLACES:
                raise tornado.web.HTTPError(404)
            subject = checked(self.roster, subject_of(self.request.query))
        except CoachError as refusal:
            self.refuse(404, str(refusal))
            return
        place = PLACES[key]
        self.xsrf_token  # noqa: B018  the page says good-bye with the cookie that this sets
        self.set_header("Content-Type", "text/html; charset=utf-8")
        names = {"line": line_of_places(key, subject), "title": title_of(place, subject), "key": key}
        await self._send(self.drawn("head.html", **names, static=self.desk["static"]))
        await self._send(self.drawn("working.html", words=f"Reading for: {place.name}"))
        kernel_id = self._kernel_id = await self.kernels.start_for_page(lambda: not self._gone)
        if kernel_id is None:
            return
        book = book_for(place.book, roster=str(self.roster.path), subject=subject)
        run = BookRun(book, self.kernels.get_kernel(kernel_id))
        try:
            async for piece in run.pieces():
                await self._send(piece)
                if self._gone:
                    break
        except RuntimeError:
            if not self._gone:  # else its process was ended under it, as it should be
                raise
        finally:
            if self._gone or not run.has_widgets:
                await self.kernels.end_page(kernel_id)
            else:
                self.kernels.watch_page(kernel_id)
        if self._gone:
            return
        config = {**self.desk["config"], "kernelId": kernel_id} if run.has_widgets else None
        told = json.dumps(config).replace("<", "\\u003c") if config else None
        behind = page_address(f"behind/{key}", **subject)
        self.finish(
            self.drawn("foot.html", config=told, nonce=self.nonce, static=self.desk["static"], behind=behind)
        )

    def on_connection_close(self) -> None:
        """The page was left before it was done: its process need not end what it is at."""
        self._gone = True
        if self._kernel_id is not None:
            IOLoop.current().add_callback(self.kernels.end_page, self._kernel_id)
        super().on_connection_close()

    async def _send(self, piece: str) -> None:
        if self._gone or not piece:
            return
        self.write(piece)
        try:
            await self.flush()
        except StreamClosedError:
            self._gone = True


class MadeHandler(DeskHandler):
    """Letters, sheets and call sheets that were made: looked at, with everything in them that could run blocked."""

    @property
    def content_security_policy(self) -> str:
        """Nothing is loaded and nothing runs."""
        return MADE_POLICY

    @tornado.web.authenticated
    def get(self, athlete: str | None, name: str) -> None:
        """Show a page that lies in a reports folder of this roster."""
        path = made_page(self.roster, athlete, name)
        if path is not None and athlete is None:
            # a file's links lead to files; the same sheet at the desk leads to its pages
            self.redirect(page_address("roster", week=path.stem))
            return
        if path is None:
            self.refuse(404, f"there is no page {name} here; it may not have been made yet.")
            return
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(path.read_bytes())


class BehindHandler(DeskHandler):
    """The way to the workbook behind a page: its copy for JupyterLab is set to the page's subject."""

    @tornado.web.authenticated
    def get(self, key: str) -> None:
        """Set the copy and go there."""
        try:
            if key not in PLACES:
                raise tornado.web.HTTPError(404)
            subject = checked(self.roster, subject_of(self.request.query))
            copy = set_copy_to(self.roster, PLACES[key].book, subject)
        except (CoachError, OSError) as problem:
            self.refuse(404, str(problem))
            return
        self.redirect(f"{self.base_url}lab/tree/{copy.name}")


class LeaveHandler(APIHandler):
    """A page says good-bye: its process ends at once."""

    @tornado.web.authenticated
    async def post(self, kernel_id: str) -> None:
        """End the process of a page; that of a notebook in JupyterLab is not ended by this."""
        manager: DeskKernels = self.settings["kernel_manager"]
        await manager.end_page(kernel_id)
        self.set_status(204)
        self.finish()


def made_page(roster: RosterFolder, athlete: str | None, name: str) -> Path | None:
    """The file of a made page; None where there is none that lies in that very reports folder."""
    if athlete is not None and athlete not in roster.athletes():
        return None
    folder = (roster.athlete(athlete).reports_dir if athlete is not None else roster.reports_dir).resolve()
    path = folder / name
    inside = roster.path.resolve() in folder.parents
    try:
        real = path.resolve(strict=True)
    except (OSError, ValueError):
        return None
    if not inside or real.parent != folder or real.suffix != ".html" or not real.is_file():
        return None
    return real


#: Address -> who answers, below the desk's own.
ROUTES = (
    (rf"{DESK}/?", FirstHandler),
    (rf"{DESK}/in", EnterHandler),
    (rf"{DESK}/made/(?:([^/]+)/)?([^/]+\.html)", MadeHandler),
    (rf"{DESK}/behind/([a-z_]+)", BehindHandler),
    (rf"{DESK}/([a-z_]+)", PageHandler),
    (r"/voila/api/shutdown/([\w-]+)", LeaveHandler),
)
