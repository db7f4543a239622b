"""An adjuster as the hand counts it."""

from __future__ import annotations

import pytest

from cornerwright.assembly.at_hand import at_hand, most_steps, reached
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.errors import Refusal


def made(**more):
    base = {"kind": "perch", "unit": "turn", "pitch": "2 mm", "step": 0.25, "setting": "24 mm", "measured_at": "24 mm"}
    return Adjuster.model_validate({**base, "range": ["0 mm", "60 mm"], **more})


def test_turns_are_counted_in_turns():
    told = at_hand("front_left.perch", made(), 6)
    assert (told.stands, told.least, told.most) == (13.5, 0, 30)
    assert (told.left_back, told.left_on, told.tried) == (13.5, 16.5, 1.5)
    assert (told.stride, told.stride_unit) == (4, "turn")
    assert told.does == told.plus == "collar towards the spring (car up)"
    assert told.share == pytest.approx(27 / 60)
    assert at_hand("front_left.perch", made()).does == ""
    assert at_hand("front_left.perch", made(), -1).does == told.minus


def test_flats_go_round_by_the_turn():
    rod = made(kind="rod", unit="flat", pitch="1.5 mm", step=1, flats_per_turn=4)
    told = at_hand("front_left.tie_rod", rod)
    assert told.unit == "flat"
    assert told.stands == pytest.approx(64)
    assert (told.stride, told.stride_unit) == (4, "turn")


@pytest.mark.parametrize(
    ("more", "stride"),
    [
        ({"kind": "plate", "unit": "mm", "step": 0.5}, 5),
        ({"kind": "cam", "unit": "notch", "pitch": "1 mm", "step": 1}, 5),
        ({"kind": "cam", "unit": "notch", "pitch": "10 mm", "step": 1}, None),
        ({"unit": "turn", "step": 1}, 5),
        ({"kind": "spacer", "unit": "mm", "sizes": ["0 mm", "24 mm", "30 mm"]}, None),
    ],
)
def test_a_longer_step_where_the_range_is_long(more, stride):
    assert at_hand("x.y", made(**more)).stride == stride


def test_steps_end_with_the_range():
    adjuster = made()
    low, high = most_steps(adjuster)
    assert (low, high) == (-48, 72)
    assert reached(adjuster, low) == pytest.approx(0.0)
    assert reached(adjuster, high) == pytest.approx(0.060)
    for steps in (low - 1, high + 1):
        with pytest.raises(Refusal):
            reached(adjuster, steps)


def test_off_its_steps_it_ends_before_the_range_does():
    low, high = most_steps(made(setting="24.3 mm"))
    assert (low, high) == (-48, 71)


def test_sizes_on_the_shelf_are_taken_one_by_one():
    spacer = made(kind="spacer", unit="mm", setting="5 mm", measured_at="5 mm", sizes=["0 mm", "3 mm", "10 mm"])
    assert most_steps(spacer) == (-2, 1)
    assert [round(1e3 * reached(spacer, k), 6) for k in (-2, -1, 0, 1)] == [0, 3, 5, 10]
    assert at_hand("front_left.spacer", spacer, 1).tried == 5
    with pytest.raises(Refusal):
        reached(spacer, 2)
