"""A pocket with a thing of named heights in it, for tests that need a seated thing without its model."""

from types import SimpleNamespace

from cradle.result.seated_thing import SeatedThing


def seated(pocket, heights_mm, *, label=""):
    """As seated in one pocket; ``heights_mm`` are its sections' names and heights in its own frame."""
    sections = tuple(SimpleNamespace(name=name, height_mm=height) for name, height in heights_mm.items())
    return SeatedThing(
        label=label,
        model=SimpleNamespace(sections=sections),
        clearance=pocket.clearance,
        wanted=pocket.clearance,
        pockets=(pocket,),
        numbers=(1,),
        gap=None,
        assessment=None,
    )
