"""The preview's page on the loopback: navigation only, one source of everything, renewed on each saving.

It answers GET on this machine's own address alone, to a page of its own: the Host header is checked, so that no other
site's name can be led here, and the page may load nothing but what this server gives. It writes nothing and starts
nothing; a link to a file is followed by the browser.
"""

from __future__ import annotations

import asyncio
import contextlib
import hashlib
import json
import multiprocessing
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote

import tornado.httpserver
import tornado.netutil
import tornado.web
from watchfiles import awatch

from leadsman import processes
from leadsman.errors import LeadsmanError, Problem
from leadsman.press.temporary import own_folder
from leadsman.preview.judging import problems_in
from leadsman.preview.views import Desk, Target, View

HOST = "127.0.0.1"
#: What a page may do: show what this server gives, and nothing else.
POLICY = (
    "default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'; connect-src 'self'; frame-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
#: The telephone's screen: no script at all, and shown in this page alone.
PHONE_POLICY = (
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'self'; sandbox"
)
_TYPES = {".css": "text/css", ".js": "text/javascript", ".html": "text/html"}
#: Painted pages that are kept to be asked for.
_MOST_PICTURES = 400
#: How long the watcher waits for more [ms]: an editor writes a file in several steps.
_DEBOUNCE_MS, _STEP_MS = 120, 20


@dataclass
class Shown:
    """What one target's page shows: its views, the last good ones where a new one cannot be made."""

    target: Target
    views: dict[str, dict[str, Any]] = field(default_factory=dict)
    phone: str = ""
    number: int = 0
    """Of the saving that it shows."""


class Preview:
    """The warm content, what is shown of it, and who listens.

    Parameters
    ----------
    desk
        The content as it was last saved.
    opened_by
        An address with ``{path}``, ``{line}`` and ``{column}`` by which an editor opens a file; by default the file's
        own address.
    """

    def __init__(self, desk: Desk, opened_by: str = "") -> None:
        self.desk, self.opened_by = desk, opened_by
        self.problems: list[dict[str, Any]] = []
        self.judged = 0
        self.number = 1
        self.pictures: dict[str, bytes] = {}
        self.shown: dict[str, Shown] = {}
        self.listeners: dict[asyncio.Queue[int], str] = {}
        # The typesetting engine belongs to one thread.
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="preview")
        self._busy = asyncio.Lock()
        # The rules are asked in a process of their own, so that the next saving need not wait for them.
        self._judge_process = ProcessPoolExecutor(
            1, multiprocessing.get_context("spawn"), processes.begin_worker, (str(own_folder()),)
        )

    async def _run(self, work: Callable[[], Any]) -> Any:
        return await asyncio.get_running_loop().run_in_executor(self._thread, work)

    async def saved(self) -> None:
        """Read what has changed and renew what is being looked at, what is quick first."""
        self.number += 1
        number = self.number
        async with self._busy:
            await self._run(self.desk.read)
            self._tell_problems(self.desk.catalogue.problems)
            for name in dict.fromkeys(self.listeners.values()):
                await self._renew(name, number)
        await self._judge(number)

    async def look(self, named: str) -> Shown:
        """What is shown of a target, begun when it is first asked for."""
        if named not in self.shown:
            self.shown[named] = Shown(self.desk.target(named))
            asyncio.get_running_loop().create_task(self._begin(named))
        return self.shown[named]

    async def _begin(self, named: str) -> None:
        async with self._busy:
            await self._renew(named, self.number)
        if self.judged != self.number:
            await self._judge(self.number)

    async def _renew(self, named: str, number: int) -> None:
        shown = self.shown.get(named)
        if shown is None:
            return
        for _, make in self.desk.views(shown.target):
            if number != self.number:
                return
            self._take(shown, await self._run(make))
            shown.number = number
            self._tell(named)

    async def _judge(self, number: int) -> None:
        """Every rule over the whole content: it takes longer than the pages, and so comes last."""
        if number != self.number:
            return
        loop = asyncio.get_running_loop()
        try:
            problems = await loop.run_in_executor(self._judge_process, problems_in, str(self.desk.folder))
        except Exception as error:
            # A rule that trips over half-written text is no reason to stop showing pages.
            self.problems.append(self._problem_told(type(error).__name__))
        else:
            if number == self.number:
                self.judged = number
                self._tell_problems(problems)

    def close(self) -> None:
        """End the thread and the process."""
        self._thread.shutdown(cancel_futures=True)
        processes.stop_workers()
        self._judge_process.shutdown(cancel_futures=True)

    def _problem_told(self, kind: str) -> dict[str, Any]:
        what = f"the rules cannot be asked while the text is broken ({kind})"
        return {"path": "", "line": 1, "column": 1, "what": what, "severity": "error", "href": ""}

    def _tell_problems(self, problems: list[Problem]) -> None:
        self.problems = [
            {"path": p.path, "line": p.line, "column": p.column, "severity": p.severity, "href": self._address(p),
             "what": f"{p.field}: {p.what}; {p.hint}" if p.hint else p.what}
            for p in problems
        ]  # fmt: skip
        for named in dict.fromkeys(self.listeners.values()):
            self._tell(named)

    def _address(self, problem: Problem) -> str:
        path = Path(problem.path).absolute()
        if not self.opened_by:
            return f"{path.as_uri()}#L{problem.line}"
        return self.opened_by.format(path=quote(path.as_posix()), line=problem.line, column=problem.column)

    def _take(self, shown: Shown, view: View) -> None:
        """Show a view; of one that could not be made the last good one stays, with the reason."""
        if view.trouble:
            kept = shown.views.setdefault(view.name, {"title": "", "pages": [], "text": "", "phone": ""})
            kept["trouble"] = view.trouble
            return
        names = []
        for page in view.pages:
            name = hashlib.sha256(page).hexdigest()
            self.pictures[name] = self.pictures.pop(name, page)
            names.append(name)
        while len(self.pictures) > _MOST_PICTURES:
            self.pictures.pop(next(iter(self.pictures)))
        if view.phone:
            shown.phone = view.phone
        phone = hashlib.sha256(view.phone.encode()).hexdigest() if view.phone else ""
        shown.views[view.name] = {"title": view.title, "pages": names, "text": view.text, "phone": phone, "trouble": ""}  # fmt: skip

    def _tell(self, named: str) -> None:
        for queue, looking_at in self.listeners.items():
            if looking_at == named and queue.empty():
                queue.put_nowait(self.number)

    def state(self, named: str) -> dict[str, Any]:
        """What a page shows, as plain data."""
        shown = self.shown[named]
        return {
            "target": vars(shown.target) | {"file": str(shown.target.file or "")},
            "number": shown.number,
            "views": shown.views,
            "problems": self.problems,
            "judged": self.judged == self.number,
        }


class Handler(tornado.web.RequestHandler):
    """What every answer has in common: who may ask, and what a browser may do with it."""

    SUPPORTED_METHODS = ("GET",)

    def initialize(self, preview: Preview, templates: Path) -> None:
        """Take what all answers are made from."""
        self.preview, self.templates = preview, templates

    def prepare(self) -> None:
        """Refuse whatever was not addressed to this machine by its own name and port."""
        port = self.settings["port"]
        if self.request.host not in {f"{HOST}:{port}", f"localhost:{port}"}:
            raise tornado.web.HTTPError(421)

    def set_default_headers(self) -> None:
        """Keep other sites out, and this page in."""
        self.set_header("Content-Security-Policy", POLICY)
        self.set_header("X-Content-Type-Options", "nosniff")
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")
        self.set_header("Cache-Control", "no-store")
        self.clear_header("Server")

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        """A number and no more."""
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"{status_code}\n")

    async def looked_at(self, named: str) -> Shown:
        """The target of an address; another name is not found."""
        try:
            return await self.preview.look(named)
        except LeadsmanError as error:
            raise tornado.web.HTTPError(404) from error


class Nothing(Handler):
    """An address that is none of the page's."""

    def get(self) -> None:
        raise tornado.web.HTTPError(404)


class Icon(Handler):
    """A browser asks for it unasked; there is none."""

    def get(self) -> None:
        self.set_status(204)


class Page(Handler):
    """The page itself, the same for every target; its script asks for the rest."""

    async def get(self, named: str = "") -> None:
        if not named:
            self.redirect(f"/show/{self.settings['first']}")
            return
        await self.looked_at(named)
        self.finish((self.templates / "preview" / "page.html").read_text(encoding="utf-8"))


class Part(Handler):
    """The page's style and script."""

    def get(self, name: str) -> None:
        path = self.templates / "preview" / name
        self.set_header("Content-Type", f"{_TYPES[path.suffix]}; charset=utf-8")
        self.finish(path.read_bytes())


class State(Handler):
    """What a target's page shows."""

    async def get(self, named: str) -> None:
        await self.looked_at(named)
        self.finish(self.preview.state(named))


class Targets(Handler):
    """All that can be shown."""

    def get(self) -> None:
        found = [{"kind": t.kind, "id": t.id, "title": t.title} for t in self.preview.desk.targets()]
        self.finish({"targets": found})


class Picture(Handler):
    """A painted page by its digest."""

    def get(self, name: str) -> None:
        if name not in self.preview.pictures:
            raise tornado.web.HTTPError(404)
        self.set_header("Content-Type", "image/png")
        self.finish(self.preview.pictures[name])


class Phone(Handler):
    """The telephone's screen, without script."""

    async def get(self, named: str, digest: str) -> None:
        shown = await self.looked_at(named)
        self.set_header("Content-Security-Policy", PHONE_POLICY)
        self.finish(shown.phone)


class Events(Handler):
    """Server-sent events: one line whenever there is something new to ask for."""

    async def get(self, named: str) -> None:
        await self.looked_at(named)
        self.set_header("Content-Type", "text/event-stream")
        queue: asyncio.Queue[int] = asyncio.Queue(maxsize=1)
        self._queue = queue
        self.preview.listeners[queue] = named
        try:
            while True:
                self.write(f"data: {json.dumps(self.preview.number)}\n\n")
                await self.flush()
                await queue.get()
        except tornado.iostream.StreamClosedError:
            pass
        except asyncio.CancelledError:
            # The server ends; an error can no longer be said, and a page that is left open is none.
            raise tornado.web.Finish from None
        finally:
            self.preview.listeners.pop(queue, None)

    def on_connection_close(self) -> None:
        """Let the loop above notice that nobody listens any more."""
        if self._queue.empty():
            self._queue.put_nowait(0)


def application(preview: Preview, templates: Path, port: int, first: str) -> tornado.web.Application:
    """The addresses of the page."""
    given = {"preview": preview, "templates": templates}
    name = "([a-z0-9][a-z0-9-]*)"
    return tornado.web.Application(
        [
            ("/", Page, given),
            (r"/favicon\.ico", Icon, given),
            (f"/show/{name}", Page, given),
            (r"/(page\.css|page\.js)", Part, given),
            ("/targets", Targets, given),
            (f"/state/{name}", State, given),
            (f"/events/{name}", Events, given),
            ("/picture/([0-9a-f]{64})\\.png", Picture, given),
            (f"/phone/{name}/([0-9a-f]{{64}})", Phone, given),
        ],
        port=port,
        first=first,
        default_handler_class=Nothing,
        default_handler_args=given,
        log_function=lambda handler: None,
    )


@contextlib.contextmanager
def _cancelled_by_signals() -> Iterator[list[int]]:
    """Let SIGTERM and SIGHUP cancel this task at its next wait, as asyncio does with Ctrl-C; which one did.

    An exception out of a handler may strike anywhere, also where an answer is written: the loop then ends before the
    server does, and the thread that watches the files goes on for ever.
    """
    loop, task, got = asyncio.get_running_loop(), asyncio.current_task(), list[int]()
    assert task is not None

    def stop(number: int) -> None:
        got.append(number)
        task.cancel()

    before = {}
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is None or (handler := signal.getsignal(number)) == signal.SIG_IGN:
            continue
        # Not on every system, and in no thread but the first.
        with contextlib.suppress(ValueError, RuntimeError):
            loop.add_signal_handler(number, stop, number)
            before[number] = handler
    try:
        yield got
    finally:
        for number, handler in before.items():
            loop.remove_signal_handler(number)
            signal.signal(number, handler)


async def serve(desk: Desk, named: str | None, port: int, opened_by: str, told: Callable[[str], None]) -> int:
    """Serve the page until a signal ends it, and give its number; ``told`` hears the address once it answers.

    Raises
    ------
    UsageError
        Where nothing has that name.
    OSError
        Where the port is taken.
    """
    first = desk.target(named)
    preview = Preview(desk, opened_by)
    sockets = tornado.netutil.bind_sockets(port, address=HOST)
    port = sockets[0].getsockname()[1]
    server = tornado.httpserver.HTTPServer(application(preview, desk.templates, port, first.id))
    server.add_sockets(sockets)
    with _cancelled_by_signals() as got:
        try:
            told(f"http://{HOST}:{port}/show/{first.id}")
            async for _ in awatch(desk.folder, debounce=_DEBOUNCE_MS, step=_STEP_MS):
                await preview.saved()
        except asyncio.CancelledError:
            if not got:
                raise
        finally:
            server.stop()
            preview.close()
        return got[0] if got else 0
