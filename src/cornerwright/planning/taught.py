"""The car's document with what its readings taught written in: the most probable car, and the doubt left."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from cornerwright.assembly.rig import KILONEWTON, Rig, usual_load
from cornerwright.mechanics.jack import polynomial_jet
from cornerwright.model.base import Point
from cornerwright.model.car import Axle, Car, Doubt
from cornerwright.model.corner import Corner
from cornerwright.model.linkage import JackTable
from cornerwright.model.parts import CORNERS
from cornerwright.planning.learn import Belief

Array = NDArray[np.float64]
Values = dict[str, Array]

JACK_COLUMNS = ("spring", "damper", "half_track", "camber", "toe", "caster")
FINEST = 0.02
"""Doubt is never written smaller than this share of what it was: the model itself is not perfect."""


def taught_car(rig: Rig, belief: Belief) -> Car:
    """The car of the rig with every unknown at its most probable value and `doubt` shrunk to what is left.

    The readings it was learned from are in it: they must not be used on it again.
    """
    taught = car_at(rig, belief.mean).model_copy(update={"doubt": _doubt(rig, belief)})
    return Car.model_validate(_short(taught.to_document()))


def car_at(rig: Rig, unknowns: Array) -> Car:
    """The car of the rig with its unknowns (p,), standard deviations each, written in. Raises ValidationError."""
    car = rig.car
    values: Values = {block.label: unknowns[block.where] for block in rig.unknowns.blocks}
    scales = {block.label: block.scale for block in rig.unknowns.blocks}

    def of(label: str) -> float:
        return float(values[label][0]) * scales[label] if label in values else 0.0

    axles: dict[str, Axle] = {}
    for a, end in enumerate(("front", "rear")):
        axle = car.axles[a]
        sides = {
            side: _corner(rig, 2 * a + s, getattr(axle, side), values, of) for s, side in enumerate(("left", "right"))
        }
        bar = axle.bar
        if bar is not None:
            bar = bar.model_copy(update={"rate": bar.rate * np.exp(of(f"{end} bar rate"))})
        linkage = axle.linkage
        if linkage is not None:
            linkage = _shifted(linkage, _axle_place, values, end, car.doubt.point)
            sides = {side: _mounts(one, values, end, f"{side}_", car.doubt.point) for side, one in sides.items()}
        axles[end] = axle.model_copy(update={**sides, "bar": bar, "linkage": linkage})
    mass = car.mass.model_copy(
        update={
            "total": car.mass.total * float(np.exp(of("total mass"))),
            "front": car.mass.front + of("front share of the weight"),
            "left": car.mass.left + of("left share of the weight"),
            "cg_height": car.mass.cg_height + of("height of the centre of gravity"),
        }
    )
    taught = car.model_copy(update={**axles, "mass": mass})
    taught = _same_give(taught, usual_load(taught) - rig.usual_load)
    # Through the document's own door: what is not a car any more is refused there, and numbers are short.
    return Car.model_validate(_short(taught.to_document()))


def _same_give(car: Car, more: Array) -> Car:
    """Angles as built set so that bushes which give by load show what they showed.

    What they give counts from the usual load, and that went up by more (4,) [N] with the weights learned.
    """
    axles: dict[str, Axle] = {}
    for a, end in enumerate(("front", "rear")):
        sides: dict[str, Corner] = {}
        for s, side in enumerate(("left", "right")):
            corner: Corner = getattr(car.axles[a], side)
            shift = {
                angle: getattr(corner, f"{angle}_compliance") * float(more[2 * a + s]) / KILONEWTON
                for angle in ("camber", "toe")
            }
            sides[side] = corner.model_copy(update=_as_built(corner, shift))
        axles[end] = car.axles[a].model_copy(update=sides)
    return car.model_copy(update=axles)


def _as_built(corner: Corner, shift: dict[str, float]) -> dict[str, Any]:
    """The part of the corner that says camber and toe, with these [rad] more."""
    if corner.table is None:
        wheel = {angle: (getattr(corner.wheel, angle) or 0.0) + by for angle, by in shift.items()}
        return {"wheel": corner.wheel.model_copy(update=wheel)}
    rows = [
        row.model_copy(
            update={angle: getattr(row, angle) + by for angle, by in shift.items() if getattr(row, angle) is not None}
        )
        for row in corner.table.rows
    ]
    return {"linkage": corner.table.model_copy(update={"rows": tuple(rows)})}


def _short(node: Any) -> Any:
    """Numbers to six digits: more than any gauge tells."""
    if isinstance(node, float):
        return float(f"{node:.6g}")
    if isinstance(node, dict):
        return {key: _short(one) for key, one in node.items()}
    return [_short(one) for one in node] if isinstance(node, list) else node


def _corner(rig: Rig, c: int, corner: Corner, values: Values, of: Callable[[str], float]) -> Corner:
    name = CORNERS[c]
    factor = float(np.exp(of(f"{name} spring rate")))
    coils = [coil.model_copy(update={"rate": coil.rate * factor}) for coil in corner.spring.stack]
    main = int(np.argmax([coil.free_length for coil in coils]))
    longer = coils[main].free_length + of(f"{name} spring free length")
    coils[main] = coils[main].model_copy(update={"free_length": longer})
    at = corner.height_point.at
    point = Point(at.x, at.y, at.z + of(f"{name} height point"))
    adjusters = {
        key: one
        if one.effect is None
        else one.model_copy(update={"effect": _scaled(one.effect, 1.0 + of(f"{name}.{key} effect"))})
        for key, one in corner.adjusters.items()
    }
    changed = corner.model_copy(
        update={
            "spring": corner.spring.model_copy(update={"stack": tuple(coils)}),
            "tyre": corner.tyre.model_copy(update={"rate": corner.tyre.rate * float(np.exp(of(f"{name} tyre rate")))}),
            "height_point": corner.height_point.model_copy(update={"at": point}),
            "adjusters": adjusters,
            "camber_compliance": corner.camber_compliance + of(f"{name} camber compliance"),
            "toe_compliance": corner.toe_compliance + of(f"{name} toe compliance"),
        }
    )
    table = corner.table
    if table is not None:
        return changed.model_copy(update={"linkage": _table(rig, c, table, values, of)})
    wheel = corner.wheel.model_copy(
        update={
            "camber": (corner.wheel.camber or 0.0) + of(f"{name} camber as built"),
            "toe": (corner.wheel.toe or 0.0) + of(f"{name} toe as built"),
        }
    )
    changed = changed.model_copy(update={"wheel": wheel})
    if corner.linkage is None:
        return changed
    changed = _mounts(changed, values, name, "", rig.car.doubt.point)
    moved = _shifted(corner.linkage, "_".join, values, name, rig.car.doubt.point)
    return changed.model_copy(update={"linkage": moved})


def _table(rig: Rig, c: int, table: JackTable, values: Values, of: Callable[[str], float]) -> JackTable:
    """The rows moved by what the fitted curves moved."""
    name = CORNERS[c]
    lift = np.array([row.lift for row in table.rows])
    low, high = float(lift.min()), float(lift.max())
    shift = {}
    for column in JACK_COLUMNS:
        label = f"{name} jack table, {column.replace('_', ' ')}"
        change = np.asarray(rig.jack_root(c, column) @ values[label])
        shift[column] = polynomial_jet(change, low, high, lift)[0] + of(f"{name} {column} as built")
    rows = [
        row.model_copy(
            update={
                column: getattr(row, column) + float(shift[column][r])
                for column in JACK_COLUMNS
                if getattr(row, column) is not None
            }
        )
        for r, row in enumerate(table.rows)
    ]
    return table.model_copy(update={"rows": tuple(rows)})


def _scaled(effect: BaseModel, factor: float) -> BaseModel:
    return effect.model_copy(update={key: getattr(effect, key) * factor for key in type(effect).model_fields})


def _axle_place(path: tuple[str, ...]) -> str:
    """Name of a point of an axle's linkage in the mechanics, from its place in the document."""
    names = [part for part in path if part]
    if names[0] in ("lower", "upper", "pivot") and names[0] + "_right" not in names:
        return "left_" + "_".join(names)
    if names[0].endswith("_right"):
        return "right_" + "_".join([names[0].removesuffix("_right"), *names[1:]])
    return "_".join(names)


def _shifted(linkage: Any, name_of: Callable[[tuple[str, ...]], str], values: Values, place: str, scale: float) -> Any:
    """The linkage with each of its points moved by what was learned of it."""

    def moved(node: Any, path: tuple[str, ...]) -> Any:
        if isinstance(node, Point):
            learned = values.get(f"{place} point {name_of(path)}")
            return node if learned is None else _move(node, scale * learned)
        if isinstance(node, BaseModel):
            own = (getattr(node, "name", ""),) if hasattr(node, "holds") else ()
            return node.model_copy(
                update={
                    key: moved(
                        getattr(node, key),
                        path + own + (() if key in ("points", "rods", "constraints", "at") else (key,)),
                    )
                    for key in type(node).model_fields
                }
            )
        if isinstance(node, dict):
            return {key: moved(one, (*path, key)) for key, one in node.items()}
        if isinstance(node, tuple) and node and isinstance(node[0], BaseModel):
            return tuple(moved(one, path) for one in node)
        return node

    return moved(linkage, ())


def _mounts(corner: Corner, values: Values, place: str, prefix: str, scale: float) -> Corner:
    """The ends of spring, damper and push rod moved by what was learned of them."""

    def end(at: Point, name: str) -> Point:
        learned = values.get(f"{place} point {prefix}{name}")
        return at if learned is None else _move(at, scale * learned)

    update: dict[str, Any] = {}
    for part in ("spring", "damper"):
        own = getattr(corner, part)
        if own.between is not None:
            between = tuple(
                mount.model_copy(update={"at": end(mount.at, f"{part}_{which}")})
                for which, mount in zip(("first", "second"), own.between, strict=True)
            )
            update[part] = own.model_copy(update={"between": between})
    rocker = corner.rocker
    if rocker is not None:
        first, second = rocker.axis
        update["rocker"] = rocker.model_copy(
            update={
                "axis": (end(first, "rocker_axis_first"), end(second, "rocker_axis_second")),
                "drive": rocker.drive.model_copy(update={"at": end(rocker.drive.at, "push_rod_outer")}),
                "eye": end(rocker.eye, "push_rod_inner"),
            }
        )
    return corner.model_copy(update=update)


def _move(at: Point, by: Array) -> Point:
    return Point(at.x + float(by[0]), at.y + float(by[1]), at.z + float(by[2]))


GROUPS: dict[str, Callable[[str], bool]] = {
    "spring_rate": lambda label: label.endswith("spring rate"),
    "free_length": lambda label: label.endswith("spring free length"),
    "tyre_rate": lambda label: label.endswith("tyre rate"),
    "bar_rate": lambda label: label.endswith("bar rate"),
    "effect": lambda label: label.endswith(" effect"),
    "total_mass": lambda label: label == "total mass",
    "weight_share": lambda label: label.endswith("share of the weight"),
    "cg_height": lambda label: label == "height of the centre of gravity",
    "point": lambda label: " point " in label and not label.endswith("height point"),
    "height_point": lambda label: label.endswith("height point"),
    "camber": lambda label: label.endswith("camber as built"),
    "toe": lambda label: label.endswith("toe as built"),
    "camber_compliance": lambda label: label.endswith("camber compliance"),
    "toe_compliance": lambda label: label.endswith("toe compliance"),
    "caster": lambda label: label.endswith("caster as built"),
}
"""Which unknowns each entry of `doubt` speaks for."""


def _doubt(rig: Rig, belief: Belief) -> Doubt:
    """Each entry shrunk to the root mean square of what is left of its unknowns."""
    left = belief.sd()
    doubt = rig.car.doubt
    update = {}
    for entry, belongs in GROUPS.items():
        own = [left[block.where] for block in rig.unknowns.blocks if belongs(block.label)]
        if own:
            share = max(FINEST, float(np.sqrt(np.mean(np.concatenate(own) ** 2))))
            update[entry] = getattr(doubt, entry) * share
    return doubt.model_copy(update=update)
