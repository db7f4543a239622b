"""From one drawing to the next by its changes alone."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.drawing.changes import changes
from cornerwright.drawing.svg import Drawing, Pen
from cornerwright.drawing.wheel_pose import wheel_pose
from shared import PROJECT


def changed(before, after):
    """The first drawing's shapes with the changes made, as a screen makes them."""
    found = [(tag, dict(look), text) for tag, look, text in before]
    for number, look, text, kind in changes(before, after):
        if kind == "":
            del found[number]
            continue
        if number == len(found):
            found.append(("", {}, ""))
        tag, old, said = found[number]
        if kind is not None:
            tag, old, said = kind, {}, ""
        for name, value in look.items():
            old.pop(name, None)
            if value is not None:
                old[name] = value
        found[number] = tag, old, said if text is None else text
    return found


def test_an_attribute_that_goes_is_taken_away():
    one, other = Drawing(10, 10, "a"), Drawing(10, 10, "b")
    one.line(0, 0, 1, 1, Pen(0.5, dash=(1.0,)))
    other.line(0, 0, 1, 2, Pen(0.5))
    assert changes(one.shapes(), other.shapes()) == [(0, {"y2": "2", "stroke-dasharray": None}, None, None)]
    assert changed(one.shapes(), other.shapes()) == other.shapes()
    assert changes(one.shapes(), one.shapes()) == []


def test_other_shapes_stand_in_place_of_those_there_and_more_or_fewer_are_made():
    one, other = Drawing(10, 10, "a"), Drawing(10, 10, "b")
    one.line(0, 0, 1, 1)
    other.circle(0, 0, 1)
    other.text(5, 5, "words", 2)
    other.line(0, 0, 3, 3)
    for before, after in ((one, other), (other, one)):
        assert changed(before.shapes(), after.shapes()) == after.shapes()


def test_a_drawing_with_groups_is_not_taken_apart():
    one = Drawing(10, 10, "a")
    with one.group((1, 1)):
        one.line(0, 0, 1, 1)
    with pytest.raises(ValueError, match="groups"):
        one.shapes()


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
@pytest.mark.parametrize("which", [0, 3])
def test_a_corner_moved_is_the_corner_drawn(name, which):
    variant = Rig(cw.load_car(PROJECT / "examples" / name / "car.yaml")).vary()
    poser = Poser(variant, variant.stand(), which)
    rest = poser.at(poser.sweep.rest_mm)
    before = wheel_pose(rest, rest).shapes()
    told = whole = 0
    for lift in range(-40, 60, 7):
        drawing = wheel_pose(poser.at(poser.sweep.rest_mm + lift, lift / 2, lift / 3), rest)
        now = drawing.shapes()
        told += len(str(changes(before, now)))
        whole += len(drawing.svg())
        assert changed(before, now) == now
        before = now
    assert told < 0.6 * whole
