"""The section through hub, spacer, wheel and stud: to scale, nothing overlaps, whatever the parts."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest
from drawing_samples import WORDS, check_lettering, words_of
from hypothesis import given, settings
from hypothesis import strategies as st

import cornerwright as cw
from cornerwright.drawing.joint_section import hatching, wheel_section
from cornerwright.model.results import Finding
from cornerwright.model.results_joint import JointAnswer
from shared import PROJECT

CARS = {name: cw.load_car(PROJECT / "examples" / name / "car.yaml") for name in ("tarn_fell", "skerry_nine")}


@cache
def joint_of(name: str, place: str = "front_left") -> JointAnswer:
    return cw.joints(CARS[name], f"{place}.fastening").joints[0]


@pytest.mark.parametrize("name", list(CARS))
@pytest.mark.parametrize("place", ["front_left", "rear_right"])
def test_the_examples(name, place):
    drawing = wheel_section(joint_of(name, place), CARS[name].name)
    check_lettering(drawing)
    words = words_of(drawing)
    for told in (place.replace("_", " "), "scale 1:1", "hub's flange", "thread in", "needed", "the maker's torque"):
        assert told in words


def test_lengths_are_to_scale():
    """At 1:1 the stud's outline is as long on the page as the stud and the flange it sits in: 46 + 11 mm."""
    drawing = wheel_section(joint_of("tarn_fell"), "a car")
    widths = []
    for points in re.findall(r'<polygon points="([^"]*)"', drawing.svg()):
        xs = [float(pair.split(",")[0]) for pair in points.split()]
        widths.append(max(xs) - min(xs))
    assert any(width == pytest.approx(57.0, abs=0.002) for width in widths)
    # Spacer 10 mm.
    assert any(width == pytest.approx(10.0, abs=0.002) for width in widths)


SEATS = st.sampled_from(["cone 60°", "cone 90°", "ball R 12 mm", "ball R 14 mm", "flat"])


@st.composite
def joints(draw: st.DrawFn) -> JointAnswer:
    """Fastenings of every sort, sound and unsound."""
    stud = draw(st.booleans())
    base = joint_of("tarn_fell" if stud else "skerry_nine")
    spacer, pad, flange = draw(st.floats(0, 80)), draw(st.floats(3, 40)), draw(st.floats(4, 30))
    seat = spacer + pad
    tip = draw(st.floats(10, 150)) if stud else seat - draw(st.floats(10, 120))
    closed = draw(st.none() | st.floats(0, 20))
    wheel = {
        **base.wheel.model_dump(),
        "flange_mm": flange,
        "spacer_mm": spacer,
        "pad_mm": pad,
        "plain_mm": draw(st.floats(0, 8)),
        "tip_mm": tip,
        "nut_from_mm": seat - draw(st.floats(0, 6)) if stud else 0.0,
        "nut_to_mm": seat + draw(st.floats(6, 30)) if stud else -flange,
        "nut_end_mm": None if closed is None else (seat + 30 + closed if stud else -closed),
        "wheel_seat": draw(SEATS),
        "nut_seat": draw(SEATS),
        "seat_diameter_mm": draw(st.floats(16, 23)),
        "spigot_mm": draw(st.none() | st.floats(0, 20)),
        "spigot_diameter_mm": draw(st.none() | st.floats(40, 66)),
        "spacer_spigot_mm": draw(st.none() | st.floats(1, 12)),
        "spigot_left_mm": draw(st.none() | st.floats(0, 12)),
        "length_needed_mm": draw(st.floats(10, 150)),
    }
    says = draw(st.lists(WORDS, max_size=4))
    found = tuple(Finding(level="limit", place="front_left", about="stud", says=one) for one in says)
    return base.model_copy(
        update={"wheel": type(base.wheel)(**wheel), "findings": found, "what": draw(st.none() | WORDS)}
    )


@settings(max_examples=150, deadline=None)
@given(joints(), WORDS)
def test_no_two_texts_overlap_and_none_leaves_the_page(joint, car):
    drawing = wheel_section(joint, car)
    check_lettering(drawing)


def test_what_is_wrong_stands_on_the_drawing():
    found = (Finding(level="limit", place="front_left", about="stud", says="the stud is too short"),)
    drawing = wheel_section(joint_of("tarn_fell").model_copy(update={"findings": found}), "a car")
    assert "LIMIT: the stud is too short" in words_of(drawing)


def test_other_joints_have_no_section():
    lower = cw.joints(CARS["tarn_fell"], "front_left.lower_arm").joints[0]
    with pytest.raises(ValueError, match="only a wheel's joint"):
        wheel_section(lower, "a car")
    with pytest.raises(ValueError, match="150 mm"):
        wheel_section(joint_of("tarn_fell"), "a car", 120.0)


@pytest.mark.parametrize("angle", [45.0, -45.0, 30.0])
def test_hatching_covers_a_shape_and_stays_inside(angle):
    """Each line times the distance to the next sums to the area; every end lies on the outline."""
    shape = [(0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (12.0, 10.0), (12.0, 25.0), (0.0, 25.0)]
    lines = list(hatching(shape, angle, 0.05))
    covered = sum(math.dist(*line) for line in lines) * 0.05
    assert covered == pytest.approx(30 * 10 + 12 * 15, rel=0.01)
    for x, y in (spot for line in lines for spot in line):
        assert -1e-6 <= x <= 30 + 1e-6
        assert -1e-6 <= y <= (10 if x > 12 + 1e-6 else 25) + 1e-6
