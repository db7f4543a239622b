"""The kinds of suspension: short tables that expand named points to the one form.

Names are those of the left side; an axle's points are named `left_...` and `right_...`. The tables:

| kind | points | constraints |
| --- | --- | --- |
| double_wishbone | upper and lower: front, rear, ball; tie_inner, tie_outer | five rods |
| strut | lower: front, rear, ball; tie_inner, tie_outer; top_mount, strut_lower | three rods, a line |
| five_link | five named rods, each NAME_inner and NAME_outer | five rods |
| trailing_arm_three_link | arm_bush; upper and lower: inner, outer | a pin, two rods |
| semi_trailing_arm | pivot_inner, pivot_outer | a hinge |
| live_axle_four_link | left and right: upper and lower: inner, outer | four rods |
| live_axle_panhard | left and right lower: inner, outer; upper and panhard: inner, outer | four rods |
| twist_beam | left_pivot, right_pivot, beam_centre | two guides each, one for both |
| rods | whatever the constraints name | as given |

A wheel's centre is the point `wheel`, of an axle `left_wheel` and `right_wheel`. A point that is
needed on the body and on the carrier has a twin: `arm_bush.body`, `pivot_inner.body`,
`pivot_outer.body`, `left_pivot.body`, `right_pivot.body`, `top_mount.carrier`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.linkage.layout import (
    BODY,
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Arm,
    Constraint,
    Guide,
    Hinge,
    Joint,
    Layout,
    Line,
    Link,
    Pin,
    Rocker,
    Rod,
    Twist,
    Wheel,
)
from cornerwright.mechanics.linkage.mechanism import Mechanism

Array = NDArray[np.float64]

KINDS = (
    "double_wishbone",
    "strut",
    "five_link",
    "trailing_arm_three_link",
    "semi_trailing_arm",
    "live_axle_four_link",
    "live_axle_panhard",
    "twist_beam",
    "rods",
)

AXLES = frozenset({"live_axle_four_link", "live_axle_panhard", "twist_beam"})
"""Kinds that tie left to right: two wheels, two lifts."""


@dataclass(frozen=True)
class WheelAt:
    """A wheel at the reference pose: centre (3,) or (n, 3) [m], the rest a number or (n,).

    camber, toe [rad]; radius [m] from the centre to the ground, square to the spin axis.
    """

    centre: ArrayLike
    camber: ArrayLike = 0.0
    toe: ArrayLike = 0.0
    radius: ArrayLike = 0.3
    side: int = 1


@dataclass(frozen=True)
class Table:
    """What a kind expands to: members of its points, constraints, arms, steering axis."""

    members: Mapping[str, str]
    constraints: tuple[Constraint, ...]
    twins: tuple[tuple[str, str, str], ...] = ()
    arms: tuple[Arm, ...] = ()
    axis: tuple[str, str] | None = None
    twist: Twist | None = None
    joints: tuple[Joint, ...] = ()


def _rod_points(*names: str) -> dict[str, str]:
    both = {f"{name}_inner": BODY for name in names}
    return both | {f"{name}_outer": CARRIER for name in names}


def _rods(*names: str) -> tuple[Rod, ...]:
    return tuple(Rod(name, f"{name}_outer", f"{name}_inner") for name in names)


def _arm(name: str) -> tuple[dict[str, str], tuple[Rod, ...], Arm]:
    """An arm of two inner bushes and a ball: two rods, and the triangle they make."""
    front, rear, ball = f"{name}_front", f"{name}_rear", f"{name}_ball"
    members = {front: BODY, rear: BODY, ball: CARRIER}
    return members, (Rod(front, ball, front), Rod(rear, ball, rear)), Arm(name, (front, rear), ball)


def _rod_joints(rods: Sequence[Rod], wheel: int = 0) -> tuple[Joint, ...]:
    """Both ends of each rod."""
    inner = (Joint(f"{r.name}_inner.angle", (r.name, BODY), wheel=wheel) for r in rods)
    outer = (Joint(f"{r.name}_outer.angle", (r.name, CARRIER), wheel=wheel) for r in rods)
    return (*inner, *outer)


def _ball(arm: str) -> Joint:
    """Ball joint of an arm, its stud upright in the carrier at the reference."""
    return Joint(f"{arm}_ball.angle", (arm, CARRIER), direction=(0.0, 0.0, 1.0))


def table_of(kind: str, rods: Sequence[str] = ()) -> Table:
    """The table of a kind; rods: the names of a five_link's rods."""
    if kind == "five_link":
        if len(set(rods)) != 5 or len(rods) != 5:
            raise ValueError(f"five_link: found rods {list(rods)}, expected five names")
        return _rods_only(*rods)
    if kind not in _TABLES:
        raise ValueError(f"kind: found {kind!r}, expected one of {', '.join(KINDS)}")
    return _TABLES[kind]()


def _double_wishbone() -> Table:
    upper, upper_rods, upper_arm = _arm("upper")
    lower, lower_rods, lower_arm = _arm("lower")
    tie = _rods("tie")
    return Table(
        upper | lower | _rod_points("tie"),
        (*upper_rods, *lower_rods, *tie),
        arms=(upper_arm, lower_arm),
        axis=("upper_ball", "lower_ball"),
        joints=(_ball("upper"), _ball("lower"), *_rod_joints(tie)),
    )


def _strut() -> Table:
    lower, lower_rods, arm = _arm("lower")
    tie = _rods("tie")
    line = Line("strut", "top_mount", ("strut_lower", "top_mount.carrier"))
    return Table(
        lower | _rod_points("tie") | {"top_mount": BODY, "strut_lower": CARRIER},
        (*lower_rods, *tie, line),
        twins=(("top_mount.carrier", CARRIER, "top_mount"),),
        arms=(arm,),
        axis=("top_mount", "lower_ball"),
        joints=(_ball("lower"), Joint("strut_top.angle", ("strut", BODY)), *_rod_joints(tie)),
    )


def _rods_only(*names: str) -> Table:
    held = _rods(*names)
    return Table(_rod_points(*names), held, joints=_rod_joints(held))


def _trailing_arm_three_link() -> Table:
    two = _rods_only("upper", "lower")
    return Table(
        {"arm_bush": CARRIER, **two.members},
        (Pin("arm_bush", "arm_bush", "arm_bush.body"), *two.constraints),
        twins=(("arm_bush.body", BODY, "arm_bush"),),
        joints=two.joints,
    )


def _semi_trailing_arm() -> Table:
    pair = ("pivot_inner", "pivot_outer")
    bushes = ("pivot_inner.body", "pivot_outer.body")
    return Table(
        dict.fromkeys(pair, CARRIER),
        (Hinge("pivots", pair, bushes),),
        twins=tuple((f"{name}.body", BODY, name) for name in pair),
    )


def _twist_beam() -> Table:
    left, right = "left_pivot", "right_pivot"
    guides = [
        Guide(name, (name,), (f"{name}.body",), direction)
        for name in (left, right)
        for direction in ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    ]
    # The bushes share the side force: only the beam's mean sideways place is held.
    pair = Guide("pivots", (left, right), (f"{left}.body", f"{right}.body"), (0.0, 1.0, 0.0))
    return Table(
        {left: LEFT_HALF, right: RIGHT_HALF, "beam_centre": CARRIER},
        (*guides, pair),
        twins=((f"{left}.body", BODY, left), (f"{right}.body", BODY, right)),
        twist=Twist("beam_centre"),
    )


_TABLES: Mapping[str, Callable[[], Table]] = {
    "double_wishbone": _double_wishbone,
    "strut": _strut,
    "trailing_arm_three_link": _trailing_arm_three_link,
    "semi_trailing_arm": _semi_trailing_arm,
    "live_axle_four_link": partial(_rods_only, "left_lower", "right_lower", "left_upper", "right_upper"),
    "live_axle_panhard": partial(_rods_only, "left_lower", "right_lower", "upper", "panhard"),
    "twist_beam": _twist_beam,
}


def build(
    kind: str,
    points: Mapping[str, ArrayLike],
    wheels: WheelAt | Sequence[WheelAt],
    *,
    rods: Sequence[str] = (),
    members: Mapping[str, str] | None = None,
    constraints: Sequence[Constraint] = (),
    arms: Sequence[Arm] = (),
    rockers: Sequence[Rocker] = (),
    links: Sequence[Link] = (),
    joints: Sequence[Joint] = (),
    rack: ArrayLike | None = None,
    steered: Sequence[str] = ("tie_inner",),
    steering_axis: tuple[str, str] | None = None,
) -> Mechanism:
    """Make a linkage of a kind from its named points.

    points: name -> (3,) or (n, 3) [m], body axes at the reference pose: those of the kind's table
    and any others that springs, dampers, arms and rockers need, whose member is in `members`
    (default the body). wheels: one, or left and right for an axle. rods: names of a five_link's
    rods. constraints: of the kind `rods`. arms, rockers, links, joints: added to the kind's own.
    rack (3,): direction in which rack travel moves the `steered` points; by convention of the car
    positive travel should turn the wheels to the left. steering_axis: (upper, lower) points, when
    the kind does not know them.

    Raises ValueError naming what is missing, unknown or wrong in shape.
    """
    seats = [wheels] if isinstance(wheels, WheelAt) else list(wheels)
    pair = kind in AXLES
    if len(seats) != (2 if pair else 1) and kind != "rods":
        raise ValueError(f"{kind}: found {len(seats)} wheels, expected {2 if pair else 1}")
    table = Table({}, tuple(constraints), axis=None) if kind == "rods" else table_of(kind, rods)
    missing = [name for name in table.members if name not in points]
    if missing:
        raise ValueError(f"{kind}: points missing: {', '.join(missing)}")
    axis: tuple[str, str] | Literal["steer"] | None = steering_axis or table.axis
    if axis is None and rack is not None:
        axis = "steer"
    names = ("left_wheel", "right_wheel") if len(seats) == 2 else ("wheel",)
    halves = (LEFT_HALF, RIGHT_HALF) if kind == "twist_beam" else (CARRIER, CARRIER)
    own = dict(members or {}) | dict(table.members)
    own |= dict(zip(names, halves, strict=False))
    given = dict(points) | {n: seat.centre for n, seat in zip(names, seats, strict=True)}
    layout = Layout(
        points=tuple((name, own.get(name, BODY)) for name in given),
        constraints=table.constraints,
        wheels=tuple(Wheel(name, name, seat.side, own[name], axis) for name, seat in zip(names, seats, strict=True)),
        twins=table.twins,
        arms=(*table.arms, *arms),
        rockers=tuple(rockers),
        links=tuple(links),
        joints=(*table.joints, *joints),
        twist=table.twist,
        steered=tuple(steered) if rack is not None else (),
    )

    def of_wheels(values: Sequence[ArrayLike]) -> Array:
        columns = [np.atleast_1d(np.asarray(value, dtype=float)) for value in values]
        return np.stack(np.broadcast_arrays(*columns), axis=-1)

    mechanism = Mechanism(
        layout,
        _stacked(given),
        of_wheels([seat.camber for seat in seats]),
        of_wheels([seat.toe for seat in seats]),
        of_wheels([seat.radius for seat in seats]),
    )
    _ = mechanism.structure  # names that do not exist are refused here, not at the first pose
    if rack is None:
        return mechanism
    along = np.asarray(rack, dtype=float)
    along = along / np.linalg.norm(along)
    moves = np.zeros((len(mechanism.structure.names), 3))
    for name in steered:
        moves[mechanism.structure.index(name)] = along
    return replace(mechanism, steer_axis=moves, compiled=mechanism.structure)


def _stacked(points: Mapping[str, ArrayLike]) -> Array:
    """Points as (n|1, G, 3) [m]."""
    arrays = {name: np.asarray(place, dtype=float) for name, place in points.items()}
    for name, place in arrays.items():
        if place.ndim not in {1, 2} or place.shape[-1] != 3:
            raise ValueError(f"{name}: found shape {place.shape}, expected (3,) or (n, 3)")
        if not np.isfinite(place).all():
            raise ValueError(f"{name}: found a coordinate that is not a finite number")
    n = max(place.shape[0] if place.ndim == 2 else 1 for place in arrays.values())
    whole = [np.broadcast_to(place, (n, 3)) for place in arrays.values()]
    return np.stack(whole, axis=1)


def mirrored_points(points: Mapping[str, ArrayLike]) -> dict[str, Array]:
    """The other side's points: y turned about."""
    over = np.array([1.0, -1.0, 1.0])
    return {name: np.asarray(place, dtype=float) * over for name, place in points.items()}


def axle_points(
    left: Mapping[str, ArrayLike],
    right: Mapping[str, ArrayLike] | None = None,
    middle: Mapping[str, ArrayLike] | None = None,
) -> dict[str, ArrayLike]:
    """Points of an axle from those of its sides (right mirrored when left out) and its middle."""
    other = mirrored_points(left) if right is None else right
    named: dict[str, ArrayLike] = {f"left_{name}": place for name, place in left.items()}
    named |= {f"right_{name}": place for name, place in other.items()}
    return named | dict(middle or {})
