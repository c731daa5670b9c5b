"""Every error a user can meet, in one tree.

::

    CradleError                    where: what was found; what to do
    ├─ InputError (ValueError)     the user can correct it                        exit 2
    │  ├─ ProjectError             the project file: all its mistakes at once
    │  ├─ CombinedError            several mistakes of one step, told at once
    │  ├─ StaleError               a change founded on something that has changed since
    │  ├─ UnitError                a length or angle that cannot be read
    │  ├─ CaptureError             a drawing or picture that yields no outline
    │  │  └─ ScaleError            a picture that does not tell how large anything in it is
    │  ├─ OutlineError             an outline that crosses itself, is open, is empty
    │  └─ SectionError             sections that contradict each other or the calipers
    ├─ GeometryError               the input is sound, the result impossible      exit 3
    │  ├─ LoftError                no body through the sections: none has height, or profiles meet
    │  ├─ SolidError               no solid: its skin is open, it is empty or inside out
    │  ├─ PocketError              the clearance or the withdrawal cannot be honoured
    │  ├─ HolderError              the pocket breaks through a wall or the floor
    │  └─ LimitError               more computing or memory than a command may take
    ├─ ExportError                 not written, or read back differently          exit 4
    └─ InternalError               a broken promise of ours: please report it     exit 70
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import ClassVar, Self, TypeVar

from cradle.noun import record

_T = TypeVar("_T")


@record
class Problem:
    """One mistake, with its line where it is in a project file."""

    where: str
    found: str
    hint: str = ""
    line: int | None = None

    def told_at(self, where: str) -> Problem:
        """The mistake told at another place: its own goes in front of what was found."""
        return replace(self, where=where, found=f"{self.where}: {self.found}" if self.where else self.found)

    def __str__(self) -> str:
        line = f"line {self.line}: " if self.line is not None else ""
        hint = f"; {self.hint}" if self.hint else ""
        return f"{line}{self.where}: {self.found}{hint}"


class CradleError(Exception):
    """Root of all errors raised on purpose.

    Parameters
    ----------
    found : str
        What was found and what is allowed, with values and units, in lower case.
    where : str or tuple of str
        Dotted key, file, section or place the error belongs to; several lie within one another, the outermost first.
    hint : str
        What to do about it.
    """

    exit_code: ClassVar[int] = 70

    def __init__(self, found: str, *, where: str | tuple[str, ...] = "", hint: str = "") -> None:
        self.found = found
        self.places = (where,) if isinstance(where, str) else where
        self.hint = hint
        super().__init__(str(self))

    def __reduce__(self) -> tuple[object, ...]:
        """How to pickle it: by what it holds, whatever its maker takes."""
        return _new, (type(self), *self.args), vars(self)

    def __str__(self) -> str:
        text = f"{self.where}: {self.found}" if self.where else self.found
        return f"{text}; {self.hint}" if self.hint else text

    @property
    def where(self) -> str:
        """Its places, in words; empty where it has none."""
        return ": ".join(place for place in self.places if place)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """The mistakes that it tells, each with its place.

        Examples
        --------
        >>> [str(p) for p in InputError("found -1 mm", where="block.wall", hint="allowed is more than 0 mm").problems]
        ['block.wall: found -1 mm; allowed is more than 0 mm']
        """
        return (Problem(where=self.where, found=self.found, hint=self.hint),)

    def within(self, where: str) -> Self:
        """The same error with ``where`` put in front of its places."""
        return type(self)(self.found, where=(where, *self.places), hint=self.hint)

    def at(self, *places: str) -> Self:
        """The same error with other places; of an error of its own, not of several told at once."""
        return type(self)(self.found, where=places, hint=self.hint)

    def advising(self, hint: str) -> Self:
        """The same error with something else to do about it; of an error of its own, not of several told at once."""
        return type(self)(self.found, where=self.places, hint=hint)


def _new(kind: type[CradleError], *args: object) -> CradleError:
    """An error of a kind, not made yet."""
    return kind.__new__(kind, *args)


@contextmanager
def located(where: str) -> Iterator[None]:
    """A context in which every error gets ``where`` in front of its place.

    Examples
    --------
    >>> with located("low.svg"):
    ...     raise CaptureError("the file is empty")
    Traceback (most recent call last):
    cradle.errors.CaptureError: low.svg: the file is empty
    """
    try:
        yield
    except CradleError as error:
        told = error.within(where)
        if told is error:  # it says where it is
            raise
        raise told from error


class InputError(CradleError, ValueError):
    """The user can correct it."""

    exit_code = 2


class ProjectError(InputError):
    """All the mistakes of one project file, in the order of their lines."""

    def __init__(self, file: str, problems: tuple[Problem, ...]) -> None:
        self.file = file
        self._problems = problems
        super().__init__("\n".join(f"{file}: {problem}" for problem in problems))

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All of them, each with its line."""
        return self._problems

    def within(self, where: str) -> Self:
        """The error unchanged: it names its file and lines already."""
        return self


class CombinedError(InputError):
    """Several mistakes of one step, each an error of its own."""

    def __init__(self, errors: Sequence[InputError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(error) for error in errors))

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Those of each error."""
        return tuple(problem for error in self.errors for problem in error.problems)

    def within(self, where: str) -> Self:
        """The same errors with ``where`` put in front of each place."""
        return type(self)([error.within(where) for error in self.errors])


def raise_all(errors: Sequence[InputError]) -> None:
    """Raise the errors, if there are any: the only one as it is, several as a `CombinedError`."""
    if errors:
        raise errors[0] if len(errors) == 1 else CombinedError(errors)


def attempted(task: Callable[[], _T]) -> _T | InputError:
    """What a task gives, or the error that the user can correct."""
    try:
        return task()
    except InputError as error:
        return error


def given(attempt: _T | InputError) -> _T:
    """What a task gave; its error is raised, however often, as if for the first time."""
    if isinstance(attempt, InputError):
        raise attempt.with_traceback(None)
    return attempt


class StaleError(InputError):
    """A change was founded on something that has changed since."""


class UnitError(InputError):
    """A length or angle that cannot be read."""


class CaptureError(InputError):
    """A drawing or picture that yields no outline."""


class ScaleError(CaptureError):
    """A picture that does not tell how large anything in it is."""


class OutlineError(InputError):
    """An outline that crosses itself, is open, or encloses nothing."""


class SectionError(InputError):
    """Sections that contradict each other or their caliper readings."""


class GeometryError(CradleError):
    """The input is sound but the result is impossible.

    ``file`` is the project's, where that is known, and ``line`` the one in it that tells what is impossible.
    """

    exit_code = 3
    file: str = ""
    line: int | None = None

    def __str__(self) -> str:
        line = f"line {self.line}: " if self.line is not None else ""
        return f"{self.file}: {line}{super().__str__()}" if self.file else super().__str__()

    def in_file(self, file: str, *, line: int | None) -> Self:
        """The same error with the project file and the line that it comes from."""
        told = type(self)(self.found, where=self.places, hint=self.hint)
        told.file, told.line = file, line
        return told


class LoftError(GeometryError):
    """There is no body through the sections: one crosses itself, or profiles leave it no width."""


class SolidError(GeometryError):
    """A solid could not be made: its skin is open, it is empty, or it is inside out."""


class PocketError(GeometryError):
    """The clearance or the withdrawal cannot be honoured."""


class HolderError(GeometryError):
    """The pocket breaks through a wall or the floor."""


class LimitError(GeometryError):
    """It takes more computing or memory than a command may take."""


class ExportError(CradleError):
    """A file could not be written, or reads back differently."""

    exit_code = 4


class InternalError(CradleError):
    """A broken promise of ours; please report it."""
