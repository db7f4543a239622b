"""Wear of pads and rotors: limits, and the life that is left by what was measured."""

from __future__ import annotations

from collections.abc import Iterator

from cornerwright.assembly.brake_inputs import Parts
from cornerwright.model.brake_parts import Brake
from cornerwright.model.brakes import Worn
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import Finding
from cornerwright.model.results_brakes import WearRow
from cornerwright.model.units import DISTANCE, LENGTH, SHARE, to_document
from cornerwright.planning.findings import finding

SOON = 20.0
"""Life [%] below which parts are worth having at hand (common practice)."""
UNEVEN = 0.0015
"""Difference of left and right pad [m] that speaks of a stiff pin or piston (common practice)."""


def wear_rows(parts: Parts) -> tuple[WearRow, ...]:
    """All four corners."""
    return tuple(_row(name, brake, worn) for name, brake, worn in zip(CORNERS, parts.corners, parts.worn, strict=True))


def _row(corner: str, brake: Brake, worn: Worn) -> WearRow:
    rotor, pad = brake.rotor, brake.pad
    left = None if worn.pad is None else (worn.pad - pad.least) / (pad.new - pad.least)
    goes = None
    if worn.pad is not None and worn.pad_driven and pad.new - worn.pad > 1e-4:
        goes = max(0.0, worn.pad - pad.least) / (pad.new - worn.pad) * worn.pad_driven
    rotor_left = None
    if worn.rotor is not None:
        rotor_left = (worn.rotor - rotor.least_thickness) / (rotor.thickness - rotor.least_thickness)
    return WearRow(
        corner=corner,
        rotor_mm=_mm(worn.rotor),
        rotor_least_mm=to_document(rotor.least_thickness, LENGTH),
        rotor_life_percent=None if rotor_left is None else to_document(min(1.0, rotor_left), SHARE),
        pad_mm=_mm(worn.pad),
        pad_least_mm=to_document(pad.least, LENGTH),
        pad_life_percent=None if left is None else to_document(min(1.0, left), SHARE),
        pad_life_km=None if goes is None else to_document(goes, DISTANCE),
        runout_mm=_mm(worn.runout),
        runout_most_mm=to_document(rotor.most_runout, LENGTH),
        variation_mm=_mm(worn.variation),
        variation_most_mm=to_document(rotor.most_variation, LENGTH),
    )


def _mm(length: float | None) -> float | None:
    return None if length is None else to_document(length, LENGTH)


def wear_findings(rows: tuple[WearRow, ...]) -> Iterator[Finding]:
    """Parts at their limits or near them; what was not measured."""
    for row in rows:
        yield from _rotor(row)
        yield from _pad(row)
        if row.runout_mm is not None and row.runout_mm > row.runout_most_mm:
            yield finding(
                "warning",
                row.corner,
                "rotor",
                f"runout is {row.runout_mm:.3f} mm, {row.runout_most_mm:.3f} mm is allowed: it knocks the pads back",
                "clean hub and rotor faces, try it turned by one bolt, read again at the rim",
            )
        if row.variation_mm is not None and row.variation_mm > row.variation_most_mm:
            yield finding(
                "warning",
                row.corner,
                "rotor",
                f"its thickness varies by {row.variation_mm:.3f} mm, {row.variation_most_mm:.3f} mm is allowed: "
                "the pedal will pulse",
                "a rotor machined within its least thickness, or a new pair",
            )
    for left, right in ((rows[0], rows[1]), (rows[2], rows[3])):
        if (
            left.pad_mm is not None
            and right.pad_mm is not None
            and abs(left.pad_mm - right.pad_mm) > to_document(UNEVEN, LENGTH)
        ):
            thin = left if left.pad_mm < right.pad_mm else right
            yield finding(
                "warning",
                thin.corner,
                "pads",
                f"the pads wear faster than on the other side, by {abs(left.pad_mm - right.pad_mm):.1f} mm",
                "pistons and slide pins at both sides: one that moves stiffly is redone",
            )
    silent = [row.corner for row in rows if row.rotor_mm is None or row.pad_mm is None]
    if silent:
        where = silent[0] if len(silent) == 1 else "car"
        yield finding("note", where, "wear", "rotor or pads were not measured", "measure them with the wheels off")


def _rotor(row: WearRow) -> Iterator[Finding]:
    if row.rotor_mm is None or row.rotor_life_percent is None:
        return
    if row.rotor_mm < row.rotor_least_mm:
        yield finding(
            "limit",
            row.corner,
            "rotor",
            f"is {row.rotor_mm:.2f} mm thick, less than the {row.rotor_least_mm:.2f} mm its maker allows",
            "a new pair of rotors, pads with them",
        )
    elif row.rotor_life_percent < SOON:
        yield finding(
            "note",
            row.corner,
            "rotor",
            f"{row.rotor_life_percent:.0f} % of its wear is left",
            "have a pair at hand",
        )


def _pad(row: WearRow) -> Iterator[Finding]:
    if row.pad_mm is None or row.pad_life_percent is None:
        return
    if row.pad_mm < row.pad_least_mm:
        yield finding(
            "limit",
            row.corner,
            "pads",
            f"{row.pad_mm:.1f} mm of friction material is left, less than the {row.pad_least_mm:.1f} mm allowed",
            "new pads on both sides",
        )
    elif row.pad_life_percent < SOON:
        far = "" if row.pad_life_km is None else f", about {row.pad_life_km:.0f} km"
        yield finding(
            "note", row.corner, "pads", f"{row.pad_life_percent:.0f} % of their life is left{far}", "have a set at hand"
        )
