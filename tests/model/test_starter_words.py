"""The words beside the values of the starter file, by field: what Start says is what the file says."""

from __future__ import annotations

import pytest

from cornerwright.model.starter import APART, said, template


def test_words_are_found_by_field():
    assert said("wheelbase") == "floor marks under the wheel centres, tape between them, both sides, mean"
    assert said("front.left.damper.open") == "pulled right out"
    assert said("front.left.spring.stack.free_length") == "off the car, tape"
    assert said("front.left.linkage.rows", APART).endswith("in two rows at least")


def test_a_field_without_words_is_named():
    with pytest.raises(KeyError, match=r"front\.left\.boot"):
        said("front.left.boot")


@pytest.mark.parametrize("name", ["head", "front_around", "front_apart", "rear_around", "rear_apart"])
def test_the_pieces_are_in_the_package(name):
    assert ":" in template(name)
