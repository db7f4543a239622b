"""The tables of the kinds: names, counts, and what is refused."""

import numpy as np
import pytest
from random_linkages import FIVE, SEMI, STRUT, WHEEL, random_linkages

from cornerwright.mechanics.linkage import (
    AXLES,
    CARRIER,
    KINDS,
    Arm,
    Joint,
    Line,
    Link,
    Rod,
    WheelAt,
    answer,
    axle_points,
    build,
    columns_of,
    mirrored_points,
)
from cornerwright.mechanics.linkage.kinds import table_of

RODS = ("upper_front", "upper_rear", "lower_front", "lower_rear", "tie")

NAMES = {
    "double_wishbone": "upper_front upper_rear upper_ball lower_front lower_rear lower_ball tie_inner tie_outer",
    "strut": "lower_front lower_rear lower_ball tie_inner tie_outer top_mount strut_lower",
    "five_link": " ".join(f"{rod}_{end}" for rod in RODS for end in ("inner", "outer")),
    "trailing_arm_three_link": "arm_bush upper_inner upper_outer lower_inner lower_outer",
    "semi_trailing_arm": "pivot_inner pivot_outer",
    "live_axle_four_link": " ".join(
        f"{side}_{rod}_{end}" for side in ("left", "right") for rod in ("lower", "upper") for end in ("inner", "outer")
    ),
    "live_axle_panhard": " ".join(
        f"{rod}_{end}" for rod in ("left_lower", "right_lower", "upper", "panhard") for end in ("inner", "outer")
    ),
    "twist_beam": "left_pivot right_pivot beam_centre",
}


@pytest.mark.parametrize("kind", NAMES)
def test_points_of_a_kind(kind):
    table = table_of(kind, RODS if kind == "five_link" else ())
    assert set(table.members) == set(NAMES[kind].split())


@pytest.mark.parametrize("kind", KINDS)
def test_axles_are_driven_by_both_lifts(kind):
    mechanism = random_linkages(kind, 1)[0]
    assert mechanism.wheels == (2 if kind in AXLES else 1)
    told = answer(mechanism, np.zeros((1, mechanism.wheels)))
    assert set(told.columns) == set(columns_of(mechanism.layout))
    m = mechanism.adjuster_count
    assert told["toe"].partial.shape == (1, mechanism.wheels, m)
    assert told["toe"].mixed.shape == (1, mechanism.wheels, mechanism.wheels, m)


def test_steering_axis_only_where_there_is_one():
    """Balls give one, a rack gives one, an axle and an unsteered multi-link have none."""
    for kind in KINDS:
        mechanism = random_linkages(kind, 1)[0]
        caster = answer(mechanism, np.zeros((1, mechanism.wheels)), columns=("caster",))["caster"].value
        known = kind in {"double_wishbone", "strut", "five_link", "rods"}
        assert np.isfinite(caster).all() == known
    bare = build("five_link", FIVE, WheelAt(WHEEL), rods=RODS)
    assert np.isnan(answer(bare, [0.0])["caster"].value).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "leaf_spring"}, "kind"),
        ({"rods": RODS[:4]}, "five names"),
        ({"points": {"tie_inner": (0, 0, 0)}}, "missing"),
        ({"points": FIVE | {"tie_inner": (0.0, 0.0)}}, "tie_inner"),
        ({"points": FIVE | {"tie_inner": (0.0, np.nan, 0.0)}}, "finite"),
        ({"wheels": (WheelAt(WHEEL), WheelAt(WHEEL))}, "2 wheels"),
        ({"links": [Link("spring", "here", "there")]}, "no point"),
        ({"members": {"extra": "nobody"}, "points": FIVE | {"extra": (0, 0, 0)}}, "nobody"),
        ({"arms": [Arm("arm", ("tie_inner", "nowhere"), "tie_outer")]}, "nowhere"),
        ({"joints": [Joint("boot", ("body", "gearbox"))]}, "gearbox"),
        ({"links": [Link("spring", "tie_inner", "tie_outer", 1)]}, "wheel 1 of 1"),
    ],
)
def test_what_does_not_fit_is_named(change, words):
    given = {"kind": "five_link", "points": FIVE, "wheels": WheelAt(WHEEL), "rods": RODS} | change
    kind, points, wheels = (given.pop(name) for name in ("kind", "points", "wheels"))
    with pytest.raises(ValueError, match=words):
        build(kind, points, wheels, **given)


def test_constraints_are_counted():
    with pytest.raises(ValueError, match="6 equations and has 2"):
        build(
            "rods",
            {"a": (0, 0.3, 0.3), "b": (0, 0.7, 0.3)},
            WheelAt(WHEEL),
            members={"b": CARRIER},
            constraints=[Rod("one", "b", "a")],
        )


def test_coinciding_points_give_no_line():
    points = dict(STRUT, strut_lower=STRUT["top_mount"])
    with pytest.raises(ValueError, match="coincide"):
        answer(build("strut", points, WheelAt(WHEEL)), [0.0])


def test_a_point_named_twice_is_refused():
    with pytest.raises(ValueError, match="named twice"):
        build("semi_trailing_arm", SEMI | {"pivot_inner.body": (0, 0, 0)}, WheelAt(WHEEL))


def test_sides_of_an_axle():
    points = axle_points({"pivot": (0.4, 0.5, 0.3)}, None, {"beam_centre": (0.2, 0.0, 0.3)})
    np.testing.assert_array_equal(points["right_pivot"], (0.4, -0.5, 0.3))
    assert set(points) == {"left_pivot", "right_pivot", "beam_centre"}
    np.testing.assert_array_equal(mirrored_points({"a": (1, 2, 3)})["a"], (1, -2, 3))


def test_strut_is_a_line_fixed_in_the_carrier():
    table = table_of("strut")
    assert any(isinstance(one, Line) and one.body == "top_mount" for one in table.constraints)


def test_moving_the_top_mount_inboard_gains_negative_camber():
    """A camber plate: the mount moves in, the wheel's top follows (sign by common practice)."""
    mechanism = build("strut", STRUT, WheelAt(WHEEL)).with_adjusters(
        ("plate",), points=[("plate", "top_mount", (0.0, -1.0, 0.0))]
    )
    told = answer(mechanism, [0.0])["camber"]
    assert told.partial[0, 0, 0] < -1.0  # rad/m: more than 0.05 degrees a millimetre
