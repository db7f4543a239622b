"""A second road to a car's readings: from the document to a standing car by forces and moments, in plain floats.

Nothing of the program's assembly or mechanics takes part. A jack table is fitted here by NumPy's least squares
with the documented prior as further rows; a spring stack's force is found by bisection on its length; the body is
turned by rotation matrices; MINPACK (through SciPy) finds where forces and moments balance, and the stiffness
there must be positive in every direction.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import optimize

from cornerwright.model.car import Car, Corner

G = 9.80665
SIDE = (1.0, -1.0, 1.0, -1.0)
COLUMNS = ("spring", "damper", "half_track", "camber", "toe", "caster")
ANGLES = ("camber", "toe", "caster")
METAL = 5e6  # [N/m] of bound coils and of a damper's ends, as documented
FAR = 1e-9


def table_curve(lifts: Any, values: Any, scatter: float, prior: tuple[float, ...]) -> Callable[[float], float]:
    """Cubic through the rows with the prior as three more rows; straight beyond the outermost read rows."""
    there = [k for k, value in enumerate(values) if value is not None]
    u = np.array([lifts[k] for k in there]) / 0.1
    read = np.array([values[k] for k in there])
    if len(there) < 2:
        constant = read[0] if there else math.nan
        return lambda lift: constant
    rows = np.vstack([np.vander(u, 4, increasing=True) / scatter, np.diag([0, *(1 / np.array(prior))])[1:]])
    c = np.linalg.lstsq(rows, np.concatenate([read / scatter, np.zeros(3)]), rcond=None)[0]

    def curve(lift: float) -> float:
        end = min(max(lift / 0.1, u.min()), u.max())
        slope = c[1] + 2 * c[2] * end + 3 * c[3] * end**2
        return float(c[0] + c[1] * end + c[2] * end**2 + c[3] * end**3 + slope * (lift / 0.1 - end))

    return curve


def corner_curves(corner: Corner) -> dict[str, Callable[[float], float]]:
    """Every column of a corner's jack table as a function of lift."""
    table = corner.linkage
    lifts = [row.lift for row in table.rows]
    deg = math.pi / 180
    curves = {}
    values = {column: list(table.readings(column)) for column in COLUMNS}
    if corner.spring.around_damper:
        gaps = [d - s for d, s in zip(values["damper"], values["spring"], strict=True) if d and s]
        gap = sum(gaps) / len(gaps)
        both = [d if d else (s + gap if s else None) for d, s in zip(values["damper"], values["spring"], strict=True)]
        values["damper"], values["spring"] = both, [None if d is None else d - gap for d in both]
    for column in COLUMNS:
        if column in ANGLES:
            scatter, prior = getattr(table.scatter, column), (5 * deg, 1 * deg, 0.3 * deg)
        else:
            scatter, prior = table.scatter.length, (0.15, 0.015, 0.004)
        curves[column] = table_curve(lifts, values[column], scatter, prior)
    if all(value is None for value in values["half_track"]):
        curves["half_track"] = lambda lift: 0.0
    return curves


def document_linkage(car: Car) -> Callable[[Any], dict[str, list[float]]]:
    """Columns at four lifts [m], adjusters' effects at the document's settings included."""
    corners = list(car.corners.values())
    curves = [corner_curves(corner) for corner in corners]
    shifts = []
    for corner in corners:
        shift = dict.fromkeys(COLUMNS, 0.0)
        for one in corner.adjusters.values():
            if one.effect is not None:
                turned = one.setting - one.measured_at
                unit = {"mm": 1e-3, "flat": one.pitch / one.flats_per_turn}.get(one.unit, one.pitch)
                for column in COLUMNS:
                    shift[column] += getattr(one.effect, column) * turned / unit
        shifts.append(shift)

    def linkage(lifts: Any) -> dict[str, list[float]]:
        found: dict[str, list[float]] = {column: [] for column in COLUMNS}
        for curve, shift, lift in zip(curves, shifts, lifts, strict=True):
            for column in COLUMNS:
                found[column].append(curve[column](lift) + shift[column])
            found["half_track"][-1] -= curve["half_track"](0.0)
        return found

    return linkage


@dataclass
class SecondRoad:
    """One car, ready to stand. The factors and extras are for a car that differs from its file."""

    car: Car
    linkage: Callable[[Any], dict[str, list[float]]]
    bars: tuple[bool, bool] = (True, True)
    bushes: bool = True
    spring_rate: Any = (1.0,) * 4
    longer: Any = (0.0,) * 4
    tyre_rate: Any = (1.0,) * 4
    bar_rate: Any = (1.0,) * 2
    raised: Any = (0.0,) * 4
    total_mass: float = 1.0
    front: float = 0.0
    left: float = 0.0
    cg_height: float = 0.0

    def __post_init__(self) -> None:
        self.corners = list(self.car.corners.values())
        self.seat, self.body = [], []
        for corner, extra in zip(self.corners, self.longer, strict=True):
            perch, body = corner.adjuster_of("perch"), corner.adjuster_of("body")
            up = 0.0 if perch is None else perch.setting - perch.measured_at
            out = 0.0 if body is None else body.setting - body.measured_at
            self.body.append(out)
            self.seat.append(up + (out if corner.spring.around_damper else 0.0) + extra)
        mass, base = self.car.mass, self.car.wheelbase
        total = mass.total * self.total_mass
        front, left = mass.front + self.front, mass.left + self.left
        tracks = [axle.track for axle in self.car.axles]
        half = (front * tracks[0] + (1 - front) * tracks[1]) / 2
        whole = np.array([-(1 - front) * base, (2 * left - 1) * half, mass.cg_height + self.cg_height])
        moment, carried = total * whole, total
        for i, corner in enumerate(self.corners):
            at = np.array([-base * (i // 2), SIDE[i] * tracks[i // 2] / 2, corner.wheel.centre_height])
            moment = moment - corner.unsprung_mass * at
            carried -= corner.unsprung_mass
        self.body_mass, self.cg = carried, moment / carried

    # Forces along lengths.

    def spring_force(self, i: int, distance: float) -> float:
        """Force of a stack squeezed to this distance between its seats."""
        spring = self.corners[i].spring
        rates = [coil.rate * self.spring_rate[i] for coil in spring.stack]

        def length(force: float) -> float:
            each = (max(c.free_length - force / k, c.block_length) for c, k in zip(spring.stack, rates, strict=True))
            return sum(each) + spring.spacers

        if distance >= length(0.0):
            return 0.0
        bound = max(k * (c.free_length - c.block_length) for c, k in zip(spring.stack, rates, strict=True))
        if distance <= length(bound):
            return bound + METAL * (length(bound) - distance)
        return float(optimize.brentq(lambda force: length(force) - distance, 0.0, bound, xtol=1e-9, rtol=1e-14))

    def damper_force(self, i: int, length: float) -> float:
        """Gas, bump stop and metal ends of a damper of this length."""
        damper = self.corners[i].damper
        force = damper.gas_force
        force += METAL * max(0.0, damper.closed - length) - METAL * max(0.0, length - damper.open)
        stop = damper.bump_stop
        if stop is not None:
            squeeze = damper.closed + stop.length - length
            x = [0.0, *(row.squeeze for row in stop.curve)]
            y = [0.0, *(row.force for row in stop.curve)]
            beyond = max(0.0, squeeze - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2])
            force += float(np.interp(squeeze, x, y)) + beyond
        return force

    # Balance.

    def unrest(self, q: Any) -> tuple[Any, list[float], dict[str, list[float]]]:
        """Seven unbalanced forces and moments, the ground loads, and the linkage's columns."""
        heave, pitch, roll, *lifts = (float(v) for v in q)
        turn = turned(pitch, roll)
        up = turn[2]
        axes = np.array([[0.0, math.cos(roll), -math.sin(roll)], [1.0, 0.0, 0.0]])
        here = self.linkage(lifts)
        slopes = {name: [] for name in ("spring", "damper", "half_track")}
        for j in range(4):
            step = [1e-6 if k == j else 0.0 for k in range(4)]
            above = self.linkage([a + b for a, b in zip(lifts, step, strict=True)])
            below = self.linkage([a - b for a, b in zip(lifts, step, strict=True)])
            for name, rows in slopes.items():
                rows.append([(a - b) / 2e-6 for a, b in zip(above[name], below[name], strict=True)])
        out = np.zeros(7)

        def upward(force: float, point: Any) -> None:
            out[0] -= force
            out[1:3] -= axes @ np.cross(point, force * up)

        upward(-self.body_mass * G, self.cg)
        loads = []
        for i, corner in enumerate(self.corners):
            pushes = (
                ("spring", self.spring_force(i, here["spring"][i] - self.seat[i])),
                ("damper", self.damper_force(i, here["damper"][i] - self.body[i])),
            )
            for name, force in pushes:
                for j in range(4):
                    out[3 + j] -= force * slopes[name][j][i]
            y = SIDE[i] * (self.car.axles[i // 2].track / 2 + here["half_track"][i])
            centre = np.array([-self.car.wheelbase * (i // 2), y, corner.wheel.centre_height + lifts[i]])
            z = heave + up @ centre
            load = corner.tyre.rate * self.tyre_rate[i] * max(0.0, corner.tyre.free_radius - z)
            loads.append(load)
            net = load - corner.unsprung_mass * G
            upward(net, centre)
            for j in range(4):
                along = [0.0, SIDE[i] * slopes["half_track"][j][i], 1.0 if i == j else 0.0]
                out[3 + j] -= net * (up @ along)
            if corner.bushes is not None and self.bushes:
                out[3 + i] += corner.bushes.rate * (lifts[i] - corner.bushes.clamped_at)
        for axle, part in enumerate(self.car.axles):
            bar = part.bar
            if bar is None or not bar.connected or not self.bars[axle]:
                continue
            link = 0.0 if bar.link is None else bar.link_ratio * (bar.link.setting - bar.link.measured_at)
            twist = lifts[2 * axle] - lifts[2 * axle + 1] - (bar.neutral - link)
            out[3 + 2 * axle] += bar.rate * self.bar_rate[axle] * twist
            out[4 + 2 * axle] -= bar.rate * self.bar_rate[axle] * twist
        return out, loads, here

    def rest(self) -> Any:
        """Where the car stands; checked to be balanced and firm."""
        start = np.array([-0.012, 0, 0, 0, 0, 0, 0])
        found = optimize.root(lambda q: self.unrest(q)[0], start, method="hybr", options={"xtol": 1e-13})
        left = np.abs(self.unrest(found.x)[0]).max()
        assert left < 1e-3, f"not balanced: {left} N"
        rows = [(self.unrest(found.x + h)[0] - self.unrest(found.x - h)[0]) / 2e-5 for h in 1e-5 * np.eye(7)]
        assert np.linalg.eigvalsh((np.array(rows) + np.array(rows).T) / 2)[0] > 0
        return found.x

    def readings(self) -> dict[str, Any]:
        """What gauges show [SI]: (4,) by name, and the shares of the car."""
        q = self.rest()
        _, loads, here = self.unrest(q)
        turn = turned(q[1], q[2])
        found: dict[str, list[float]] = {
            name: [] for name in ("height", *ANGLES, "half_track", "damper_length", "spring_length")
        }
        share = []
        for i, corner in enumerate(self.corners):
            point = np.add(corner.height_point.at, [0, 0, self.raised[i]])
            found["height"].append(q[0] + turn[2] @ point)
            c, t, lean = (here[name][i] for name in ANGLES)
            spin = turn @ [math.sin(t) * math.cos(c), SIDE[i] * math.cos(t) * math.cos(c), -math.sin(c)]
            found["camber"].append(-math.asin(spin[2]))
            found["toe"].append(math.atan2(spin[0], SIDE[i] * spin[1]))
            steer = turn @ [-math.tan(lean), 0.0, 1.0]
            found["caster"].append(math.atan2(-steer[0], steer[2]))
            found["damper_length"].append(here["damper"][i])
            found["half_track"].append(self.car.axles[i // 2].track / 2 + here["half_track"][i])
            # The tape reads seat to seat: what the stack is longer than its file says is inside that.
            found["spring_length"].append(here["spring"][i] - self.seat[i] + self.longer[i])
            rod = here["damper"][i] - self.body[i] - corner.damper.closed
            share.append(rod / (corner.damper.open - corner.damper.closed))
        values: dict[str, Any] = {name: np.array(value) for name, value in found.items()}
        load = np.array(loads)
        values |= {"load": load, "stroke_share": np.array(share), "lift": np.array(q[3:])}
        values["cross_weight"] = (load[1] + load[2]) / load.sum()
        values["front_share"] = (load[0] + load[1]) / load.sum()
        values["left_share"] = (load[0] + load[2]) / load.sum()
        return values

    def end(self, i: int, column: str, goal: float) -> float:
        """Lift at which a corner's column reaches this length, the other wheel of the axle going with it."""

        def off(lift: float) -> float:
            return self.linkage([lift] * 4)[column][i] - goal

        return float(optimize.brentq(off, -0.4, 0.4, xtol=1e-12))

    def ends(self, i: int) -> dict[str, float]:
        """Lifts of full droop, full bump and coil bind, and how far the spring is squeezed at full droop."""
        corner = self.corners[i]
        stop = corner.damper.bump_stop
        shortest = corner.damper.closed + (stop.length - stop.curve[-1].squeeze if stop else 0.0)
        droop = self.end(i, "damper", corner.damper.open + self.body[i])
        spring = corner.spring
        bound = sum(coil.block_length for coil in spring.stack) + spring.spacers
        free = sum(coil.free_length for coil in spring.stack) + spring.spacers
        hung = self.linkage([droop] * 4)["spring"][i] - self.seat[i]
        return {
            "droop": droop,
            "bump": self.end(i, "damper", shortest + self.body[i]),
            "bind": self.end(i, "spring", bound + self.seat[i]),
            "held": free - hung,
        }


def turned(pitch: float, roll: float) -> Any:
    """Rotation matrix: roll about +x, then pitch about +y (ISO 8855)."""
    cp, sp, cr, sr = math.cos(pitch), math.sin(pitch), math.cos(roll), math.sin(roll)
    return np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]]) @ np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])


def of_document(car: Car, **parts: Any) -> SecondRoad:
    """The car as its file says."""
    return SecondRoad(car, document_linkage(car), **parts)


def meaning(car: Car, label: str, z: float) -> dict[str, Any]:
    """What an unknown of so many standard deviations means here, from its documented words; empty: not one of these.

    Jack tables, effects and angles as built belong to the linkage and are not among them.
    """
    d, (place, _, what) = car.doubt, label.partition(" ")
    names = list(car.corners)

    def at(value: float, rest: float = 1.0) -> Any:
        return np.array([value if name == place else rest for name in names])

    if what in ("spring rate", "tyre rate"):
        word = what.replace(" ", "_")
        return {word: at(math.exp(getattr(d, word) * z))}
    if what == "spring free length":
        return {"longer": at(d.free_length * z, 0.0)}
    if what == "height point":
        return {"raised": at(d.height_point * z, 0.0)}
    if what == "bar rate":
        factor = math.exp(d.bar_rate * z)
        return {"bar_rate": np.array([factor, 1.0] if place == "front" else [1.0, factor])}
    return {
        "total mass": {"total_mass": math.exp(d.total_mass * z)},
        "front share of the weight": {"front": d.weight_share * z},
        "left share of the weight": {"left": d.weight_share * z},
        "height of the centre of gravity": {"cg_height": d.cg_height * z},
    }.get(label, {})


def of_belief(car: Car, rig: Any, unknowns: Any, settings: Any, **loose: Any) -> SecondRoad:
    """A car that differs from its file by these unknowns (p,), the document being at these settings (m,) [m].

    Only the linkage's columns are taken from the program (they hold drawn jack tables); the rest is this module's.
    """
    kinematics = rig.vary(settings, unknowns).inputs.kinematics

    def linkage(lifts: Any) -> dict[str, list[float]]:
        kin = kinematics(np.array([lifts], dtype=float))
        found = {name: list(getattr(kin, name).value[0]) for name in ("spring", "damper", *ANGLES)}
        half = [axle.track / 2 for axle in car.axles for _ in (0, 1)]
        found["half_track"] = [SIDE[i] * kin.y.value[0, i] - half[i] for i in range(4)]
        return found

    parts: dict[str, Any] = {}
    for block in rig.unknowns.blocks:
        for name, value in meaning(car, block.label, float(unknowns[block.where.start])).items():
            if name not in parts:
                parts[name] = value
            elif name in ("longer", "raised"):
                parts[name] = parts[name] + value
            else:
                parts[name] = parts[name] * value
    return SecondRoad(car, linkage, **parts, **loose)
