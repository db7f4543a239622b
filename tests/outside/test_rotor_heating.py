"""Published: heating and cooling of brake rotors, from memory, each recomputed here; and SciPy's own solvers.

Shigley, Mechanical Engineering Design, chapter 16, temperature rise and caliper example: 289 lbf in s2 stopped from
250 rev/min is 10.6 Btu; a disk of 2.0 lbm, 0.108 Btu/(lbm F), rises by 49.1 F; stops repeated every t seconds settle at
T = Tair + dT / (1 - exp(-b t)), b = h A / (m c).
Limpert, Brake Design and Safety, repeated braking: before the n-th stop the rotor is at
Tair + dT (1 - exp(-n b t)) / (1 - exp(-b t)) less dT; surface of a deep rotor sqrt(5/18) q0 sqrt(ts / (k rho c)).
Carslaw and Jaeger, Conduction of Heat in Solids: half-space and slab under a flux.
U.S. Standard Atmosphere, 1976, equations 51 and 53, which many public programs write out: the air at 30 degC.
A problem of a physics textbook: 1500 kg from 30 m/s, four rotors of 8 kg at 448 J/(kg K): 47 K.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, simpson, solve_ivp

from cornerwright.assembly.brake_inputs import bodies_of, loading_of, parts_of
from cornerwright.mechanics import heat
from cornerwright.mechanics.heat import Bodies, Piece, run
from cornerwright.model.carfile import load_car
from cornerwright.model.lap import Lap, LapRow
from cornerwright.model.units import STANDARD_GRAVITY
from cornerwright.planning.brake_heat import Stops, bedding, lap_run, stops_run
from evidence import Outside
from shared import PROJECT

SHIGLEY = Outside("brakes: fluid and heat", "Shigley, Mechanical Engineering Design, ch. 16", "textbook", memory=True)
LIMPERT = Outside("brakes: fluid and heat", "Limpert, Brake Design and Safety", "textbook", memory=True)
CARSLAW = Outside("brakes: fluid and heat", "Carslaw and Jaeger, Conduction of Heat in Solids", "textbook", memory=True)
ATMOSPHERE = Outside(
    "brakes: fluid and heat", "U.S. Standard Atmosphere, 1976, eq. 51 and 53, as public programs write them", "standard"
)
SCIPY = Outside("brakes: fluid and heat", "SciPy's solvers of differential equations", "reference library")
BY_HAND = Outside("brakes: fluid and heat", "energy sums written out here", "second road")

BTU, LBM, FAHRENHEIT, LBF_INCH = 1055.056, 0.45359237, 5.0 / 9.0, 0.112984829
EXAMPLES = ("tarn_fell", "skerry_nine")


def parts(name):
    return parts_of(load_car(PROJECT / "examples" / name / "car.yaml"))


# ------------------------------------------------------------------ books


def test_shigleys_disk_rises_by_49_fahrenheit():
    energy = 0.5 * 289 * (2 * np.pi * 250 / 60) ** 2 * LBF_INCH
    SHIGLEY.agrees("energy of one stop", 10.6, energy / BTU, "Btu", abs=0.05)
    rise = heat.mean_rise(10.6 * BTU, 2.0 * LBM * 0.108 * BTU / (LBM * FAHRENHEIT))
    SHIGLEY.agrees("temperature rise of a disk in one stop", 49.1, float(rise) / FAHRENHEIT, "degF", abs=0.05)


def test_a_textbook_car_rises_by_47_kelvin():
    energy = heat.stop_energy(1500.0, 30.0, 0.0)
    BY_HAND.agrees(
        "temperature rise of four rotors in one stop of a car",
        47.1,
        float(heat.mean_rise(energy, 4 * 8.0 * 448.0)),
        "K",
        abs=0.05,
    )


def convective(area=0.1, capacity=2300.0, diameter=0.26):
    """One rotor that loses heat to the air alone."""
    one = np.ones(1)
    return Bodies(capacity * one, area * one, diameter * one, 0 * one, area * one, 1e3 * one, 0 * one, 0 * one, 20.0)


def test_repeated_stops_go_up_as_limpert_and_settle_as_shigley():
    """Short stops of 60 kJ every 60 s, the air at one speed: the closed forms for stops that take no time."""
    bodies, speed, every, energy, seconds = convective(), 20.0, 60.0, 60e3, 0.02
    rise = energy / 2300.0
    b = float(bodies.rotor_area[0] * heat.cooling_coefficient(speed, 0.26)) / 2300.0
    power = np.array([energy / seconds])
    pieces = [Piece(seconds, (speed, speed), (power, power)), Piece(every - seconds, (speed, speed), (0 * power,) * 2)]
    made = run(bodies, pieces * 40, np.array([20.0]), np.array([20.0]))
    tops = [made.rotor[(made.time >= k * every - 1e-9) & (made.time < (k + 1) * every - 1e-6)].max() for k in range(40)]
    for n in (1, 2, 5, 10, 40):
        limpert = 20.0 + rise * (1 - np.exp(-n * b * every)) / (1 - np.exp(-b * every))
        LIMPERT.agrees("temperature after the n-th repeated stop", limpert, tops[n - 1], "degC", abs=0.02)
    SHIGLEY.agrees(
        "temperature where repeated stops settle", 20.0 + rise / (1 - np.exp(-b * every)), tops[-1], "degC", abs=0.2
    )


def test_a_deep_rotors_face_is_limperts_within_one_percent():
    flux, seconds, conductivity, density, specific = 4e6, 3.5, 50.0, 7200.0, 460.0
    exact = heat.half_space_peak(flux, seconds, conductivity, density, specific)
    limpert = np.sqrt(5 / 18) * flux * np.sqrt(seconds / (conductivity * density * specific))
    LIMPERT.agrees("peak of a deep rotor's face in one stop", limpert, exact, "K", rel=0.01)


def test_the_half_space_by_its_own_integral():
    """Surface under q(t) = q0 (1 - t/ts): Duhamel's integral of 1/sqrt(pi k rho c (t - s)), greatest at ts/2."""
    flux, seconds, conductivity, density, specific = 1e6, 4.0, 50.0, 7200.0, 460.0
    scale = 1.0 / np.sqrt(np.pi * conductivity * density * specific)

    # With s = t - u^2 the root's pole goes.
    def at(t):
        return quad(lambda u: 2 * flux * (1 - (t - u * u) / seconds) * scale, 0, np.sqrt(t))[0]

    peak = max(at(t) for t in np.linspace(1.9, 2.1, 21))
    CARSLAW.agrees(
        "peak of a half-space under a falling flux",
        peak,
        heat.half_space_peak(flux, seconds, conductivity, density, specific),
        "K",
        rel=1e-6,
    )
    BY_HAND.agrees("peak of a half-space by Duhamel's integral", peak, at(2.0), "K", rel=1e-9)


def test_a_thick_slab_is_a_half_space():
    args = (1e6, 4.0)
    deep = heat.slab_peak(*args, 0.2, 50.0, 7200.0, 460.0)
    CARSLAW.agrees(
        "a thick slab is a half-space", heat.half_space_peak(*args, 50.0, 7200.0, 460.0), deep, "K", rel=1e-4
    )


@pytest.mark.parametrize("depth", [0.003, 0.006, 0.012])
def test_a_thin_slab_by_finite_differences(depth):
    flux, seconds, conductivity, density, specific = 2e6, 3.0, 50.0, 7200.0, 460.0
    n = 200
    dx = depth / n
    diffusivity = conductivity / (density * specific)

    def slope(t, temperature):
        d = np.empty_like(temperature)
        d[1:-1] = diffusivity * (temperature[2:] - 2 * temperature[1:-1] + temperature[:-2]) / dx**2
        q = flux * (1 - t / seconds)
        d[0] = 2 * diffusivity * (temperature[1] - temperature[0]) / dx**2 + 2 * q / (density * specific * dx)
        d[-1] = 2 * diffusivity * (temperature[-2] - temperature[-1]) / dx**2
        return d

    times = np.array([0.3, 1.0, 1.8, 3.0])
    solved = solve_ivp(slope, (0, seconds), np.zeros(n + 1), "BDF", times, rtol=1e-7, atol=1e-6)
    told = heat.slab_surface_rise(times, flux, seconds, depth, conductivity, density, specific)
    SCIPY.agrees("face of a thin slab by finite differences", solved.y[0], told, "K", rel=1e-3)
    # What the slab holds in the end is what went in.
    mean = flux * seconds / 2 / (density * specific * depth)
    SCIPY.agrees(
        "mean of a thin slab by finite differences", mean, simpson(solved.y[:, -1], dx=dx) / depth, "K", rel=1e-3
    )


def test_cooling_is_limperts_formula():
    """0.70 (k/D) Re^0.55 up to Re = 2.4e5, 0.040 (k/D) Re^0.8 beyond, from memory."""
    for speed, form in ((5.0, (0.70, 0.55)), (30.0, (0.040, 0.8))):
        reynolds = speed * 0.26 / heat.AIR_VISCOSITY
        by_hand = form[0] * heat.AIR_CONDUCTIVITY / 0.26 * reynolds ** form[1]
        LIMPERT.agrees(
            "cooling coefficient of a rotor in the wind", by_hand, heat.cooling_coefficient(speed, 0.26), "W/(m2 K)"
        )
    assert heat.cooling_coefficient(0.0, 0.26) == heat.STILL_AIR


def test_the_air_at_30_degrees():
    """Sutherland's viscosity and the conductivity of the standard atmosphere; rounded to two and three figures here."""
    kelvin = 303.15
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    density = 101325.0 * 28.9644 / (8314.32 * kelvin)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12.0 / kelvin))
    ATMOSPHERE.agrees(
        "kinematic viscosity of air at 30 degC", 1e6 * viscosity / density, 1e6 * heat.AIR_VISCOSITY, "mm2/s", abs=0.05
    )
    ATMOSPHERE.agrees("conductivity of air at 30 degC", conductivity, heat.AIR_CONDUCTIVITY, "W/(m K)", abs=5e-5)


# ------------------------------------------------------------------ a second solver


def random_run(rng, wheels=4, fastest=55.0):
    bodies = Bodies(
        rng.uniform(800, 4000, wheels),
        rng.uniform(0.05, 0.3, wheels),
        rng.uniform(0.2, 0.35, wheels),
        rng.uniform(0.2, 0.9, wheels),
        rng.uniform(0.05, 0.12, wheels),
        rng.uniform(800, 4000, wheels),
        rng.uniform(0.02, 0.08, wheels),
        rng.uniform(0.5, 5.0, wheels),
        float(rng.uniform(-10, 35)),
    )
    pieces = []
    for _ in range(6):
        fast = float(rng.uniform(0.2, 1.0) * fastest)
        seconds = float(rng.uniform(1, 6))
        top = rng.uniform(5e3, 9e4, wheels)
        pieces.append(Piece(seconds, (fast, 2.0), (top, 0.1 * top)))
        pieces.append(Piece(float(rng.uniform(5, 70)), (2.0, fast), (0 * top, 0 * top)))
    pieces.append(Piece(200.0, (0.0, 0.0), (0 * top, 0 * top)))
    return bodies, pieces


@pytest.mark.parametrize(("fastest", "within"), [(10.0, 0.002), (55.0, 0.2)])
@pytest.mark.parametrize("seed", range(4))
def test_runs_agree_with_scipys_solver(seed, fastest, within):
    """Below 11 m/s no rotor here passes the jump of the cooling formula."""
    bodies, pieces = random_run(np.random.default_rng(seed), fastest=fastest)
    start = np.full(4, bodies.ambient)
    made = run(bodies, pieces, start, start)
    state = np.concatenate([start, start])
    for piece in pieces:

        def slope(t, y, piece=piece):
            part = t / piece.seconds
            speed = piece.speed[0] + (piece.speed[1] - piece.speed[0]) * part
            power = piece.power[0] + (piece.power[1] - piece.power[0]) * part
            h = heat.cooling_coefficient(speed, bodies.rotor_diameter)
            rotor, caliper = y[:4], y[4:]
            air = h * bodies.rotor_area * (rotor - bodies.ambient)
            air += (
                5.670374419e-8
                * bodies.emissivity
                * bodies.radiating_area
                * ((rotor + 273.15) ** 4 - (bodies.ambient + 273.15) ** 4)
            )
            through = bodies.coupling * (rotor - caliper)
            away = bodies.caliper_area * heat.cooling_coefficient(0.3 * speed, 0.1) * (caliper - bodies.ambient)
            return np.concatenate(
                [(power - air - through) / bodies.rotor_capacity, (through - away) / bodies.caliper_capacity]
            )

        state = solve_ivp(slope, (0, piece.seconds), state, "DOP853", rtol=1e-10, atol=1e-8, max_step=0.5).y[:, -1]
    SCIPY.agrees("temperatures of the rotors at the end of a run", state[:4], made.rotor[-1], "degC", abs=within)
    SCIPY.agrees("temperatures of the calipers at the end of a run", state[4:], made.caliper[-1], "degC", abs=within)


# ------------------------------------------------------------------ energy


@pytest.mark.parametrize("seed", range(6))
def test_energy_is_kept(seed):
    """Heat put in, by its own sum, is what is stored and what the losses add up to, by Simpson's rule."""
    bodies, pieces = random_run(np.random.default_rng(100 + seed))
    start = np.full(4, bodies.ambient)
    made = run(bodies, pieces, start, start)
    assert made.imbalance(bodies) < 1e-12
    put_in = sum(piece.seconds * (piece.power[0] + piece.power[1]) / 2 for piece in pieces)
    BY_HAND.agrees("heat put into all rotors", put_in, made.heat_in[-1], "J", rel=1e-12)
    stored = bodies.rotor_capacity * (made.rotor[-1] - start) + bodies.caliper_capacity * (made.caliper[-1] - start)
    flows = np.array(
        [
            sum(bodies.losses(r, c, v)[k] for k in (0, 2))
            for r, c, v in zip(made.rotor, made.caliper, made.speed, strict=True)
        ]
    )
    lost = simpson(flows, x=made.time, axis=0)
    BY_HAND.agrees("heat stored and lost", stored + lost, put_in, "J", rel=1e-2)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("stops", [Stops(), Stops(1), Stops(20, 45.0, 15.0, 0.8, 30.0)])
def test_the_stops_of_a_car_bring_its_motion_into_its_rotors(name, stops):
    one = parts(name)
    told = stops_run(one, stops)
    mass = loading_of(one.car).weight / STANDARD_GRAVITY * (1 + one.brakes.rotating)
    by_hand = stops.count * 0.5 * mass * (stops.fast**2 - stops.slow**2)
    # The drag of the air over each stop, 1/2 rho CdA v^3 in time, is no heat of the brakes.
    rate = stops.rate * STANDARD_GRAVITY
    drag = stops.count * 0.5 * 1.2 * one.brakes.drag_area * (stops.fast**4 - stops.slow**4) / 4 / rate
    BY_HAND.agrees("heat brought in by the stops of a car", by_hand - drag, told.energy_kj * 1e3, "J", rel=2e-3)
    assert told.imbalance < 1e-12


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_lap_and_bedding_keep_their_energy_too(name):
    one = parts(name)
    rows = tuple(LapRow(float(t), 30.0 + 12.0 * np.cos(t / 8.0)) for t in np.arange(0.0, 100.0, 0.5))
    told = lap_run(one, Lap("invented lap", rows), 4)
    mass = loading_of(one.car).weight / STANDARD_GRAVITY * (1 + one.brakes.rotating)
    falls = sum(max(0.0, a.speed**2 - b.speed**2) for a, b in pairwise(rows))
    assert told.imbalance < 1e-12
    share = told.energy_kj * 1e3 / (4 * 0.5 * mass * falls)
    BY_HAND.holds("heat of a lap over the fall of its kinetic energy", share, at_least=0.3, at_most=1.001)
    schedule = bedding(one)
    bodies = bodies_of(one, 20.0)
    assert (schedule.peaks[-1] > 60.0).all()
    assert bodies.rotor_capacity.shape == (4,)
