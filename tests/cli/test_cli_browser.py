"""The browser of this machine: opened without a word of its own, and what is said where there is none."""

import sys
from threading import Event

import pytest

from cradle.cli.page import open_browser

ADDRESS = "http://127.0.0.1:8477/?token=a"

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the system opens it")


def with_opener(monkeypatch, folder, script):
    """Let a shell script be what opens addresses; none where it is None."""
    if script is not None:
        opener = folder / "xdg-open"
        opener.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        opener.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/bin:/usr/bin" if script else str(folder))


@pytest.mark.parametrize("script", [None, "echo 'no method available for opening it' >&2; exit 3"])
def test_where_no_browser_opens_that_is_told_and_nothing_else_is_said(script, monkeypatch, tmp_path, capfd):
    with_opener(monkeypatch, tmp_path, script)
    failed = Event()
    open_browser(ADDRESS, on_failure=failed.set)
    assert failed.wait(timeout=20)
    assert capfd.readouterr() == ("", "")


@pytest.mark.slow
def test_a_browser_is_given_the_address_and_what_it_says_is_not_shown(monkeypatch, tmp_path, capfd):
    got = tmp_path / "got"
    with_opener(monkeypatch, tmp_path, f'echo opened; echo "$1" > {got}.new; mv {got}.new {got}')
    failed = Event()
    open_browser(ADDRESS, on_failure=failed.set)
    assert not failed.wait(timeout=2)
    assert got.read_text(encoding="utf-8").strip() == ADDRESS
    assert capfd.readouterr() == ("", "")
