"""A small project, and a window on the page that asks as a browser does."""

import asyncio
import json
import threading
import time
from contextlib import ExitStack, contextmanager
from secrets import token_urlsafe

import httpx
import uvicorn
from tub import TUB as TUB

import cradle.pipeline  # noqa: F401 - two threads here that both began to load it would each find half of it
from cradle.page.desk import Desk
from cradle.page.guard import HERE, Guard
from cradle.page.jobs import Answer, Doers, DroppedError, Task, Told, Watch, answered
from cradle.page.server import application

PATIENCE_S = 120.0
NO_HOLDER = (Task.BUILD,)
"""For claims that no holder is needed for."""


class InThread:
    """A worker without a process of its own: the same answers, and no time lost in starting.

    What is in ``drops`` it leaves undone, as if something newer had been asked.
    """

    def __init__(self, *, drops=()):
        self._newest, self._doers, self._turn = 0, Doers(), asyncio.Lock()
        self.jobs, self._drops, self.loop = [], drops, None

    def start(self):
        self.loop = asyncio.get_running_loop()

    def stop(self):
        pass

    def ticket(self):
        self._newest += 1
        return self._newest

    async def stop_work(self):
        self.ticket()

    async def ask(self, job, *, on_told=None):
        loop = asyncio.get_running_loop()

        def tell(told):
            if on_told is not None:
                loop.call_soon_threadsafe(on_told, told)

        def step(name):
            if job.ticket and self._newest > job.ticket:
                raise DroppedError
            tell(Told(step=name))

        self.jobs.append(job.task)
        if job.task in self._drops:
            return Answer(dropped=True)
        async with self._turn:
            if job.ticket and self._newest > job.ticket:
                return Answer(dropped=True)
            watch = Watch(step=step, part=lambda data: tell(Told(part=data)))
            return await asyncio.to_thread(answered, job, doers=self._doers, watch=watch)


class Window:
    """One open window: it keeps the state it was told last, and founds its edits on it."""

    def __init__(self, port, token):
        self.base, self.token = f"http://{HERE}:{port}", token
        self.client = httpx.Client(base_url=self.base, headers={"origin": self.base}, timeout=PATIENCE_S)
        assert self.client.get("/", params={"token": token}).status_code == 200
        self.look()

    @property
    def address(self):
        """The whole address that lets a browser in."""
        return f"{self.base}/?token={self.token}"

    def get(self, path, **given):
        return self.client.get(path, **given)

    def post(self, path, data):
        return self.client.post(path, json=data)

    def look(self):
        self.state = self.get("/state").json()
        return self.state

    def edit(self, *steps, label="a change", revision=None):
        revision = self.state["revision"] if revision is None else revision
        return self._took(self.post("/edit", {"revision": revision, "label": label, "steps": list(steps)}))

    def set(self, key, value):
        return self.edit({"do": "set", "key": key, "value": value}, label=key)

    def undo(self):
        return self._took(self.post("/undo", {"revision": self.state["revision"]}))

    def redo(self):
        return self._took(self.post("/redo", {"revision": self.state["revision"]}))

    def upload(self, name, data):
        return self.client.post("/upload", params={"name": name}, content=data)

    def _took(self, answer):
        if answer.status_code == 200:
            self.state = answer.json()
        return answer

    def until(self, path, there):
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            found = self.get(path).json()
            if there(found):
                return found
            time.sleep(0.05)
        raise AssertionError(f"{path} never came: {json.dumps(found)[:500]}")

    def sections(self):
        """The sections as read at this revision."""
        return self.until("/sections", lambda found: found["revision"] >= self.state["revision"])

    def holder(self):
        """What came of the holder at this revision."""
        self.until("/state", lambda found: found["built"] >= self.state["revision"])
        return self.get("/holder").json()


@contextmanager
def at_port(file, *, folder=None, drops=()):
    """The page for a project file, as ``(port, token, desk)``; ``drops`` says which work is left undone."""
    desk = Desk(file, folder=folder, reader=InThread(drops=drops), builder=InThread(drops=drops))
    token, guarded = token_urlsafe(24), {}

    async def app(scope, receive, send):
        await guarded["app"](scope, receive, send)

    config = uvicorn.Config(
        app, host=HERE, port=0, log_config=None, lifespan="on", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(config)
    inner = application(desk)
    guarded["app"] = inner  # until the port is known, for the lifespan alone
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started and thread.is_alive():
            time.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        guarded["app"] = Guard(inner, port=port, token=token)
        yield port, token, desk
    finally:
        desk.builder.ticket()  # whatever is still being built is dropped at its next step
        desk.events.close()
        server.should_exit = True
        thread.join()


@contextmanager
def served(file, *, folder=None, drops=()):
    """The page for a project file, as ``(new window, desk)``."""
    with at_port(file, folder=folder, drops=drops) as (port, token, desk), ExitStack() as windows:

        def new_window():
            window = Window(port, token)
            windows.callback(window.client.close)
            return window

        yield new_window, desk
