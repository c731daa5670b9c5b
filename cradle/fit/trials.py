"""Learning from trials: a Bayesian update of the same spreads the chance is estimated from.

The quantities ξ are believed normal, N(μ, Σ); before any trial μ = 0, Σ = 1.
What a trial sees depends on one number, the tightness y of the piece, which is
taken as y = τ + gᵀξ + r: over draws from the stated spreads τ is its mean, g
its covariance with ξ (the best linear rule), and r the rest. With the gap c
that the piece has in its file, the room left is c − y + f, where f is the
hand's feel and one print's repeatability, and

    P(seen | l = gᵀξ) = Φ((upper − c + τ + l) / s) − Φ((lower − c + τ + l) / s),
    s² = var r + feel² + repeat²,

with the limits of `LIMITS_MM` on the room left (ordered probit; any text on
ordinal regression). On a grid over l the prior N(gᵀμ, v = gᵀΣg) times this
gives mean m and variance w, and

    μ ← μ + Σg (m − gᵀμ)/v,   Σ ← Σ − Σg gᵀΣ (v − w)/v²

(moment matching, "assumed density filtering"). A calipered inside width is a
normal observation of the printer's inside error, (nominal − read)/2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity, ordered
from cradle.fit.best_position import seats
from cradle.fit.model import Belief, FitModel, deviations_mm, drawn
from cradle.fit.uncertainties import InsideError, Spread, inside_error
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.project.project import Project
from cradle.project.trial_log import Piece, Seen, Trial
from cradle.sections.reading_spreads import combined, reading_mm

LIMITS_MM: Final = {
    Seen.NO_GO: (-np.inf, 0.0),
    Seen.TIGHT: (0.0, 0.06),
    Seen.GOOD: (0.06, 0.25),
    Seen.LOOSE: (0.25, np.inf),
}
"""Room left per side for each word (common practice, no source)."""
FEEL_MM: Final = 0.05
"""How well a hand tells room left (common practice, no source)."""
UNLIKELY: Final = 0.05
"""A trial that the rest makes less likely than this is told; a reading alone is never."""
_RARE: Final = 0.001
"""A chance below this is not told closer: nobody knows the tail of a spread so well."""
MOST_MM: Final = 0.5
"""No correction goes further; more is not a fit correction but a mistaken section."""
_GRID: Final = 801
_SIDE_COS: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What trials have taught.

    ``corrections_mm`` is added to the gap at each section, ``inside_mm`` is
    the part of it that is the printer's; ``before`` and ``after`` are the
    beliefs about the printer, ``count`` the number of trials, ``trials`` themselves oldest first. ``model``
    is the model as now believed.
    """

    model: FitModel
    corrections_mm: tuple[float, ...]
    inside_mm: float
    before: InsideError
    after: InsideError
    count: int
    findings: tuple[Finding, ...]
    trials: tuple[Trial, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rule:
    """The best linear rule for a piece's tightness, and how far it is from exact.

    ``mean_mm`` + ``slope`` · ξ, with the rest's standard deviation ``rest_mm``.
    """

    mean_mm: float
    slope: Floats
    rest_mm: float


def learn(model: FitModel, trials: Sequence[Trial], *, project: Project) -> Learned:
    """What the trials teach about sections and printer, oldest first.

    Trials of sections that the project no longer has, or that the holder does
    not reach, teach nothing and are told as findings; so are trials that the
    others make unlikely, and corrections that `MOST_MM` cuts short.
    """
    before = inside_error(project.printer, project.spread)
    usable = [(n, t, _places_tried(model, t)) for n, t in enumerate(trials, start=1)]
    findings = [_unusable(model, n, t) for n, t, places in usable if not places.any()]
    used = [(n, t, _rule(model, t, places, project=project)) for n, t, places in usable if places.any()]
    start = Belief(
        mean=np.zeros(len(model.influences.spreads)), covariance=np.eye(len(model.influences.spreads))
    )
    belief = start
    for _, trial, rule in used:
        belief, _ = _updated(model, belief, trial, rule, project=project)
    for index, (number, trial, rule) in enumerate(used):
        others = start
        for k, (_, other, its_rule) in enumerate(used):
            if k != index:
                others, _ = _updated(model, others, other, its_rule, project=project)
        _, chance = _updated(model, others, trial, rule, project=project)
        if chance < UNLIKELY:
            findings.append(_unlikely(number, trial, chance, alone=len(used) == 1))
    inside = model.influences.of(Spread.INSIDE)
    after, moved_inside = _printer(model, belief, before, inside)
    shift = model.influences.matrix.after((belief.mean * ~inside)[None])[0]
    wanted = _per_section(model, shift) + moved_inside
    corrections = np.clip(wanted, -MOST_MM, MOST_MM)
    findings += _capped(model, wanted)
    taught = replace(model, belief=belief if used else None)
    return Learned(
        model=taught,
        corrections_mm=tuple(float(c) for c in corrections),
        inside_mm=moved_inside,
        before=before,
        after=after,
        count=len(trials),
        findings=ordered(tuple(findings)),
        trials=tuple(trials),
    )


def _places_tried(model: FitModel, trial: Trial) -> Bools:
    """The places that the trial tells about, ``(j,)``; none if its section is not there."""
    count = len(model.places.levels)
    tried = np.ones(count, dtype=bool)
    if trial.section is not None:
        if trial.section not in model.names:
            return np.zeros(count, dtype=bool)
        height = model.section_heights_mm[model.names.index(trial.section)]
        tried &= np.abs(model.places.z_mm - height) < 1e-6
    if trial.side is not None:
        tried &= trial.side.outward * model.places.normals[:, trial.side.axis] > _SIDE_COS
    return tried


def _rule(model: FitModel, trial: Trial, tried: Bools, *, project: Project) -> Rule:
    """How tight the piece is, as a linear rule of the quantities; printer included, its compensation not."""
    xi = drawn(replace(model, belief=None))
    deviations = deviations_mm(model, xi) + project.printer.inside_error_mm
    seat = np.ones_like(tried)
    if trial.piece is Piece.TEST_PIECE and trial.section is not None:
        seat = _places_tried(model, replace(trial, side=None))
    directions = model.places.directions
    found = seats(directions[seat], deviations[:, seat], lever_mm=model.places.lever_mm)
    tight = (deviations[:, tried] + found.moves @ directions[tried].T).max(axis=1)
    repeat = model.influences.of(Spread.REPEAT)
    slope = (xi * (tight - tight.mean())[:, None]).mean(axis=0)
    rest = float(np.sqrt(max(float(tight.var()) - float(slope @ slope), 0.0)))
    return Rule(
        mean_mm=float(tight.mean()),
        slope=np.where(repeat, 0.0, slope),  # another print, another repeatability
        rest_mm=rest,
    )


def _updated(
    model: FitModel, belief: Belief, trial: Trial, rule: Rule, *, project: Project
) -> tuple[Belief, float]:
    """The belief after a trial, and how likely it was to see that or worse."""
    if trial.read_mm is not None and trial.nominal_mm is not None:
        belief = _calipered(model, belief, trial.nominal_mm - trial.read_mm, project=project)
    if trial.seen is None or trial.gap_mm is None:  # a reading alone
        return belief, 1.0
    g = rule.slope
    gain = belief.covariance @ g
    v, centre = float(g @ gain), float(g @ belief.mean)
    s = combined([rule.rest_mm, FEEL_MM, project.spread.repeat_mm])
    low, high = LIMITS_MM[trial.seen]
    room = trial.gap_mm - rule.mean_mm
    spread = combined([np.sqrt(max(v, 0.0)), s])
    tail = min(_phi((high - room + centre) / spread), 1 - _phi((low - room + centre) / spread))
    if v <= 1e-12:
        return belief, tail
    l = centre + np.sqrt(v) * np.linspace(-6, 6, _GRID)  # noqa: E741 - the letter of the formula
    likelihood = _phis((high - room + l) / s) - _phis((low - room + l) / s)
    weight = np.exp(-0.5 * ((l - centre) ** 2) / v) * np.clip(likelihood, 1e-12, None)
    weight /= weight.sum()
    m = float(weight @ l)
    w = float(weight @ (l - m) ** 2)
    return Belief(
        mean=belief.mean + gain * (m - centre) / v,
        covariance=belief.covariance - np.outer(gain, gain) * (v - w) / v**2,
    ), tail


def _calipered(model: FitModel, belief: Belief, short_mm: float, *, project: Project) -> Belief:
    """The belief after an inside width came out ``short_mm`` smaller: (nominal − read)/2 per side."""
    found = np.flatnonzero(model.influences.of(Spread.INSIDE))
    if not len(found):
        return belief
    q = int(found[0])
    unit = model.influences.matrix.largest(q)
    expected = inside_error(project.printer, project.spread).expected_mm
    noise = combined([reading_mm(project.spread) / 2, project.spread.repeat_mm])
    gain = belief.covariance[:, q] * unit
    total = unit**2 * float(belief.covariance[q, q]) + noise**2
    missed = short_mm / 2 - expected - unit * float(belief.mean[q])
    return Belief(
        mean=belief.mean + gain * missed / total,
        covariance=belief.covariance - np.outer(gain, gain) / total,
    )


def _printer(
    model: FitModel, belief: Belief, before: InsideError, inside: Bools
) -> tuple[InsideError, float]:
    found = np.flatnonzero(inside)
    if not len(found):
        return before, 0.0
    q = int(found[0])
    unit = model.influences.matrix.largest(q)
    moved = unit * float(belief.mean[q])
    spread = unit * float(np.sqrt(max(belief.covariance[q, q], 0.0)))
    return replace(before, expected_mm=before.expected_mm + moved, spread_mm=spread), moved


def _per_section(model: FitModel, shift_mm: Floats) -> Floats:
    """Mean outward shift around each section, ``(k,)``; sections out of reach take their neighbour's."""
    at = model.places.z_mm
    found = np.full(len(model.names), np.nan)
    for k, height in enumerate(model.section_heights_mm):
        own = np.abs(at - height) < 1e-6
        if own.any():
            found[k] = shift_mm[own].mean()
    known = np.flatnonzero(~np.isnan(found))
    if not len(known):
        return np.zeros(len(found))
    return np.interp(model.section_heights_mm, model.section_heights_mm[known], found[known])


def _name(number: int, trial: Trial) -> str:
    where = "as a whole" if trial.section is None else f'at section "{trial.section}"'
    if trial.piece is None or trial.clearance_mm is None:
        return f"trial {number} of {trial.date.isoformat()} (a reading {where})"
    return f"trial {number} of {trial.date.isoformat()} ({trial.piece.replace('-', ' ')} {where}, {trial.clearance_mm:g} mm)"


def _unusable(model: FitModel, number: int, trial: Trial) -> Finding:
    why = (
        "there nothing of the thing comes near the holder: it lies above the rim, or the pocket is wider there so that"
        " the thing can be lifted out"
        if trial.section in (None, *model.names)
        else "the thing has no such section"
    )
    return Finding(
        code="trial-unusable",
        severity=Severity.WARN,
        message=f"{_name(number, trial)} has no effect: {why}",
        where="trials",
    )


def _unlikely(number: int, trial: Trial, chance: float, *, alone: bool) -> Finding:
    against = "what was measured" if alone else "the other trials and what was measured"
    return Finding(
        code="trial-contradicts",
        severity=Severity.WARN,
        message=f'{_name(number, trial)}: from {against}, "{trial.seen!s}" was to be expected in {_rarely(chance)} of cases',
        where="trials",
        measured=100 * chance,
        limit=100 * UNLIKELY,
        unit="%",
        advice="try it again, check that the piece was the one noted, or take the trial back",
    )


def _rarely(chance: float) -> str:
    """A small chance in words, such as "only 3 %"."""
    return f"only {100 * chance:.1g} %" if chance >= _RARE else f"less than {100 * _RARE:g} %"


def _capped(model: FitModel, wanted_mm: Floats) -> list[Finding]:
    """One finding for all sections whose correction is cut short, with the largest."""
    over = np.flatnonzero(np.abs(wanted_mm) > MOST_MM)
    if not len(over):
        return []
    worst = over[np.argmax(np.abs(wanted_mm[over]))]
    others = "" if len(over) == 1 else f" (and too much at {len(over) - 1} more)"
    return [
        Finding(
            code="correction-capped",
            severity=Severity.WARN,
            message=f"the trials ask for {wanted_mm[worst]:+z.2f} mm per side at section "
            f'"{model.names[worst]}"{others}, {np.copysign(MOST_MM, wanted_mm[worst]):+z.2f} mm is used',
            where="trials",
            measured=float(wanted_mm[worst]),
            limit=float(np.copysign(MOST_MM, wanted_mm[worst])),
            unit="mm",
            advice="that is more than a fit correction: measure the section again, or take a trial back",
        )
    ]


def _phis(x: Floats) -> Floats:
    return np.array([_phi(v) for v in np.ravel(x)]).reshape(np.shape(x))


def _phi(x: float) -> float:
    """The share of a normal spread below ``x`` standard deviations."""
    return 0.5 * math.erfc(-x / math.sqrt(2.0))


def corrected(values_mm: Floats, learned: Learned) -> Floats:
    """Clearances of the sections with what trials taught added, never below 0, ``(k,)``, mm."""
    return frozen(np.maximum(np.asarray(values_mm) + np.array(learned.corrections_mm), 0.0))
