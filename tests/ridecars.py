"""A car for the road, invented: what tests of ride share."""

import numpy as np

from cornerwright.mechanics.ride_car import RideCar


def ride_car(linear=False, **changes):
    """A light saloon; linear: springs and dampers without kinks, tyres that would pull are never reached."""
    grid = -0.12 + 0.0005 * np.arange(401)
    rate = np.array([19e3, 19e3, 23e3, 23e3])[:, None]
    held = np.array([2100.0, 2100.0, 1900.0, 1900.0])[:, None]
    force = held + rate * grid
    if not linear:
        force = force + 3e5 * np.maximum(grid - 0.045, 0.0) + 1e6 * np.maximum(grid - 0.065, 0.0)
        force = force - 1e6 * np.maximum(-0.07 - grid, 0.0)
    speeds = np.tile([-1.0, -0.1, 0.0, 0.08, 1.0], (4, 1))
    forces = np.tile([-2300.0, -550.0, 0.0, 250.0, 900.0], (4, 1))
    if linear:
        speeds, forces = np.tile([-1.0, 0.0, 1.0], (4, 1)), np.tile([-1900.0, 0.0, 1900.0], (4, 1))
    given = {
        "body_mass": 780.0,
        "pitch_inertia": 950.0,
        "roll_inertia": 260.0,
        "x": np.array([1.12, 1.12, -1.27, -1.27]),
        "y": np.array([0.69, -0.69, 0.67, -0.67]),
        "unsprung": np.array([31.0, 31.0, 28.0, 28.0]),
        "tyre_rate": np.full(4, 195e3),
        "tyre_damping": np.full(4, 150.0),
        "tyre_gap": np.full(4, -0.012),
        "bar_rate": np.array([11e3, 3.5e3]),
        "bar_offset": np.zeros(2),
        "first_lift": float(grid[0]),
        "lift_step": 0.0005,
        "force": force,
        "damper": np.array([0.35, 0.35, 0.36, 0.36])[:, None] - 0.93 * grid,
        "damper_speed": speeds,
        "damper_force": forces,
        "friction": np.full(4, 0.0 if linear else 60.0),
    }
    return RideCar(**(given | changes))


def straight_road(tracks, speed, step, wheelbase, rows):
    """Heights (rows, 4) under the wheels of a car at this speed [m/s]: the rear axle a wheelbase behind."""
    per = speed * step
    length = tracks.shape[1] * 0.05
    at = np.arange(tracks.shape[1]) * 0.05
    front = wheelbase + np.arange(rows) * per
    return np.stack(
        [np.interp((front - back) % length, at, tracks[side]) for back in (0.0, wheelbase) for side in (0, 1)],
        axis=-1,
    )
