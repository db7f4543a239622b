"""Invented plans for the card: a usual one, the largest one, and the empty ones."""

from __future__ import annotations

import re
from typing import Any

from cornerwright.model.results import Finding
from cornerwright.model.results_plan import Move, PlanResult, PredictedReading, ShortOf, Stage

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
LARGEST = (
    ("spring perch", "heights", "turn", 12.25, "collar towards the spring (car up)"),
    ("damper body", "heights", "turn", -3.5, "damper shorter"),
    ("upper control arm rod", "camber", "flat", 11.0, "rod longer; hold the joint"),
    ("top plate", "camber", "notch", -3.0, "plate inboard"),
    ("lower cam bolt front", "camber", "notch", 2.0, "mark outboard"),
    ("shim pack upper rear", "camber", "shim", 3.0, "add shims"),
    ("tie rod", "toe", "flat", -7.0, "rod shorter"),
    ("wheel spacer", "close", "mm", 5.0, "thicker spacer"),
)
STAGES = (
    Stage(
        name="heights",
        title="Heights and corner weights",
        tasks=(
            "Disconnect one link of each bar.",
            "Raise the car; let the wheels hang; unload the spring before you turn its perch.",
            "Turn the perches. Lower the car, roll it forward and back.",
        ),
        check="heights within 3 mm of the predicted ones",
    ),
    Stage(
        name="camber",
        title="Camber and caster",
        tasks=("Loosen the plate's clamp bolts.", "Tighten by the maker's figure."),
        check="camber left to right within 0.3°",
    ),
    Stage(name="toe", title="Toe", tasks=("Lock the steering wheel straight.",), check="straight"),
    Stage(name="bars", title="Bars", tasks=("Set the links without force.",)),
    Stage(name="close", title="Close up", tasks=("Clamp rubber bushes at ride height.",)),
)
CAUTIONS = (
    "Never work under a car that only a jack holds.",
    "A squeezed spring holds enough energy to kill: let the suspension hang before you turn a perch.",
    "Brakes, steering joints and wheel bolts: tighten by the maker's figures.",
)


def reading(value: float = 650.3, **changes: Any) -> PredictedReading:
    plain: dict[str, Any] = {
        "now": value + 12.0,
        "was_read": True,
        "value": value,
        "sigma": 1.2,
        "low": value - 3,
        "high": value + 3,
        "inside": True,
        "chance": 0.93,
    }
    return PredictedReading(**(plain | changes))


def readings(*keys: str, **changes: Any) -> dict[str, dict[str, PredictedReading]]:
    return {corner: {key: reading(**changes) for key in keys} for corner in CORNERS}


def move(corner: str, adjuster: str, stage: str, unit: str, amount: float, do: str) -> Move:
    return Move(
        corner=corner,
        adjuster=adjuster,
        kind="perch",
        stage=stage,
        steps=9,
        unit=unit,
        amount=amount,
        **{"from": 12.0},
        to=12.0 + amount,
        from_mm=24.0,
        to_mm=24.0 + amount,
        do=do,
        minutes=4.0,
    )


def usual(**changes: Any) -> PlanResult:
    plain: dict[str, Any] = {
        "car": "Brook saloon (invented)",
        "verdict": "reaches all targets",
        "moves": (
            move("front_left", "perch", "heights", "turn", 2.25, "collar up (car up)"),
            move("front_left", "tie rod", "toe", "flat", -3.0, "rod shorter"),
            move("rear_right", "perch", "heights", "turn", -0.75, "collar down (car down)"),
            move("front", "bar link", "bars", "turn", 2.0, "link longer"),
        ),
        "stages": STAGES,
        "predicted": readings("height_mm", "load_kg", "camber_deg", "toe_deg")
        | {"car": {"cross_weight_percent": reading(50.1)}},
        "chance": 0.87,
        "minutes": 62.0,
        "cautions": CAUTIONS,
    }
    return PlanResult(**(plain | changes))


def largest(**changes: Any) -> PlanResult:
    """Eight moves a corner, four bar links, 24 readings, all of them wanted, and troubles."""
    keys = ("height_mm", "load_kg", "camber_deg", "toe_deg", "droop_left_mm", "spring_held_mm")
    plain: dict[str, Any] = {
        "car": "Long-named workshop car with every adjuster there is (invented)",
        "verdict": "breaks a hard limit",
        "moves": tuple(move(corner, *one) for corner in CORNERS for one in LARGEST)
        + tuple(
            move(axle, f"bar link {side}", "bars", "turn", 1.5, "link longer")
            for axle in ("front", "rear")
            for side in ("left", "right")
        ),
        "predicted": readings(*keys, low=600.0, high=None, hard=True, was_read=False),
        "short_of": (
            ShortOf(
                corner="front_left",
                reading="camber_deg",
                predicted=-1.1,
                low=-1.6,
                high=-1.4,
                why="the plate is at the end of its slots",
                needs="a longer lower arm",
            ),
        ),
        "findings": (
            Finding(level="limit", place="rear_left", about="spring", says="loose by 3 mm", do="see"),
            Finding(level="warning", place="front_right", about="linkage", says="beyond the table"),
            Finding(level="note", place="car", about="tyres", says="pressures not given"),
        ),
        "cautions": (*CAUTIONS, "Spacers: stud length and bore by the maker."),
    }
    return usual(**(plain | changes))


def pages(pdf: bytes) -> int:
    """Number of pages by the PDF's own page tree."""
    counts = re.findall(rb"/Type\s*/Pages\b.*?/Count\s+(\d+)", pdf, re.DOTALL)
    assert len(counts) == 1
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == int(counts[0])
    return int(counts[0])
