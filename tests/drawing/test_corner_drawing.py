"""A corner from behind: to scale, its lettering free of overlaps, honest about what is not known."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET

import pytest
from drawing_samples import LINES, POINTS, check_lettering, scenes, words_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cornerwright.drawing.corner import SCALES, corner_from_behind
from cornerwright.drawing.svg import Drawing
from cornerwright.drawing.tyre import tyre_outline
from cornerwright.model.results import CornerScene
from scene_samples import corner_scene

NS = "{http://www.w3.org/2000/svg}"


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(scenes(), st.floats(150, 260), st.floats(60, 200))
def test_no_two_texts_overlap_and_none_leaves_the_page(one: CornerScene, width: float, picture: float) -> None:
    check_lettering(corner_from_behind(one, width, picture))


def polygons(drawing: Drawing) -> list[list[tuple[float, float]]]:
    root = ET.fromstring(drawing.svg())
    return [
        [tuple(map(float, spot.split(","))) for spot in shape.get("points", "").split()]
        for shape in root.iter(f"{NS}polygon")
    ]  # type: ignore[misc]


def scale_of(drawing: Drawing) -> float:
    return float(re.search(r"scale 1:([\d.]+)", words_of(drawing)).group(1))  # type: ignore[union-attr]


@settings(max_examples=30, deadline=None)
@given(scenes())
def test_the_tyre_is_to_scale(one: CornerScene) -> None:
    drawing = corner_from_behind(one)
    scale = scale_of(drawing)
    assert scale in SCALES
    outline = tyre_outline(one)
    drawn = next(spots for spots in polygons(drawing) if len(spots) == len(outline))
    ys, zs = zip(*outline, strict=True)
    us, vs = zip(*drawn, strict=True)
    assert (max(us) - min(us)) * scale == pytest.approx(max(ys) - min(ys), abs=0.002 * scale)
    assert (max(vs) - min(vs)) * scale == pytest.approx(max(zs) - min(zs), abs=0.002 * scale)


def test_the_scale_bar_is_to_scale() -> None:
    drawing = corner_from_behind(corner_scene())
    length = float(re.search(r"(\d+) mm of the car", words_of(drawing)).group(1))  # type: ignore[union-attr]
    root = ET.fromstring(drawing.svg())
    foot = [one for one in root.iter(f"{NS}rect") if one.get("height") == "1.5"]
    drawn = sum(float(one.get("width", "0")) for one in foot)
    assert drawn * scale_of(drawing) == pytest.approx(length)


def test_a_loaded_tyre_leans_by_its_camber_and_stands_on_the_ground() -> None:
    outline = tyre_outline(corner_scene(camber_deg=-3.0))
    assert min(z for _, z in outline) == 0.0
    top_y = max(outline, key=lambda spot: spot[1])[0]
    assert top_y < 742.0 + 205 / 2
    upright = tyre_outline(corner_scene(camber_deg=0.0, wheel_z_mm=317.0))
    turned = tyre_outline(corner_scene(camber_deg=-3.0, wheel_z_mm=400.0))
    for (y0, z0), (y1, z1) in zip(upright, turned, strict=True):
        assert math.hypot(y0 - 742, z0 - 317) == pytest.approx(math.hypot(y1 - 742, z1 - 400))


def test_negative_camber_leans_the_top_towards_the_car_on_both_sides() -> None:
    for side, inboard in (("left", 1), ("right", -1)):
        drawing = corner_from_behind(corner_scene(side=side, corner=f"front_{side}", camber_deg=-5.0))
        outline = tyre_outline(corner_scene(camber_deg=-5.0))
        drawn = next(spots for spots in polygons(drawing) if len(spots) == len(outline))
        middle = sum(v for _, v in drawn) / len(drawn)
        upper = [u for u, v in drawn if v < middle]
        lower = [u for u, v in drawn if v >= middle]
        lean = sum(upper) / len(upper) - sum(lower) / len(lower)
        assert lean * inboard > 1.0


def test_a_right_corner_is_the_mirror_of_a_left_one() -> None:
    left = polygons(corner_from_behind(corner_scene()))
    right = polygons(corner_from_behind(corner_scene(side="right", corner="front_right")))
    width = 180.0
    mirrored = [(width - u, v) for one in right for u, v in one]
    assert len(mirrored) == sum(map(len, left))
    for u, v in (spot for one in left for spot in one):
        assert min(math.hypot(u - x, v - y) for x, y in mirrored) < 0.003


def test_what_the_picture_says() -> None:
    words = words_of(corner_from_behind(corner_scene()))
    for wanted in (
        "camber −1.52°", "668 mm", "wheel centre 308 mm", "742 mm to the centre plane",
        "bump travel 54 mm", "droop travel 61 mm", "open 498", "closed 342", "now 431",
        "touches 390", "middle third", "free 280", "bind 112", "now 221", "3320 N", "3610 N",
    ):  # fmt: skip
        assert wanted in words


def test_a_loose_spring_is_called_loose() -> None:
    assert "loose" in words_of(corner_from_behind(corner_scene(spring_mm=290.0, spring_load_n=0.0)))


def test_what_is_not_known_is_said() -> None:
    words = words_of(corner_from_behind(corner_scene(tyre_width_mm=None, bump_left_mm=None, stop_length_mm=None)))
    assert "tyre width not given" in words
    assert "travel left not known" in words
    assert "points of the linkage not known" in words
    assert "touches" not in words
    assert "bump travel" not in words


def test_members_are_drawn_between_their_points() -> None:
    drawing = corner_from_behind(corner_scene(points=POINTS, lines=LINES))
    scale = scale_of(drawing)
    lines = [
        math.hypot(
            float(one.get("x2", "")) - float(one.get("x1", "")),
            float(one.get("y2", "")) - float(one.get("y1", "")),
        )
        for one in ET.fromstring(drawing.svg()).iter(f"{NS}line")
    ]
    for what, first, second in LINES:
        (_, y1, z1), (_, y2, z2) = POINTS[first], POINTS[second]
        if what != "spring":
            wanted = math.hypot(y1 - y2, z1 - z2) / scale
            assert any(length == pytest.approx(wanted, abs=0.003) for length in lines), what
    assert {"arm", "rod", "strut", "damper"} <= set(words_of(drawing).split())


def test_a_line_to_an_unknown_point_is_refused() -> None:
    with pytest.raises(ValueError, match="'nowhere'"):
        corner_from_behind(corner_scene(points=POINTS, lines=(("arm", "ball", "nowhere"),)))


def test_a_narrow_page_is_refused() -> None:
    with pytest.raises(ValueError, match="150 mm"):
        corner_from_behind(corner_scene(), 120.0)
