"""Right corners from left ones, member by member, points mirrored."""

import types
from typing import Annotated, Any, Union, get_args, get_origin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from cornerwright.model.base import Point
from cornerwright.model.car import Car, Corner
from cornerwright.model.mirror import POINT_KEYS, POINT_LISTS, POINT_MAPS, left_of, with_right_corners
from workshop import car_tree, example_car


def right_from(left, right=None):
    car = {"front": {"left": left, **({} if right is None else {"right": right})}}
    return with_right_corners(car)["front"]["right"]


def test_a_right_corner_is_the_left_one_mirrored():
    tree = car_tree()
    for end in ("front", "rear"):
        del tree[end]["right"]
    whole = Car.model_validate(with_right_corners(tree))
    for axle in whole.axles:
        left, right = axle.left, axle.right
        assert right.height_point.at == left.height_point.at.mirrored()
        assert right.height_point.at.y < 0 < left.height_point.at.y
        hose, other = left.brake.hose, right.brake.hose
        assert (other.body, other.carrier) == (hose.body.mirrored(), hose.carrier.mirrored())
        brake = left.brake.model_copy(update={"hose": other})
        assert other == hose.model_copy(update={"body": other.body, "carrier": other.carrier})
        own = {"height_point": right.height_point, "room": right.room, "brake": brake}
        assert right == left.model_copy(update=own)
        for name, obstacle in left.room.obstacles.items():
            assert right.room.obstacles[name].points == tuple(point.mirrored() for point in obstacle.points)
    assert whole.front.left == example_car().front.left


def test_given_members_stand_and_the_rest_is_mirrored():
    left = {
        "unsprung_mass": 31,
        "adjusters": {"perch": {"kind": "perch", "setting": 24, "pitch": 2}, "rod": {"kind": "rod", "setting": 3}},
        "height_point": {"what": "lip", "at": [0, 700, 600]},
        "spring": {"stack": [{"rate": 38}, {"rate": 4}]},
    }
    right = {
        "unsprung_mass": 33,
        "adjusters": {"perch": {"setting": 26}},
        "height_point": {"at": [0, -690, 600]},
        "spring": {"stack": [{"rate": 40}]},
        "extra": 1,
    }
    got = right_from(left, right)
    assert got["unsprung_mass"] == 33
    assert got["adjusters"] == {"perch": {"kind": "perch", "setting": 26, "pitch": 2}, "rod": left["adjusters"]["rod"]}
    assert got["height_point"] == {"what": "lip", "at": [0, -690, 600]}
    assert got["spring"]["stack"] == [{"rate": 40}]
    assert got["extra"] == 1


def test_kinds_are_not_mixed():
    left = {"linkage": {"kind": "jack_table", "rows": [1, 2, 3]}, "adjusters": {"toe": {"kind": "cam", "pitch": 2}}}
    other = {"linkage": {"kind": "strut", "points": {}}, "adjusters": {"toe": {"kind": "rod", "setting": 1}}}
    assert right_from(left, other) == other
    same = {"linkage": {"kind": "jack_table", "scatter": {}}}
    assert right_from(left, same)["linkage"] == {"kind": "jack_table", "rows": [1, 2, 3], "scatter": {}}


def test_none_takes_a_member_away_and_an_empty_right_corner_is_all_mirror():
    left = {"bushes": {"rate": 2}, "height_point": {"at": [0, 1, 2]}}
    assert right_from(left, {"bushes": None})["bushes"] is None
    assert right_from(left, None) == right_from(left, {}) == {**left, "height_point": {"at": [0, -1, 2]}}


@pytest.mark.parametrize(
    ("y", "mirrored"),
    [
        (702, -702),
        (-702.5, 702.5),
        ("702 mm", "-702 mm"),
        ("-27 1/2 in", "27 1/2 in"),
        ("\N{MINUS SIGN}702", "702"),
        ("\N{EN DASH}702", "702"),
        ("+702", "-702"),
        ("2' 3\"", "-2' 3\""),
    ],
)
def test_points_are_mirrored_in_any_spelling(y, mirrored):
    as_list = right_from({"height_point": {"at": [0, y, 600]}})["height_point"]["at"]
    as_group = right_from({"points": {"outer": {"x": 0, "y": y, "z": 600}}})["points"]["outer"]
    assert as_list == [0, mirrored, 600]
    assert as_group == {"x": 0, "y": mirrored, "z": 600}
    assert Point.read(as_list) == Point.read([0, y, 600]).mirrored()


@pytest.mark.parametrize("tree", [None, [], "car", {"front": 3}, {"front": {"left": [1]}}, {"front": {"right": {}}}])
def test_what_is_not_a_car_is_left_for_validation(tree):
    assert with_right_corners(tree) == tree


def test_faults_on_the_right_point_at_the_left_where_they_come_from():
    assert left_of(("rear", "right", "spring", "stack", 0)) == ("rear", "left", "spring", "stack", 0)
    assert left_of(("rear", "bar", "rate")) == ("rear", "bar", "rate")
    assert left_of(("mass", "right")) == ("mass", "right")


numbers = st.integers(-2000, 2000) | st.floats(-2000, 2000, allow_nan=False)
lengths = numbers | numbers.map(lambda n: f"{n} mm") | st.sampled_from(["-3 1/2 in", "1' 2\"", "0"])
points = st.lists(lengths, min_size=3, max_size=3) | st.fixed_dictionaries(dict.fromkeys("xyz", lengths))
plain = numbers | st.text(max_size=5) | st.booleans() | st.none()
trees = st.recursive(
    plain,
    lambda inner: (
        st.fixed_dictionaries({}, optional={"at": points, "rate": inner, "rows": st.lists(inner, max_size=3)})
        | st.fixed_dictionaries({}, optional={"points": st.dictionaries(st.sampled_from("abc"), points, max_size=3)})
    ),
    max_leaves=12,
)


@given(trees)
def test_mirrored_twice_is_the_same(tree):
    left = {"part": tree}
    once = right_from(left)
    assert right_from(once) == left


def _members(annotation, seen):
    """Every (path of names, type) below an annotation, through unions, lists, maps and documents."""
    if annotation is Point:
        yield (), Point
        return
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        if annotation in seen:
            return
        for name, field in annotation.model_fields.items():
            for path, kind in _members(field.annotation, seen | {annotation}):
                yield (name, *path), kind
        return
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from _members(get_args(annotation)[0], seen)
    elif origin in (Union, types.UnionType, list, tuple):
        for inner in get_args(annotation):
            yield from _members(inner, seen)
    elif origin is dict:
        for path, kind in _members(get_args(annotation)[1], seen):
            yield ("*", *path), kind


def test_every_point_of_a_corner_is_known_to_the_mirror():
    """A new member that holds points must be told to the mirror, or right corners would be wrong in silence."""
    found = {path for path, kind in _members(Corner, frozenset()) if kind is Point}
    assert ("height_point", "at") in found
    for path in found:
        known = path[-1] in POINT_KEYS | POINT_LISTS or (path[-2:-1] and path[-2] in POINT_MAPS)
        assert known, path
    assert "along" in POINT_KEYS  # a direction is no Point, but it is mirrored like one


def test_the_walk_sees_points_wherever_they_hide():
    class Deep(BaseModel):
        lone: Point | None = None
        named: Annotated[dict[str, Point], "many"]
        listed: tuple[Point, ...] = ()
        other: Any = None

    class Top(BaseModel):
        deep: list[Deep]

    assert {path for path, _ in _members(Top, frozenset())} == {
        ("deep", "lone"),
        ("deep", "named", "*"),
        ("deep", "listed"),
    }
