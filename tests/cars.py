"""Small invented cars, one for every kind of suspension, made from the second example with one axle changed.

`car_of_kind(kind)` is a validated car, `corner_of_kind(kind)` the corner where that suspension is. The numbers
are invented; the springs are chosen so that each car stands near its reference pose, with stroke both ways.
"""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car
from cornerwright.model.mirror import with_right_corners

SKERRY = Path(__file__).parents[1] / "examples" / "skerry_nine" / "car.yaml"

Tree = dict[str, Any]


def _rod(inner: list[float], outer: list[float]) -> Tree:
    return {"inner": inner, "outer": outer}


def _mount(on: str, at: list[float]) -> Tree:
    return {"on": on, "at": at}


def _adjuster(kind: str, half: float = 12.0, **more: Any) -> Tree:
    """An adjuster in the middle of its range (mm), a turn of 1.5 mm."""
    return {
        "kind": kind,
        "unit": "turn",
        "pitch": 1.5,
        "step": 0.25,
        "setting": half,
        "measured_at": half,
        "range": [0, 2 * half],
        **more,
    }


def _spring(rate: float, free: float, block: float, **more: Any) -> Tree:
    coil = {"name": "main", "rate": rate, "free_length": free, "block_length": block}
    return {"around_damper": False, "stack": [coil], **more}


def _damper(length: float, bump: float, droop: float, **more: Any) -> Tree:
    """A damper of this length (mm) at the reference, with so much stroke each way."""
    curve = [{"squeeze": 8, "force": 200}, {"squeeze": 16, "force": 700}, {"squeeze": 25, "force": 3000}]
    stop = {"length": 30, "curve": curve}
    ends = {"open": length + droop, "closed": length - bump, "gas_force": 100}
    return {**ends, "bump_stop": stop, **more}


PERCH = _adjuster("perch", 25.0)

SUSPENSIONS: dict[str, tuple[str, Tree]] = {
    "double_wishbone": ("front", {}),
    "strut": (
        "front",
        {
            "left": {
                "linkage": {
                    "kind": "strut",
                    "points": {
                        "lower_front": [150, 350, 180],
                        "lower_rear": [-180, 360, 190],
                        "lower_ball": [8, 655, 178],
                        "tie_inner": [-120, 345, 232],
                        "tie_outer": [-128, 640, 214],
                        "top_mount": [-28, 545, 845],
                        "strut_lower": [-4, 606, 330],
                    },
                },
                "spring": _spring(18, 258, 80, around_damper=True, seat_gap=330),
                "damper": _damper(519, 85, 65),
                "adjusters": {
                    "perch": PERCH,
                    "camber_plate": _adjuster("plate", acts_on=["top_mount"], sets="camber"),
                    "caster_plate": _adjuster("plate", acts_on=["top_mount"], along=[-1, 0, 0], sets="caster"),
                    "tie_rod": _adjuster("rod", acts_on=["tie"], sets="toe"),
                },
            }
        },
    ),
    "double_wishbone_push_rod": (
        "front",
        {
            "left": {
                "rocker": {
                    "axis": [[-20, 380, 500], [40, 380, 500]],
                    "drive": _mount("lower_arm", [4, 610, 205]),
                    "eye": [6, 472, 530],
                },
                "spring": _spring(26, 229, 80, around_damper=True, seat_gap=130),
                "damper": _damper(
                    300, 85, 55, between=[_mount("body", [10, 85, 585]), _mount("rocker", [10, 385, 600])]
                ),
            }
        },
    ),
    "five_link": ("rear", {}),
    "trailing_arm_three_link": (
        "rear",
        {
            "left": {
                "linkage": {
                    "kind": "trailing_arm_three_link",
                    "points": {"arm_bush": [-1800, 560, 250]},
                    "rods": {
                        "upper": _rod([-2310, 330, 420], [-2305, 600, 430]),
                        "lower": _rod([-2330, 300, 190], [-2310, 620, 185]),
                    },
                },
                "spring": _spring(
                    28, 287, 100, between=[_mount("body", [-2260, 500, 450]), _mount("carrier", [-2255, 520, 225])]
                ),
                "damper": _damper(
                    364, 85, 74, between=[_mount("body", [-2350, 540, 590]), _mount("carrier", [-2370, 600, 232])]
                ),
                "adjusters": {
                    "perch": PERCH,
                    "lower_rod": _adjuster("rod", acts_on=["lower"], sets="camber"),
                    "bush_cam": _adjuster("cam", acts_on=["arm_bush"], sets="toe", unit="notch", pitch=1.0, step=1),
                },
            }
        },
    ),
    "semi_trailing_arm": (
        "rear",
        {
            "left": {
                "linkage": {
                    "kind": "semi_trailing_arm",
                    "points": {"pivot_inner": [-1990, 250, 240], "pivot_outer": [-1905, 580, 252]},
                },
                "spring": _spring(
                    57, 248, 100, between=[_mount("body", [-2180, 480, 440]), _mount("carrier", [-2185, 485, 235])]
                ),
                "damper": _damper(
                    364, 85, 74, between=[_mount("body", [-2330, 520, 590]), _mount("carrier", [-2365, 560, 230])]
                ),
                "adjusters": {
                    "perch": PERCH,
                    "inner_cam": _adjuster("cam", acts_on=["pivot_inner"], along=[0, 0, 1], sets="camber"),
                    "outer_cam": _adjuster("cam", acts_on=["pivot_outer"], along=[1, 0, 0], sets="toe"),
                },
            }
        },
    ),
    "live_axle_four_link": (
        "rear",
        {
            "linkage": {
                "kind": "live_axle_four_link",
                "rods": {
                    "lower": _rod([-1830, 430, 235], [-2290, 500, 225]),
                    "upper": _rod([-1960, 330, 405], [-2280, 110, 430]),
                },
            },
            "left": {
                "wheel": {"centre": [-2300, 690, 302], "camber": 0.0, "toe": 0.0},
                "spring": _spring(
                    21, 303, 100, between=[_mount("body", [-2270, 480, 600]), _mount("carrier", [-2290, 500, 370])]
                ),
                "damper": _damper(
                    360, 85, 68, between=[_mount("body", [-2380, 420, 600]), _mount("carrier", [-2370, 480, 245])]
                ),
                "adjusters": {"perch": PERCH, "upper_rod": _adjuster("rod", acts_on=["upper"])},
            },
        },
    ),
    "live_axle_panhard": (
        "rear",
        {
            "linkage": {
                "kind": "live_axle_panhard",
                "rods": {
                    "lower": _rod([-1820, 450, 240], [-2290, 500, 230]),
                    "upper": _rod([-1990, 20, 400], [-2265, 20, 425]),
                    "panhard": _rod([-2425, -470, 335], [-2415, 470, 325]),
                },
            },
            "adjusters": {"panhard": _adjuster("rod", acts_on=["panhard"])},
            "left": {
                "wheel": {"centre": [-2300, 690, 302], "camber": 0.0, "toe": 0.0},
                "spring": _spring(
                    21, 303, 100, between=[_mount("body", [-2270, 480, 600]), _mount("carrier", [-2290, 500, 370])]
                ),
                "damper": _damper(
                    360, 85, 68, between=[_mount("body", [-2380, 420, 600]), _mount("carrier", [-2370, 480, 245])]
                ),
                "adjusters": {"perch": PERCH, "lower_rod": _adjuster("rod", acts_on=["lower"])},
            },
        },
    ),
    "twist_beam": (
        "rear",
        {
            "linkage": {
                "kind": "twist_beam",
                "points": {"pivot": [-1880, 540, 290], "beam_centre": [-2075, 0, 275]},
                "twist_rate": 40,
            },
            "left": {
                "spring": _spring(
                    37, 258, 100, between=[_mount("body", [-2190, 470, 430]), _mount("carrier", [-2195, 480, 225])]
                ),
                "damper": _damper(
                    359, 85, 76, between=[_mount("body", [-2330, 540, 590]), _mount("carrier", [-2385, 580, 238])]
                ),
                "adjusters": {"perch": PERCH},
            },
        },
    ),
    "rods": (
        "rear",
        {
            "left": {
                "linkage": {
                    "kind": "rods",
                    "constraints": [
                        {"holds": "rod", "name": "lower_front", **_rod([-2150, 310, 190], [-2275, 640, 188])},
                        {"holds": "rod", "name": "lower_rear", **_rod([-2430, 300, 196], [-2345, 635, 190])},
                        {"holds": "rod", "name": "toe", **_rod([-2470, 310, 255], [-2440, 640, 250])},
                        {
                            "holds": "point_on_line",
                            "name": "pillar",
                            "body": [-2310, 560, 640],
                            "carrier": [-2306, 598, 340],
                            "line_on": "body",
                        },
                    ],
                },
                "spring": _spring(
                    30, 288, 100, between=[_mount("body", [-2258, 471, 446]), _mount("carrier", [-2261, 561, 236])]
                ),
                "damper": _damper(
                    374, 85, 65, between=[_mount("body", [-2331, 502, 601]), _mount("carrier", [-2319, 601, 241])]
                ),
                "adjusters": {
                    "perch": PERCH,
                    "toe_rod": _adjuster("rod", acts_on=["toe"], sets="toe"),
                    "pillar_slide": _adjuster("plate", acts_on=["pillar_body"], sets="camber"),
                },
            }
        },
    ),
}
"""Each kind's axle, and what is changed there from the example."""

KINDS = tuple(SUSPENSIONS)
"""Every kind of linkage of points, and double wishbones with a push rod and rocker."""

AXLE_KINDS = ("live_axle_four_link", "live_axle_panhard", "twist_beam")


def tree_of_kind(kind: str) -> Tree:
    """The car as plain values in document units, both sides written out, free to be changed."""
    tree = copy.deepcopy(_skerry())
    end, change = SUSPENSIONS[kind]
    for side in ("left", "right"):
        tree[end][side] = dict(tree[end]["left"])
    axle, change = tree[end], copy.deepcopy(change)
    left = {**axle["left"], **change.pop("left", {})}
    if "linkage" in change:
        left.pop("linkage")
    del axle["right"]
    axle |= {**change, "left": left}
    tree["name"] = f"Skerry Nine with {kind.replace('_', ' ')}"
    whole: Tree = with_right_corners(tree)
    return whole


@cache
def car_of_kind(kind: str) -> Car:
    """A validated car with this kind of suspension at one axle."""
    return Car.model_validate(tree_of_kind(kind))


def corner_of_kind(kind: str, side: str = "left") -> str:
    """Where that suspension is: `front_left`, `rear_left`..."""
    return f"{SUSPENSIONS[kind][0]}_{side}"


@cache
def _skerry() -> Tree:
    return load_car(SKERRY).to_document()
