"""The page served from a process of its own, as a person has it: a browser's test shares nothing with it but its address."""

import json
import os
import subprocess
import sys
from contextlib import ExitStack, contextmanager
from pathlib import Path

from page_window import Window, at_port

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

    @contextmanager
    def serving(self, file, *, drops=()):
        """The page for a project file while it is looked at: what `Window` needs to know of it."""
        port, token = self._say({"file": str(file), "drops": list(drops)})
        with ExitStack() as windows:
            windows.callback(self._say, {"end": port})
            yield Place(port, token, windows)

    def stop(self):
        """End the process, and whatever it serves."""
        self._process.stdin.close()
        self._process.stdout.close()
        self._process.wait()

    def _say(self, words):
        self._process.stdin.write(json.dumps(words) + "\n")
        answer = self._process.stdout.readline()
        assert answer, f"the serving process has ended with {self._process.wait()}"
        return json.loads(answer)


class Place:
    """Where a project is served."""

    def __init__(self, port, token, windows):
        self._at, self._windows = (port, token), windows
        self.address = f"http://127.0.0.1:{port}/?token={token}"

    def window(self):
        """A window without a browser."""
        window = Window(*self._at)
        self._windows.callback(window.client.close)
        return window


def main():
    """Answer requests, a line each: serve a file, or end what is served at a port."""
    served = {}
    for line in sys.stdin:
        asked = json.loads(line)
        if "end" in asked:
            served.pop(asked["end"]).close()
            answer = None
        else:
            place = ExitStack()
            port, token, _ = place.enter_context(at_port(Path(asked["file"]), drops=asked["drops"]))
            served[port] = place
            answer = [port, token]
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()
    for place in served.values():
        place.close()


if __name__ == "__main__":
    main()
