"""How hot the brakes get: each rotor one lump with its caliper behind it, heated by stops, cooled by the air.

All the car's lost energy goes into the rotors. A rotor loses heat to the air, by radiation, and through
pads and pistons to its caliper, where the fluid is; the caliper loses heat to the air. Temperatures are in
degC, w wheels are the last axis. Specific heat is taken as constant, at its value for a cool rotor, so hot
rotors come out too hot rather than too cool.

Sources: Limpert, Brake Design and Safety, chapter on thermal analysis (lumped rotor; cooling coefficient of a
turning disc in the air stream), from memory; Carslaw and Jaeger, Conduction of Heat in Solids, sections 2.9
and 3.8 (half-space and slab under a given flux), from memory. Proof: tests/outside/test_rotor_heating.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8  # [W/(m2 K4)], CODATA 2018
ZERO = 273.15  # [K] at 0 degC
AIR_CONDUCTIVITY = 0.0265  # [W/(m K)] at about 30 degC (U.S. Standard Atmosphere, 1976)
AIR_VISCOSITY = 1.6e-5  # [m2/s] kinematic, at about 30 degC
STILL_AIR = 5.0
"""Least cooling coefficient [W/(m2 K)], standing: 3 to 5 is what rotors at rest were measured to have
(Topouris et al., Strojniski vestnik 66 (2020) 15-28, abstract)."""
TURBULENT = 2.4e5
"""Reynolds number of the rotor's diameter from which the turbulent formula holds (Limpert, from memory)."""
SHELTER = 0.3
"""Speed of the air at a caliper inside its wheel over the car's (our own rough figure)."""
STEP, IDLE_STEP = 1.0, 2.0
"""Longest steps of the integration [s], brakes on and off."""


def cooling_coefficient(speed: ArrayLike, diameter: ArrayLike) -> Array:
    """Heat transfer [W/(m2 K)] of a turning solid rotor's faces at this road speed [m/s]; diameter [m].

    0.70 (k/D) Re^0.55 up to Re = 2.4e5, 0.040 (k/D) Re^0.8 beyond; never less than in still air.
    Source: Limpert, as above, from memory.
    """
    speed, diameter = np.asarray(speed, dtype=float), np.asarray(diameter, dtype=float)
    reynolds = np.maximum(speed, 0.0) * diameter / AIR_VISCOSITY
    over = AIR_CONDUCTIVITY / diameter
    forced = over * np.where(reynolds <= TURBULENT, 0.70 * reynolds**0.55, 0.040 * reynolds**0.8)
    return np.asarray(np.maximum(forced, STILL_AIR))


@dataclass(frozen=True)
class Bodies:
    """Rotors and calipers of w wheels."""

    rotor_capacity: Array
    """(w,) [J/K]"""
    rotor_area: Array
    """(w,) [m2] that the air cools, vanes included"""
    rotor_diameter: Array
    """(w,) [m]"""
    emissivity: Array
    """(w,) of the faces, [1]"""
    radiating_area: Array
    """(w,) [m2] that sees the surroundings; vanes do not"""
    caliper_capacity: Array
    """(w,) [J/K]"""
    caliper_area: Array
    """(w,) [m2]"""
    coupling: Array
    """(w,) [W/K] from rotor to caliper, through pads and pistons"""
    ambient: float
    """[degC]"""

    @cached_property
    def _constants(self) -> tuple[Array, Array, Array]:
        """Share of the road speed (2 w,) that rotors and calipers feel, how far across they are, how they glow (w,)."""
        # A caliper is no disc; the same formula for a body a tenth of a metre across, for want of a better.
        w = self.rotor_diameter.size
        wind = np.concatenate([np.ones(w), np.full(w, SHELTER)])
        across = np.concatenate([self.rotor_diameter, np.full(w, 0.1)])
        return wind, across, self.emissivity * self.radiating_area * STEFAN_BOLTZMANN

    def losses(self, rotor: Array, caliper: Array, speed: float) -> tuple[Array, Array, Array]:
        """Heat flows [W] (w,): rotor to air, rotor to caliper, caliper to air."""
        w = rotor.size
        wind, across, glow = self._constants
        cooling = cooling_coefficient(speed * wind, across)
        air = self.rotor_area * cooling[:w] * (rotor - self.ambient)
        air = air + glow * ((rotor + ZERO) ** 4 - (self.ambient + ZERO) ** 4)
        through = self.coupling * (rotor - caliper)
        away = self.caliper_area * cooling[w:] * (caliper - self.ambient)
        return air, through, away


@dataclass(frozen=True)
class Piece:
    """A stretch of a run: speed [m/s] and brake power [W] (w,) go straight from start to end."""

    seconds: float
    speed: tuple[float, float]
    power: tuple[Array, Array]


@dataclass(frozen=True)
class Heating:
    """A run, sample by sample."""

    time: Array
    """(n,) [s]"""
    speed: Array
    """(n,) [m/s]"""
    rotor: Array
    """(n, w) [degC]"""
    caliper: Array
    """(n, w) [degC]"""
    heat_in: Array
    """(n, w) [J] since the start"""
    heat_out: Array
    """(n, w) [J] to the air since the start"""

    def imbalance(self, bodies: Bodies) -> float:
        """Greatest part of the heat put in that is neither stored nor lost, [1]: what the integration errs by."""
        stored = bodies.rotor_capacity * (self.rotor - self.rotor[0])
        stored = stored + bodies.caliper_capacity * (self.caliper - self.caliper[0])
        off = np.abs(self.heat_in - self.heat_out - stored)
        scale = np.maximum(np.maximum(self.heat_in, np.abs(self.heat_out)), 1.0)
        return float((off / scale).max())


def joined(runs: Sequence[Heating]) -> Heating:
    """Runs of which each began where the one before it ended, as one."""
    if len(runs) == 1:
        return runs[0]
    fields: dict[str, Array] = {}
    for name, grows in (("time", 1), ("speed", 0), ("rotor", 0), ("caliper", 0), ("heat_in", 1), ("heat_out", 1)):
        parts: list[Array] = [getattr(runs[0], name)]
        offset = parts[0][-1]
        for one in runs[1:]:
            values = getattr(one, name)[1:]
            parts.append(values + offset if grows else values)
            offset = parts[-1][-1] if values.size else offset
        fields[name] = np.concatenate(parts)
    return Heating(**fields)


def run(bodies: Bodies, pieces: Sequence[Piece], rotor: Array, caliper: Array) -> Heating:
    """Integrate the pieces one after the other from these temperatures (w,) [degC].

    Fourth order Runge-Kutta in steps of a second or two at most, each ending where a piece ends; rotor
    and caliper change over minutes, so the error is below a hundredth of a degree, and about a tenth where the
    speed passes the jump of the cooling formula. Heat put in is taken from the power itself, heat lost is
    integrated beside the temperatures.
    """
    w = rotor.size
    state = np.concatenate([rotor, caliper, np.zeros(w)])
    time, brought = 0.0, np.zeros(w)
    rows = [(time, pieces[0].speed[0] if pieces else 0.0, state.copy(), brought.copy())]
    for piece in pieces:
        if piece.seconds <= 0.0:
            continue
        idle = not (piece.power[0].any() or piece.power[1].any())
        count = max(1, int(np.ceil(piece.seconds / (IDLE_STEP if idle else STEP))))
        step = piece.seconds / count
        for k in range(count):
            state = _stepped(bodies, piece, state, k / count, step)
            middle = _between(piece.power, (k + 0.5) / count)
            brought = brought + step * middle
            time += step
            rows.append((time, _mix(piece.speed, (k + 1) / count), state.copy(), brought.copy()))
    states = np.stack([row[2] for row in rows])
    return Heating(
        time=np.array([row[0] for row in rows]),
        speed=np.array([row[1] for row in rows]),
        rotor=states[:, :w],
        caliper=states[:, w : 2 * w],
        heat_in=np.stack([row[3] for row in rows]),
        heat_out=states[:, 2 * w :],
    )


def _stepped(bodies: Bodies, piece: Piece, state: Array, at: float, step: float) -> Array:
    """One Runge-Kutta step; at: share of the piece that is done."""
    part = step / piece.seconds
    first = rates(bodies, state, _mix(piece.speed, at), _between(piece.power, at))
    half = at + part / 2
    speed, power = _mix(piece.speed, half), _between(piece.power, half)
    second = rates(bodies, state + step / 2 * first, speed, power)
    third = rates(bodies, state + step / 2 * second, speed, power)
    end = at + part
    fourth = rates(bodies, state + step * third, _mix(piece.speed, end), _between(piece.power, end))
    return np.asarray(state + step / 6 * (first + 2 * second + 2 * third + fourth))


def rates(bodies: Bodies, state: Array, speed: float, power: Array) -> Array:
    """Change per second of (3 w,): rotor and caliper temperatures [K/s], heat lost to the air [W]."""
    w = power.size
    air, through, away = bodies.losses(state[:w], state[w : 2 * w], speed)
    return np.concatenate(
        [(power - air - through) / bodies.rotor_capacity, (through - away) / bodies.caliper_capacity, air + away]
    )


def _mix(ends: tuple[float, float], at: float) -> float:
    return ends[0] + (ends[1] - ends[0]) * at


def _between(ends: tuple[Array, Array], at: float) -> Array:
    return np.asarray(ends[0] + (ends[1] - ends[0]) * at)


# ------------------------------------------------------------------ one stop


def stop_energy(mass: float, fast: float, slow: float, rotating: float = 0.0) -> float:
    """Energy [J] that braking from fast to slow [m/s] takes out of a car of this mass [kg].

    rotating [1]: what turning wheels and shafts add to the mass.
    """
    return 0.5 * mass * (1.0 + rotating) * (fast**2 - slow**2)


def mean_rise(energy: ArrayLike, capacity: ArrayLike) -> Array:
    """Rise [K] of a rotor of this heat capacity [J/K] that keeps all of the energy [J]."""
    return np.asarray(np.asarray(energy, dtype=float) / capacity)


def half_space_peak(flux: float, seconds: float, conductivity: float, density: float, heat: float) -> float:
    """Greatest surface rise [K] of a deep body under a flux that falls evenly from `flux` [W/m2] to none.

    It comes at half the time: 4 / (3 sqrt(2 pi)) q0 sqrt(ts / (k rho c)); Limpert prints sqrt(5/18) =
    0.527 for the constant 0.532. conductivity [W/(m K)], density [kg/m3], heat [J/(kg K)].
    """
    return float(4.0 / (3.0 * np.sqrt(2.0 * np.pi)) * flux * np.sqrt(seconds / (conductivity * density * heat)))


TERMS = 400


def slab_surface_rise(
    time: ArrayLike, flux: float, seconds: float, depth: float, conductivity: float, density: float, heat: float
) -> Array:
    """Rise [K] of the rubbed face at these times [s] (0 to `seconds`), same shape as time.

    A slab of this depth [m], nothing passing its other face (the middle of a solid rotor, the inner face of
    a vented one), under a flux that falls evenly from `flux` [W/m2] to none in `seconds`. Duhamel's sum
    over the answer to a constant flux, Carslaw and Jaeger section 3.8, from memory.
    """
    time = np.asarray(time, dtype=float)
    spread = conductivity / (density * heat) / depth**2  # [1/s]
    n2 = (np.arange(1, TERMS + 1) * np.pi) ** 2
    fo = np.asarray(spread * time)[..., None]
    fade = np.exp(-n2 * fo)
    # The sum over all n of 2/n2 is 1/3; what lies beyond TERMS has long settled.
    tail = 1.0 / 3.0 - (2.0 / n2).sum()
    step = fo[..., 0] + ((2.0 / n2) * (1.0 - fade)).sum(axis=-1) + tail
    area_under = fo[..., 0] ** 2 / 2 + ((2.0 / n2) * (fo - (1.0 - fade) / n2)).sum(axis=-1) + tail * fo[..., 0]
    return np.asarray(flux * depth / conductivity * (step - area_under / (spread * seconds)))


def slab_peak(flux: float, seconds: float, depth: float, conductivity: float, density: float, heat: float) -> float:
    """Greatest rise [K] of the rubbed face during one stop; arguments as for `slab_surface_rise`."""
    times = np.linspace(0.0, seconds, 201)[1:]
    return float(slab_surface_rise(times, flux, seconds, depth, conductivity, density, heat).max())
