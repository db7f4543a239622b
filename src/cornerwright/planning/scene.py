"""A corner as a plan leaves it, for the drawing on the work card."""

from __future__ import annotations

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import corner_index
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.assembly.scene import scene_of
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.reading import Readings
from cornerwright.model.results import CornerScene
from cornerwright.model.results_plan import PlanResult
from cornerwright.model.units import LENGTH, from_document
from cornerwright.planning.learn import learn
from cornerwright.planning.passes import as_it_stands


def scene_after(car: Car, readings: Readings | None, result: PlanResult, corner: str) -> CornerScene:
    """This corner of the car as it was read, at the plan's settings, standing.

    Raises Refusal for an unknown corner or a car that does not stand there.
    """
    which = corner_index(corner)
    rig = Rig(as_it_stands(car, readings))
    belief = learn(rig, readings)
    settings = rig.settings.copy()
    places = {slot.name: k for k, slot in enumerate(rig.slots)}
    for move in result.moves:
        settings[places[f"{move.corner}.{move.adjuster}"]] = from_document(move.to_mm, LENGTH)
    variant = rig.vary(settings, belief.mean, loose=Loose(bushes=True))
    stance = variant.stand()
    if not stance.stands[0]:
        raise Refusal.of("a car that does not stand at the plan's settings", "a car that stands")
    at = outputs(variant, stance, gradients=False)
    return scene_of(variant, stance, at, which, "at rest, after the moves")
