"""The usual cautions of the trade (common practice), chosen by what a plan has the hands do."""

from __future__ import annotations

from cornerwright.model.car import Car
from cornerwright.model.results_plan import Move, PartChange

RAISED = "Raised car: on stands at the maker's points, on firm ground, chocked; never under a jack alone."
SPRINGS = (
    "Compressed springs can kill: unload them with the wheel hanging before turning a collar, and use a "
    "proper compressor, undamaged, where the spring stays loaded."
)
THREADS = "Rods and links: keep the thread in that their maker asks for on both ends; lock nuts tight after every move."
CLAMPS = "Rubber bushes: final tightening only at ride height. Torques and new bolts as the car's maker says."
BRAKES = "Turn the wheel lock to lock at full droop and full bump: brake hoses and cables must not pull tight."
WHEELS = "Wheel nuts or bolts to the maker's torque; again after the first 50 km. Spacers need full thread engagement."
ROAD = "Road law: height, track, lamps and steering changes may need approval. First drive slow, on empty ground."


def cautions_for(car: Car, moves: tuple[Move, ...], parts: tuple[PartChange, ...] = ()) -> tuple[str, ...]:
    """What to be careful of in these moves and changes of parts."""
    if not moves and not parts:
        return (ROAD,)
    kinds = {move.kind for move in moves}
    found = [RAISED]
    if kinds & {"perch", "body"} or parts:
        found.append(SPRINGS)
    if kinds & {"rod", "bar_link"}:
        found.append(THREADS)
    if any(corner.bushes for corner in car.corners.values()):
        found.append(CLAMPS)
    if kinds & {"perch", "body", "rod", "plate", "cam"}:
        found.append(BRAKES)
    return (*found, WHEELS, ROAD)
