"""While many pictures are read: the one looked at comes first, and what is being done is told."""

import threading

import pytest
from made_demos import DEMOS
from page_window import NO_HOLDER, served
from visitor import Visitor, needs_browser

from cradle.page.kept_outlines import KeptOutlines
from cradle.page.trace_job import Tracer

PICTURES = DEMOS / "ocarina" / "pictures"


@pytest.mark.slow
def test_a_picture_that_is_looked_at_does_not_wait_for_all_the_others(tmp_path, monkeypatch):
    done, go, patience_s = [], threading.Event(), 60
    read, trace = KeptOutlines.read, Tracer._traced

    def slowly(self, spec, *, folder):
        done.append(spec.name)
        assert go.wait(patience_s)
        return read(self, spec, folder=folder)

    def traced(self, *given):
        done.append("looked at")
        return trace(self, *given)

    monkeypatch.setattr(KeptOutlines, "read", slowly)
    monkeypatch.setattr(Tracer, "_traced", traced)
    with served(tmp_path / "holder.toml", drops=NO_HOLDER) as (new_window, desk):
        window, looking = new_window(), new_window()
        paths = [
            window.upload(f"{n}.jpg", (PICTURES / f"{n}.jpg").read_bytes()).json()["path"]
            for n in ("low", "broad")
        ]
        steps = [
            {"do": "add", "key": "section", "values": {"name": name, "picture": {"file": path}}}
            for name, path in zip(("first", "second"), paths, strict=True)
        ]
        assert window.edit(*steps).status_code == 200
        window.until("/state", lambda state: state["reading"] == "reading first, 1 of 2")
        assert window.get("/picture", params={"path": paths[1]}).status_code == 200  # shown meanwhile
        ask = {"path": paths[1], "picture": {"file": paths[1]}}
        looker = threading.Thread(target=looking.post, args=("/trace", ask))
        looker.start()
        window.until("/state", lambda _: desk.reader.jobs[-1] == "trace")
        go.set()
        looker.join()
        rows = window.sections()["sections"]
        assert [row["size"][0] > 20 for row in rows] == [True, True]
        assert done[:2] == ["first", "looked at"]
        assert done[2:] == ["first", "second"]
        window.until("/state", lambda state: state["reading"] == "")


@pytest.mark.slow
@needs_browser
def test_an_empty_picture_says_what_it_waits_for(chromium, host, tmp_path):
    with host.serving(tmp_path / "holder.toml", drops=NO_HOLDER) as place, chromium.new_context() as context:
        person, held = Visitor(context, place.address), []
        person.page.route("**/picture?*", lambda route: held.append(route))
        person.page.route("**/trace", lambda route: held.append(route))
        person.hand_over(PICTURES / "low.jpg")
        person.says("#view .note", "low: the picture is being opened")
        person.until("asked for", "true")
        held.pop().continue_()
        person.says("#view .note", "low: looking for its scale and outline")
        held.pop().continue_()
        person.until("no more words", "document.querySelector('#view .note').hidden")
        person.until("read", "document.querySelector('#controls [aria-pressed=true]').textContent === 'low'")
        assert not person.faults
