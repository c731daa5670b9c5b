from contextlib import ExitStack

import pytest
from host import Host
from page_window import NO_HOLDER, served
from tub import TUB
from visitor import Visitor, started


@pytest.fixture
def window(tub):
    """A window on the tub's project; its holder is left unbuilt."""
    with served(tub, drops=NO_HOLDER) as (new_window, _):
        yield new_window()


@pytest.fixture
def building(tub):
    """A window on the tub's project, whose holder is built."""
    with served(tub) as (new_window, _):
        yield new_window()


@pytest.fixture
def empty(tmp_path):
    """A window on a folder with nothing in it; no holder is built."""
    with served(tmp_path / "holder.toml", drops=NO_HOLDER) as (new_window, _):
        yield new_window()


@pytest.fixture
def bare(tmp_path):
    """A window on a folder with nothing in it, where holders are built."""
    with served(tmp_path / "holder.toml") as (new_window, _):
        yield new_window()


@pytest.fixture(scope="module")
def untouched(tmp_path_factory):
    """A window for all that is refused, and its project file: whoever asks makes sure that nothing has changed."""
    file = tmp_path_factory.mktemp("untouched") / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    with served(file, drops=NO_HOLDER) as (new_window, _):
        yield new_window(), file


@pytest.fixture(scope="module")
def chromium():
    """The browser, started when the first test asks for it; ended with its module, as others need the event loop it holds."""
    player, browser = started()
    yield browser
    browser.close()
    player.stop()


@pytest.fixture(scope="session")
def host():
    """A process that serves projects to browsers."""
    serving = Host()
    yield serving
    serving.stop()


@pytest.fixture
def visit(chromium, host):
    """The page served for a project file and somebody in front of it; the browser must not have complained."""
    visitors, places = [], ExitStack()

    def new(file, *, width=1366, height=768, drops=(), **options):
        """Somebody in front of a project, or beside another visitor of theirs."""
        if isinstance(file, Visitor):
            place = file.place
        else:
            place = places.enter_context(host.serving(file, drops=drops))
        context = chromium.new_context(viewport={"width": width, "height": height}, **options)
        visitors.append(Visitor(context, place.address))
        visitors[-1].place = place
        return visitors[-1]

    with places:
        yield new
        for visitor in visitors:
            visitor.page.context.close()
    assert [fault for visitor in visitors for fault in visitor.faults] == []
