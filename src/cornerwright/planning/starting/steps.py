"""All steps in their order, what is missing before the car can stand, and which step comes next."""

from __future__ import annotations

from cornerwright.planning.starting.adjuster_steps import adjuster_steps, there
from cornerwright.planning.starting.asked import ENDS, Gap, Given, Step, unreadable
from cornerwright.planning.starting.axle_steps import axle_steps, spring_around
from cornerwright.planning.starting.car_steps import car_steps, marking_of, target_step
from cornerwright.planning.starting.jack_rows import column, rows, standing


def steps(given: Given) -> tuple[Step, ...]:
    """In the order in which one walks; what is answered decides what is asked."""
    found = car_steps(given)
    for end in ENDS:
        found += [*axle_steps(end, given), *adjuster_steps(end, given)]
    return (*found, target_step())


def missing(given: Given) -> tuple[Gap, ...]:
    """What the car does not stand without, in the order of the steps."""
    found = []
    for step in steps(given):
        for one in step.every:
            text = given.text(one.name)
            if not text:
                if one.needed and one.guess is None:
                    found.append(Gap(step.name, one.words))
            elif unreadable(one, text) is not None or (
                one.name.endswith(".tyre") and isinstance(marking_of(text), str)
            ):
                found.append(Gap(step.name, f"{one.words}: '{text}' cannot be read"))
        if step.figure == "rows":
            found += [Gap(step.name, says) for says in _table_gaps(step.place, given)]
    return tuple(found)


def _table_gaps(end: str, given: Given) -> list[str]:
    """What the jack table still lacks."""
    read = rows(end, given)
    found = []
    if given.under(f"{end}.row.") and not read and not _lifts_told(end, given):
        return ["hub to lip, standing: without it no row has its lift"]
    if len({row.lift for row in read}) < 3:
        found.append("three steps of the jack at least")
    elif read[0].lift > 0 or read[-1].lift < 0:
        found.append("steps below standing height and above it")
    for name in ("damper", "camber", "toe"):
        if len(column(end, name, given)[0]) < 2:
            found.append(f"{name} in two rows at least")
    springs = set(column(end, "spring", given)[0])
    if spring_around(end, given):
        if not springs & set(column(end, "damper", given)[0]):
            found.append("one row with both spring and damper")
    elif len(springs) < 2:
        found.append("spring in two rows at least")
    return found


def _lifts_told(end: str, given: Given) -> bool:
    """Whether the rows have their lift."""
    return given.choice(f"{end}.lift_by", "hub") != "hub" or standing(end, given) is not None


def notes(given: Given) -> tuple[Gap, ...]:
    """What may be left out, and what that means: said before the car is written, never silent."""
    found = []
    wanted = [name for name in given.under("want.") if not name.endswith(".within")]
    if not wanted:
        found.append(Gap("wanted", "nothing is wanted yet: without targets there is no plan"))
    for end in ENDS:
        if not there(end, given):
            found.append(Gap(f"{end}-adjusters", f"nothing to turn on the {end} axle"))
        for offer in there(end, given):
            if offer.effects and not given.under(f"{end}.{offer.name}.effect."):
                step = f"{end}-{offer.name.replace('_', '-')}"
                found.append(Gap(step, f"{end}: what the {offer.title.lower()} does is not known, so no plan turns it"))
        if given.choice(f"{end}.stop", "no") == "no":
            found.append(Gap(f"{end}-stop", f"no bump stop on the {end} axle"))
        if given.choice(f"{end}.bar", "no") == "no":
            found.append(Gap(f"{end}-bar", f"no anti-roll bar on the {end} axle"))
    return tuple(found)
