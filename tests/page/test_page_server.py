"""The page as a process: where it listens, whom it answers, what it fetches, how it ends."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from importlib import util
from pathlib import Path

import pytest

from cradle.cli.main import main
from cradle.page.listening import listening

PATIENCE_S = 60.0


def free_port():
    with socket.socket() as place:
        place.bind(("127.0.0.1", 0))
        return place.getsockname()[1]


class Served:
    def __init__(self, file, *, port):
        own = {k: v for k, v in os.environ.items() if not k.startswith("PYTEST")}
        self.port, self.address = port, f"http://127.0.0.1:{port}/"
        self.process = subprocess.Popen(
            [sys.executable, "-m", "cradle", "page", str(file), "--port", str(port), "--no-open"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=own,
            cwd=file.parent,
        )
        self.first = self.process.stdout.readline()
        self.cookie = ""

    @property
    def token(self):
        return re.search(r"token=([\w-]+)", self.first)[1]

    def get(self, path="", **headers):
        if self.cookie and "Cookie" not in headers:
            headers["Cookie"] = self.cookie
        request = urllib.request.Request(self.address + path, headers=headers)
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
                return answer.status, dict(answer.headers), answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, dict(error.headers), error.read().decode()

    def end(self, number):
        if self.process.poll() is None:
            self.process.send_signal(number)
        out, err = self.process.communicate(timeout=PATIENCE_S)
        return self.process.returncode, out, err

    def enter(self):
        """Open the page as a browser does, and keep its cookie."""
        status, headers, page = self.get(f"?token={self.token}")
        self.cookie = headers["set-cookie"].split(";")[0]
        return status, headers, page


@pytest.fixture
def served(tub):
    made = Served(tub, port=free_port())
    yield made
    if made.process.poll() is None:
        made.process.kill()
    made.process.communicate()


def children(process):
    return [
        int(pid)
        for pid in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
    ]


@pytest.mark.skipif(not Path("/proc/net/tcp").exists(), reason="the kernel's own list of listeners is read")
def test_it_listens_on_this_machine_alone_and_answers_only_its_own_page(served):
    assert served.first == f"the page is at {served.address}?token={served.token}  (Ctrl-C ends it)\n"
    listening = []
    for table in ("tcp", "tcp6"):
        if Path(f"/proc/net/{table}").exists():
            for line in Path(f"/proc/net/{table}").read_text(encoding="ascii").splitlines()[1:]:
                address, port = line.split()[1].split(":")
                if int(port, 16) == served.port and line.split()[3] == "0A":
                    listening.append(address)
    assert listening == ["0100007F"]  # 127.0.0.1, low byte first

    status, headers, page = served.enter()
    assert status == 200
    assert '<script type="module" src="/web/main.js">' in page
    assert "default-src 'none'" in headers["content-security-policy"]
    fetched = re.findall(r'(?:src|href)="([^"]+)"', page)
    assert len(fetched) > 2
    assert [place for place in fetched if not re.match(r"/(?!/)|data:|#", place)] == []

    assert served.get(Host="elsewhere.example")[0] == 403
    assert served.get(Origin="http://elsewhere.example")[0] == 403
    assert served.get(Origin=served.address.rstrip("/"))[0] == 200
    assert served.get("state", Origin="http://elsewhere.example")[0] == 403
    assert served.get("events", Host="elsewhere.example")[0] == 403


def test_only_who_has_the_whole_address_gets_in(served):
    assert len(served.token) >= 32  # 192 bits
    for wrong in ("", "?token=", "?token=abc", f"?token={served.token[:-1]}", f"?TOKEN={served.token}"):
        status, headers, words = served.get(wrong)
        assert (status, words) == (403, "open the whole address that cradle page printed on its terminal\n")
        assert "set-cookie" not in headers
    for path in ("state", "events", "web/main.js", "schema"):
        assert served.get(path)[0] == 403
    status, headers, _ = served.enter()
    assert status == 200
    assert {"HttpOnly", "SameSite=Strict"} <= set(headers["set-cookie"].split("; "))
    assert served.get()[0] == 200  # loaded again, the address without the token
    assert served.get(Cookie=f'cradle-{served.port}="; ,=;')[0] == 403
    assert served.get(Cookie=served.cookie[:-1])[0] == 403


def test_what_is_asked_never_reaches_the_terminal_as_it_is(served):
    served.enter()
    for path in (
        "%1b%5b2J%1b%5bHcradle:%20all%20is%20well",
        "a%0d%0acradle:%20false%20line",
        "%c2%9b31m",
        "%e2%80%ae",
    ):
        assert served.get(path)[0] == 404
    for garbage in (b"\x1b[2J", b"[", b'{"revision":', b"\x00" * 1000, b'{"steps": "\x1b[2J"}'):
        for path in ("edit", "upload?name=%1b[2J.png", "trace", "trial"):
            headers = {"Cookie": served.cookie, "Origin": served.address.rstrip("/")}
            request = urllib.request.Request(f"{served.address}{path}", data=garbage, headers=headers)
            try:
                urllib.request.urlopen(request, timeout=PATIENCE_S).close()
            except urllib.error.HTTPError as error:
                error.close()
    with socket.create_connection(("127.0.0.1", served.port), timeout=PATIENCE_S) as line:
        line.sendall(b"GET /\x1b[2J HTTP/9\r\n\x1b]0;all is well\x07\r\n\r\n")
        line.recv(1000)
    assert served.get()[0] == 200
    _, _, err = served.end(signal.SIGINT)
    assert all(c.isprintable() or c == "\n" for c in err), err
    assert "Traceback" not in err
    assert all(line.startswith("cradle: page: ") for line in err.splitlines()), err


def test_it_ends_at_once_though_a_window_listens(served):
    served.enter()
    request = urllib.request.Request(f"{served.address}events", headers={"Cookie": served.cookie})
    with urllib.request.urlopen(request, timeout=PATIENCE_S) as events:
        assert events.readline() == b"event: here\n"
        begun = time.monotonic()
        code, _, err = served.end(signal.SIGINT)
    assert (code, err) == (0, "")
    assert time.monotonic() - begun < PATIENCE_S / 2


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="children are read from the kernel's list")
@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 0), (signal.SIGTERM, 128 + signal.SIGTERM)])
def test_it_ends_cleanly_with_its_worker(served, number, code, tub):
    assert served.enter()[0] == 200
    worker = children(served.process.pid)
    assert worker
    returned, out, err = served.end(number)
    assert (returned, err) == (code, "")
    assert ("the page is closed" in out) == (code == 0)
    for _ in range(100):
        if not any(Path(f"/proc/{pid}").exists() for pid in worker):
            break
        time.sleep(0.05)
    assert not any(Path(f"/proc/{pid}").exists() for pid in worker)
    assert [path.name for path in tub.parent.iterdir()] == ["holder.toml"]  # it leaves nothing behind


def test_a_port_that_is_taken_is_told(tub):
    with socket.socket() as place:
        place.bind(("127.0.0.1", 0))
        place.listen()
        taken = Served(tub, port=place.getsockname()[1])
        code, _, err = taken.end(signal.SIGINT)
    assert code == 2
    assert taken.first == ""
    assert err.startswith("cradle: --port: port ")
    assert err.count("\n") == 1


def test_without_a_port_the_first_free_one_is_taken_and_that_said(tub, monkeypatch, capsys):
    with listening(free_port()) as earlier:
        taken = earlier.port
        monkeypatch.setattr("cradle.page.listening.FIRST_PORT", taken)
        monkeypatch.setattr(
            "cradle.page.server.serve", lambda *_, place, on_ready, **__: on_ready(place.port)
        )
        assert main(["page", str(tub), "--no-open"]) == 0
        said = capsys.readouterr().out
        at = int(re.match(r"the page is at (\d+)", said)[1])
        assert taken < at < taken + 20
        assert f"port {taken} is in use already: most likely a page begun in another terminal" in said
    assert main(["page", str(tub), "--no-open"]) == 0  # that one has ended
    assert capsys.readouterr().out == f"the page is at {taken}  (Ctrl-C ends it)\nthe page is closed\n"


def test_where_no_port_is_free_that_is_told(tub, monkeypatch, capsys):
    monkeypatch.setattr("cradle.page.listening._MOST_TRIED", 1)
    with listening(free_port()) as earlier:
        monkeypatch.setattr("cradle.page.listening.FIRST_PORT", earlier.port)
        assert main(["page", str(tub), "--no-open"]) == 2
    assert capsys.readouterr().err.startswith("cradle: --port: none of the ports ")


def test_without_the_library_it_says_what_to_install(tub, monkeypatch, capsys):
    found = util.find_spec
    monkeypatch.setattr(
        util, "find_spec", lambda name, *rest: None if name == "starlette" else found(name, *rest)
    )
    assert main(["page", str(tub)]) == 2
    said = capsys.readouterr().err  # quoted as the Command Prompt of Windows takes it too
    assert 'in the folder of the code that cradle was installed from, type: pip install ".[page]"' in said


def test_a_file_that_is_no_text_is_refused_before_anything_is_served(tub, capsys):
    tub.write_bytes(b"\xff\xfe\x00\x01")
    assert main(["page", str(tub), "--no-open"]) == 2
    assert "holder.toml" in capsys.readouterr().err


def test_a_project_with_mistakes_is_served_so_that_they_can_be_mended(tub):
    tub.write_text("[fit]\nclearance = -1\n", encoding="utf-8")
    with_mistakes = Served(tub, port=free_port())
    with_mistakes.enter()
    state = with_mistakes.get("state")[2]
    with_mistakes.end(signal.SIGINT)
    assert "fit.clearance" in state


def test_the_browser_is_sent_to_the_page_unless_told_not_to(tub, monkeypatch, capsys):
    sent, served = [], []

    def serve(file, *, folder, place, on_ready):
        served.append((file, folder))
        on_ready(f"http://127.0.0.1:{place.port}/")

    monkeypatch.setattr("cradle.page.server.serve", serve)
    monkeypatch.setattr("cradle.cli.page.open_browser", lambda address, on_failure: sent.append(address))
    monkeypatch.chdir(tub.parent)
    port = free_port()
    assert main(["page", "--port", str(port)]) == 0  # holder.toml in this folder
    assert sent == [f"http://127.0.0.1:{port}/"]
    assert main(["page", str(tub), "-o", "there", "--no-open"]) == 0
    assert len(sent) == 1
    assert served == [(Path("holder.toml"), None), (tub, Path("there"))]
    assert "the page is closed" in capsys.readouterr().out
