"""Second road: the multibody engine MuJoCo (version 4.0.0 at the time of writing) drops the same car.

The body turns by finite angles; springs, stops, dampers and bars are tendons between places on body and wheels, tyres
are tendons to the ground that only push. Its own integrator (Runge and Kutta, fourth order) and equations of motion.
Not in it: friction and the damping of tyres, which it has in another form; they are held against SciPy instead.
"""

import mujoco
import numpy as np
import pytest

from cornerwright.mechanics.ride import drive
from cornerwright.mechanics.ride_rest import hanging, rest
from evidence import Outside
from ridecars import ride_car

MUJOCO = Outside("road and ride", "MuJoCo, multibody engine: a car that falls", "reference library")

HIGH, LOW = 0.55, 0.30
"""Heights of the body's centre of gravity and of the wheels' centres at the reference pose [m]."""
FAR = 1000.0
STOPS = ((3e5, 0.045), (1e6, 0.065))
"""Rate [N/m] and lift [m] from which `ride_car`'s bump stops push; its droop stop holds from -70 mm with 1 MN/m."""


def straight_dampers():
    """The car of the tests without what MuJoCo has in another form; its dampers one line each way."""
    speeds = np.tile([-9.0, 0.0, 9.0], (4, 1))
    forces = np.tile([-9.0 * 1900.0, 0.0, 9.0 * 1900.0], (4, 1))
    return ride_car(damper_speed=speeds, damper_force=forces, friction=np.zeros(4), tyre_damping=np.zeros(4))


def spring(name, rate, rest_length, sites, damping=0.0):
    inside = "".join(f'<site site="{site}"/>' for site in sites)
    given = {"name": name, "stiffness": repr(rate), "springlength": rest_length, "damping": repr(damping)}
    words = " ".join(f'{key}="{value}"' for key, value in given.items())
    return f"<spatial {words}>{inside}</spatial>"


def written(car):
    """MJCF of the car over level ground."""
    wheels, tendons, mounts = [], [], []
    apart = HIGH - LOW
    grid = car.first_lift + np.arange(car.force.shape[1]) * car.lift_step
    middle = int(np.argmin(np.abs(grid)))
    for i in range(4):
        x, y = float(car.x[i]), float(car.y[i])
        mounts.append(f'<site name="mount{i}" pos="{x!r} {y!r} 0"/>')
        wheels.append(
            f'<site name="ground{i}" pos="{x!r} {y!r} {LOW - 1.0!r}"/>'
            f'<body name="wheel{i}" pos="{x!r} {y!r} {LOW!r}"><joint name="w{i}" type="slide" axis="0 0 1"/>'
            f'<inertial pos="0 0 0" mass="{float(car.unsprung[i])!r}" diaginertia="1 1 1"/>'
            f'<site name="hub{i}" pos="0 0 0"/></body>'
        )
        ends = (f"mount{i}", f"hub{i}")
        rate = float((car.force[i, middle + 10] - car.force[i, middle]) / (10 * car.lift_step))
        held = float(car.force[i, middle])
        ratio = float((car.damper[i, 1] - car.damper[i, 0]) / car.lift_step)
        tendons.append(spring(f"spring{i}", rate, repr(apart + held / rate), ends, 1900.0 * ratio**2))
        for k, (stop, lift) in enumerate(STOPS):
            tendons.append(spring(f"bump{k}{i}", stop, f"{apart - lift!r} {FAR}", ends))
        tendons.append(spring(f"droop{i}", 1e6, f"0 {apart + 0.07!r}", ends))
        tyre = f"{1.0 - float(car.tyre_gap[i])!r} {FAR}"
        tendons.append(spring(f"tyre{i}", float(car.tyre_rate[i]), tyre, (f"ground{i}", f"hub{i}")))
    for axle in (0, 1):
        left, right = 2 * axle, 2 * axle + 1
        # Lift left less lift right, from the joints: wheels apart, and what the body's roll takes.
        across = float(car.y[right] - car.y[left])
        tendons.append(
            f'<fixed name="bar{axle}" stiffness="{float(car.bar_rate[axle])!r}" springlength="0">'
            f'<joint joint="w{left}" coef="1"/><joint joint="w{right}" coef="-1"/>'
            f'<joint joint="roll" coef="{across!r}"/></fixed>'
        )
    return f"""<mujoco>
<compiler angle="radian"/>
<option timestep="1e-4" integrator="RK4" gravity="0 0 -9.80665"><flag contact="disable" constraint="disable"/></option>
<worldbody>
<body name="body" pos="0 0 {HIGH}">
<joint name="heave" type="slide" axis="0 0 1"/><joint name="pitch" type="hinge" axis="0 1 0"/>
<joint name="roll" type="hinge" axis="1 0 0"/>
<inertial pos="0 0 0" mass="{car.body_mass!r}" diaginertia="{car.roll_inertia!r} {car.pitch_inertia!r} 1000"/>
{"".join(mounts)}</body>
{"".join(wheels)}
</worldbody>
<tendon>{"".join(tendons)}</tendon>
</mujoco>"""


def by_mujoco(car, start, speed, seconds, every):
    """Coordinates (m, 7) every so many of its steps, in our order."""
    model = mujoco.MjModel.from_xml_string(written(car))
    data = mujoco.MjData(model)
    data.qpos[:], data.qvel[:] = start, speed
    rows = []
    for step in range(round(seconds / model.opt.timestep)):
        if step % every == 0:
            rows.append(data.qpos.copy())
        mujoco.mj_step(model, data)
    return np.array(rows)


def test_it_stands_as_ours_does():
    car = straight_dampers()
    still = rest(car)
    model = mujoco.MjModel.from_xml_string(written(car))
    data = mujoco.MjData(model)
    data.qpos[:] = still.q
    mujoco.mj_forward(model, data)
    # A hundredth of a per cent of gravity.
    MUJOCO.apart("acceleration left where ours stands", float(np.abs(data.qacc).max()), "m/s2", 1e-3, data.qacc.size)


@pytest.mark.parametrize("height", [0.02, 0.35])
@pytest.mark.parametrize("askew", [False, True])
def test_dropped_on_the_ground(height, askew):
    """Level, and rolled and pitched by some degrees so that it lands on one wheel and throws the others up."""
    car = straight_dampers()
    start, speed = hanging(car), np.zeros(7)
    speed[[0, 3, 4, 5, 6]] = -np.sqrt(2 * 9.80665 * height)
    if askew:
        tilt = np.array([0.0, 0.02, 0.03])
        start[1:3] += tilt[1:]
        # Wheels keep their places on the body.
        start[3:] += -car.x * tilt[1] + car.y * tilt[2]
        up = max(0.0, -float((start[3:] + car.tyre_gap).min()))
        start[[0, 3, 4, 5, 6]] += up
    seconds, step = 1.0, 2e-4
    run = drive(car, np.zeros((1, round(seconds / step), 4)), step, start, speed)
    assert run.verdict.tolist() == ["done"]
    theirs = by_mujoco(car, start, speed, seconds, 2)
    assert theirs.shape == run.q[0].shape
    lift, other = run.lift[0], theirs @ car.reach.T
    size = np.ptp(lift)
    if height > 0.1:
        assert lift.max() > 0.065  # into both stops
        assert (run.load[0][1000:] == 0.0).any() or not askew
    # Level, both solve the same equations; askew the finite angles make their difference.
    allowed = 0.02 if askew else 0.003
    case = f"from {height * 1e3:.0f} mm{', askew' if askew else ''}"
    off = float(np.abs(lift - other).max() / size)
    MUJOCO.apart("lift of a wheel after a drop, over its range", off, "1", allowed, lift.size, case=case)
    off = float(np.abs(run.q[0, :, 0] - theirs[:, 0]).max() / np.ptp(theirs[:, 0]))
    MUJOCO.apart("height of the body after a drop, over its range", off, "1", allowed, len(theirs), case=case)
