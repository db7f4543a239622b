"""Numbers that no car has are refused where they stand, and a point that was taken down wrong is told as such."""

from __future__ import annotations

import copy

import pytest

import cornerwright as cw
from cars import tree_of_kind
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.units import LENGTH, RATE, Quantity
from workshop import car_with


@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        (Quantity(LENGTH), 1.1e6),
        (Quantity(LENGTH), "-2e150 mm"),
        (Quantity(RATE, at_least=0.0), 1e150),
        (Quantity(LENGTH, above=0.0), 1e-10),
        (Quantity(RATE, above=0.0), "1e-149 N/mm"),
    ],
)
def test_a_size_that_no_car_has_is_refused(quantity, value):
    with pytest.raises(ValueError, match=r"at (most|least)"):
        quantity.read(value)


def test_what_may_be_zero_may_be_next_to_it():
    """A setting that was worked out may miss zero by a last bit."""
    assert Quantity(LENGTH).read(5e-17) == 5e-20
    assert Quantity(LENGTH, at_least=0.0).read(5e-17) == 5e-20


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ({"front.left.fastening.wheel_seat.diameter": 11.9}, "outside the thread"),
        ({"front.left.fastening.wheel_seat.diameter": 150}, "within the pitch circle"),
        ({"front.left.fastening.nut_seat": {"form": "ball", "radius": 8}}, "three quarters"),
    ],
)
def test_a_seat_that_cannot_go_round_its_thread_is_refused(edits, words):
    with pytest.raises(ValueError, match=words):
        car_with(edits)


@pytest.mark.parametrize(("kind", "rod", "field"), [("five_link", "upper_rear", "rear.left.linkage")])
def test_a_linkage_that_cannot_move_is_refused_and_named(kind, rod, field):
    """Its outer end in the middle of the car: a figure was left out when it was taken down."""
    tree = copy.deepcopy(tree_of_kind(kind))
    for side in ("left", "right"):
        tree["rear"][side]["linkage"]["rods"][rod]["outer"][1] = 0.0
    with pytest.raises(Refusal, match="cannot move") as caught:
        cw.travel(Car.model_validate(tree), "rear_left", [0.0, 0.01])
    assert caught.value.problems[0].field == field


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ({"rear.left.brake.rotor.mass": 2.9e-9}, r"of at least 0\.1"),  # its heat would have nowhere to go
        ({"rear.left.brake.caliper.mass": 2.4e-9}, r"of at least 0\.1"),
        ({"front.left.tyre.free_radius": 120}, "of at least 160"),  # no road wheel; it could climb no kerb
    ],
)
def test_what_weighs_nothing_and_rolls_nowhere_is_refused(edits, words):
    with pytest.raises(ValueError, match=words):
        car_with(edits)
