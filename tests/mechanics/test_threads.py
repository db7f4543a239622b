"""Limits of threads and strengths of bolts: where a table ends, nothing is made up, and the words say which it was."""

from __future__ import annotations

import pytest

from cornerwright.mechanics.strength import bolt_strength
from cornerwright.mechanics.threads import limits

INCH = 0.0254


def test_a_marking_that_nobody_knows_has_no_strength():
    with pytest.raises(ValueError, match=r"^no bolts of class 7\.7 with a diameter of 12 mm$"):
        bolt_strength("7.7", 0.012)


def test_a_bolt_of_the_last_diameter_of_a_row_belongs_to_it():
    """SAE J429, grade 5 to 1 in and grade 8 to 1 1/2 in: the sizes themselves are in."""
    assert bolt_strength("grade 5", 1.0 * INCH).proof == pytest.approx(85 * 6.894757e6, rel=1e-6)
    assert bolt_strength("grade 8", 1.5 * INCH).proof == pytest.approx(120 * 6.894757e6, rel=1e-6)
    with pytest.raises(ValueError, match=r"with a diameter of 25\.5 mm"):
        bolt_strength("grade 5", 0.0255)


@pytest.mark.parametrize(
    ("diameter", "pitch", "words"),
    [
        (0.100, 0.006, "of 100 mm by 6 mm"),  # larger than every row
        (0.0025, 0.00045, "of 2.5 mm by 0.45 mm"),
        (0.0025, 0.0005, "of 2.5 mm by 0.5 mm"),  # a pitch that the next size has
        (0.012, 0.0006, "of 12 mm by 0.6 mm"),  # a pitch that a smaller size has
    ],
)
def test_a_metric_thread_outside_the_table_has_no_limits(diameter, pitch, words):
    with pytest.raises(ValueError, match=f"^no tolerances are known for a thread {words}$"):
        limits(diameter, pitch)


@pytest.mark.parametrize("fit", [("2A", "6H"), ("6g", "2B"), ("1A", "2B"), ("2A", "1B"), ("3a", "3B"), ("3A", "3b")])
def test_inch_classes_are_known_or_refused(fit):
    with pytest.raises(ValueError, match=f"^no inch tolerance classes '{fit[0]}' and '{fit[1]}'$"):
        limits(0.5 * INCH, INCH / 20, "UN", fit)


@pytest.mark.parametrize("bolt", ["2A", "3A"])
@pytest.mark.parametrize("hole", ["2B", "3B"])
def test_every_inch_bolt_goes_into_every_inch_hole(bolt, hole):
    """Class 3 is closer than class 2 on either side, and no bolt is larger than its hole."""
    own, usual = limits(0.5 * INCH, INCH / 20, "UN", (bolt, hole)), limits(0.5 * INCH, INCH / 20, "UN")
    assert own.pitch_max <= own.hole_pitch_min + 1e-12
    assert own.pitch_max - own.pitch_min <= usual.pitch_max - usual.pitch_min
    assert own.hole_pitch_max - own.hole_pitch_min <= usual.hole_pitch_max - usual.hole_pitch_min


@pytest.mark.parametrize(
    ("fit", "words"),
    [(("6k", "6H"), "no thread position 'k'"), (("6g", "6E"), "no thread position 'e'"),
     (("2g", "6H"), "no tolerance grade '2'"), (("6g", "xH"), "no tolerance grade 'x'")],
)  # fmt: skip
def test_metric_positions_and_grades_are_known_or_refused(fit, words):
    with pytest.raises(ValueError, match=f"^{words}$"):
        limits(0.012, 0.0015, fit=fit)


def test_a_hole_in_position_g_is_wider_by_the_gap_of_a_bolt_in_position_g():
    """ISO 965-1: EI of G is -es of g, 32 um at a pitch of 1.5 mm, at both diameters and both ends."""
    usual, wide = limits(0.012, 0.0015), limits(0.012, 0.0015, fit=("6g", "6G"))
    gap = 12e-3 - usual.major_max
    assert gap == pytest.approx(32e-6)
    for one in ("hole_minor_min", "hole_minor_max", "hole_pitch_min", "hole_pitch_max"):
        assert getattr(wide, one) - getattr(usual, one) == pytest.approx(gap, abs=1e-12), one
