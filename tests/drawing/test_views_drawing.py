"""The corner at droop, at rest and at bump, from three sides."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from drawing_samples import WORDS, check_lettering, words_of
from hypothesis import given, settings
from hypothesis import strategies as st

import cornerwright as cw
from cars import KINDS, car_of_kind, corner_of_kind
from cornerwright.drawing.scales import SCALES
from cornerwright.drawing.views import LINES, travel_views
from cornerwright.model.results import TravelScene, WheelPose

NS = "{http://www.w3.org/2000/svg}"


def scene_of(kind: str, side: str = "left") -> TravelScene:
    return cw.travel_scene(car_of_kind(kind), corner_of_kind(kind, side))


def simple(**changes: object) -> TravelScene:
    """A wheel on one rod across the car, straight up and down."""
    poses = tuple(
        WheelPose(
            name=name,
            lift_mm=lift,
            camber_deg=-1.0,
            toe_deg=0.5,
            damper_mm=400 - lift,
            points={
                "wheel": (0.0, 700.0, 300.0 + lift),
                "inner": (50.0, 300.0, 200.0),
                "outer": (50.0, 600.0, 200.0 + lift),
            },
        )
        for name, lift in (("droop", -80.0), ("ride", 5.0), ("bump", 60.0))
    )
    plain = {
        "car": "an invented car",
        "corner": "front_left",
        "side": "left",
        "kind": "rods",
        "tyre_radius_mm": 310.0,
        "tyre_width_mm": 205.0,
        "poses": poses,
        "lines": (("rod", "inner", "outer"),),
    }
    return TravelScene.model_validate(plain | changes)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_no_two_texts_overlap_for_any_kind(kind, side):
    drawing = travel_views(scene_of(kind, side))
    check_lettering(drawing)
    words = words_of(drawing)
    for told in ("from behind", f"from the {side}", "from above", "full droop", "at rest", "full bump"):
        assert told in words


PLACE = st.tuples(st.floats(-3000, 500), st.floats(-700, 900), st.floats(50, 1000))


@settings(max_examples=60, deadline=None)
@given(
    WORDS,
    st.sampled_from(("left", "right")),
    st.none() | st.floats(100, 400),
    st.lists(PLACE, min_size=2, max_size=2),
    st.floats(150, 260),
    st.floats(-25, 25),
)
def test_no_two_texts_overlap_and_none_leaves_the_page(car, side, width, places, page, angle):
    near = [(max(-400.0, min(400.0, x)), y, z) for x, y, z in places]
    poses = tuple(
        pose.model_copy(
            update={
                "points": {"wheel": pose.points["wheel"], "inner": near[0], "outer": near[1]},
                "camber_deg": angle,
                "toe_deg": -angle,
            }
        )
        for pose in simple().poses
    )
    scene = simple(car=car, side=side, corner=f"rear_{side}", tyre_width_mm=width, poses=poses)
    check_lettering(travel_views(scene, page))


def test_the_three_poses_differ_by_line_style():
    assert len({pen.dash for pen in LINES.values()}) == 3
    root = ET.fromstring(travel_views(simple()).svg())
    circles = [one for one in root.iter(f"{NS}circle") if float(one.get("r", "0")) > 20]
    assert len(circles) == 3
    assert len({one.get("stroke-dasharray") for one in circles}) == 3


def test_heights_agree_between_the_views_and_with_the_scale():
    drawing = travel_views(simple())
    root = ET.fromstring(drawing.svg())
    scale = float(re.search(r"scale 1:([\d.]+)", words_of(drawing))[1])
    assert scale in SCALES
    circles = [one for one in root.iter(f"{NS}circle") if float(one.get("r", "0")) > 20]
    assert [float(one.get("r", "0")) for one in circles] == pytest.approx([310 / scale] * 3, abs=1e-3)
    heights = sorted(float(one.get("cy", "0")) for one in circles)
    assert heights[2] - heights[0] == pytest.approx(140 / scale, abs=2e-3)
    hubs = [one for one in root.iter(f"{NS}circle") if one.get("r") in ("0.7", "1.1")]
    assert len(hubs) == 9
    for height in heights:
        same = [one for one in hubs if float(one.get("cy", "0")) == pytest.approx(height, abs=2e-3)]
        assert len(same) >= 2, "the same height from behind and from the side"


@pytest.mark.parametrize(("side", "sign"), [("left", -1), ("right", 1)])
def test_front_and_outboard_are_where_the_title_says(side, sign):
    """Seen from the left the front is to the left; from behind a left wheel is on the left."""
    front = {"wheel": (0.0, 700.0, 300.0), "inner": (200.0, 300.0, 200.0), "outer": (200.0, 600.0, 200.0)}
    poses = tuple(pose.model_copy(update={"points": front}) for pose in simple().poses)
    root = ET.fromstring(travel_views(simple(side=side, corner=f"front_{side}", poses=poses)).svg())
    rod = [one for one in root.iter(f"{NS}line") if one.get("stroke-width") == "0.6" and one.get("stroke") == "#000000"]
    behind, from_side = rod[0], rod[1]
    wheel = [one for one in root.iter(f"{NS}circle") if one.get("r") == "1.1"]
    assert (float(behind.get("x2")) - float(behind.get("x1"))) * sign > 0
    assert (float(from_side.get("x1")) - float(wheel[1].get("cx"))) * sign > 0


def test_the_table_says_what_is_drawn():
    words = words_of(travel_views(simple()))
    for told in ("−80", "+60", "480", "340", "−1.00"):
        assert told in words


def test_unknown_width_and_unknown_points_are_said():
    words = words_of(travel_views(simple(tyre_width_mm=None, lines=())))
    assert "is a guess" in words
    assert "not known" in words


def test_small_pages_and_missing_points_are_refused():
    with pytest.raises(ValueError, match="150 mm"):
        travel_views(simple(), 120.0)
    with pytest.raises(ValueError, match="nowhere"):
        travel_views(simple(lines=(("rod", "inner", "nowhere"),)))
