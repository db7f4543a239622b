"""Random linkages as plain numbers, for solvers that know nothing of this project.

A `Case` holds places [m] in body axes, names, and what holds what, taken from the description of
the kinds; it shares no code with the linkage's own mechanics. All cars are invented.
"""

import itertools
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from cornerwright.mechanics.linkage import (
    CARRIER,
    KINDS,
    Line,
    Link,
    Pin,
    Rod,
    Slider,
    WheelAt,
    answer,
    build,
)

sys.path.insert(0, str(Path(__file__).parents[1] / "mechanics" / "linkage"))
from random_linkages import random_linkages, random_poses

COUNT = 220
"""Linkages of each kind; a few of them cannot reach every pose."""

POSES = 2
"""Poses of each linkage: at the second its adjusters are travelled too, where a road has them."""

FIVE = ("upper_front", "upper_rear", "lower_front", "lower_rear", "tie")

RODS = {
    "double_wishbone": ("tie",),
    "strut": ("tie",),
    "five_link": FIVE,
    "trailing_arm_three_link": ("upper", "lower"),
    "semi_trailing_arm": (),
    "live_axle_four_link": ("left_lower", "right_lower", "left_upper", "right_upper"),
    "live_axle_panhard": ("left_lower", "right_lower", "upper", "panhard"),
    "twist_beam": (),
}
"""Rods of a kind, from NAME_inner on the body to NAME_outer on the carrier."""

WISHBONES = {"double_wishbone": ("upper", "lower"), "strut": ("lower",)}
"""Arms of a kind on two bushes, NAME_front and NAME_rear, that carry NAME_ball."""


@dataclass(frozen=True)
class Wheel:
    point: str
    member: str
    side: int
    camber: float
    toe: float


@dataclass(frozen=True)
class Adjuster:
    """What one metre of travel does: moves of points, growth of rods, turning of wheels."""

    points: dict
    rods: dict
    wheels: dict


@dataclass(frozen=True)
class Case:
    """One linkage. points: name -> (x, y, z) [m] at the reference; members: name -> member."""

    kind: str
    points: dict
    members: dict
    wheels: tuple
    rods: tuple  # (name, point on the body, point on the carrier)
    lines: tuple  # (point on the body, two points on the carrier)
    sliders: tuple  # (point on the carrier, two points on the body)
    pins: tuple  # (point on the carrier, point on the body)
    hinges: tuple  # ((two points on the carrier), (two points on the body))
    arms: tuple  # (name, (two points on the body), ball on the carrier)
    rockers: tuple  # (name, (two points on the body), rod, its end, its end on the rocker)
    links: tuple  # (name, start, end, wheel)
    steered: dict  # name -> displacement per metre of rack
    steering: tuple | str | None  # (upper, lower) points, or "steer" when only the rack tells
    adjusters: tuple


def case_of(kind, mechanism):
    """The numbers of a mechanism, as plain data."""
    layout = mechanism.layout
    points = dict(zip((name for name, _ in layout.points), mechanism.points[0].tolist(), strict=True))
    members = dict(layout.points)
    for name, member, source in layout.twins:
        points[name], members[name] = points[source], member
    rods = [(name, f"{name}_inner", f"{name}_outer") for name in RODS.get(kind, ())]
    for arm in WISHBONES.get(kind, ()):
        rods += [(end, end, f"{arm}_ball") for end in (f"{arm}_front", f"{arm}_rear")]
    lines, sliders, pins, hinges = [], [], [], []
    if kind == "strut":
        lines = [("top_mount", ("strut_lower", "top_mount.carrier"))]
    elif kind == "trailing_arm_three_link":
        pins = [("arm_bush", "arm_bush.body")]
    elif kind == "semi_trailing_arm":
        hinges = [(("pivot_inner", "pivot_outer"), ("pivot_inner.body", "pivot_outer.body"))]
    elif kind == "rods":
        given = layout.constraints
        rods = [(one.name, one.body, one.carrier) for one in given if isinstance(one, Rod)]
        lines = [(one.body, one.along) for one in given if isinstance(one, Line)]
        sliders = [(one.carrier, one.along) for one in given if isinstance(one, Slider)]
        pins = [(one.carrier, one.body) for one in given if isinstance(one, Pin)]
    steered = {}
    if mechanism.steer_axis is not None:
        rows = zip(mechanism.structure.names, mechanism.steer_axis.tolist(), strict=True)
        steered = {name: move for name, move in rows if any(move)}
    axis = {"double_wishbone": ("upper_ball", "lower_ball"), "strut": ("top_mount", "lower_ball")}
    return Case(
        kind=kind,
        points=points,
        members=members,
        wheels=tuple(
            Wheel(wheel.centre, wheel.member, wheel.side, *map(float, angles))
            for wheel, angles in zip(layout.wheels, np.stack([mechanism.camber[0], mechanism.toe[0]], -1), strict=True)
        ),
        rods=tuple(rods),
        lines=tuple(lines),
        sliders=tuple(sliders),
        pins=tuple(pins),
        hinges=tuple(hinges),
        arms=tuple((arm.name, arm.axis, arm.ball) for arm in layout.arms),
        rockers=tuple((one.name, one.axis, one.rod, one.drive, one.eye) for one in layout.rockers),
        links=tuple((link.name, link.start, link.end, link.wheel) for link in layout.links),
        steered=steered,
        steering=axis.get(kind, "steer" if steered else None),
        adjusters=_adjusters(mechanism),
    )


def _adjusters(mechanism):
    given = mechanism.adjusters
    if given is None:
        return ()
    names, rods = mechanism.structure.names, mechanism.layout.rods
    found = []
    for k in range(len(given.names)):
        moves, growth = given.point_shift[:, :, k], given.length_change[:, k]
        turns = np.stack([given.camber_change[:, k], given.toe_change[:, k]], -1)
        found.append(
            Adjuster(
                {names[i]: moves[i].tolist() for i in np.flatnonzero(moves.any(axis=1))},
                {rods[i]: float(growth[i]) for i in np.flatnonzero(growth)},
                {int(i): turns[i].tolist() for i in np.flatnonzero(turns.any(axis=1))},
            )
        )
    return tuple(found)


def torque_tube_axle(rng):
    """An axle of the kind `rods`: a ball at the nose of its torque tube, and a Panhard rod."""

    def near(*place):
        return np.array(place) + rng.uniform(-0.012, 0.012, 3)

    nose = near(1.1, 0.0, 0.33)
    points = {
        "nose": nose,
        "nose_mount": nose,
        "rod_inner": near(-0.12, 0.47, 0.31),
        "rod_outer": near(-0.11, -0.46, 0.29),
        "left_top": near(0.05, 0.48, 0.6),
        "left_seat": near(0.04, 0.5, 0.3),
        "right_top": near(0.05, -0.48, 0.6),
        "right_seat": near(0.04, -0.5, 0.3),
    }
    members = dict.fromkeys(("nose", "rod_outer", "left_seat", "right_seat"), CARRIER)
    wheels = [
        WheelAt(near(0.0, side * 0.74, 0.31), rng.uniform(-0.03, 0.01), rng.uniform(-5e-3, 5e-3), 0.3, side)
        for side in (1, -1)
    ]
    return build(
        "rods",
        points,
        wheels,
        members=members,
        links=[Link("spring", f"{side}_top", f"{side}_seat", i) for i, side in enumerate(("left", "right"))],
        constraints=[Pin("nose", "nose", "nose_mount"), Rod("rod", "rod_outer", "rod_inner")],
    )


@dataclass(frozen=True)
class Trial:
    """Linkages of one layout, where they are to go, and what the project says of them.

    lifts (n, POSES, w), rack (n, POSES), travel (n, POSES, m) [m]; closed (n, POSES);
    said: column -> (n, POSES, w); rates, by lift and then by rack: column' -> (n, POSES, w, d).
    """

    cases: list
    lifts: np.ndarray
    rack: np.ndarray
    travel: np.ndarray
    closed: np.ndarray
    said: dict


def trials(kind, count=COUNT, *, adjusters=True, reach=1.0):
    """This many linkages of a kind, by layout: left and right corners, axles.

    Every other corner is taken from the right side. Of the kind `rods` every third is an axle.
    adjusters: whether they are travelled at the second pose. reach: 1 for lifts within 80 mm and
    rack travels within 30 mm.
    """
    rng = np.random.default_rng([7, KINDS.index(kind)])
    made = random_linkages(kind, count)
    if kind == "rods":
        made = [torque_tube_axle(rng) if i % 3 == 2 else one for i, one in enumerate(made)]
    made = [one.mirrored() if i % 2 and one.wheels == 1 else one for i, one in enumerate(made)]
    for _, group in itertools.groupby(sorted(made, key=_layout_key), key=_layout_key):
        yield _trial(kind, list(group), rng, adjusters, reach)


def _layout_key(mechanism):
    return mechanism.wheels, tuple(wheel.side for wheel in mechanism.layout.wheels)


def _trial(kind, group, rng, adjusters, reach):
    n, one = len(group), group[0]
    poses = [random_poses(each, rng, POSES, lift=0.08 * reach, steer=0.03 * reach) for each in group]
    lifts, rack, travel = (np.stack(part) for part in zip(*poses, strict=True))
    travel[:, : 1 if adjusters else None] = 0.0
    batch = one.vary(
        *(
            np.repeat(np.concatenate([getattr(each, name) for each in group]), POSES, axis=0)
            for name in ("points", "camber", "toe", "radius")
        )
    )
    links = tuple(dict.fromkeys(link.name for link in one.layout.links))
    names = ("x", "y", "camber", "toe", "caster", "kingpin", *links)
    result = answer(
        batch,
        lifts.reshape(n * POSES, -1),
        rack.reshape(-1) if one.steers else 0.0,
        travel.reshape(n * POSES, -1),
        columns=names,
    )
    said = {name: result[name].value.reshape(n, POSES, -1) for name in names}
    for name in ("x", "y", "camber", "toe", *links):
        column = result[name]
        by_rack = [] if column.steer is None else [column.steer[..., None]]
        both = np.concatenate([column.first, *by_rack], axis=-1)
        said[f"{name}'"] = both.reshape(n, POSES, one.wheels, -1)
    return Trial(
        [case_of(kind, each) for each in group],
        lifts,
        rack,
        travel,
        result.pose.closed.reshape(n, POSES),
        said,
    )
