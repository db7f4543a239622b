"""An invented corner as a picture needs it, for tests of drawings and of papers."""

from __future__ import annotations

from typing import Any

from cornerwright.model.results import CornerScene

SCENE: dict[str, Any] = {
    "car": "Brook saloon (invented)",
    "corner": "front_left",
    "what": "at rest on level ground, before any move",
    "side": "left",
    "kind": "jack table",
    "wheel_y_mm": 742.0,
    "wheel_z_mm": 308.0,
    "tyre_radius_mm": 317.0,
    "loaded_radius_mm": 308.4,
    "tyre_width_mm": 205.0,
    "camber_deg": -1.52,
    "toe_deg": 0.1,
    "height_mm": 668.0,
    "height_what": "wheel arch edge over the wheel centre",
    "height_y_mm": 835.0,
    "lift_mm": 12.3,
    "droop_left_mm": 61.0,
    "bump_left_mm": 54.0,
    "droop_end": "damper fully open",
    "bump_end": "bump stop squeezed to its block",
    "around_damper": True,
    "damper_mm": 431.0,
    "damper_open_mm": 498.0,
    "damper_closed_mm": 342.0,
    "stop_length_mm": 48.0,
    "spring_mm": 221.0,
    "spring_free_mm": 280.0,
    "spring_bind_mm": 112.0,
    "spring_load_n": 3320.0,
    "load_n": 3610.0,
}


def corner_scene(**changes: Any) -> CornerScene:
    """The corner, with other values where they are given."""
    return CornerScene(**(SCENE | changes))
