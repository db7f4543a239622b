"""What one turn, flat, notch, shim or millimetre is, and how a setting is written."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cornerwright.model.adjuster import MINUS, MINUTES, PLUS, Adjuster


def adjuster(**members):
    plain = {"kind": "rod", "unit": "turn", "pitch": 1.5, "setting": 10, "measured_at": 10, "range": [0, 30]}
    tree = {name: value for name, value in {**plain, **members}.items() if value is not None}
    return Adjuster.model_validate(tree)


@pytest.mark.parametrize(
    ("unit", "members", "unit_travel", "step_travel"),
    [
        ("turn", {"step": 0.25}, 1.5e-3, 0.375e-3),
        ("flat", {"step": 1}, 0.25e-3, 0.25e-3),
        ("flat", {"step": 2, "flats_per_turn": 4}, 0.375e-3, 0.75e-3),
        ("notch", {"pitch": 2}, 2e-3, 2e-3),
        ("shim", {"pitch": "1/32 in"}, 0.79375e-3, 0.79375e-3),
        ("mm", {"step": 0.5, "pitch": 9}, 1e-3, 0.5e-3),
    ],
)
def test_what_a_unit_and_a_step_are(unit, members, unit_travel, step_travel):
    one = adjuster(unit=unit, **members)
    assert one.unit_travel == pytest.approx(unit_travel, rel=1e-12)
    assert one.step_travel == pytest.approx(step_travel, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "text", "travel"),
    [
        ("notch", "3 notch", 4.5e-3),
        ("notch", "3 notches", 4.5e-3),
        ("flat", "11 flats", 2.75e-3),
        ("turn", "11 flat", 2.75e-3),
        ("flat", "4.5 turns", 6.75e-3),
        ("turn", "4.5turn", 6.75e-3),
        ("shim", "2 shims", 3e-3),
        ("turn", "12.5", 12.5e-3),
        ("turn", "12.5 mm", 12.5e-3),
        ("turn", "1/2 in", 12.7e-3),
        ("turn", 12.5, 12.5e-3),
    ],
)
def test_a_setting_is_a_length_or_a_count(unit, text, travel):
    one = adjuster(unit=unit, setting=text, measured_at=text, range=["0 mm", 30])
    assert one.setting == pytest.approx(travel, rel=1e-12)
    assert one.measured_at == one.setting


def test_ranges_are_counted_too():
    one = adjuster(unit="notch", pitch=2, setting="-3 notch", measured_at="0 notch", range=["-8 notch", "+8 notches"])
    assert one.range == pytest.approx((-16e-3, 16e-3))
    assert one.setting == pytest.approx(-6e-3)


@pytest.mark.parametrize(
    ("unit", "text"), [("notch", "2 turn"), ("turn", "2 notch"), ("mm", "3 turn"), ("shim", "1 flat"), ("turn", "2 x")]
)
def test_a_count_in_another_unit_is_refused(unit, text):
    with pytest.raises(ValidationError) as caught:
        adjuster(unit=unit, setting=text)
    assert caught.value.errors()[0]["loc"] == ("setting",)


def test_a_thread_without_a_pitch_is_refused():
    with pytest.raises(ValidationError, match="give the pitch: the travel of one turn, notch or shim"):
        adjuster(pitch=None)
    assert adjuster(unit="mm", pitch=None).step_travel == pytest.approx(1e-3)


@pytest.mark.parametrize(
    ("members", "says"),
    [
        ({"range": [30, 0]}, "the range must go from the least to the greatest travel"),
        ({"range": [10, 10]}, "the range must go from the least to the greatest travel"),
        ({"setting": 30.01}, "the setting must lie inside the range"),
        ({"setting": -0.01}, "the setting must lie inside the range"),
    ],
)
def test_ranges_and_settings_must_fit(members, says):
    with pytest.raises(ValidationError, match=says):
        adjuster(**members)


@pytest.mark.parametrize("members", [{"step": 0}, {"step": math.nan}, {"flats_per_turn": 1}, {"minutes": 0}])
def test_numbers_without_sense_are_refused(members):
    with pytest.raises(ValidationError):
        adjuster(**members)


@pytest.mark.parametrize("kind", sorted(MINUTES))
def test_every_kind_has_words_and_minutes(kind):
    one = adjuster(kind=kind)
    assert one.words(1e-3) == PLUS[kind]
    assert one.words(-1e-3) == MINUS[kind]
    assert one.work == MINUTES[kind]


def test_the_file_has_the_last_word():
    one = adjuster(plus="out", minus="in", minutes=3)
    assert (one.words(1e-3), one.words(-1e-3), one.work) == ("out", "in", 3)


@given(st.integers(-40, 40), st.sampled_from(["turn", "flat", "notch", "shim"]), st.floats(0.2, 4))
def test_counting_and_measuring_agree(count, unit, pitch):
    low, high = -200.0, 200.0
    counted = adjuster(unit=unit, pitch=pitch, setting=f"{count} {unit}", measured_at=0, range=[low, high])
    assert counted.setting == pytest.approx(count * counted.unit_travel, rel=1e-12, abs=1e-15)
