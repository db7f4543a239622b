"""Published: worked examples and formulas of brakes in textbooks, from memory, each recomputed here.

Shigley, Mechanical Engineering Design, chapter 16, example 16-3: a caliper brake with pads over 108 degrees from
r = 3.875 to 5.50 in, friction 0.37, one cylinder of 1.5 in behind each pad, torque 13 000 lbf in. Printed:
actuating force 3748 lbf, effective radius 4.688 in, pressure 2121 psi.

Gillespie, Fundamentals of Vehicle Dynamics, chapter 3: brake force at which an axle locks while the other's is
known, Fxf = mu (Wf + (h/L) Fxr) / (1 - mu h/L), Fxr = mu (Wr - (h/L) Fxf) / (1 + mu h/L).
"""

from __future__ import annotations

import numpy as np
import pytest

from cornerwright.assembly.brake_inputs import loading_of, parts_of, system_of
from cornerwright.mechanics.braking import Loading
from cornerwright.mechanics.hydraulics import (
    Booster,
    Masters,
    Valve,
    area,
    clamp,
    disc_torque,
    drum_torque,
    effective_radius,
)
from cornerwright.model.carfile import load_car
from cornerwright.planning.brake_balance import locking
from evidence import Outside
from shared import PROJECT

SHIGLEY = Outside(
    "brakes: forces and balance",
    "Shigley, Mechanical Engineering Design, ch. 16, example 16-3",
    "textbook",
    memory=True,
)
GILLESPIE = Outside(
    "brakes: forces and balance", "Gillespie, Fundamentals of Vehicle Dynamics, ch. 3", "textbook", memory=True
)
STATICS = Outside("brakes: forces and balance", "statics written out here", "second road")

INCH, LBF, PSI = 0.0254, 4.4482216152605, 6894.757293168
EXAMPLES = [PROJECT / "examples" / name / "car.yaml" for name in ("tarn_fell", "skerry_nine")]


def test_shigley_16_3_effective_radius():
    SHIGLEY.agrees(
        "effective radius of a caliper's pad",
        4.688,
        effective_radius(3.875 * INCH, 5.5 * INCH) / INCH,
        "in",
        abs=0.0005,
    )


def test_shigley_16_3_force_and_pressure():
    pressure = 2121 * PSI
    force = float(clamp(pressure, area(1.5 * INCH)))
    SHIGLEY.agrees("actuating force of a caliper", 3748, force / LBF, "lbf", abs=1.0)
    torque = disc_torque(force, 0.37, effective_radius(3.875 * INCH, 5.5 * INCH))
    SHIGLEY.agrees("torque of a caliper brake", 13000, float(torque) / (LBF * INCH), "lbf in", abs=5.0)


def test_shigley_16_3_by_its_own_integral():
    """Uniform wear: F = theta p_a r_i (r_o - r_i), T = theta f p_a r_i (r_o^2 - r_i^2) / 2; the radius is T / (f F)."""
    inner, outer, theta, peak = 3.875, 5.5, np.radians(108), 314.5
    force = theta * peak * inner * (outer - inner)
    torque = 0.5 * theta * 0.37 * peak * inner * (outer**2 - inner**2)
    SHIGLEY.agrees(
        "effective radius by the book's integral of uniform wear",
        effective_radius(inner, outer),
        torque / (0.37 * force),
        "in",
        rel=1e-12,
    )


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_gillespies_boundary_is_where_an_axle_locks(path):
    parts = parts_of(load_car(path))
    loading, system = loading_of(parts.car), system_of(parts)
    static, height = loading.axle_loads(0.0), loading.cg_height / loading.wheelbase
    for one in locking(system, loading):
        assert one.foot_n is not None
        front, rear = system.axle_forces(one.foot_n)
        if one.axle == "front":
            boundary = one.grip * (static[0] + height * rear) / (1 - one.grip * height)
            GILLESPIE.agrees(
                "front brake force at which the front axle locks, two whole cars", boundary, front, "N", rel=2e-3
            )
        else:
            boundary = one.grip * (static[1] - height * front) / (1 + one.grip * height)
            GILLESPIE.agrees(
                "rear brake force at which the rear axle locks, two whole cars", boundary, rear, "N", rel=2e-3
            )


@pytest.mark.parametrize("grip", [0.2, 0.5, 0.9])
def test_one_axle_alone_by_gillespies_boundary(grip):
    loading = Loading(9000.0, 0.55, 0.5, 2.4)
    static, height = loading.axle_loads(0.0), 0.5 / 2.4
    front = grip * static[0] / (1 - grip * height)
    rear = grip * static[1] / (1 + grip * height)
    GILLESPIE.agrees("deceleration with the front axle alone at its grip", front / 9000.0, loading.alone(0, grip), "g")
    GILLESPIE.agrees("deceleration with the rear axle alone at its grip", rear / 9000.0, loading.alone(1, grip), "g")


def test_perfect_braking_is_on_the_ideal_curve():
    loading = Loading(9000.0, 0.55, 0.5, 2.4)
    z = np.linspace(0.0, 1.0, 11)
    forces = loading.ideal(z)
    STATICS.agrees("deceleration on the ideal curve", z, loading.rate(forces), "g")
    STATICS.agrees("adhesion used on the ideal curve", np.stack([z[1:]] * 2, axis=1), loading.adhesion_used(forces[1:]))


# ----------------------------------------------------------------- parts, each by its own statics


def test_booster_and_its_inverse():
    one = Booster(gain=3.0, knee=400.0)
    STATICS.agrees(
        "force behind a booster, below and above its knee", [0, 300, 1200, 1300], one.output([0, 100, 400, 500]), "N"
    )
    push = np.linspace(0, 900, 50)
    STATICS.agrees("force before a booster, its inverse", push, one.push(one.output(push)), "N")
    assert Booster().output(77.0) == 77.0
    assert Booster().push(77.0) == 77.0


def test_a_balance_bar_shares_the_force_and_weighs_the_strokes():
    """Virtual work: the force on the bar times its middle's way is the work of both cylinders."""
    bar = Masters((0.019, 0.016), 0.6)
    pressures = bar.pressures(2000.0)
    STATICS.agrees("forces of a balance bar's two cylinders", [1200.0, 800.0], pressures * area([0.019, 0.016]), "N")
    volumes = np.array([3e-6, 2e-6])
    STATICS.agrees(
        "work of a balance bar's middle and of its cylinders",
        float(pressures @ volumes),
        2000.0 * bar.travel(volumes),
        "J",
    )
    STATICS.agrees("force on a balance bar for a line pressure", 2000.0, bar.force(pressures[0]), "N")


def test_a_tandem_holds_one_pressure_and_adds_its_strokes():
    tandem = Masters((0.0206, 0.0206), None, (0.032, 0.032))
    pressures = tandem.pressures(1500.0)
    assert pressures[0] == pressures[1]
    volumes = np.array([3e-6, 2e-6])
    STATICS.agrees(
        "work of a tandem cylinder's rod and of its circuits",
        float(pressures @ volumes),
        1500.0 * tandem.travel(volumes),
        "J",
    )
    STATICS.agrees("share of a tandem cylinder's stroke used", 5e-6 / float(area(0.0206)) / 0.032, tandem.used(volumes))


def test_valves_pass_what_they_should_and_can_be_inverted():
    proportioning, limiting = Valve(30e5, 0.4), Valve(30e5, 0.0)
    STATICS.agrees(
        "pressure behind a proportioning valve", [20e5, 30e5, 50e5], proportioning.outlet([20e5, 30e5, 80e5]), "Pa"
    )
    STATICS.agrees("pressure behind a limiting valve", [20e5, 30e5, 30e5], limiting.outlet([20e5, 30e5, 80e5]), "Pa")
    STATICS.agrees(
        "pressure before a proportioning valve", [20e5, 30e5, 80e5], proportioning.inlet([20e5, 30e5, 50e5]), "Pa"
    )
    assert np.isinf(limiting.inlet(31e5))
    assert Valve().outlet(99e5) == 99e5


def test_a_threshold_is_taken_off_first():
    STATICS.agrees("clamp above a threshold pressure", [0.0, 1000.0], clamp([0.3e5, 10.5e5], 1e-3, 0.5e5), "N")


def test_a_drum_by_its_factor():
    STATICS.agrees("torque of a drum by its brake factor", 400.0, drum_torque(500.0, 5.0, 2.0, 0.08), "N m")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_the_whole_chain_by_hand(path):
    """Foot to road with the formulas written out, and the foot for a force as its inverse."""
    parts = parts_of(load_car(path))
    brakes, system = parts.brakes, system_of(parts)
    foot = 150.0
    push = foot * brakes.pedal.ratio
    if brakes.servo is not None:
        push = (
            push * brakes.servo.gain
            if push <= brakes.servo.knee
            else push + (brakes.servo.gain - 1) * brakes.servo.knee
        )
    if brakes.master is not None:
        lines = [push / (np.pi / 4 * brakes.master.bore**2)] * 2
    else:
        share = brakes.balance_bar.front
        lines = [
            push * share / (np.pi / 4 * brakes.front_master.bore**2),
            push * (1 - share) / (np.pi / 4 * brakes.rear_master.bore**2),
        ]
    if brakes.valve is not None:
        lines[1] = min(lines[1], brakes.valve.knee) + brakes.valve.slope * max(0.0, lines[1] - brakes.valve.knee)
    for wheel, one in enumerate(parts.corners):
        pad = lines[wheel // 2] * sum(np.pi / 4 * d**2 for d in one.caliper.pistons)
        middle = one.rotor.diameter / 2 - one.pad.height / 2
        radius = list(parts.car.corners.values())[wheel].wheel.height
        STATICS.agrees(
            "brake force at each wheel from the foot, two whole cars",
            2 * one.pad.friction * pad * middle / radius,
            system.wheel_forces(foot)[wheel],
            "N",
        )
    whole = float(system.axle_forces(foot).sum())
    STATICS.agrees("foot force for a brake force, two whole cars", foot, system.foot_for(whole), "N", rel=1e-9)
