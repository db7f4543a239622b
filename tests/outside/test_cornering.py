"""Published: load transfer and understeer gradient, formulas from memory; Fiala's tyre, read in public programs.

Milliken and Milliken, Race Car Vehicle Dynamics, chapters 16 and 18 (load transfer); Gillespie, Fundamentals of Vehicle
Dynamics, chapter 6 (understeer gradient, low speed steer).

Second roads: a car that coasts through its equations of motion in time (SciPy's solve_ivp); statics by hand.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from cornerwright.mechanics import cornering
from cornerwright.mechanics.cornering import Grip, TurnCar, axle_roll_stiffness, balance, lean, sliding, turn
from evidence import Outside

MILLIKEN = Outside(
    "cornering", "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16 and 18", "textbook", memory=True
)
GILLESPIE = Outside("cornering", "Gillespie, Fundamentals of Vehicle Dynamics, ch. 6", "textbook", memory=True)
BRUSH = Outside("cornering", "Pacejka's cornering stiffness by load, and the circle of grip", "textbook", memory=True)
FIALA = Outside(
    "cornering", "Fiala's brush model of a tyre (1954), its closed form as public programs write it", "textbook"
)
SCIPY = Outside("cornering", "SciPy solve_ivp on the car's equations of motion", "reference library")
STATICS = Outside("cornering", "statics and power written out here", "second road")

G = 9.80665


def tyres(**changes):
    given = {
        "rated": np.full(4, 2500.0), "grip": np.full(4, 1.05), "grip_loss": np.full(4, 0.12),
        "stiffness": np.full(4, 38e3), "peak": np.full(4, 1.6), "lean": np.full(4, 0.08),
    }  # fmt: skip
    return Grip(**(given | changes))


def car(**changes):
    """An invented saloon."""
    given = {
        "mass": 900.0, "cg_height": 0.50, "ahead": 1.10, "behind": 1.30, "track": np.array([1.40, 1.38]),
        "unsprung": np.array([62.0, 56.0]), "unsprung_height": np.array([0.28, 0.28]),
        "roll_centre": np.array([0.06, 0.12]), "roll_stiffness": np.array([34e3, 21e3]),
        "body_share": np.array([0.85, 0.88]), "camber": np.radians([-1.5, -1.5, -1.2, -1.2]),
        "toe": np.radians([0.05, 0.05, 0.1, 0.1]), "camber_gain": np.radians([-12.0, -12.0, -25.0, -25.0]),
        "toe_gain": np.radians([0.5, 0.5, 1.0, 1.0]), "drive": np.array([0.0, 1.0]), "tyres": tyres(),
    }  # fmt: skip
    return TurnCar(**(given | changes))


def plain(**changes):
    """No unsprung mass, camber or toe: the textbook's car."""
    none = {key: np.zeros(4) for key in ("camber", "toe", "camber_gain", "toe_gain")}
    return car(**({"unsprung": np.zeros(2), "tyres": tyres(lean=np.zeros(4)), **none} | changes))


def test_load_transfer_of_the_worked_example():
    """1200 kg, h 0.5 m, roll centres 0.05 and 0.10 m, a 1.2 m, b 1.3 m, tracks 1.5 m, K 45 and 30 kN m/rad, 1 g."""
    # The closed form lets the body's weight not lean out: stiffnesses a thousand times as great, in the same ratio.
    example = plain(
        mass=1200.0, ahead=1.2, behind=1.3, track=np.full(2, 1.5), roll_centre=np.array([0.05, 0.10]),
        roll_stiffness=np.array([45e6, 30e6]),
    )  # fmt: skip
    found = lean(example, 9.81)
    MILLIKEN.agrees("load transfer of each axle in a steady turn", [2210.0, 1714.0], found.transfer, "N", abs=1.0)
    MILLIKEN.agrees(
        "load transfer of the whole car in a steady turn", 1200 * 9.81 * 0.5 / 1.5, found.transfer.sum(), "N", rel=2e-4
    )


def test_roll_stiffness_of_an_axle():
    MILLIKEN.agrees(
        "roll stiffness of an axle from its springs", 20e3 * 1.5**2 / 2, axle_roll_stiffness(20e3, 0.0, 1.5), "N m/rad"
    )
    MILLIKEN.agrees(
        "roll stiffness of an axle from springs and bar", 45e3, axle_roll_stiffness(20e3, 10e3, 1.5), "N m/rad"
    )
    MILLIKEN.agrees(
        "roll stiffness of an axle on its tyres",
        20e3 * 1.5**2 / 4,
        axle_roll_stiffness(20e3, 0.0, 1.5, 20e3),
        "N m/rad",
    )


@pytest.mark.parametrize("lateral", [3.0, 7.0, 9.0, 11.0])
def test_loads_balance_the_moment_about_the_ground(lateral):
    """Equal tracks: the moment of the forces about the ground, the body's lean-out and all, is that of the loads."""
    one = car(track=np.full(2, 1.4))
    found = lean(one, lateral)
    body = one.mass - one.unsprung.sum()
    axle = one.mass * np.array([one.behind, one.ahead]) / one.wheelbase - one.unsprung
    height = (one.mass * one.cg_height - (one.unsprung * one.unsprung_height).sum()) / body
    arm = height - (axle * one.roll_centre).sum() / body
    STATICS.agrees("sum of the wheel loads in a turn", one.mass * G, found.load.sum(), "N")
    moment = (found.load * np.array([-1, 1, -1, 1])).sum() * 0.7
    STATICS.agrees(
        "moment of the wheel loads about the ground",
        one.mass * lateral * one.cg_height + body * G * arm * found.roll,
        moment,
        "N m",
        rel=1e-9,
    )


def test_an_inside_wheel_lifts_and_the_other_axle_takes_the_rest():
    stiff_front = car(roll_stiffness=np.array([60e3, 8e3]), cg_height=0.55)
    found = lean(stiff_front, 8.5)
    STATICS.same("which axle's inside wheel is lifted", [True, False], found.lifted.tolist())
    assert found.load[0] == 0.0
    before, after = lean(stiff_front, 8.5).load[2], lean(stiff_front, 8.7).load[2]
    assert before > after > 0
    # With the front wheel up only the rear holds the roll: it grows faster than before.
    early = lean(stiff_front, 3.2).roll - lean(stiff_front, 3.0).roll
    late = lean(stiff_front, 8.7).roll - lean(stiff_front, 8.5).roll
    STATICS.holds("roll per g with a front wheel lifted over that before", late / early, at_least=2.0)
    assert lean(stiff_front, 40.0).verdict == "turns over"


@pytest.mark.parametrize("changes", [{}, {"ahead": 1.30, "behind": 1.10}, {"roll_stiffness": np.array([20e3, 40e3])}])
def test_understeer_gradient_is_the_textbooks(changes):
    """Small lateral acceleration, tyres at their static stiffness: K = W_f/C_f - W_r/C_r; here per m/s2."""
    one = plain(**changes)
    found = balance(one, 400.0)
    load = one.mass * G * np.array([one.behind, one.ahead]) / one.wheelbase
    stiff = one.tyres.stiff(np.repeat(load / 2, 2))[[0, 2]] * 2
    gradient = (load / stiff * [1, -1]).sum() / G
    GILLESPIE.agrees(
        "understeer gradient at small lateral acceleration",
        gradient,
        found.understeer,
        "rad s2/m",
        abs=0.02 * np.abs(load / stiff).max() / G,
    )
    slow = turn(one, 50.0, 0.001)
    GILLESPIE.agrees("steer of a slow turn", one.wheelbase / 50.0, slow.steer, "rad", rel=2e-3)
    GILLESPIE.agrees("body slip of a slow turn", one.behind / 50.0, slow.slip, "rad", rel=2e-3)


def linear(**changes):
    """Tyres without end of grip, stiffness that follows the load straight: the linear bicycle."""
    wide = tyres(grip=np.full(4, 1e4), peak=np.full(4, 1e4), lean=np.zeros(4), **changes.pop("tyre", {}))
    return plain(cg_height=1e-3, roll_centre=np.zeros(2), tyres=wide, drive=np.array([0.5, 0.5]), **changes)


@pytest.mark.parametrize("lateral", [0.5, 1.5, 3.0])
@pytest.mark.parametrize(("ahead", "behind"), [(1.10, 1.30), (1.30, 1.10)])
def test_steer_and_slip_are_the_linear_bicycles(lateral, ahead, behind):
    """Delta = L/R + K a, beta = b/R - W_r a/(C_r g); Gillespie, chapter 6. Axle stiffnesses 80 and 76 kN/rad."""
    stiff = np.array([40e3, 40e3, 38e3, 38e3])
    load = 900.0 * G * np.array([behind, ahead]) / 2.4 / 2
    one = linear(ahead=ahead, behind=behind, tyre={"stiffness": stiff, "rated": np.repeat(load, 2)})
    found = turn(one, 100.0, lateral)
    front, rear = 900.0 * np.array([behind, ahead]) / 2.4 / np.array([80e3, 76e3])
    # Small angles: slips of up to 4 degrees leave a few parts in a thousand.
    GILLESPIE.agrees(
        "steer of the linear bicycle, L/R + K a", 2.4 / 100.0 + (front - rear) * lateral, found.steer, "rad",
        abs=4e-3 * (front + rear) * lateral + 2e-4,
    )  # fmt: skip
    GILLESPIE.agrees(
        "body slip of the linear bicycle, b/R - W_r a/(C_r g)", behind / 100.0 - rear * lateral, found.slip, "rad",
        abs=6e-3 * rear * lateral + 2e-4,
    )  # fmt: skip


def test_critical_speed_of_a_loose_car():
    """Where L/R + K a is none, whatever the radius: V^2 = -L/K; Gillespie, chapter 6."""
    stiff = np.full(4, 40e3)
    load = 900.0 * G * np.array([1.0, 1.4]) / 2.4 / 2
    one = linear(ahead=1.4, behind=1.0, tyre={"stiffness": stiff, "rated": np.repeat(load, 2)})
    gradient = 900.0 * (1.0 - 1.4) / 2.4 / 80e3
    critical = np.sqrt(-2.4 / gradient)
    assert critical == pytest.approx(35.8, abs=0.05)
    for radius in (400.0, 800.0):
        found = turn(one, radius, critical**2 / radius)
        assert found.speed == pytest.approx(critical)
        GILLESPIE.agrees("steer of a loose car at its critical speed", 0.0, found.steer, "rad", abs=0.02 * 2.4 / radius)
    assert turn(one, 400.0, 0.8 * critical**2 / 400.0).steer > 0


def test_characteristic_speed_of_a_car_that_pushes():
    """Twice the slow steer at V^2 = L/K; Gillespie, chapter 6."""
    load = 900.0 * G * np.array([1.4, 1.0]) / 2.4 / 2
    one = linear(ahead=1.0, behind=1.4, tyre={"stiffness": np.full(4, 40e3), "rated": np.repeat(load, 2)})
    gradient = 900.0 * (1.4 - 1.0) / 2.4 / 80e3
    found = turn(one, 600.0, 2.4 / gradient / 600.0)
    GILLESPIE.agrees(
        "steer at the characteristic speed: twice the slow one", 2 * 2.4 / 600.0, found.steer, "rad", rel=0.02
    )


def test_brush_formula():
    one = tyres()
    load = np.full(4, 2500.0)
    FIALA.agrees("side force at a small slip angle", 0.38, one.side(np.full(4, 1e-5), load), "N", rel=1e-3)
    slip = np.arctan(3 * 1.05 * 2500 / 38e3)
    FIALA.agrees("side force where the whole patch begins to slide", 1.05 * 2500, one.side(np.full(4, slip), load), "N")
    FIALA.agrees("side force of a sliding tyre", 1.05 * 2500, one.side(np.full(4, 0.3), load), "N")
    s = np.tan(0.05)
    limit, pull = 1.05 * 2500, 38e3 * s
    wanted = pull - pull**2 / (3 * limit) + pull**3 / (27 * limit**2)
    FIALA.agrees("side force at a middling slip angle", wanted, one.side(np.full(4, 0.05), load), "N")
    FIALA.agrees("side force at a slip angle to the other side", -wanted, one.side(np.full(4, -0.05), load), "N")
    BRUSH.agrees(
        "side and drive force together at the limit",
        1.05 * 2500,
        np.hypot(one.side(np.full(4, 0.3), load, 1500.0), 1500.0),
        "N",
    )
    BRUSH.agrees(
        "cornering stiffness at the load where it is greatest",
        38e3 / np.sin(2 * np.arctan(1 / 1.6)),
        one.stiff(np.full(4, 4000.0)).max(),
        "N/rad",
    )


def test_the_stiffer_end_gives_up_first():
    # Both axles driven, else the driven end has less grip left for the side; grip that falls clearly with load.
    alike = {"drive": np.array([0.54, 0.46]), "tyres": tyres(grip_loss=np.full(4, 0.25))}
    pushing = balance(car(roll_stiffness=np.array([50e3, 14e3]), **alike), 30.0)
    loose = balance(car(roll_stiffness=np.array([14e3, 50e3]), **alike), 30.0)
    GILLESPIE.same("which end gives up first, the stiffer in roll", [True, False], [pushing.pushes, loose.pushes])
    assert pushing.limit.steer > loose.limit.steer
    for found in (pushing, loose):
        assert 0.75 * G < found.limit.lateral < 1.05 * G
        assert found.limit.used.max() == pytest.approx(1.0, abs=0.02)
        accelerations = [one.lateral for one in found.turns]
        assert accelerations == sorted(accelerations)


def test_outer_wheels_lean_out_and_inner_ones_in():
    found = turn(car(camber_gain=np.zeros(4)), 40.0, 6.0)
    lean_out = found.camber - car().camber
    STATICS.agrees("camber of the wheels from roll", found.roll * np.array([-1, 1, -1, 1]), lean_out, "rad")
    assert found.roll > 0


def test_camber_gain_helps_the_outer_wheel():
    with_gain, without = turn(car(), 40.0, 6.0).camber[1], turn(car(camber_gain=np.zeros(4)), 40.0, 6.0).camber[1]
    STATICS.holds("camber of the outer wheel by camber gain", with_gain - without, "rad", at_most=-1e-9)


def motion(one, state, steer, drive):
    """Planar motion of the whole car in time, with the loads of the moment: forward, left, yaw."""
    ahead, left, yaw = state
    inertia = one.mass * one.ahead * one.behind
    speed, slip = np.hypot(ahead, left), np.arctan2(left, ahead)
    leaning = lean(one, speed * yaw)
    wheels = cornering._wheels(one, leaning, speed, yaw, np.array([slip, steer, drive]))
    x, y = one.places
    fx = wheels.along * np.cos(wheels.heading) - wheels.side * np.sin(wheels.heading)
    fy = wheels.along * np.sin(wheels.heading) + wheels.side * np.cos(wheels.heading)
    return [fx.sum() / one.mass + yaw * left, fy.sum() / one.mass - yaw * ahead, (x * fy - y * fx).sum() / inertia]


def test_a_driven_car_comes_to_rest_in_the_turn_that_was_found():
    """Held steer and drive, from a state beside it: speed, slip and yaw settle where the equilibrium is."""
    one = car()
    found = turn(one, 40.0, 5.0)
    wanted = found.speed * np.array([np.cos(found.slip), np.sin(found.slip), 1 / 40.0])
    begin = wanted * [0.98, 0.9, 1.05]
    run = solve_ivp(lambda t, s: motion(one, s, found.steer, found.drive), (0, 600), begin, rtol=1e-9, atol=1e-10)
    SCIPY.agrees("speed, slip and yaw where a driven car settles", wanted, run.y[:, -1], "m/s, rad, rad/s", rel=2e-4)


def test_power_is_what_the_tyres_turn_to_heat():
    found = turn(car(), 40.0, 7.0)
    path = found.slip_wheel
    x, y = car().places
    yaw = found.speed / 40.0
    pace = np.hypot(found.speed * np.cos(found.slip) - yaw * y, found.speed * np.sin(found.slip) + yaw * x)
    along = found.drive * found.load * [0, 0, 1, 1] / found.load[2:].sum()
    # Steady: no energy gained, so what drives forward is what the side forces lose across the path.
    STATICS.agrees(
        "power of the drive against resistance and side force",
        (along * pace * np.cos(path)).sum(),
        found.power,
        "W",
        rel=1e-9,
    )
    STATICS.agrees(
        "power lost by the sliding tyres", (found.side * pace * np.sin(path)).sum(), found.power, "W", rel=1e-4
    )


def test_sliding_is_an_equilibrium_that_does_not_hold_itself():
    one = car()
    guess = np.array([10.5, -0.1, 2500.0])
    found = sliding(one, 12.0, -0.45, guess)
    assert found.verdict == "turns"
    assert found.used[1] == pytest.approx(1.0, abs=0.01)
    assert found.drive > turn(one, 12.0, 6.0).drive
    # Opposite lock: less steer than the turn's own geometry asks.
    assert found.steer < one.wheelbase / 12.0
    wanted = found.speed * np.array([np.cos(found.slip), np.sin(found.slip), 1 / 12.0])
    assert np.abs(motion(one, wanted, found.steer, found.drive)).max() < 1e-4

    def rates(step):
        return np.array(motion(one, wanted + step, found.steer, found.drive))

    jacobian = np.stack([(rates(d) - rates(-d)) / 2e-5 for d in 1e-5 * np.eye(3)], axis=1)
    STATICS.holds("growth of a disturbance of a slide", np.linalg.eigvals(jacobian).real.max(), "1/s", at_least=1e-6)


def test_turns_that_are_none():
    top_heavy = replace(car(), cg_height=0.95)
    beyond = turn(car(cg_height=0.4), 40.0, 11.5).verdict
    STATICS.same(
        "turns beyond grip or balance", ["no grip", "turns over"], [beyond, turn(top_heavy, 40.0, 9.5).verdict]
    )
    assert np.isnan(turn(top_heavy, 40.0, 9.5).steer)
    with pytest.raises(ValueError, match="above zero"):
        turn(car(), -1.0, 3.0)
