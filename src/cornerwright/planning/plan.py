"""The plan: from readings and targets to ordered moves, predicted readings and cautions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Gauges, Reading, Readings
from cornerwright.model.results import Finding, PlanResult
from cornerwright.model.target import Targets
from cornerwright.planning.answer import Planned, predicted_readings, short_of, staged
from cornerwright.planning.cautions import cautions_for
from cornerwright.planning.hose import hoses_after
from cornerwright.planning.learn import SURPRISE, Belief, learn, loose_in
from cornerwright.planning.observe import Key, gauge_scatter, pick
from cornerwright.planning.search import Found, Task, let_go, search, step_bounds
from cornerwright.planning.shortfall import shortfalls
from cornerwright.planning.wants import Limit, Want, limits_of, wants_of

Array = NDArray[np.float64]
Progress = Callable[[float, str], None]

DRAWS = 256
"""Cars drawn from what is known, to say how sure a prediction is."""

SEED = 20
"""Of the draws: the same files give the same plan, digit for digit."""


def plan(
    car: Car,
    readings: Readings | Reading | None,
    targets: Targets,
    progress: Progress | None = None,
) -> PlanResult:
    """Moves in whole steps, in working order, that bring the readings inside the targets.

    readings None: the car is taken as its file says. Of several passes the last is the car as it stands.
    progress(share done, what) is called as the work goes on.
    """
    tell = progress or (lambda share, what: None)
    reading = readings.latest if isinstance(readings, Readings) else readings
    rig = Rig(car)
    tell(0.05, "fitting the car to its readings")
    belief = learn(rig, reading)
    findings = _about_readings(belief) + _about_sides(belief)
    if belief.verdict in ("does not stand", "not converged"):
        return _no_plan(car, belief, findings)
    loose = Loose(
        (_has_link(car, 0), _has_link(car, 1)),
        bushes=True,
    )
    tell(0.2, "drawing the cars that the readings allow")
    wants, limits, unknown = _known(rig, belief, loose, wants_of(targets, rig), limits_of(targets))
    findings.extend(unknown)
    keys = tuple(want.key for want in wants)
    gauges = Gauges() if reading is None else reading.gauges
    scatter = gauge_scatter(gauges, keys, car.mass.total * 9.80665)

    def sigma(settings: Array) -> Array:
        spread = np.nanvar(_drawn(rig, belief, settings, loose, keys), axis=0)
        return np.asarray(np.sqrt(spread + scatter**2))

    lowest, highest = step_bounds(rig)
    links = np.array([slot.adjuster.kind == "bar_link" for slot in rig.slots], dtype=bool)
    task = Task(
        rig,
        belief.mean,
        loose,
        wants,
        limits,
        sigma(rig.settings),
        np.where(links, 0, lowest),
        np.where(links, 0, highest),
    )
    tell(0.35, "choosing the moves")
    rough = search(task, whole=False, rounds=3)
    if rough.solved:
        # Moving adds doubt of its own: how sure a reading is, is judged where the moves lead.
        task = replace(task, sigma=sigma(rough.settings))
    found = search(task, start=rough.steps)
    if not found.solved:
        return _no_plan(car, belief, findings)
    found = let_go(task, found)
    steps = found.steps + _link_steps(task, found, lowest, highest)
    settings = task.settings(steps)
    final_variant = rig.vary(settings, belief.mean, loose=Loose(bushes=True))
    final_stance = final_variant.stand()
    final = outputs(final_variant, final_stance, gradients=False)
    if not final_stance.stands[0]:
        return _no_plan(car, belief, findings)
    tell(0.6, "checking what falls short")
    _, at = task.at(found.settings, gradients=True)
    short = shortfalls(task, found, at, final)
    broken = _broken_limits(task, found, final)
    tell(0.8, "predicting the readings")
    planned = Planned(
        rig=rig,
        task=task,
        belief=belief,
        reading=reading,
        gauges=gauges,
        steps=steps,
        settings=settings,
        before=_before(rig, belief, reading),
        at=at,
        final=final,
        draws=_drawn(rig, belief, settings, loose, _all_keys(final)),
        draw_keys=_all_keys(final),
        targets=targets,
    )
    moves, stages = staged(planned)
    tell(1.0, "done")
    return PlanResult(
        car=car.name,
        verdict=_verdict(broken, short, unknown),
        moves=moves,
        stages=stages,
        predicted=predicted_readings(planned),
        short_of=short_of(short),
        chance=planned.chance(),
        minutes=sum(move.minutes for move in moves),
        rounds=found.rounds,
        findings=tuple(findings + _broken(broken) + _beyond(rig, final_stance) + hoses_after(car, moves)),
        cautions=cautions_for(car, moves),
    )


def _has_link(car: Car, axle: int) -> bool:
    bar = car.axles[axle].bar
    return bar is not None and bar.connected and bar.link is not None


def _before(rig: Rig, belief: Belief, reading: Reading | None) -> Outputs:
    """The believed car as it was read."""
    loose = Loose() if reading is None else loose_in(reading.state)
    variant = rig.vary(unknowns=belief.mean, loose=loose)
    return outputs(variant, variant.stand(), gradients=False)


def _all_keys(at: Outputs) -> tuple[Key, ...]:
    corner: list[Key] = [(corner, name) for corner in CORNERS for name in at.corner]
    return (*corner, *((None, name) for name in at.car))


def _drawn(rig: Rig, belief: Belief, settings: Array, loose: Loose, keys: tuple[Key, ...]) -> Array:
    """(DRAWS, r) readings, without gauge scatter, of cars that file and readings allow."""
    variant = rig.vary(settings, belief.draw(DRAWS, SEED), loose=loose)
    return pick(outputs(variant, variant.stand(), gradients=False), keys)


def _known(
    rig: Rig, belief: Belief, loose: Loose, wants: tuple[Want, ...], limits: tuple[Limit, ...]
) -> tuple[tuple[Want, ...], tuple[Limit, ...], list[Finding]]:
    """Leave out, and say so, what is asked for of a reading that the model has no value for."""
    variant = rig.vary(unknowns=belief.mean, loose=loose)
    at = outputs(variant, variant.stand(), gradients=False)

    def there(key: Key) -> bool:
        return bool(np.isfinite(pick(at, (key,))[0, 0]))

    missing = [want.key for want in wants if not want.usual and not there(want.key)]
    missing += [limit.key for limit in limits if limit.asked and not there(limit.key)]
    findings = [
        Finding(
            level="warning",
            place=corner or "car",
            about="target",
            says=f"the {name.replace('_', ' ')} is wanted but cannot be computed",
            do="give readings of it, or of the damper where it is about travel, in the jack table",
        )
        for corner, name in dict.fromkeys(missing)
    ]
    return (
        tuple(want for want in wants if there(want.key)),
        tuple(limit for limit in limits if there(limit.key)),
        findings,
    )


def _link_steps(task: Task, found: Found, lowest: Array, highest: Array) -> Array:
    """Steps of the bars' links that leave no preload at the new stance."""
    rig = task.rig
    stance, _ = task.at(found.settings, gradients=False)
    lifts = stance.q[0, 3:]
    steps = np.zeros(len(rig.slots))
    for k, slot in enumerate(rig.slots):
        if slot.adjuster.kind != "bar_link" or not task.loose.bars[slot.axle]:
            continue
        bar = rig.car.axles[slot.axle].bar
        assert bar is not None  # a link belongs to a bar
        difference = lifts[2 * slot.axle] - lifts[2 * slot.axle + 1]
        goal = slot.adjuster.measured_at + (bar.neutral - difference) / bar.link_ratio
        wanted = round((goal - slot.adjuster.setting) / slot.adjuster.step_travel)
        steps[k] = np.clip(wanted, lowest[k], highest[k])
    return steps


def _about_readings(belief: Belief) -> list[Finding]:
    """Readings that do not fit the car: asked about before anything is turned."""
    found = []
    for (corner, name), surprise in zip(belief.keys, belief.surprise, strict=True):
        if abs(surprise) > SURPRISE:
            found.append(
                Finding(
                    level="warning",
                    place=corner or "car",
                    about="reading",
                    says=f"the {name.replace('_', ' ')} read is far from what the car file and the other readings "
                    "lead one to expect",
                    do="read it again before turning anything: a slip, another unit, left and right "
                    "swapped? If it is right, the car file is wrong there",
                )
            )
    return found


def _about_sides(belief: Belief) -> list[Finding]:
    """Readings that would fit the car if left and right were exchanged."""
    if belief.swapped is None:
        return []
    place, name = belief.swapped
    what = "readings" if name is None else f"readings of {name.replace('_', ' ')}"
    return [
        Finding(
            level="warning",
            place=place,
            about="reading",
            says=f"the {what} fit the car file far better with left and right exchanged",
            do="see whether left and right were swapped before turning anything",
        )
    ]


def _no_plan(car: Car, belief: Belief, findings: list[Finding]) -> PlanResult:
    says = {
        "does not stand": "the car as its file has it does not stand on its springs",
        "not converged": "the readings could not be fitted to the car file",
    }.get(belief.verdict, "no settings were found at which the car stands")
    finding = Finding(
        level="limit",
        place="car",
        about="stance",
        says=says,
        do="run `check`; look at springs, masses, perch settings and the readings' units",
    )
    return PlanResult(car=car.name, verdict="no plan", findings=(*findings, finding))


def _broken_limits(task: Task, found: Found, final: Outputs) -> tuple[Limit, ...]:
    """Limits that do not hold, with the bars unhooked or as the car will be read."""
    value = pick(final, tuple(limit.key for limit in task.limits))[0]
    over = [limit.sign * (number - limit.edge) < -1e-9 for limit, number in zip(task.limits, value, strict=True)]
    return tuple(limit for limit, out in zip(task.limits, over, strict=True) if out or limit in found.broken)


def _broken(broken: tuple[Limit, ...]) -> list[Finding]:
    return [
        Finding(
            level="limit",
            place=limit.key[0] or "car",
            about=limit.key[1].replace("_", " "),
            says=f"no move keeps it: {limit.says}",
            do="give way on the hard target, or fit other parts"
            if limit.asked
            else "other parts are needed, see `check`",
        )
        for limit in broken
    ]


def _beyond(rig: Rig, stance: Stance) -> list[Finding]:
    """Corners that stand outside what their jack table was measured over."""
    found = []
    lifts = stance.q[:, 3:]
    for axle, motion in enumerate(rig.vary().motions):
        inside = motion.inside(lifts[:, 2 * axle : 2 * axle + 2])[0]
        for side, fine in enumerate(inside):
            place = CORNERS[2 * axle + side]
            if not fine and rig.car.corners[place].table is not None:
                found.append(
                    Finding(
                        level="warning",
                        place=place,
                        about="linkage",
                        says="the car will stand outside the lifts that were measured here",
                        do="add rows to the jack table that reach this lift",
                    )
                )
    return found


def _verdict(broken: tuple[object, ...], short: tuple[object, ...], unknown: list[Finding]) -> str:
    if broken:
        return "breaks a hard limit"
    return "falls short" if short or unknown else "reaches all targets"
