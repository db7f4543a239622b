"""Invented corners and plans to draw, and the checks that every drawing must pass."""

from __future__ import annotations

import itertools
import xml.etree.ElementTree as ET
from typing import Any

from hypothesis import strategies as st

from cornerwright.drawing.svg import Drawing
from cornerwright.model.results import CornerScene
from cornerwright.model.results_plan import Move, PlanResult, Stage
from scene_samples import corner_scene

POINTS = {
    "ball": (10.0, 690.0, 215.0),
    "arm_front": (160.0, 330.0, 240.0),
    "arm_rear": (-180.0, 335.0, 245.0),
    "rod_out": (-110.0, 690.0, 260.0),
    "rod_in": (-120.0, 350.0, 270.0),
    "damper_low": (0.0, 640.0, 320.0),
    "damper_top": (-20.0, 560.0, 790.0),
    "axle_in": (0.0, 610.0, 310.0),
    "axle_out": (0.0, 742.0, 308.0),
}
LINES = (
    ("arm", "ball", "arm_front"),
    ("arm", "ball", "arm_rear"),
    ("rod", "rod_out", "rod_in"),
    ("strut", "ball", "damper_low"),
    ("damper", "damper_low", "damper_top"),
    ("spring", "damper_low", "damper_top"),
    ("axle", "axle_in", "axle_out"),
)


WORDS = st.text(max_size=80)


@st.composite
def scenes(draw: st.DrawFn) -> CornerScene:
    """Corners of cars from the smallest to the largest, well set and badly set."""

    def mm(low: float, high: float) -> float:
        return draw(st.floats(low, high))

    side = draw(st.sampled_from(("left", "right")))
    radius = mm(200, 480)
    closed = mm(150, 500)
    opened = closed + mm(30, 350)
    bind = mm(40, 250)
    free = bind + mm(20, 350)
    wheel_y = mm(450, 1100)
    points, lines = {}, ()
    if draw(st.booleans()):
        points = {
            name: (x + mm(-50, 50), y / 742 * wheel_y + mm(-50, 50), z + mm(-250, 100))
            for name, (x, y, z) in POINTS.items()
        }
        lines = LINES
    return corner_scene(
        car=draw(WORDS),
        what=draw(WORDS),
        height_what=draw(WORDS),
        droop_end=draw(WORDS),
        bump_end=draw(WORDS),
        corner=f"{draw(st.sampled_from(('front', 'rear')))}_{side}",
        side=side,
        wheel_y_mm=wheel_y,
        wheel_z_mm=radius - mm(0, 40),
        tyre_radius_mm=radius,
        loaded_radius_mm=radius - mm(0, 40),
        tyre_width_mm=draw(st.none() | st.floats(100, 400)),
        camber_deg=mm(-12, 12),
        toe_deg=mm(-3, 3),
        height_mm=mm(60, 950),
        height_y_mm=wheel_y + mm(-450, 200),
        lift_mm=mm(-150, 150),
        droop_left_mm=draw(st.none() | st.floats(-20, 250)),
        bump_left_mm=draw(st.none() | st.floats(-20, 250)),
        around_damper=draw(st.booleans()),
        damper_closed_mm=closed,
        damper_open_mm=opened,
        damper_mm=mm(closed - 10, opened + 10),
        stop_length_mm=draw(st.none() | st.floats(5, 120)),
        spring_bind_mm=bind,
        spring_free_mm=free,
        spring_mm=mm(bind - 5, free + 60),
        spring_load_n=mm(0, 30000),
        load_n=mm(0, 30000),
        points=points,
        lines=lines,
    )


def move(corner: str, **changes: Any) -> Move:
    plain: dict[str, Any] = {
        "corner": corner,
        "adjuster": "perch",
        "kind": "perch",
        "stage": "heights",
        "steps": 9,
        "unit": "turn",
        "amount": 2.25,
        "from": 12.0,
        "to": 14.25,
        "from_mm": 24.0,
        "to_mm": 28.5,
        "do": "collar towards the spring (car up)",
        "minutes": 4.0,
    }
    return Move(**(plain | changes))


def plan(*moves: Move, **changes: Any) -> PlanResult:
    stages = (
        Stage(name="heights", title="Heights", tasks=("Turn the perches.",)),
        Stage(name="toe", title="Toe", tasks=("Turn the rods.",)),
    )
    plain: dict[str, Any] = {
        "car": "Brook saloon (invented)",
        "verdict": "reaches all targets",
        "moves": moves,
        "stages": stages,
    }
    return PlanResult(**(plain | changes))


def check_lettering(drawing: Drawing) -> None:
    """No text leaves the page, no two texts overlap, and the drawing is well-formed XML."""
    for box in drawing.texts:
        assert box.left >= -1e-6, box
        assert box.top >= -1e-6, box
        assert box.right <= drawing.width + 1e-6, box
        assert box.bottom <= drawing.height + 1e-6, box
    for one, other in itertools.combinations(drawing.texts, 2):
        assert not one.overlaps(other), (one, other)
    ET.fromstring(drawing.svg())


def words_of(drawing: Drawing) -> str:
    return " ".join(box.words for box in drawing.texts)
