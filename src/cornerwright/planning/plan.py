"""The plan: from readings and targets to ordered moves, predicted readings and cautions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig, loose_in
from cornerwright.assembly.taken import convert
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Gauges, Reading, Readings
from cornerwright.model.results import Finding
from cornerwright.model.results_plan import Alternative, Move, PartChange, PlanResult
from cornerwright.model.target import Targets
from cornerwright.planning.alternatives import Way, other_ways
from cornerwright.planning.answer import Planned, predicted_readings, short_of, staged
from cornerwright.planning.cautions import cautions_for
from cornerwright.planning.hose import hoses_after
from cornerwright.planning.learn import Belief, drawn_cars, learn
from cornerwright.planning.observe import Key, pick
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.seek import DRAWS, SEED, Chosen, Sought, all_keys, loose_for, seek
from cornerwright.planning.shelf import with_parts
from cornerwright.planning.slips import SURPRISE
from cornerwright.planning.wants import Limit, Want, limits_of, wants_of

Progress = Callable[[float, str], None]


def plan(
    car: Car,
    readings: Readings | Reading | None,
    targets: Targets,
    progress: Progress | None = None,
    *,
    read_between: bool = True,
    alternatives: bool = False,
    way: Way | None = None,
) -> PlanResult:
    """Moves in whole steps, in working order, that bring the readings inside the targets.

    readings None: the car is taken as its file says. Of several passes the last is the car as it stands.
    progress(share done, what) is called as the work goes on. read_between: angles are set by the gauge at their
    stages; False: all is turned before anything is read again. alternatives: also look for other ways to the same
    targets: with least work, no arms off, wheels on. way: one of these is the plan; where it does not differ, the best
    plan is that way already. Parts on the car's shelf are used where moves cannot do it.
    """
    tell = progress or (lambda share, what: None)
    asked = ask(car, readings, targets, read_between=read_between, tell=tell)
    sought, findings, unknown = asked.sought, list(asked.findings), list(asked.unknown)
    if sought is None:
        return _no_plan(car, asked.belief, findings)
    belief, car = sought.belief, sought.car
    tell(0.3, "choosing the moves")
    chosen = seek(sought)
    parts: tuple[PartChange, ...] = ()
    fitted = with_parts(sought, chosen, tell)
    if fitted is not None:
        chosen, parts = fitted.chosen, fitted.parts
    if chosen is None:
        return _no_plan(car, belief, findings)
    if way is not None:
        tell(0.5, f"looking for a plan with {way}")
        chosen = other_ways(chosen.sought, chosen, only=way).get(way, chosen)
    tell(0.7, "predicting the readings")
    planned = planned_of(chosen, before_of(sought), parts)
    moves, stages = staged(planned)
    others: tuple[Alternative, ...] = ()
    if alternatives:
        tell(0.8, "looking for other ways")
        others = tuple(
            alternative(name, planned_of(other, planned.before, parts), unknown)
            for name, other in other_ways(chosen.sought, chosen, tell).items()
        )
    tell(1.0, "done")
    return PlanResult(
        car=car.name,
        verdict=_verdict(chosen, unknown),
        way=way,
        moves=moves,
        stages=stages,
        predicted=predicted_readings(planned),
        short_of=short_of(chosen.short),
        chance=planned.chance(),
        chance_unread=planned.chance(read=False) if read_between else None,
        tight=planned.tight(),
        parts=parts,
        alternatives=others,
        minutes=_minutes(moves, parts),
        rounds=chosen.found.rounds,
        findings=(
            *findings,
            *_broken(chosen.broken),
            *_beyond(chosen.sought.rig, chosen.stance),
            *hoses_after(chosen.sought.rig.car, moves, chosen.sought.rig),
        ),
        cautions=cautions_for(car, moves, parts),
    )


@dataclass(frozen=True)
class Asked:
    """A car as it is believed to be with what is wanted of it; no car to seek with where the belief does not hold."""

    sought: Sought | None
    belief: Belief
    findings: tuple[Finding, ...]
    unknown: tuple[Finding, ...]
    """What is wanted and cannot be computed; among the findings too."""


def ask(
    car: Car,
    readings: Readings | Reading | None,
    targets: Targets,
    *,
    read_between: bool = True,
    tell: Progress = lambda _share, _words: None,
) -> Asked:
    """Fit the car to its readings and set out what is wanted of it."""
    reading = readings.latest if isinstance(readings, Readings) else readings
    car = as_it_stands(car, readings)
    rig = Rig(car)
    findings: list[Finding] = []
    if reading is not None:
        converted = convert(reading, rig)
        reading = converted.reading
        findings.extend(converted.notes)
    tell(0.05, "fitting the car to its readings")
    belief = learn(rig, readings)
    findings += about_readings(belief) + about_sides(belief)
    if belief.verdict in ("does not stand", "not converged"):
        return Asked(None, belief, tuple(findings), ())
    wants, limits, unknown = _known(rig, belief, loose_for(car), wants_of(targets, rig), limits_of(targets))
    findings.extend(unknown)
    gauges = Gauges() if reading is None else reading.gauges
    cars = drawn_cars(rig, belief, DRAWS, SEED)
    sought = Sought(rig, belief, reading, gauges, targets, wants, limits, read_between, cars)
    return Asked(sought, belief, tuple(findings), tuple(unknown))


def planned_of(chosen: Chosen, before: Outputs, parts: tuple[PartChange, ...]) -> Planned:
    """The chosen moves with the cars they may lead to."""
    sought, keys = chosen.sought, all_keys(chosen.final)
    unread = sought.drawn(chosen.settings, keys)
    draws, leave = sought.settled(unread, keys, chosen.at)
    return Planned(
        chosen=chosen,
        before=before,
        draws=draws,
        unread=unread,
        leave=leave,
        draw_keys=keys,
        settling=sought.settling(chosen.settings, keys),
        parts=parts,
    )


def alternative(name: str, planned: Planned, unknown: list[Finding]) -> Alternative:
    """Another plan in words."""
    moves, _ = staged(planned)
    return Alternative.model_validate(
        {
            "name": name,
            "verdict": _verdict(planned.chosen, unknown),
            "chance": planned.chance(),
            "minutes": _minutes(moves, planned.parts),
            "moves": moves,
            "short_of": short_of(planned.chosen.short),
        }
    )


def _minutes(moves: tuple[Move, ...], parts: tuple[PartChange, ...]) -> float:
    return sum(move.minutes for move in moves) + sum(part.minutes for part in parts)


def before_of(sought: Sought) -> Outputs:
    """The believed car as it was read."""
    loose = Loose() if sought.reading is None else loose_in(sought.reading.state)
    variant = sought.rig.vary(unknowns=sought.belief.mean, loose=loose)
    return outputs(variant, variant.stand(), gradients=False)


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


def about_readings(belief: Belief) -> list[Finding]:
    """Readings that do not fit the car: asked about before anything is turned."""
    found = []
    for k in range(belief.last.start, belief.last.stop):
        if abs(belief.surprise[k]) <= SURPRISE:
            continue
        corner, name = belief.keys[k]
        full = f"{corner}.{name}" if corner else name
        slip = belief.slips.get(k)
        guess = f"{slip}?" if slip else "a slip, another unit, left and right swapped?"
        used = "; it was not used" if belief.aside[k] else ""
        again = f" If it is right, name it under `checked: [{full}]`: then the car file is wrong there."
        found.append(
            Finding(
                level="warning",
                place=corner or "car",
                about="reading",
                says=f"the {name.replace('_', ' ')} read is far from what the car file and the other readings "
                f"lead one to expect{used}",
                do=f"read it again before turning anything: {guess}{again if belief.aside[k] else ''}",
                reading=full,
            )
        )
    return found


def about_sides(belief: Belief) -> list[Finding]:
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


def _verdict(chosen: Chosen, unknown: list[Finding]) -> str:
    if chosen.broken:
        return "breaks a hard limit"
    return "falls short" if chosen.short or unknown else "reaches all targets"
