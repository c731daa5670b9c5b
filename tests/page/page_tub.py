"""A small project, and a simulated maker who opens the page for it."""

import asyncio
from contextlib import asynccontextmanager

from nicegui import ui
from nicegui.testing import user_simulation

from cradle.page.page import PageState, holder_page

TUB = """\
# A tub for the test of the page.
[object]
name = "Tub"     # ours
mass = 100
height = 60

[[section]]
name = "low"
height = 0.0
[section.measured]
form = "rectangle"
width = 30
depth = 20
corner = 4

[[section]]
name = "high"
height = 50.0
[section.measured]
form = "rectangle"
width = 36
depth = 24
corner = 5

[fit]
clearance = 0.35   # per side, as last time

[block]
height = 25        # just under the rim
"""
PATIENCE_S = 60.0


class Maker:
    """What a maker does on the page, and reads off it."""

    def __init__(self, user, state):
        self.user, self.state = user, state

    @property
    def tab(self):
        """The tab opened last."""
        return list(self.state.tabs.values())[-1]

    async def opens(self):
        await self.user.open("/")
        if self.state.tabs:
            await self.until(lambda: self.tab.preview is not None and "building" not in self.text("busy"))

    async def until(self, said):
        for _ in range(int(PATIENCE_S / 0.05)):
            if said():
                return
            await asyncio.sleep(0.05)
        raise AssertionError("it never came")

    async def settled(self):
        await asyncio.sleep(0.05)
        await self.until(lambda: "building" not in self.text("busy"))

    def sets(self, mark, value):
        (number,) = self.user.find(marker=mark).elements
        with number:
            number.set_value(value)

    async def ticks(self, *values):
        for value in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6):
            self.sets(f"slice-{value:g}", value in values)

    async def presses(self, words):
        self.user.find(words).click()
        await asyncio.sleep(0.05)
        await self.until(lambda: not self.text("said").endswith("…"))

    def text(self, mark):
        (element,) = self.user.find(marker=mark).elements
        return element.content if isinstance(element, ui.html) else element.text

    def number(self, mark):
        (element,) = self.user.find(marker=mark).elements
        return element.value


@asynccontextmanager
async def a_maker(file, *, worker, folder=None):
    state = PageState(file=file, folder=folder, worker=worker)
    async with user_simulation(root=lambda: holder_page(state)) as user:
        yield Maker(user, state)
