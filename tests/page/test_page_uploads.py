"""What may be handed over, and that no path leads out of the project's folder."""

import httpx
import pytest
from made_demos import DEMOS
from page_window import NO_HOLDER, served

PICTURE = (DEMOS / "ocarina" / "pictures" / "broad.jpg").read_bytes()


@pytest.fixture(scope="module")
def inner(tmp_path_factory):
    """A window on a folder inside another, with a picture beside it and a link to that."""
    outer = tmp_path_factory.mktemp("outer")
    folder = outer / "inner"
    folder.mkdir()
    (outer / "secret.png").write_bytes(PICTURE)
    (folder / "out.png").symlink_to(outer / "secret.png")
    with served(folder / "holder.toml", drops=NO_HOLDER) as (new_window, _):
        yield new_window()


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.exe", b"MZ"),
        ("a", b"x"),
        ("a.png", b"<html>"),
        ("a.jpg", b""),
        ("a.svg.html", b"<svg/>"),
        ("..", b"x"),
        ("/etc/passwd", b"x"),
        ("a.toml", b"[block]"),
    ],
)
def test_a_file_of_another_kind_is_refused(untouched, name, data):
    window, file = untouched
    assert window.upload(name, data).status_code == 422
    assert list(file.parent.iterdir()) == [file]


def test_a_file_that_is_too_large_is_refused_before_it_is_read(empty, tmp_path):
    def endless():
        for _ in range(100):
            yield b"\x89PNG\r\n\x1a\n" + bytes(1_000_000)

    try:
        status = empty.client.post("/upload", params={"name": "a.png"}, content=endless()).status_code
    except httpx.HTTPError:  # the line is closed while it is still sent
        status = 422
    assert status == 422
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "path",
    [
        "../secret.png",
        "/etc/passwd",
        "/etc/x.png",
        "pictures/../../secret.png",
        "holder.toml",
        "a\0.png",
        "",
        "out.png",
    ],
)
def test_no_path_leads_out_of_the_folder(inner, path):
    assert inner.get("/picture", params={"path": path}).status_code in (404, 422)
    assert inner.post("/trace", {"path": path, "picture": {"file": path}}).status_code == 422


@pytest.mark.parametrize("name", ["holder.toml", "..%2fholder.toml", "%2e%2e/secret.png"])
def test_no_name_of_a_file_leads_out_of_what_was_written(inner, name):
    assert inner.get(f"/file/{name}").status_code in (404, 422)


@pytest.mark.parametrize("name", ["../server.py", "..%2fserver.py", "%2e%2e/%2e%2e/errors.py"])
def test_no_name_leads_out_of_the_page_s_own_files(inner, name):
    assert inner.get(f"/web/{name}").status_code == 404


def test_an_upload_does_not_follow_a_link_out_of_the_folder(tmp_path):
    inner, outer = tmp_path / "inner", tmp_path / "outer"
    inner.mkdir()
    outer.mkdir()
    (inner / "pictures").symlink_to(outer)
    with served(inner / "holder.toml", drops=NO_HOLDER) as (new_window, _):
        assert new_window().upload("a.jpg", PICTURE).status_code == 422
    assert list(outer.iterdir()) == []
