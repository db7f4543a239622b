"""Outside source: SciPy's general minimisers, on an energy and its slopes written anew, car by car.

The statics here is plain loops over springs, dampers and wheels, in floats, with the body turned by
rotation matrices; nothing of the stance's own code takes part. SciPy's trust region method finds
the minimum and its hybrid Powell root finder (MINPACK) sharpens it. The cars are invented.
"""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from scipy import optimize

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Jet, Kinematics
from cornerwright.mechanics.stance import StanceInputs, stand
from evidence import Outside

ALONE = Outside("stance", "each car solved by itself", "second road")
SCIPY = Outside("stance", "SciPy's minimisers on an energy written anew", "reference library")

G = 9.80665
SIDE = (1.0, -1.0, 1.0, -1.0)
ATTITUDE = ("camber", "toe", "caster")


# The invented cars, as plain numbers.


def random_car(rng, kind="road"):
    """One invented car.

    "road": as it should be; "bump": on its bump stops; "loose": one spring too short to touch its
    seats; "hung": one wheel held up by its damper, so the car stands on three.
    """
    loose = int(rng.integers(4))  # the odd corner, where the kind has one
    wheelbase = rng.uniform(2.2, 2.9)
    track = [rng.uniform(1.3, 1.6) for _ in range(2)]
    height = [rng.uniform(0.28, 0.33) for _ in range(2)]
    wheels = []
    live = rng.random() < 0.5
    body_mass = rng.uniform(700.0, 1400.0)
    cg = [-wheelbase * rng.uniform(0.4, 0.6), rng.uniform(-0.06, 0.06), rng.uniform(0.42, 0.62)]
    if kind == "hung":  # the load lies towards the opposite wheel
        cg[0] += 0.3 if loose >= 2 else -0.3
        cg[1] -= 0.25 * SIDE[loose]
    for i in range(4):
        axle = i // 2
        other = i + (1 if i % 2 == 0 else -1)
        own = 0.9 if live and axle == 1 else 1.0
        ratio = -rng.uniform(0.55, 0.95)
        wheel_rate = rng.uniform(15e3, 40e3)
        rate = wheel_rate / ratio**2
        share = (1 + cg[0] / wheelbase) / 2 if axle == 0 else -cg[0] / wheelbase / 2
        at_rest = body_mass * share * G / -ratio * rng.uniform(0.85, 1.15)
        seat = rng.uniform(0.22, 0.3)
        free = seat + at_rest / rate
        damper_ratio = -rng.uniform(0.6, 0.95)
        eyes = rng.uniform(0.38, 0.45)
        opened, closed, stop = eyes + rng.uniform(0.04, 0.08), eyes - rng.uniform(0.05, 0.09), 0.025
        if kind == "loose" and i == loose:
            free = seat - 0.06  # held by its damper's bump stop alone
        if kind == "bump":
            stop = eyes - closed + 0.012
        if kind == "hung" and i == loose:
            opened, closed = eyes - 0.12, eyes - 0.26  # cannot reach the ground
        gas = rng.uniform(80.0, 250.0)
        maps = {}
        for name, start, slope, bend in (
            ("spring", seat, ratio, rng.uniform(-0.6, 0.6)),
            ("damper", eyes, damper_ratio, rng.uniform(-0.6, 0.6)),
            ("x", -axle * wheelbase, rng.uniform(-0.05, 0.05), rng.uniform(-0.5, 0.5)),
            ("y", SIDE[i] * track[axle] / 2, SIDE[i] * rng.uniform(-0.1, 0.1), -SIDE[i] * 1.2),
        ):
            first, second = [0.0] * 4, [[0.0] * 4 for _ in range(4)]
            first[i], first[other] = own * slope, (1 - own) * slope
            second[i][i], second[other][other] = own * bend, (1 - own) * bend
            if live and axle == 1:
                second[i][other] = second[other][i] = 0.15 * bend
            maps[name] = (start, first, second)
        wheels.append(
            {
                "maps": maps,
                "spring_law": (
                    [free - 0.14, free],
                    [0.14 * rate, 0.0],
                    -5e6,
                    0.0,
                ),
                "damper_law": (
                    [closed, closed + stop / 2, closed + stop, opened],
                    [gas + 120e3 * stop, gas + 30e3 * stop, gas, gas],
                    -5e6,
                    -5e6,
                ),
                "seat_offset": rng.uniform(-0.01, 0.01),
                "body_offset": rng.uniform(-0.005, 0.005),
                "bush_rate": rng.uniform(0.0, 4e3),
                "bush_lift": rng.uniform(-0.02, 0.02),
                "mass": rng.uniform(25.0, 55.0),
                "height": height[axle],
                "radius": height[axle] + rng.uniform(0.01, 0.02),
                "tyre_rate": rng.uniform(150e3, 300e3),
            }
        )
    bars = [(rng.uniform(0, 25e3), rng.uniform(-0.01, 0.01)), (rng.choice([0.0, 12e3]), 0.0)]
    return {"mass": body_mass, "cg": cg, "wheels": wheels, "bars": bars}


# The independent statics: loops, floats, rotation matrices.


def length_and_slopes(the_map, lifts):
    value, first, second = the_map
    slopes = list(first)
    for j in range(4):
        value += first[j] * lifts[j]
        for k in range(4):
            value += second[j][k] * lifts[j] * lifts[k] / 2
            slopes[j] += (second[j][k] + second[k][j]) / 2 * lifts[k]
    return value, slopes


def stored_and_force(law, x):
    """Energy by adding trapezia from the last knot, and the force, of a piecewise linear law."""
    knots, forces, below, above = law
    if x >= knots[-1]:
        run = x - knots[-1]
        return -forces[-1] * run - above * run**2 / 2, forces[-1] + above * run
    energy = 0.0
    for i in range(len(knots) - 2, -1, -1):
        slope = (forces[i + 1] - forces[i]) / (knots[i + 1] - knots[i])
        if x >= knots[i]:
            force = forces[i] + slope * (x - knots[i])
            return energy + (force + forces[i + 1]) / 2 * (knots[i + 1] - x), force
        energy += (forces[i] + forces[i + 1]) / 2 * (knots[i + 1] - knots[i])
    force = forces[0] + below * (x - knots[0])
    return energy + (force + forces[0]) / 2 * (knots[0] - x), force


def rotation(pitch, roll):
    about_y = np.array(
        [
            [math.cos(pitch), 0, math.sin(pitch)],
            [0, 1, 0],
            [-math.sin(pitch), 0, math.cos(pitch)],
        ]
    )
    about_x = np.array([[1, 0, 0], [0, math.cos(roll), -math.sin(roll)], [0, math.sin(roll), math.cos(roll)]])
    return about_y @ about_x


def statics(car, q):
    """Energy [J], its seven slopes by forces and moments, and the four ground loads [N]."""
    heave, pitch, roll, *lifts = (float(v) for v in q)
    turn = rotation(pitch, roll)
    up = turn[2]  # the world's up, in body axes
    pitch_axis = np.array([0.0, math.cos(roll), -math.sin(roll)])  # world y, in body axes
    roll_axis = np.array([1.0, 0.0, 0.0])  # the roll is made first, so its axis stays in the body
    energy, slopes, loads = 0.0, [0.0] * 7, []

    def upward_force(force, point):
        """An upward force on a body point works on heave, pitch and roll."""
        moment = np.cross(point, force * up)
        slopes[0] -= force
        slopes[1] -= moment @ pitch_axis
        slopes[2] -= moment @ roll_axis

    cg = np.array(car["cg"])
    energy += car["mass"] * G * (heave + up @ cg)
    upward_force(-car["mass"] * G, cg)
    for i, wheel in enumerate(car["wheels"]):
        for name, offset in (("spring", "seat_offset"), ("damper", "body_offset")):
            length, along = length_and_slopes(wheel["maps"][name], lifts)
            stored, force = stored_and_force(wheel[name + "_law"], length - wheel[offset])
            energy += stored
            for j in range(4):
                slopes[3 + j] -= force * along[j]
        x, x_slopes = length_and_slopes(wheel["maps"]["x"], lifts)
        y, y_slopes = length_and_slopes(wheel["maps"]["y"], lifts)
        centre = np.array([x, y, wheel["height"] + lifts[i]])
        z = heave + up @ centre
        squeeze = max(0.0, wheel["radius"] - z)
        load = wheel["tyre_rate"] * squeeze
        loads.append(load)
        energy += wheel["mass"] * G * z + load * squeeze / 2
        net = load - wheel["mass"] * G
        upward_force(net, centre)
        for j in range(4):
            slopes[3 + j] -= net * (up @ [x_slopes[j], y_slopes[j], 1.0 if i == j else 0.0])
        bent = lifts[i] - wheel["bush_lift"]
        energy += wheel["bush_rate"] * bent**2 / 2
        slopes[3 + i] += wheel["bush_rate"] * bent
    for axle, (rate, offset) in enumerate(car["bars"]):
        twist = lifts[2 * axle] - lifts[2 * axle + 1] - offset
        energy += rate * twist**2 / 2
        slopes[3 + 2 * axle] += rate * twist
        slopes[4 + 2 * axle] -= rate * twist
    return energy, np.array(slopes), np.array(loads)


def scipy_stance(car):
    size = np.array([1.0, 1.3, 1.3, 1, 1, 1, 1])  # angles in metres at 1.3 m

    def energy(u):
        return statics(car, u / size)[0]

    def slopes(u):
        return statics(car, u / size)[1] / size

    def bend(u):
        rows = [(slopes(u + h) - slopes(u - h)) / 2e-6 for h in 1e-6 * np.eye(7)]
        return (np.array(rows) + np.array(rows).T) / 2

    start = np.array([-0.03, 0, 0, 0, 0, 0, 0])
    rough = optimize.minimize(energy, start, jac=slopes, hess=bend, method="trust-exact", options={"gtol": 1e-3})
    fine = optimize.root(slopes, rough.x, jac=bend, method="hybr", options={"xtol": 1e-14})
    assert np.abs(fine.fun).max() < 1e-5
    assert np.linalg.eigvalsh(bend(fine.x))[0] > 0
    return fine.x / size, statics(car, fine.x / size)[2]


# The same cars as arrays.


class Bilinear:
    """The lengths' second-order maps, for n cars at once."""

    def __init__(self, cars):
        self.maps = {
            name: tuple(np.array([[w["maps"][name][part] for w in car["wheels"]] for car in cars]) for part in range(3))
            for name in ("spring", "damper", "x", "y")
        }

    def __call__(self, lifts):
        jets = {}
        for name, (value, first, second) in self.maps.items():
            slope = first + np.einsum("nijk,nk->nij", second, lifts)
            mid = (first + slope) / 2
            full = np.broadcast_to(second, (lifts.shape[0], 4, 4, 4))
            jets[name] = Jet(value + np.einsum("nij,nj->ni", mid, lifts), slope, full)
        zero = Jet(*(np.zeros((lifts.shape[0],) + (4,) * k) for k in (1, 2, 3)))
        return Kinematics(**jets, **dict.fromkeys(ATTITUDE, zero))


def law_of(cars, name):
    parts = [[w[name] for w in car["wheels"]] for car in cars]
    return ForceLaw(*(np.array([[law[k] for law in row] for row in parts]) for k in range(4)))


def inputs_of(cars):
    def wheels(name):
        return np.array([[w[name] for w in car["wheels"]] for car in cars])

    return StanceInputs(
        kinematics=Bilinear(cars),
        spring_law=law_of(cars, "spring_law"),
        damper_law=law_of(cars, "damper_law"),
        seat_offset=wheels("seat_offset"),
        body_offset=wheels("body_offset"),
        bar_rate=np.array([[b[0] for b in car["bars"]] for car in cars]),
        bar_offset=np.array([[b[1] for b in car["bars"]] for car in cars]),
        bush_rate=wheels("bush_rate"),
        bush_lift=wheels("bush_lift"),
        body_mass=np.array([car["mass"] for car in cars]),
        body_cg=np.array([car["cg"] for car in cars]),
        unsprung_mass=wheels("mass"),
        centre_height=wheels("height"),
        tyre_radius=wheels("radius"),
        tyre_rate=wheels("tyre_rate"),
    )


# The comparison.


@pytest.mark.parametrize("kind", ["road", "bump", "loose", "hung"])
def test_stance_is_scipys_minimum(kind):
    rng = np.random.default_rng([2024, len(kind), ord(kind[0])])
    cars = [random_car(rng, kind) for _ in range(12)]
    stance = stand(inputs_of(cars))
    assert stance.stands.all()
    for i, car in enumerate(cars):
        q, load = scipy_stance(car)
        SCIPY.agrees("heave, roll, pitch and lifts at rest", q, stance.q[i], "m, rad", abs=1e-6)
        SCIPY.agrees("wheel loads at rest", load, stance.load[i], "N", abs=1e-3)
    # Each kind must show what it is for.
    if kind == "hung":
        assert ((stance.load == 0.0).sum(axis=1) == 1).sum() >= 9
    if kind == "loose":
        assert (stance.spring_rate == 0.0).any(axis=1).sum() >= 4
    if kind == "bump":
        assert (stance.damper_rate > 0.0).any(axis=1).all()


def test_energy_falls_nowhere_lower_nearby():
    """A stance of three wheels is a minimum in SciPy's eyes too, from random places around it."""
    rng = np.random.default_rng(7)
    car = random_car(rng, "hung")
    stance = stand(inputs_of([car]))
    lowest = statics(car, stance.q[0])[0]
    for _ in range(300):
        nudge = rng.normal(size=7) * 10.0 ** rng.uniform(-5, -2)
        SCIPY.holds(
            "energy beside the place of rest less that at rest",
            statics(car, stance.q[0] + nudge)[0] - lowest,
            "J",
            at_least=-1e-9,
        )


def test_batch_and_single_car_agree():
    rng = np.random.default_rng(11)
    cars = [random_car(rng, kind) for kind in ("road", "hung", "loose", "bump") * 4]
    together = stand(inputs_of(cars))
    for i, car in enumerate(cars):
        alone = stand(inputs_of([car]))
        ALONE.agrees("wheel loads, in a batch and alone", alone.load[0], together.load[i], "N", rel=1e-7, abs=1e-7)
        for field in fields(together):
            value = getattr(together, field.name)
            if isinstance(value, np.ndarray) and value.dtype == float and field.name != "residual":
                mine = getattr(alone, field.name)[0]
                np.testing.assert_allclose(value[i], mine, rtol=1e-7, atol=1e-7)


def test_a_falling_car_beside_a_standing_one():
    rng = np.random.default_rng(13)
    cars = [random_car(rng), random_car(rng), random_car(rng)]
    inputs = inputs_of(cars)
    cg = inputs.body_cg.copy()
    cg[1, 0] = 0.3  # ahead of the front axle
    stance = stand(replace(inputs, body_cg=cg))
    assert stance.verdict.tolist() == ["stands", "falls", "stands"]
    assert np.isnan(stance.q[1]).all()
    assert np.isnan(stance.load[1]).all()
    assert np.isnan(stance.kinematics.spring.value[1]).all()
    q, load = scipy_stance(cars[2])
    SCIPY.agrees("heave, roll, pitch and lifts at rest", q, stance.q[2], "m, rad", abs=1e-6)
    SCIPY.agrees("wheel loads at rest", load, stance.load[2], "N", abs=1e-3)
