"""Whether each brake hose has slack through travel and lock, and is not bent too sharply."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from cornerwright.assembly.hose_travel import HoseTravel, hose_travels
from cornerwright.assembly.rig import Rig
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import Finding
from cornerwright.model.results_brakes import HoseRow
from cornerwright.model.results_plan import Move
from cornerwright.model.units import LENGTH, from_document, to_document
from cornerwright.planning.findings import finding

Array = NDArray[np.float64]


def arc_radius(length: float, chord: float) -> float:
    """Radius [m] of an even arc of this length [m] whose ends are a chord [m] apart; inf when straight.

    chord = 2 R sin(length / (2 R)): the gentlest bend that a hose of that length can have between two
    points, its ends free to point along it. Real ferrules bend it more sharply near themselves.
    """
    if chord >= length:
        return float("inf")
    if chord <= 1e-9 * length:
        return float(length / (2.0 * np.pi))  # a full circle
    half = brentq(lambda x: np.sinc(x / np.pi) - chord / length, 1e-9, np.pi)
    return float(length / (2.0 * half))


def hose_rows(car: Car, rig: Rig | None = None, settings: Array | None = None) -> tuple[HoseRow, ...]:
    """Every hose of the car; rig and settings as for `hose_travels`."""
    return tuple(_row(one) for one in hose_travels(car, rig, settings))


def _row(told: HoseTravel) -> HoseRow:
    known = np.flatnonzero(np.isfinite(told.distance))
    far = int(known[np.argmax(told.distance[known])])
    near = int(known[np.argmin(told.distance[known])])
    longest, shortest = float(told.distance[far]), float(told.distance[near])
    hose = told.hose
    radius = arc_radius(hose.free_length, shortest)
    return HoseRow(
        corner=CORNERS[told.corner],
        known_by=told.known_by,
        covers=told.covers,
        free_length_mm=to_document(hose.free_length, LENGTH),
        longest_mm=to_document(longest, LENGTH),
        longest_at=_where(told, far),
        slack_mm=to_document(hose.free_length - longest, LENGTH),
        margin_mm=to_document(hose.margin, LENGTH),
        shortest_mm=to_document(shortest, LENGTH),
        shortest_at=_where(told, near),
        bend_radius_mm=to_document(radius, LENGTH) if np.isfinite(radius) else None,
        bend_least_mm=to_document(hose.bend_radius, LENGTH),
    )


def _where(told: HoseTravel, k: int) -> str:
    words = f"lift {to_document(float(told.lift[k]), LENGTH):+.0f} mm"
    if told.steer.any():
        rack = to_document(float(told.steer[k]), LENGTH)
        words += f", rack {rack:+.0f} mm" if abs(rack) > 0.5 else ", straight ahead"
    return words


def hose_findings(rows: tuple[HoseRow, ...]) -> Iterator[Finding]:
    """Hoses that pull tight, have little to spare, bend sharply, or were only partly looked at."""
    for row in rows:
        if row.slack_mm < row.margin_mm:
            tight = row.slack_mm <= 0
            yield _finding(
                row,
                "limit" if tight or row.known_by == "points" else "warning",
                (f"the hose is {-row.slack_mm:.0f} mm too short" if tight else f"only {row.slack_mm:.0f} mm to spare")
                + f" at {row.longest_at}, of {row.free_length_mm:.0f} mm free length",
                f"a hose at least {row.margin_mm - row.slack_mm:.0f} mm longer, or its bracket moved nearer; "
                "do not drive it like this"
                if tight
                else f"a hose at least {row.margin_mm - row.slack_mm:.0f} mm longer, or its bracket moved nearer",
            )
        if row.bend_radius_mm is not None and row.bend_radius_mm < row.bend_least_mm:
            yield _finding(
                row,
                "warning",
                f"the hose bends to {row.bend_radius_mm:.0f} mm at {row.shortest_at}; its maker allows "
                f"{row.bend_least_mm:.0f} mm",
                "a shorter hose, or end fittings that point along it",
            )
        if row.known_by == "jack_table":
            yield _finding(
                row,
                "note",
                f"the hose was looked at for {row.covers}",
                "turn the wheel lock to lock at full droop and look",
            )


def _finding(row: HoseRow, level: str, says: str, do: str) -> Finding:
    return finding(level, row.corner, "brake hose", says, do)


# ------------------------------------------------------------------ after a plan


def hoses_after(car: Car, moves: Iterable[Move], rig: Rig | None = None) -> list[Finding]:
    """Hoses that have too little to spare, or bend too sharply, once these moves are made: to be seen to.

    rig: of this car, where there is one already.
    """
    moved = {f"{move.corner}.{move.adjuster}": from_document(move.to_mm, LENGTH) for move in moves}
    if not moved:
        return []
    rig = Rig(car) if rig is None else rig
    settings = np.array([moved.get(slot.name, slot.adjuster.setting) for slot in rig.slots])
    found = hose_findings(hose_rows(car, rig, settings))
    return [
        one.model_copy(update={"level": "warning", "says": f"after these moves {one.says}"})
        for one in found
        if one.level != "note"
    ]
