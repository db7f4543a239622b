"""Every kind of suspension stands, is read and is planned through the same road, with exact derivatives."""

from __future__ import annotations

import numpy as np
import pytest

from cars import KINDS, car_of_kind, corner_of_kind
from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, outputs
from cornerwright.assembly.point_motion import PointMotion
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.linkage import answer
from cornerwright.model.parts import CORNERS
from cornerwright.model.target import Targets
from cornerwright.planning.check import check
from cornerwright.planning.plan import plan

NUDGE = 2e-5  # [m] of adjuster travel


def point_motions(variant):
    """The motions of a variant that are linkages of points."""
    for motion in variant.motions:
        for one in getattr(motion, "both", (motion,)):
            if isinstance(one, PointMotion):
                yield one


@pytest.mark.parametrize("kind", KINDS)
def test_every_reading_goes_with_every_adjuster_as_the_full_model_does(kind):
    rig = Rig(car_of_kind(kind))
    variant = rig.vary()
    stance = variant.stand()
    assert stance.stands.all()
    exact = outputs(variant, stance)
    for k, slot in enumerate(rig.slots):
        settings = rig.settings + NUDGE * np.array([[1.0], [-1.0]]) * np.eye(len(rig.slots))[k]
        both = rig.vary(settings)
        told = outputs(both, both.stand(), gradients=False)
        for name in CORNER_OUTPUTS:
            slope = (told.corner[name][0] - told.corner[name][1]) / (2 * NUDGE)
            scale = np.nanmax(np.abs(slope), initial=0.0) + 1e-3
            np.testing.assert_allclose(
                exact.corner_gradient[name][0, :, k], slope, atol=1e-4 * scale, err_msg=f"{slot.name} {name}"
            )
        for name in CAR_OUTPUTS:
            slope = (told.car[name][0] - told.car[name][1]) / (2 * NUDGE)
            assert exact.car_gradient[name][0, k] == pytest.approx(slope, abs=1e-4), f"{slot.name} {name}"


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_stance_reads_between_the_grid_is_the_solved_linkage(kind):
    """Tabled columns, their first derivatives and adjuster slopes against the solver at lifts off the grid."""
    variant = Rig(car_of_kind(kind)).vary()
    for motion in point_motions(variant):
        assert motion.error < 1e-8
        wheels = motion.mechanism.wheels
        grid = motion.over.grid
        rng = np.random.default_rng(4)
        lifts = rng.uniform(grid.low, grid.high, (7, wheels))
        names = ("damper", "x", "y", "camber", "toe")
        solved = answer(motion.mechanism, lifts, travel=motion.travel, columns=names)
        table = motion.at(lifts if wheels == 2 else lifts[:, 0])
        slopes = motion.partials(lifts if wheels == 2 else lifts[:, 0])
        for name in names:
            value = table[name].value.reshape(7, wheels)
            np.testing.assert_allclose(value, solved[name].value, atol=1e-8, err_msg=name)
            first = table[name].first.reshape(7, wheels, -1)
            np.testing.assert_allclose(first, solved[name].first, atol=1e-6, err_msg=name)
            own = slopes[name].value.reshape(7, wheels, -1)[:, :, motion.linkage.acting]
            np.testing.assert_allclose(own, solved[name].partial, atol=1e-6, err_msg=name)


@pytest.mark.parametrize("kind", KINDS)
def test_a_like_car_on_both_sides_stands_level(kind):
    car = car_of_kind(kind)
    even = car.model_copy(update={"mass": car.mass.model_copy(update={"left": 0.5})})
    rig = Rig(even)
    variant = rig.vary()
    stance = variant.stand()
    told = outputs(variant, stance, gradients=False)
    # A Panhard rod is on one side only; everything else is its own mirror image.
    loose = 1e-4 if kind == "live_axle_panhard" else 1e-9
    assert stance.q[0, 2] == pytest.approx(0.0, abs=loose)
    for name in ("height", "camber", "damper_length"):
        left, right = told.corner[name][0, [0, 2]], told.corner[name][0, [1, 3]]
        np.testing.assert_allclose(left, right, atol=20 * loose, err_msg=name)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_checked_and_planned(kind):
    """A small change of height and toe is planned with the kind's own adjusters, or the shortfall is named."""
    car = car_of_kind(kind)
    told = check(car)
    assert told.stand.verdict == "stands"
    wanted = {"format": "cornerwright targets 1", "car": {"cross_weight": {"aim": 50, "within": 0.5}}}
    for corner in CORNERS:
        wanted[corner] = {"height": {"aim": told.stand.corners[corner].height_mm + 4, "within": 2}}
    own = corner_of_kind(kind)
    wanted[own] |= {"toe": {"aim": told.stand.corners[own].toe_deg + 0.15, "within": 0.06}}
    result = plan(car, None, Targets.model_validate(wanted))
    assert result.verdict in ("reaches all targets", "falls short")
    moved = {move.corner for move in result.moves}
    assert {"front_left", "rear_left"} <= moved
    for one in result.short_of:
        assert one.why
        assert one.needs
    for corner in CORNERS:
        height = result.predicted[corner]["height_mm"]
        assert height.inside, (corner, height)


def test_a_rod_made_longer_is_a_rod_made_longer():
    """The rear camber of the second example by its upper rods against the exact linkage at the same lift."""
    rig = Rig(car_of_kind("five_link"))
    k = next(k for k, slot in enumerate(rig.slots) if slot.name == "rear_left.upper_rods")
    settings = rig.settings.copy()
    settings[k] += 0.004
    lifts = np.zeros((1, 4))
    before = rig.vary().inputs.kinematics(lifts).camber.value[0]
    after = rig.vary(settings).inputs.kinematics(lifts).camber.value[0]
    motion = next(m for m in point_motions(rig.vary(settings)) if m.linkage.acting.tolist().count(k))
    rods = dict(zip(motion.mechanism.layout.rods, motion.mechanism.adjusters.length_change, strict=True))
    longer = [name for name, change in rods.items() if change.any()]
    assert {"upper_front", "upper_rear"} <= set(longer)
    assert after[2] - before[2] > np.radians(0.5)
    np.testing.assert_allclose(after[[0, 1, 3]], before[[0, 1, 3]], atol=1e-12)


def test_free_rods_share_the_doubt_of_a_place_that_two_members_have():
    """A pin's place on body and carrier was measured once: in no variant does the reference pose come apart."""
    rig = Rig(car_of_kind("rods"))
    variant = rig.vary(unknowns=rig.unknowns.draw(20, 5))
    stance = variant.stand()
    assert stance.stands.all()
    assert np.isfinite(outputs(variant, stance, gradients=False).corner["camber"]).all()
