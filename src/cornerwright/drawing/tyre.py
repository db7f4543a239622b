"""The tyre's section as it is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cornerwright.drawing.svg import Spot
from cornerwright.model.results import CornerScene


def tyre_width(scene: CornerScene) -> float:
    """Width drawn [mm]; where it is not known the picture says that it is a guess."""
    return 0.62 * scene.tyre_radius_mm if scene.tyre_width_mm is None else scene.tyre_width_mm


def tyre_outline(scene: CornerScene) -> list[Spot]:
    """The tyre's section (y outboard, z up) [mm]: leaning by its camber, cut off by the ground."""
    width = tyre_width(scene)
    half, radius = width / 2, scene.tyre_radius_mm
    round_off = 0.28 * width
    shape = []
    for side, upper in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        start = {(1, 1): 0, (-1, 1): 90, (-1, -1): 180, (1, -1): 270}[side, upper]
        for turn in range(0, 91, 15):
            angle = math.radians(start + turn)
            shape.append(
                (
                    side * (half - round_off) + round_off * math.cos(angle),
                    upper * (radius - round_off) + round_off * math.sin(angle),
                )
            )
    lean = math.radians(scene.camber_deg)
    cos, sin = math.cos(lean), math.sin(lean)
    placed = [(scene.wheel_y_mm + y * cos + z * sin, scene.wheel_z_mm - y * sin + z * cos) for y, z in shape]
    return list(_above_ground(placed))


def _above_ground(shape: list[Spot]) -> Iterator[Spot]:
    for (y1, z1), (y2, z2) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if z1 >= 0:
            yield y1, z1
        if (z1 < 0) != (z2 < 0):
            yield y1 + (y2 - y1) * z1 / (z1 - z2), 0.0
