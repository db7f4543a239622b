"""The tyre as it is drawn: its section from behind, its tread from above."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cornerwright.drawing.svg import Spot
from cornerwright.model.results import CornerScene, TravelScene
from cornerwright.model.results_pose import CornerPose


def tyre_width(scene: CornerScene | TravelScene | CornerPose) -> float:
    """Width drawn [mm]; where it is not known the picture says that it is a guess."""
    return 0.62 * scene.tyre_radius_mm if scene.tyre_width_mm is None else scene.tyre_width_mm


def tyre_outline(scene: CornerScene) -> list[Spot]:
    """The tyre's section (y outboard, z up) [mm]: leaning by its camber, cut off by the ground."""
    centre = scene.wheel_y_mm, scene.wheel_z_mm
    return list(_above_ground(tyre_section(scene, centre, scene.camber_deg)))


def tyre_section(scene: CornerScene | TravelScene | CornerPose, centre: Spot, camber_deg: float) -> list[Spot]:
    """The whole section (y outboard, z up) [mm] about its centre, leaning by this camber."""
    lean = math.radians(camber_deg)
    cos, sin = math.cos(lean), math.sin(lean)
    shape = _rounded(tyre_width(scene) / 2, scene.tyre_radius_mm, 0.28 * tyre_width(scene))
    return [(centre[0] + y * cos + z * sin, centre[1] - y * sin + z * cos) for y, z in shape]


def tyre_from_above(scene: TravelScene, centre: Spot, toe_deg: float) -> list[Spot]:
    """The tyre (x forward, y outboard) [mm] about its centre, its front turned inboard by toe-in."""
    turn = math.radians(toe_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    shape = _rounded(tyre_width(scene) / 2, scene.tyre_radius_mm, 0.14 * tyre_width(scene))
    return [(centre[0] + x * cos + y * sin, centre[1] - x * sin + y * cos) for y, x in shape]


def _rounded(half_width: float, half_height: float, radius: float) -> list[Spot]:
    """A rectangle with rounded corners about its middle."""
    shape = []
    for side, upper in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        start = {(1, 1): 0, (-1, 1): 90, (-1, -1): 180, (1, -1): 270}[side, upper]
        for turn in range(0, 91, 15):
            angle = math.radians(start + turn)
            shape.append(
                (
                    side * (half_width - radius) + radius * math.cos(angle),
                    upper * (half_height - radius) + radius * math.sin(angle),
                )
            )
    return shape


def _above_ground(shape: list[Spot]) -> Iterator[Spot]:
    for (y1, z1), (y2, z2) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if z1 >= 0:
            yield y1, z1
        if (z1 < 0) != (z2 < 0):
            yield y1 + (y2 - y1) * z1 / (z1 - z2), 0.0
