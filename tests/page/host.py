"""The page served from a process of its own, as a person has it: a browser's test shares nothing with it but its address."""

import asyncio
import json
import os
import select
import subprocess
import sys
from contextlib import ExitStack, contextmanager
from pathlib import Path

from page_window import PATIENCE_S, Window, at_port

TESTS = Path(__file__).parents[1]


class Host:
    """A process that serves projects, each at an address of its own."""

    def __init__(self):
        found = os.pathsep.join(map(str, (TESTS.parent, TESTS, TESTS / "page")))
        self._process = subprocess.Popen(
            [sys.executable, "-u", __file__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
            env=os.environ | {"PYTHONPATH": found},
        )

    def at_rest(self, port, mark):
        """Whether a page has nothing more to do; all its windows are told the mark after whatever they were told before."""
        return self._say({"rest": port, "mark": mark})

    @contextmanager
    def serving(self, file, *, drops=()):
        """The page for a project file while it is looked at: what `Window` needs to know of it."""
        port, token = self._say({"file": str(file), "drops": list(drops)})
        with ExitStack() as windows:
            windows.callback(self._say, {"end": port})
            yield Place(port, token, windows, host=self)

    def stop(self):
        """End the process, and whatever it serves."""
        self._process.stdin.close()
        self._process.stdout.close()
        self._process.wait()

    def _say(self, words):
        self._process.stdin.write(json.dumps(words) + "\n")
        answered, _, _ = select.select([self._process.stdout], [], [], PATIENCE_S)
        assert answered, f"the serving process did not answer {words} within {PATIENCE_S:g} s"
        answer = self._process.stdout.readline()
        assert answer, f"the serving process has ended with {self._process.wait()}"
        return json.loads(answer)


class Place:
    """Where a project is served."""

    def __init__(self, port, token, windows, *, host):
        self._at, self._windows, self._host = (port, token), windows, host
        self.address = f"http://127.0.0.1:{port}/?token={token}"

    def at_rest(self, mark):
        """Whether it has nothing more to do; see `Host.at_rest`."""
        return self._host.at_rest(self._at[0], mark)

    def window(self):
        """A window without a browser."""
        window = Window(*self._at)
        self._windows.callback(window.client.close)
        return window


def main():
    """Answer requests, a line each: serve a file, say whether it rests, or end what is served at a port."""
    served, desks = {}, {}
    for line in sys.stdin:
        asked = json.loads(line)
        if "end" in asked:
            served.pop(asked["end"]).close()
            answer = None
        elif "rest" in asked:
            answer = rests(desks[asked["rest"]], asked["mark"])
        else:
            place = ExitStack()
            port, token, desk = place.enter_context(at_port(Path(asked["file"]), drops=asked["drops"]))
            served[port], desks[port] = place, desk
            answer = [port, token]
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()
    for place in served.values():
        place.close()


def rests(desk, mark):
    """Whether a desk does nothing but look whether its file was changed; all windows are told the mark."""

    async def looked():
        desk.events.tell("mark", {"mark": mark})
        return len(desk._tasks) <= 1

    return asyncio.run_coroutine_threadsafe(looked(), desk.reader.loop).result(PATIENCE_S)


if __name__ == "__main__":
    main()
