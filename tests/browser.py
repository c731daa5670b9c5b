"""Debian's Chromium for the tests: where it is, and how it starts without a screen, a network or a memory."""

import shutil

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
OPTIONS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--enable-unsafe-swiftshader",
]
