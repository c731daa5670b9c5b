"""What is to be placed: everything that the sections' places depend on."""

from __future__ import annotations

from dataclasses import field

from cradle.capture.outline import Outline
from cradle.noun import noun
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align, SectionSpec
from cradle.sections.profiles import Profiles
from cradle.views.silhouette import Silhouette


@noun
class ToPlace:
    """Outlines with all that was measured beside them.

    Attributes
    ----------
    outlines : tuple of k Outline
        One for each section; a half outline is mirrored if its spec says so.
    specs : tuple of k SectionSpec
        Heights rising.
    align : Align
        What lines up sections without a shift or turn of their own.
    views : tuple of Silhouette
        Silhouettes; they count as profiles of the sides that no profile was read of.
    """

    outlines: tuple[Outline, ...]
    specs: tuple[SectionSpec, ...]
    align: Align = Align.AUTO
    profiles: Profiles = field(default_factory=Profiles)
    views: tuple[Silhouette, ...] = ()
    spread: SpreadSpec = field(default_factory=SpreadSpec)
