"""Answers for a new car, as hands would type them: the numbers of the starter file, invented like them."""

from __future__ import annotations

FRONT_ROWS = (  # lift, damper, spring, camber, toe, half_track
    (-60, "537.0", "", "0.10", "-0.14", "-7.0"),
    (-40, "518.1", "", "-0.13", "-0.07", "-4.1"),
    (-20, "499.0", "", "-0.38", "-0.02", "-1.7"),
    (0, "480.0", "181.0", "-0.65", "0.05", "0.0"),
    (20, "460.9", "", "-0.89", "0.08", "1.2"),
    (40, "442.1", "", "-1.10", "0.13", "1.8"),
    (60, "423.0", "", "-1.29", "0.15", "2.0"),
    (80, "404.1", "", "-1.45", "0.19", "1.6"),
)
REAR_ROWS = (
    (-80, "472.1", "214.1", "0.42", "-0.16", "-4.3"),
    (-60, "454.0", "199.9", "0.02", "-0.08", "-2.6"),
    (-40, "436.1", "186.1", "-0.37", "-0.01", "-1.2"),
    (-20, "417.9", "172.0", "-0.80", "0.05", "-0.4"),
    (0, "400.0", "158.0", "-1.20", "0.10", "0.0"),
    (20, "382.0", "144.0", "-1.62", "0.16", "0.1"),
    (40, "364.1", "129.9", "-2.01", "0.19", "-0.1"),
    (60, "346.0", "116.0", "-2.40", "0.23", "-0.6"),
)
LIP = {"front": 640 - 285, "rear": 645 - 285}
"""Hub to lip, standing [mm]."""


def table(end: str, lines: tuple[tuple[object, ...], ...]) -> dict[str, str]:
    """Rows of a jack table, told by hub to lip."""
    found = {}
    for k, (lift, damper, spring, camber, toe, sideways) in enumerate(lines, start=1):
        row = {"at": f"{LIP[end] - lift:g}", "damper": damper, "spring": spring, "camber": camber, "toe": toe,
               "half_track": sideways}  # fmt: skip
        found.update({f"{end}.row.{k}.{name}": str(text) for name, text in row.items() if text})
    return found


def perch(end: str, setting: str, low: str, high: str) -> dict[str, str]:
    """A collar."""
    start = f"{end}.perch"
    return {f"{end}.has.perch": "yes", f"{start}.pitch": "2", f"{start}.setting.left": setting, f"{start}.low": low,
            f"{start}.high": high}  # fmt: skip


def answers() -> dict[str, str]:
    """A whole car, measured: everything needed and what a plan needs."""
    return {
        "name": "Shed special",
        "body_style": "saloon",
        "year": "1972",
        "wheelbase": "2450",
        "front.track": "1420",
        "rear.track": "1400",
        "front.centre_height": "285",
        "front.free_radius": "297",
        "front.tyre": "195/55 R15 85V",
        "rear.centre_height": "285",
        "rear.free_radius": "297",
        "load.front_left": "268",
        "load.front_right": "272",
        "load.rear_left": "229",
        "load.rear_right": "231",
        "height.front_left": "640",
        "height.front_right": "638",
        "height.rear_left": "645",
        "height.rear_right": "643",
        "front.main.rate": "35",
        "front.main.free": "250",
        "front.main.block": "85",
        "front.damper.open": "545",
        "front.damper.closed": "405",
        "front.stop": "yes",
        "front.stop.length": "45",
        **table("front", FRONT_ROWS),
        "front.bar": "yes",
        "front.bar.rate": "12",
        **perch("front", "30", "5", "55"),
        "front.has.camber_plate": "yes",
        "front.camber_plate.setting.left": "0",
        "front.camber_plate.low": "-8",
        "front.camber_plate.high": "8",
        "front.camber_plate.effect.camber": "0.11",
        "front.camber_plate.effect.toe": "-0.02",
        "front.has.tie_rod": "yes",
        "front.tie_rod.pitch": "1.5",
        "front.tie_rod.setting.left": "30",
        "front.tie_rod.setting.right": "31",
        "front.tie_rod.low": "16",
        "front.tie_rod.high": "44",
        "front.tie_rod.effect.toe": "-0.12",
        "rear.main.rate": "50",
        "rear.main.free": "213.5",
        "rear.main.block": "75",
        "rear.damper.open": "470",
        "rear.damper.closed": "330",
        "rear.stop": "yes",
        "rear.stop.length": "45",
        **table("rear", REAR_ROWS),
        **perch("rear", "20", "0", "45"),
        "rear.has.toe_cam": "yes",
        "rear.toe_cam.setting.left": "0",
        "rear.toe_cam.low": "-10",
        "rear.toe_cam.high": "10",
        "rear.toe_cam.effect.toe": "0.055",
        "rear.toe_cam.effect.camber": "0.015",
        "want.front.height": "637",
        "want.front.camber": "-1.0",
        "want.front.toe": "0.05",
        "want.rear.height": "644",
        "want.rear.toe": "0.10",
        "want.cross": "50",
    }
