"""What all service cards of the brakes have in common: cautions, steps, the frame of a card."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.model.parts import CORNERS
from cornerwright.model.results_brakes import ServiceCard, ServiceStep

MANUAL = "The car maker's manual and the parts makers' sheets come first: their torques, limits, greases and order."
LICENSED = "Brakes decide over lives: where the law or your skill asks for it, a licensed workshop does or checks this."
RAISED = "Raised car: on stands at the maker's points, on firm ground, chocked; never under a jack alone."
DUST = "Brake dust is not blown off: wet it down, wear a mask. No oil or grease on pads and rotors."
FLUID = (
    "Brake fluid: fresh, from a sealed bottle, of the grade the car asks for; it eats paint and harms skin and eyes."
)
LAW = "Local law decides where a car may be tried and what it needs to be on a road; try it on closed or empty ground."
HOT = "Rotors come hot enough to burn skin and light dry grass. Do not park on grass; keep off the parking brake."

Words = tuple[str, ...]


def four(*what: str) -> tuple[str, ...]:
    """A place to write for each corner, and for each thing there."""
    return tuple(f"{name.replace('_', ' ')}{' ' + one if one else ''}" for name in CORNERS for one in what or ("",))


def step(says: str, *write: str) -> ServiceStep:
    """One thing to do, and what to write down."""
    return ServiceStep(says=says, write=write)


def card(
    key: str,
    title: str,
    cautions: Words,
    steps: Sequence[ServiceStep],
    head: Words = (),
    table: tuple[Words, ...] = (),
) -> ServiceCard:
    """A card; the maker's manual stands first among its cautions, who may do the work last."""
    return ServiceCard(
        key=key,
        title=title,
        cautions=(MANUAL, *cautions, LICENSED),
        steps=tuple(steps),
        table_head=head,
        table=table,
    )
