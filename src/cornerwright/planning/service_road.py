"""The last cards of a service: the first road test, and bedding pads and rotors in."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.brake_inputs import Parts
from cornerwright.model.results_brakes import ServiceCard
from cornerwright.model.units import SPEED, to_document
from cornerwright.planning.brake_heat import Bedding, Stops
from cornerwright.planning.service_words import HOT, LAW, card, four, step

Array = NDArray[np.float64]


def road_card(parts: Parts) -> ServiceCard:
    """First road test."""
    steps = [
        step(
            "Before it rolls: pedal hard and high, fluid at the mark, no leak, wheels to torque, lights "
            "work, parking brake holds."
        ),
        step("On level empty ground at walking pace: brake, then the parking brake alone, then each again."),
        step(
            "From 30 km/h, gently: straight, no pull, no noise. A pull: stop, look at pins, pistons, "
            "hoses, pads left against right.",
            "pulls to",
        ),
        step("From 50 km/h, firmly, no locking: pedal height the same each time.", "pedal"),
        step(
            "Which axle locks first: wet or loose closed ground, from 30 km/h, harder each time, a "
            "helper watches the wheels. The front must be first.",
            "first to lock",
        ),
    ]
    if parts.brakes.balance_bar is not None:
        steps.append(
            step(
                "Rear first, or both: bar towards the front, again. Lock and mark it; it is not touched on the road.",
                "turns",
            )
        )
    if parts.brakes.hand_circuit is not None:
        steps.append(step("Hand circuit: once, at walking pace, straight. It locks the rear wheels: never on a road."))
    steps += [
        step("Car back, cold: look at every joint again, fluid level, wheel torque.", "seen"),
        step("Then bed pads and rotors as on the next card."),
    ]
    return card(
        "road", "First road test", (LAW, "Alone in the car, belted; room to run out; a helper with a telephone."), steps
    )


def bedding_card(parts: Parts, plan: Bedding) -> ServiceCard:
    """Bedding, with the temperatures that the schedule is predicted to give."""
    names = sorted({one.pad.name for one in parts.corners})
    low = tuple(
        "as their maker asks" if any(one.pad.bed for one in parts.corners[k : k + 2]) else "our rough figure"
        for k in (0, 2)
    )
    steps = [
        step(f"Pads: {', '.join(names)}. Where their maker gives a procedure, do that one and no other."),
        *[step(_stage_words(stage, peaks)) for stage, peaks in zip(plan.stages, plan.peaks, strict=True)],
        step("Never come to a stand with the pedal pressed while hot: it prints the pad onto the rotor."),
        step("Then ten minutes of driving without brakes. Park with wheels chocked, parking brake off, until cold."),
        step(
            "Look: an even grey film on both faces of all four rotors, pads without cracks. Nuts to torque once more.",
            *four(),
        ),
    ]
    head = ("stage", "front predicted", "wanted", "rear predicted", "wanted", "front read", "rear read")
    table = tuple(
        (
            f"{k + 1}",
            f"{peaks[:2].max():.0f} °C",
            _range(plan.wanted[0]) if k + 1 == len(plan.stages) else "warm",
            f"{peaks[2:].max():.0f} °C",
            _range(plan.wanted[1]) if k + 1 == len(plan.stages) else "warm",
            "",
            "",
        )
        for k, peaks in enumerate(plan.peaks)
    )
    steps.insert(
        1,
        step(
            f"Wanted rotor temperatures: front {_range(plan.wanted[0])} ({low[0]}), rear "
            f"{_range(plan.wanted[1])} ({low[1]}). Read them by paint, pyrometer or probe: the "
            "predictions are rough."
        ),
    )
    return card("bedding", "Bedding in", (LAW, HOT), steps, head, table)


def _stage_words(stage: Stops, peaks: Array) -> str:
    fast, slow = (to_document(one, SPEED) for one in (stage.fast, stage.slow))
    return (
        f"{stage.count} stops from {fast:.0f} to {slow:.0f} km/h at {stage.rate:g} g, one every {stage.every:.0f} s. "
        f"Predicted at the end: front {peaks[:2].max():.0f} °C, rear {peaks[2:].max():.0f} °C."
    )


def _range(wanted: tuple[float, float]) -> str:
    return f"{wanted[0]:.0f} to {wanted[1]:.0f} °C"


def bedding_short(plan: Bedding) -> Iterator[str]:
    """Axles whose pads the schedule does not bring to the temperature that their maker asks."""
    for k, name in enumerate(("front", "rear")):
        if float(plan.peaks[-1][2 * k : 2 * k + 2].max()) < plan.wanted[k][0]:
            yield name
