"""Plausible random linkages of every kind, seeded, for checks against other solvers.

All numbers are invented. Each nominal linkage is of the size of a small car's; every coordinate of
it is moved by up to `SPREAD`, so that no symmetry, parallel or common plane survives.

`random_linkage(kind, rng)` gives a `Mechanism` with springs, dampers, joints, adjusters and, where
the kind steers, a rack. `random_poses(mechanism, rng, n)` gives lifts, rack travels and adjuster
travels that belong to it. `describe(mechanism)` gives the same linkage as plain data, for a solver
that knows nothing of this project: a list of constraints with numbers.
"""

from __future__ import annotations

import numpy as np

from cornerwright.mechanics.linkage import (
    BODY,
    CARRIER,
    KINDS,
    LEFT_HALF,
    RIGHT_HALF,
    Arm,
    Hinge,
    Joint,
    Line,
    Link,
    Pin,
    Rocker,
    Rod,
    Slider,
    WheelAt,
    axle_points,
    build,
)

SPREAD = 0.012  # [m]
SEED = 20260
STEERED = frozenset({"double_wishbone", "strut", "five_link"})

WISHBONES = {
    "upper_front": (0.10, 0.42, 0.49),
    "upper_rear": (-0.14, 0.43, 0.47),
    "upper_ball": (-0.02, 0.66, 0.50),
    "lower_front": (0.15, 0.34, 0.20),
    "lower_rear": (-0.19, 0.35, 0.19),
    "lower_ball": (0.01, 0.71, 0.17),
    "tie_inner": (-0.13, 0.36, 0.26),
    "tie_outer": (-0.13, 0.69, 0.25),
}
STRUT = {
    "lower_front": (0.02, 0.35, 0.20),
    "lower_rear": (-0.27, 0.36, 0.21),
    "lower_ball": (0.00, 0.71, 0.18),
    "tie_inner": (-0.14, 0.33, 0.25),
    "tie_outer": (-0.13, 0.68, 0.24),
    "top_mount": (-0.03, 0.56, 0.84),
    "strut_lower": (-0.005, 0.63, 0.36),
}
FIVE = {
    "upper_front_inner": (0.12, 0.41, 0.48),
    "upper_front_outer": (0.03, 0.67, 0.50),
    "upper_rear_inner": (-0.16, 0.43, 0.47),
    "upper_rear_outer": (-0.06, 0.68, 0.49),
    "lower_front_inner": (0.20, 0.36, 0.21),
    "lower_front_outer": (0.05, 0.70, 0.18),
    "lower_rear_inner": (-0.10, 0.32, 0.20),
    "lower_rear_outer": (-0.05, 0.71, 0.17),
    "tie_inner": (-0.18, 0.37, 0.27),
    "tie_outer": (-0.15, 0.69, 0.25),
}
TRAILING = {
    "arm_bush": (0.48, 0.55, 0.32),
    "upper_inner": (-0.03, 0.38, 0.46),
    "upper_outer": (-0.02, 0.68, 0.48),
    "lower_inner": (-0.06, 0.30, 0.20),
    "lower_outer": (-0.04, 0.70, 0.18),
}
SEMI = {"pivot_inner": (0.34, 0.22, 0.27), "pivot_outer": (0.47, 0.62, 0.30)}
AXLE_SIDE = {
    "lower_inner": (0.52, 0.48, 0.28),
    "lower_outer": (0.02, 0.52, 0.22),
    "upper_inner": (0.36, 0.22, 0.44),
    "upper_outer": (-0.03, 0.42, 0.46),
}
AXLE_MIDDLE = {
    "upper_inner": (0.40, 0.06, 0.45),
    "upper_outer": (-0.01, 0.05, 0.47),
    "panhard_inner": (-0.11, 0.48, 0.31),
    "panhard_outer": (-0.12, -0.47, 0.29),
}
WHEEL = (0.0, 0.745, 0.31)


def _scattered(points, rng):
    return {name: np.array(p) + rng.uniform(-SPREAD, SPREAD, 3) for name, p in points.items()}


def _wheel(rng, side=1):
    centre = np.array(WHEEL) * (1.0, side, 1.0) + rng.uniform(-SPREAD, SPREAD, 3)
    camber, toe = rng.uniform(-0.04, 0.01), rng.uniform(-0.005, 0.01)
    return WheelAt(centre, camber, toe, rng.uniform(0.28, 0.33), side)


def random_linkage(kind, rng, *, adjusters=True):
    """One linkage of this kind."""
    return _MAKERS[kind](kind, rng, adjusters)


def random_linkages(kind, count, seed=SEED):
    """So many linkages of this kind, the same for the same seed."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    return [random_linkage(kind, rng) for _ in range(count)]


def random_poses(mechanism, rng, n, lift=0.08, steer=0.02, travel=0.004):
    """Lifts (n, d), rack travel (n,), adjuster travel (n, m), all within these [m]."""
    lifts = rng.uniform(-lift, lift, (n, mechanism.wheels))
    rack = rng.uniform(-steer, steer, n) if mechanism.steers else np.zeros(n)
    return lifts, rack, rng.uniform(-travel, travel, (n, mechanism.adjuster_count))


def _corner(kind, rng, adjusters):
    front = {"double_wishbone": WISHBONES, "strut": STRUT, "five_link": FIVE}
    points = _scattered((front | {"trailing_arm_three_link": TRAILING, "semi_trailing_arm": SEMI})[kind], rng)
    more = _scattered({"spring_top": (0.02, 0.52, 0.62), "damper_top": (-0.05, 0.56, 0.66)}, rng)
    points |= more
    members = {"spring_top": BODY, "damper_top": BODY}
    extra = {"rockers": [], "arms": [], "links": [], "joints": []}
    arm = {"double_wishbone": "lower", "strut": "lower"}.get(kind, CARRIER)
    points |= _scattered({"spring_seat": (0.03, 0.60, 0.22), "damper_eye": (0.0, 0.64, 0.24)}, rng)
    members |= {"spring_seat": arm, "damper_eye": arm}
    if kind == "five_link":
        points["spring_axis"] = points["lower_rear_inner"] + (0.1, 0.01, 0.02)
        members |= {"spring_axis": BODY, "spring_seat": "spring_arm"}
        extra["arms"] = [Arm("spring_arm", ("lower_rear_inner", "spring_axis"), "lower_rear_outer")]
    extra["links"] = [Link("spring", "spring_top", "spring_seat"), Link("damper", "damper_top", "damper_eye")]
    if kind == "double_wishbone":
        points |= _scattered(
            {
                "rocker_pivot": (0.0, 0.38, 0.60),
                "rocker_axis": (0.10, 0.38, 0.60),
                "push_lower": (0.02, 0.62, 0.21),
                "push_upper": (0.01, 0.45, 0.65),
                "rocker_damper": (0.02, 0.36, 0.68),
                "inboard_damper": (0.02, 0.10, 0.63),
            },
            rng,
        )
        members |= dict.fromkeys(("push_upper", "rocker_damper"), "rocker")
        members |= {"push_lower": "lower"}
        extra["rockers"] = [Rocker("rocker", ("rocker_pivot", "rocker_axis"), "push_rod", "push_lower", "push_upper")]
        extra["links"][1] = Link("damper", "inboard_damper", "rocker_damper")
    points |= _scattered({"shaft_inner": (0.01, 0.15, 0.30), "shaft_outer": (0.0, 0.68, 0.31)}, rng)
    members |= {"shaft_outer": CARRIER}
    extra["links"].append(Link("shaft", "shaft_inner", "shaft_outer"))
    extra["joints"] = [
        Joint("shaft_inner.angle", ("shaft", BODY), direction=(0.0, 1.0, 0.0)),
        Joint("shaft_outer.angle", ("shaft", CARRIER), direction=(0.0, 1.0, 0.0)),
    ]
    rack = (0.01, 1.0, 0.02) if kind in STEERED else None
    mechanism = build(
        kind,
        points,
        _wheel(rng),
        rods=("upper_front", "upper_rear", "lower_front", "lower_rear", "tie") if kind == "five_link" else (),
        members=members,
        rack=rack,
        **extra,
    )
    return _adjusted(mechanism) if adjusters else mechanism


def _axle(kind, rng, adjusters):
    middle = {}
    if kind == "twist_beam":
        left = {"pivot": (0.42, 0.54, 0.30)}
        middle = {"beam_centre": (0.24, 0.0, 0.33)}
        halves = (LEFT_HALF, RIGHT_HALF)
    else:
        left = AXLE_SIDE if "four" in kind else {k: v for k, v in AXLE_SIDE.items() if "lower" in k}
        middle = {} if "four" in kind else AXLE_MIDDLE
        halves = (CARRIER, CARRIER)
    left = left | {"spring_top": (0.05, 0.50, 0.55), "damper_top": (-0.10, 0.48, 0.62)}
    left = left | {"spring_seat": (0.06, 0.52, 0.27), "damper_eye": (-0.09, 0.55, 0.25)}
    points = _scattered(axle_points(left, None, middle), rng)
    members = {}
    links = []
    for wheel, side in enumerate(("left", "right")):
        members |= {f"{side}_spring_seat": halves[wheel], f"{side}_damper_eye": halves[wheel]}
        links += [
            Link("spring", f"{side}_spring_top", f"{side}_spring_seat", wheel),
            Link("damper", f"{side}_damper_top", f"{side}_damper_eye", wheel),
        ]
    mechanism = build(kind, points, (_wheel(rng), _wheel(rng, -1)), members=members, links=links)
    return _adjusted(mechanism) if adjusters else mechanism


def _free(kind, rng, adjusters):
    """A carrier on a sliding pillar, kept from turning by a rod; a line and a slider in one."""
    points = _scattered(
        {
            "pillar_low": (0.0, 0.60, 0.15),
            "pillar_high": (-0.03, 0.57, 0.55),
            "sleeve_low": (0.0, 0.60, 0.15),
            "guide_low": (-0.01, 0.59, 0.25),
            "guide_high": (-0.05, 0.57, 0.75),
            "top": (-0.04, 0.565, 0.62),
            "tie_inner": (-0.14, 0.33, 0.25),
            "tie_outer": (-0.13, 0.68, 0.24),
            "spring_top": (0.02, 0.52, 0.70),
            "spring_seat": (0.02, 0.60, 0.30),
        },
        rng,
    )
    points["sleeve_low"] = points["pillar_low"] + 0.2 * (points["pillar_high"] - points["pillar_low"])
    points["top"] = points["guide_low"] + 0.8 * (points["guide_high"] - points["guide_low"])
    members = dict.fromkeys(("sleeve_low", "guide_low", "guide_high", "tie_outer", "spring_seat"), CARRIER)
    mechanism = build(
        kind,
        points,
        _wheel(rng),
        members=members,
        constraints=[
            Slider("pillar", "sleeve_low", ("pillar_low", "pillar_high")),
            Line("guide", "top", ("guide_low", "guide_high")),
            Rod("tie", "tie_outer", "tie_inner"),
        ],
        links=[Link("spring", "spring_top", "spring_seat")],
        rack=(0.0, 1.0, 0.0),
    )
    return _adjusted(mechanism) if adjusters else mechanism


def _adjusted(mechanism):
    """Give it a few adjusters of every sort that it can have."""
    names, points, lengths, wheels = [], [], [], []
    structure = mechanism.structure
    for rod in mechanism.layout.rods[:3] + tuple(one.rod for one in mechanism.layout.rockers):
        names.append(f"{rod} length")
        lengths.append((f"{rod} length", rod, 1.0))
    for name, member in zip(structure.names, structure.members, strict=True):
        cam = name in {"lower_front", "arm_bush.body", "pivot_outer.body", "left_pivot.body", "top_mount"}
        if cam or name in {"guide_high", "pillar_high", "spring_seat", "top_mount.carrier", "push_upper"}:
            names.append(f"{name} {member}")
            points.append((f"{name} {member}", name, (0.3, 0.9, 0.2)))
    for wheel, at in enumerate(mechanism.layout.wheels):
        names.append(f"spacer {wheel}")
        points.append((f"spacer {wheel}", at.centre, (0.01, at.side, 0.03)))
        names.append(f"shim {wheel}")
        wheels.append((f"shim {wheel}", wheel, 8.0, 3.0))
    return mechanism.with_adjusters(names, points=points, lengths=lengths, wheels=wheels)


_MAKERS = {
    "double_wishbone": _corner,
    "strut": _corner,
    "five_link": _corner,
    "trailing_arm_three_link": _corner,
    "semi_trailing_arm": _corner,
    "live_axle_four_link": _axle,
    "live_axle_panhard": _axle,
    "twist_beam": _axle,
    "rods": _free,
}


def describe(mechanism):
    """Constraints of a linkage of one variant, at its reference, as plain data.

    A list of (sort, name, numbers): rod (carrier point, body point); line (body point, two carrier
    points); slider (carrier point, two body points); pin (point); hinge (two points); guide
    (carrier points, direction); drive (wheel centre). Points [m] in body axes, with their member.
    """
    structure = mechanism.structure
    place = mechanism.points[0][structure.source]

    def at(name):
        row = structure.index(name)
        return structure.members[row], place[row]

    described = []
    for one in mechanism.layout.constraints:
        match one:
            case Rod():
                described.append(("rod", one.name, (at(one.carrier), at(one.body))))
            case Line():
                described.append(("line", one.name, (at(one.body), *map(at, one.along))))
            case Slider():
                described.append(("slider", one.name, (at(one.carrier), *map(at, one.along))))
            case Pin():
                described.append(("pin", one.name, (at(one.carrier),)))
            case Hinge():
                described.append(("hinge", one.name, tuple(map(at, one.carrier))))
            case _:
                described.append(("guide", one.name, (tuple(map(at, one.carrier)), one.direction)))
    described += [("drive", wheel.name, (at(wheel.centre),)) for wheel in mechanism.layout.wheels]
    return described
