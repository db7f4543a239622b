"""From the points in a car's document to a mechanism: the one place where a linkage is put together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.slots import Slot
from cornerwright.mechanics.linkage import (
    BODY,
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Hinge,
    Joint,
    Line,
    Link,
    Mechanism,
    Pin,
    Rocker,
    Rod,
    Slider,
    WheelAt,
    answer,
    build,
)
from cornerwright.mechanics.linkage.layout import Constraint
from cornerwright.model.base import Point
from cornerwright.model.car import Axle, Rack
from cornerwright.model.corner import Corner
from cornerwright.model.linkage import (
    AxleLinkage,
    CornerLinkage,
    DoubleWishbone,
    FiveLink,
    FreeRods,
    HingeConstraint,
    LineConstraint,
    LiveAxleFourLink,
    LiveAxlePanhard,
    PinConstraint,
    RodConstraint,
    SemiTrailingArm,
    Strut,
    TrailingArmThreeLink,
    TwistBeam,
)
from cornerwright.model.linkage import Rod as DocumentRod
from cornerwright.model.parts import Between, Mount

Array = NDArray[np.float64]

ARMS = {"upper_arm": "upper", "lower_arm": "lower"}
"""Names of arms in the files and in the mechanics."""

OUTBOARD = {0: (0.0, 1.0, 0.0), 1: (0.0, -1.0, 0.0)}


@dataclass
class Parts:
    """What a mechanism is built from, gathered."""

    points: dict[str, Point] = field(default_factory=dict)
    members: dict[str, str] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    rockers: list[Rocker] = field(default_factory=list)
    constraints: list[Constraint] = field(default_factory=list)
    rods: tuple[str, ...] = ()
    steering_axis: tuple[str, str] | None = None

    def put(self, name: str, at: Point, member: str) -> str:
        """Add a point that some part needs; returns its name."""
        self.points[name] = at
        self.members[name] = member
        return name


def corner_mechanism(
    corner: Corner, side: int, rack: Rack | None, slots: Mapping[int, Slot], hose: Between | None = None
) -> Mechanism:
    """The mechanism of one wheel, with the adjusters in these slots (by number) as its own, in their order.

    side: 0 left, 1 right. hose: its two ends, whose distance is then the column `hose`.
    """
    linkage = corner.linkage
    assert linkage is not None
    parts = Parts()
    _corner_points(linkage, parts)
    _add_rocker(corner, parts, "", CARRIER)
    _add_links(corner, parts, "", 0, CARRIER)
    _add_shaft(corner, parts, "", 0, CARRIER)
    if hose is not None:
        parts.links.append(_link("hose", hose, parts, "", 0, CARRIER))
    tie = "tie_inner" in parts.points and rack is not None
    mechanism = build(
        linkage.kind,
        parts.points,
        _wheel(corner, side),
        rods=parts.rods,
        members=parts.members,
        constraints=parts.constraints,
        rockers=parts.rockers,
        links=parts.links,
        joints=parts.joints,
        rack=rack.along if rack is not None and tie else None,
        steering_axis=parts.steering_axis,
    )
    if tie and rack is not None:
        mechanism = _steering_left(mechanism, side)
    return _with_adjusters(mechanism, slots, {side: ""})


def axle_mechanism(
    axle: Axle, slots: Mapping[int, Slot], hoses: tuple[Between | None, Between | None] = (None, None)
) -> Mechanism:
    """The mechanism of an axle whose linkage ties its wheels together.

    hoses: their ends, left and right, whose distances are then the column `hose`.
    """
    linkage = axle.linkage
    assert linkage is not None
    parts = Parts()
    _axle_points(linkage, parts)
    halves = (LEFT_HALF, RIGHT_HALF) if isinstance(linkage, TwistBeam) else (CARRIER, CARRIER)
    for side, corner in enumerate((axle.left, axle.right)):
        prefix = ("left_", "right_")[side]
        _add_rocker(corner, parts, prefix, halves[side])
        _add_links(corner, parts, prefix, side, halves[side])
        _add_shaft(corner, parts, prefix, side, halves[side])
        hose = hoses[side]
        if hose is not None:
            parts.links.append(_link("hose", hose, parts, prefix, side, halves[side]))
    wheels = [_wheel(corner, side) for side, corner in enumerate((axle.left, axle.right))]
    mechanism = build(
        linkage.kind,
        parts.points,
        wheels,
        members=parts.members,
        rockers=parts.rockers,
        links=parts.links,
        joints=parts.joints,
    )
    return _with_adjusters(mechanism, slots, {0: "left_", 1: "right_"})


def _wheel(corner: Corner, side: int) -> WheelAt:
    wheel = corner.wheel
    assert wheel.centre is not None
    return WheelAt(
        centre=wheel.centre,
        camber=wheel.camber or 0.0,
        toe=wheel.toe or 0.0,
        radius=wheel.height,
        side=1 if side == 0 else -1,
    )


def _corner_points(linkage: CornerLinkage, parts: Parts) -> None:
    match linkage:
        case DoubleWishbone() | Strut() | SemiTrailingArm():
            parts.points.update(dict(linkage.points))
        case FiveLink():
            parts.rods = tuple(linkage.rods)
            for name, rod in linkage.rods.items():
                parts.points |= {f"{name}_inner": rod.inner, f"{name}_outer": rod.outer}
        case TrailingArmThreeLink():
            parts.points["arm_bush"] = linkage.points.arm_bush
            for name, rod in (("upper", linkage.rods.upper), ("lower", linkage.rods.lower)):
                parts.points |= {f"{name}_inner": rod.inner, f"{name}_outer": rod.outer}
        case FreeRods():
            for one in linkage.constraints:
                parts.constraints.append(_constraint(one, parts))
            if linkage.steering_axis is not None:
                lower, upper = linkage.steering_axis
                parts.steering_axis = (
                    parts.put("steering_axis_upper", upper, CARRIER),
                    parts.put("steering_axis_lower", lower, CARRIER),
                )
        case _:
            raise TypeError(f"no mechanism for {linkage.kind}")


def _constraint(one: object, parts: Parts) -> Constraint:
    match one:
        case RodConstraint():
            outer = parts.put(f"{one.name}_outer", one.outer, CARRIER)
            return Rod(one.name, outer, parts.put(f"{one.name}_inner", one.inner, BODY))
        case PinConstraint():
            carrier = parts.put(one.name, one.at, CARRIER)
            return Pin(one.name, carrier, parts.put(f"{one.name}.body", one.at, BODY))
        case HingeConstraint():
            names = (f"{one.name}_inner", f"{one.name}_outer")
            ends = list(zip(names, (one.inner, one.outer), strict=True))
            moved = tuple(parts.put(name, at, CARRIER) for name, at in ends)
            kept = tuple(parts.put(f"{name}.body", at, BODY) for name, at in ends)
            return Hinge(one.name, (moved[0], moved[1]), (kept[0], kept[1]))
        case LineConstraint():
            # The line runs through both points as they stand at the reference pose.
            held = parts.put(f"{one.name}_body", one.body, BODY)
            moving = parts.put(f"{one.name}_carrier", one.carrier, CARRIER)
            if one.line_on == "carrier":
                twin = parts.put(f"{one.name}_body.carrier", one.body, CARRIER)
                return Line(one.name, held, (moving, twin))
            twin = parts.put(f"{one.name}_carrier.body", one.carrier, BODY)
            return Slider(one.name, moving, (held, twin))
        case _:
            raise TypeError(f"no constraint of type {type(one).__name__}")


def _axle_points(linkage: AxleLinkage, parts: Parts) -> None:
    match linkage:
        case LiveAxleFourLink():
            rods = linkage.rods
            pairs = (("lower", rods.lower, rods.lower_right), ("upper", rods.upper, rods.upper_right))
            for name, left, right in pairs:
                _pair(name, left, right, parts)
        case LiveAxlePanhard():
            _pair("lower", linkage.rods.lower, linkage.rods.lower_right, parts)
            for name, rod in (("upper", linkage.rods.upper), ("panhard", linkage.rods.panhard)):
                parts.points |= {f"{name}_inner": rod.inner, f"{name}_outer": rod.outer}
        case TwistBeam():
            pivot, other = linkage.points.pivot, linkage.points.pivot_right
            parts.points |= {
                "left_pivot": pivot,
                "right_pivot": pivot.mirrored() if other is None else other,
                "beam_centre": linkage.points.beam_centre,
            }
        case _:
            raise TypeError(f"no mechanism for {linkage.kind}")


def _pair(name: str, left: DocumentRod, right: DocumentRod | None, parts: Parts) -> None:
    inner = left.inner.mirrored() if right is None else right.inner
    outer = left.outer.mirrored() if right is None else right.outer
    parts.points |= {
        f"left_{name}_inner": left.inner,
        f"left_{name}_outer": left.outer,
        f"right_{name}_inner": inner,
        f"right_{name}_outer": outer,
    }


def _member(on: str, prefix: str, carrier: str) -> str:
    if on == "carrier":
        return carrier
    if on == "rocker":
        return f"{prefix}rocker"
    return ARMS.get(on, on)


def _add_rocker(corner: Corner, parts: Parts, prefix: str, carrier: str) -> None:
    rocker = corner.rocker
    if rocker is None:
        return
    name = f"{prefix}rocker"
    first, second = (
        parts.put(f"{prefix}rocker_axis_{end}", at, BODY)
        for end, at in zip(("first", "second"), rocker.axis, strict=True)
    )
    drive = parts.put(f"{prefix}push_rod_outer", rocker.drive.at, _member(rocker.drive.on, prefix, carrier))
    eye = parts.put(f"{prefix}push_rod_inner", rocker.eye, name)
    parts.rockers.append(Rocker(name, (first, second), f"{prefix}push_rod", drive, eye))


def _add_links(corner: Corner, parts: Parts, prefix: str, wheel: int, carrier: str) -> None:
    damper = corner.damper.between
    if damper is None:
        parts.links.append(Link("damper", "top_mount", "strut_lower", wheel))
    else:
        parts.links.append(_link("damper", damper, parts, prefix, wheel, carrier))
    if corner.spring.between is not None:
        parts.links.append(_link("spring", corner.spring.between, parts, prefix, wheel, carrier))


def _add_shaft(corner: Corner, parts: Parts, prefix: str, wheel: int, carrier: str) -> None:
    """A drive shaft as a length, its plunge, and the angle at each of its joints."""
    shaft, spin = corner.drive_shaft, corner.wheel
    if shaft is None or spin.centre is None:
        return
    name = f"{prefix}drive_shaft"
    inner = parts.put(f"{prefix}shaft_inner", shaft.inner, BODY)
    outer = parts.put(f"{prefix}shaft_outer", shaft.outer, carrier)
    sign = 1.0 if spin.centre.y > 0 else -1.0
    camber, toe = spin.camber or 0.0, spin.toe or 0.0
    flat = float(np.cos(camber))
    hub = (float(np.sin(toe)) * flat, sign * float(np.cos(toe)) * flat, -float(np.sin(camber)))
    parts.links.append(Link(name, inner, outer, wheel))
    parts.joints.append(
        Joint(f"{name}_inner.angle", (name, BODY), housing=shaft.along or (0.0, sign, 0.0), wheel=wheel)
    )
    parts.joints.append(Joint(f"{name}_outer.angle", (name, carrier), housing=hub, wheel=wheel))


def _link(name: str, between: tuple[Mount, Mount], parts: Parts, prefix: str, wheel: int, carrier: str) -> Link:
    start, end = (
        parts.put(f"{prefix}{name}_{which}", mount.at, _member(mount.on, prefix, carrier))
        for which, mount in zip(("first", "second"), between, strict=True)
    )
    return Link(name, start, end, wheel)


def _steering_left(mechanism: Mechanism, side: int) -> Mechanism:
    """The mechanism with its rack turned about, if need be, so that positive travel steers to the left."""
    turn = answer(mechanism, [[0.0]], columns=["toe"])["toe"].steer
    assert turn is not None  # it has a rack
    assert mechanism.steer_axis is not None
    to_the_left = turn[0, 0] < 0 if side == 0 else turn[0, 0] > 0
    if to_the_left:
        return mechanism
    return Mechanism(
        mechanism.layout,
        mechanism.points,
        mechanism.camber,
        mechanism.toe,
        mechanism.radius,
        steer_axis=-mechanism.steer_axis,
        compiled=mechanism.structure,
    )


def _with_adjusters(mechanism: Mechanism, slots: Mapping[int, Slot], prefixes: Mapping[int, str]) -> Mechanism:
    names: list[str] = []
    points: list[tuple[str, str, tuple[float, float, float]]] = []
    lengths: list[tuple[str, str, float]] = []
    for slot in slots.values():
        names.append(slot.name)
        prefix = "" if slot.side is None else prefixes[slot.side]
        if slot.adjuster.kind == "spacer":
            points.append((slot.name, f"{prefix}wheel", _spin_axis(mechanism, slot, prefixes)))
            continue
        for target in slot.adjuster.acts_on:
            name = f"{prefix}{target}"
            # An arm's leg and its bush have one name: a rod adjuster means the leg, all others the bush.
            is_point = any(name == point for point, _ in mechanism.layout.points)
            if is_point and slot.adjuster.kind != "rod":
                points.append((slot.name, _held(mechanism, name), _along(slot)))
            else:
                lengths.append((slot.name, name, 1.0))
    return mechanism.with_adjusters(names, points=points, lengths=lengths)


def _held(mechanism: Mechanism, name: str) -> str:
    """The place of a point on the body, where it has one there too: that is what a cam or plate moves."""
    twins = {twin for twin, _, _ in mechanism.layout.twins} | {one for one, _ in mechanism.layout.points}
    return f"{name}.body" if f"{name}.body" in twins else name


def _along(slot: Slot) -> tuple[float, float, float]:
    along = np.array(slot.adjuster.along or OUTBOARD[slot.side or 0])
    x, y, z = along / np.linalg.norm(along)
    return (float(x), float(y), float(z))


def _spin_axis(mechanism: Mechanism, slot: Slot, prefixes: Mapping[int, str]) -> tuple[float, float, float]:
    """Outboard along the wheel's spin axis: the way a spacer moves the wheel."""
    side = slot.side or 0
    wheel = side if len(prefixes) == 2 else 0
    camber, toe = float(mechanism.camber[0, wheel]), float(mechanism.toe[0, wheel])
    sign = 1.0 if side == 0 else -1.0
    return (
        float(np.sin(toe) * np.cos(camber)),
        float(sign * np.cos(toe) * np.cos(camber)),
        float(-np.sin(camber)),
    )


def acting_slots(slots: tuple[Slot, ...], corner: int | None, axle: int) -> Iterator[tuple[int, Slot]]:
    """Adjusters that move a linkage: of one corner, or of a whole axle where corner is None."""
    for k, slot in enumerate(slots):
        here = slot.axle == axle if corner is None else slot.corner == corner
        if here and slot.adjuster.kind in ("rod", "plate", "cam", "shim", "spacer"):
            yield k, slot
