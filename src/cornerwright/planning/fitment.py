"""Whether the wheels and tyres of a car fit, and for `check` what is wrong with them."""

from __future__ import annotations

from collections.abc import Mapping

from cornerwright.assembly.fit_report import SIZE, FitCorner, corner_fit
from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.report import corner_index
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results import Finding
from cornerwright.model.results_fit import CornerFit, FitResult
from cornerwright.planning.findings import worst, worst_first
from cornerwright.planning.fit_inverse import Wanted, inverse
from cornerwright.planning.fit_rules import RULES
from cornerwright.planning.part_rules import part_findings

CHECK_SIZE = (21, 11)
"""Lifts and places across that `check` looks at."""


def fit(
    car: Car, corner: str | None = None, wanted: Wanted | None = None, *, size: tuple[int, int] = SIZE
) -> FitResult:
    """Whether wheels and tyres fit, at every corner that the file says enough of, or at one.

    wanted: also work out which spacer and camber put the tyre at a wanted distance from the arch lip, at this corner
    or at all that name their lip. size: lifts and places of the rack (or the like) that each wheel is looked at.
    Raises Refusal for a corner that is none, or of which not enough is known for what is wanted.
    """
    only = None if corner is None else CORNERS[corner_index(corner)]
    variant = Rig(car).vary()
    stance = variant.stand()
    at = outputs(variant, stance, gradients=False)
    corners = fit_corners(variant, stance, at, size)
    if only is not None:
        corners = {name: one for name, one in corners.items() if name == only}
    told = {name: corner_fit(one) for name, one in corners.items()}
    findings = fit_findings(corners, told)
    findings += [
        one for one in part_findings(car, told) if only is None or one.place in ("car", only, only.split("_")[0])
    ]
    if wanted is not None:
        asked = (
            [only] if only is not None else [name for name, part in car.corners.items() if part.room and part.room.lip]
        )
        if not asked:
            raise Refusal.of(
                "no corner whose room names its lip", "lip under room: the obstacle that is the arch's lip"
            )
        for name in asked:
            answer = inverse(car, name, wanted)
            told[name] = told[name].model_copy(update={"inverse": answer})
    return FitResult.model_validate(
        {
            "car": car.name,
            "verdict": _verdict(findings, told),
            "corners": told,
            "findings": worst_first(findings),
            "assumed": _assumed(told),
        }
    )


def fit_corners(variant: Variant, stance: Stance, at: Outputs, size: tuple[int, int]) -> dict[CornerName, FitCorner]:
    """The corners that have anything to look at: a rim, a tyre's marking, a room."""
    found = {}
    for which, (name, part) in enumerate(variant.rig.car.corners.items()):
        if part.wheel.rim or part.tyre.marking or part.room:
            found[name] = FitCorner(name, which, variant, stance, at, size)
    return found


def findings_for_check(car: Car, variant: Variant, stance: Stance, at: Outputs) -> list[Finding]:
    """What `check` says of wheels, tyres and parts."""
    corners = fit_corners(variant, stance, at, CHECK_SIZE)
    told = {name: corner_fit(corner) for name, corner in corners.items()}
    return fit_findings(corners, told) + part_findings(car, told)


def fit_findings(corners: Mapping[CornerName, FitCorner], told: Mapping[CornerName, CornerFit]) -> list[Finding]:
    """All findings, corner by corner."""
    found: list[Finding] = []
    for name, corner in corners.items():
        for rule in RULES:
            found.extend(rule(corner, told[name]))
    return found


def _verdict(findings: list[Finding], told: Mapping[CornerName, CornerFit]) -> str:
    if not told:
        return "not enough is known"
    return {"limit": "does not fit", "warning": "warnings"}.get(worst(findings) or "", "fits")


def _assumed(told: Mapping[CornerName, CornerFit]) -> tuple[str, ...]:
    found = ["tyres as bodies that go round, unloaded and not bulged by the road or by speed"]
    if any(one.tyre.tread_guessed and one.outline_mm for one in told.values()):
        found.append("tread width, where it is not given: 82 % of the section width")
    if any(one.across_what == "turn" for one in told.values()):
        found.append("where a jack table knows no rack, the wheel turns about the axis given under lock")
    if any(one.across_what == "other wheel" for one in told.values()):
        found.append("where one axle holds both wheels, the other one stands anywhere between droop and bump")
    return tuple(found)
