"""Facts of a wheel that the car's file tells in two places, for its place in the arch and for its fastening."""

from __future__ import annotations

from collections.abc import Iterator

from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.results import Finding
from cornerwright.model.units import LENGTH, to_document

NEAR = 5e-5
"""Lengths this near [m] are the same."""


def told_twice(car: Car) -> list[Finding]:
    """What `fastening` and `wheel` say differently of one wheel."""
    return [
        Finding(
            level="warning",
            place=name,
            about="wheel",
            says=f"the file tells {what} twice, and differently: {one}, and {other}",
            do="measure it again and write the same in both places: fit and joints are worked out from them",
        )
        for name, corner in car.corners.items()
        for what, one, other in _differing(corner)
    ]


def _differing(corner: Corner) -> Iterator[tuple[str, str, str]]:
    part, wheel = corner.fastening, corner.wheel
    if part is None:
        return
    rim, hub, spacer = wheel.rim, wheel.hub, wheel.spacer
    lengths = [
        ("pitch_circle", "wheel.hub.pitch_circle", part.pitch_circle, None if hub is None else hub.pitch_circle),
        ("spigot", "wheel.hub.spigot_height", part.spigot, None if hub is None else hub.spigot_height),
        ("spigot_diameter", "wheel.hub.spigot", part.spigot_diameter, None if hub is None else hub.spigot),
        ("pad", "wheel.rim.pad", part.pad, None if rim is None else rim.pad),
        (
            "spacer_spigot",
            "wheel.spacer.spigot_height",
            part.spacer_spigot,
            None if spacer is None else spacer.spigot_height,
        ),
        ("spacer", "wheel.spacer.thickness", part.spacer, None if spacer is None else spacer.thickness),
    ]
    for own, elsewhere, one, other in lengths:
        if one is not None and other is not None and abs(one - other) > NEAR:
            yield own.replace("_", " "), f"fastening.{own} {_mm(one)}", f"{elsewhere} {_mm(other)}"
    if hub is not None and hub.bolts != part.count:
        yield "how many hold the wheel", f"fastening.count {part.count}", f"wheel.hub.bolts {hub.bolts}"


def _mm(length: float) -> str:
    return f"{to_document(length, LENGTH):g} mm"
