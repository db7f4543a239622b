"""A third road to a linkage's pose: the multibody engine MuJoCo (version 4.0.0 at the time of writing).

The mechanism is written as an MJCF model of separate bodies: every rod is a body on a ball joint, an
arm or a rocker a body on a hinge, the rack a body on a slide, a twist beam two halves on a hinge; a
strut is a ball joint with a slide, a lower arm's ball a `connect`. A jack under each wheel, three
slides, is connected with its centre. All frames coincide with the car's at the reference pose.

What MuJoCo provides: the places and turnings of all bodies from its joint coordinates, the
residuals `efc_pos` and the Jacobian `efc_J` of its own equality constraints, the integration of
joint velocities on their manifold (`mj_integratePos`), the lengths of springs and dampers as
spatial tendons, and the Jacobians of places and turnings, which give how all of it goes with lift
and rack. Its dynamics is not used, since its constraints are soft there. What is added here is
Gauss and Newton's method: the step of least length that makes the residuals vanish, repeated until
they do.
"""

import math
from dataclasses import dataclass, field

import mujoco
import numpy as np
from linkage_cases import WISHBONES

STRIDE = 0.02
"""Longest step of a lift or the rack on the way [m]."""

SETTLED = 1e-13
"""Greatest constraint residual [m] of a pose that is accepted."""


class UnreachableError(Exception):
    """The pose was not found on the way from the reference."""


def numbers(values):
    return " ".join(repr(float(one)) for one in values)


@dataclass
class Part:
    """A body of the model and what hangs on it."""

    name: str
    joints: list = field(default_factory=list)
    sites: list = field(default_factory=list)
    children: list = field(default_factory=list)

    def joint(self, sort, at=(0.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), name=""):
        named = f'name="{name}" ' if name else ""
        along = "" if sort == "ball" else f'axis="{numbers(axis)}"'
        self.joints.append(f'<joint {named}type="{sort}" pos="{numbers(at)}" {along}/>')

    def site(self, name, at, more=""):
        self.sites.append(f'<site name="{name}" pos="{numbers(at)}" {more}/>')

    def part(self, name):
        self.children.append(Part(name))
        return self.children[-1]

    def text(self):
        inside = "".join((*self.joints, *self.sites, *(child.text() for child in self.children)))
        return inside if self.name == "world" else f'<body name="{self.name}">{inside}</body>'


class Writer:
    """MJCF text of a case at its reference pose."""

    def __init__(self, case):
        self.case, self.at = case, {name: np.array(place) for name, place in case.points.items()}
        self.world = Part("world")
        self.parts = {"body": self.world}
        self.equalities = []
        self._carrier()
        self._arms()
        for name, member in case.members.items():
            if member in self.parts:
                self.parts[member].site(name, self.at[name])
        self._rods()
        self._rest()
        self._wheels()

    def _connect(self, one, other):
        self.equalities.append(f'<connect site1="{one}" site2="{other}"/>')

    def _drive(self, joint):
        self.equalities.append(f'<joint name="{joint}" joint1="{joint}" polycoef="0 0 0 0 0"/>')

    def _carrier(self):
        """The carrier hangs by its hinge, its pin or its strut; otherwise it is free."""
        case, at = self.case, self.at
        if case.kind == "twist_beam":
            left = self.parts["left_half"] = self.world.part("left_half")
            left.joint("free")
            right = self.parts["right_half"] = left.part("right_half")
            right.joint("hinge", at["beam_centre"], (0.0, 1.0, 0.0))
            return
        if case.lines:
            ((top, (low, high)),) = case.lines
            strut = self.world.part("strut")
            strut.joint("ball", at[top])
            carrier = strut.part("carrier")
            carrier.joint("slide", axis=at[high] - at[low])
        else:
            carrier = self.world.part("carrier")
            if case.hinges:
                (near, far), _ = case.hinges[0]
                carrier.joint("hinge", at[near], at[far] - at[near])
            elif case.pins:
                carrier.joint("ball", at[case.pins[0][0]])
            else:
                carrier.joint("free")
        self.parts["carrier"] = carrier

    def _arms(self):
        """Wishbones carry a ball joint. Other arms only follow theirs, along and across their axis."""
        case, at = self.case, self.at
        for name, (origin, end), ball in case.arms:
            along = at[end] - at[origin]
            arm = self.parts[name] = self.world.part(name)
            arm.joint("hinge", at[origin], along)
            hand = arm
            if name not in WISHBONES.get(case.kind, ()):
                lever = at[ball] - at[origin]
                hand = arm.part(f"{name}.hand")
                hand.joint("slide", axis=along)
                hand.joint("slide", axis=lever - along * (lever @ along) / (along @ along))
            hand.site(f"{name}.{ball}", at[ball])
            self._connect(f"{name}.{ball}", ball)
        for name, (origin, end), *_ in case.rockers:
            self.parts[name] = self.world.part(name)
            self.parts[name].joint("hinge", at[origin], at[end] - at[origin])

    def _rods(self):
        case = self.case
        ground = self.world
        if case.steered:
            (axis,) = {tuple(move) for move in case.steered.values()}
            ground = self.world.part("rack")
            ground.joint("slide", axis=axis, name="rack")
            self._drive("rack")
        carried = [f"{arm}_{end}" for arm in WISHBONES.get(case.kind, ()) for end in ("front", "rear")]
        for name, inner, outer in case.rods:
            if name not in carried:
                self._rod(name, ground if inner in case.steered else self.world, inner, outer)
        for _, _, rod, drive, eye in case.rockers:
            self._rod(rod, self.parts[case.members[drive]], drive, eye)

    def _rod(self, name, parent, start, end):
        rod = parent.part(f"rod {name}")
        rod.joint("ball", self.at[start])
        rod.site(f"end of {name}", self.at[end])
        self._connect(f"end of {name}", end)

    def _rest(self):
        """Sleeves on pillars, and the two bushes of a twist beam, which share the side force."""
        for point, (low, high) in self.case.sliders:
            sleeve = self.world.part(f"sleeve {point}")
            sleeve.joint("slide", axis=self.at[high] - self.at[low])
            sleeve.site(f"sleeve {point}", self.at[point])
            self._connect(f"sleeve {point}", point)
        if self.case.kind == "twist_beam":
            for side in ("left", "right"):
                bush = self.world.part(f"{side}_bush")
                bush.joint("slide", axis=(0.0, 1.0, 0.0), name=f"{side}_bush")
                bush.site(f"{side}_bush", self.at[f"{side}_pivot"])
                self._connect(f"{side}_bush", f"{side}_pivot")
            self.equalities.append('<joint joint1="left_bush" joint2="right_bush" polycoef="0 -1 0 0 0"/>')

    def _wheels(self):
        for i, wheel in enumerate(self.case.wheels):
            flat = math.cos(wheel.camber)
            spin = (
                math.sin(wheel.toe) * flat,
                wheel.side * math.cos(wheel.toe) * flat,
                -math.sin(wheel.camber),
            )
            self.parts[wheel.member].site(f"hub{i}", self.at[wheel.point], f'zaxis="{numbers(spin)}"')
            jack = self.world.part(f"jack{i}")
            for axis, name in (((0, 0, 1), f"jack{i}"), ((1, 0, 0), ""), ((0, 1, 0), "")):
                jack.joint("slide", axis=axis, name=name)
            jack.site(f"jack{i}", self.at[wheel.point])
            self._connect(f"jack{i}", f"hub{i}")
            self._drive(f"jack{i}")

    def text(self):
        links = "".join(
            f'<spatial name="{name}.{wheel}"><site site="{start}"/><site site="{end}"/></spatial>'
            for name, start, end, wheel in self.case.links
        )
        return f"""<mujoco>
<compiler boundmass="1" boundinertia="1" angle="radian"/>
<option jacobian="dense"><flag contact="disable"/></option>
<worldbody>{self.world.text()}</worldbody>
<tendon>{links}</tendon>
<equality>{"".join(self.equalities)}</equality>
</mujoco>"""


class Engine:
    """A compiled model, and Newton's method on its constraints."""

    def __init__(self, case):
        self.case = case
        self.model = mujoco.MjModel.from_xml_string(Writer(case).text())
        self.data = mujoco.MjData(self.model)
        self.drives = [self.model.equality(f"jack{i}").id for i in range(len(case.wheels))]
        if case.steered:
            self.drives.append(self.model.equality("rack").id)
            self.per_metre = float(np.linalg.norm(next(iter(case.steered.values()))))

    def constraints(self):
        """Residuals and Jacobian at the present pose."""
        mujoco.mj_fwdPosition(self.model, self.data)
        rows = self.data.nefc
        return self.data.efc_pos, self.data.efc_J.reshape(rows, self.model.nv)

    def drive(self, lifts, rack):
        """What the jacks and the rack are to hold."""
        wanted = list(lifts)
        if self.case.steered:
            wanted.append(rack * self.per_metre)
        self.model.eq_data[self.drives, 0] = wanted

    def close(self, most=12):
        """Newton's method; True when the constraints hold."""
        for _ in range(most):
            residual, jacobian = self.constraints()
            if np.abs(residual).max() < 1e-15:
                break
            step = np.linalg.lstsq(jacobian, -residual, rcond=1e-12)[0]
            mujoco.mj_integratePos(self.model, self.data.qpos, step, 1.0)
            if np.abs(step).max() < 1e-12:
                break
        residual, _ = self.constraints()
        return bool(np.abs(residual).max() < SETTLED)

    def follow(self, lifts, rack):
        """From the reference in short steps. Raises UnreachableError."""
        self.data.qpos[:] = self.model.qpos0
        steps = max(1, math.ceil(max(np.abs(lifts).max(), abs(rack)) / STRIDE))
        for i in range(steps + 1):
            self.drive(np.asarray(lifts) * i / steps, rack * i / steps)
            if not self.close():
                worst = np.abs(self.data.efc_pos).max()
                raise UnreachableError(f"residual {worst:.1e} at {i / steps:.2f} of the way")

    def columns(self):
        """Column -> one value a wheel [m, rad]; nan where there is none."""
        data, wheels = self.data, self.case.wheels
        said = {name: [] for name in ("x", "y", "camber", "toe", "caster", "kingpin")}
        axis = self.steering()
        for i, wheel in enumerate(wheels):
            hub = data.site(f"hub{i}")
            spin = hub.xmat.reshape(3, 3)[:, 2]
            said["x"].append(float(hub.xpos[0]))
            said["y"].append(float(hub.xpos[1]))
            said["camber"].append(math.atan2(-spin[2], math.hypot(spin[0], spin[1])))
            said["toe"].append(math.atan2(spin[0], wheel.side * spin[1]))
            said["caster"].append(math.nan if axis is None else math.atan2(-axis[0], axis[2]))
            said["kingpin"].append(math.nan if axis is None else math.atan2(-wheel.side * axis[1], axis[2]))
        for name, _, _, wheel in self.case.links:
            said.setdefault(name, [math.nan] * len(wheels))
            said[name][wheel] = float(data.ten_length[self.model.tendon(f"{name}.{wheel}").id])
        return said

    def steering(self):
        """Upward along the steering axis; where no points give it, about which the rack turns."""
        steering, data = self.case.steering, self.data
        if steering is None:
            return None
        if steering != "steer":
            return data.site(steering[0]).xpos - data.site(steering[1]).xpos
        turned = self._turning("carrier") @ self._under_drives()[:, -1]
        return turned * math.copysign(1.0, turned[2])

    def _under_drives(self):
        """Joint velocities (nv, d) per metre of each lift, then of the rack, the others held."""
        _, jacobian = self.constraints()
        ids = self.data.efc_id[: self.data.nefc]
        pull = (ids[:, None] == np.array(self.drives)).astype(float)
        if self.case.steered:
            pull[:, -1] *= self.per_metre
        return np.linalg.lstsq(jacobian, pull, rcond=1e-12)[0]

    def _turning(self, body):
        turning = np.zeros((3, self.model.nv))
        mujoco.mj_jacBody(self.model, self.data, None, turning, self.model.body(body).id)
        return turning

    def _path(self, site):
        path = np.zeros((3, self.model.nv))
        mujoco.mj_jacSite(self.model, self.data, path, None, self.model.site(site).id)
        return path

    def rates(self):
        """`x'` and so on: how a column goes with each lift, then the rack [m/m, rad/m], by wheel."""
        data, wheels = self.data, self.case.wheels
        driven = self._under_drives()
        said = {name: [] for name in ("x'", "y'", "camber'", "toe'")}
        for i, wheel in enumerate(wheels):
            path = self._path(f"hub{i}") @ driven
            spin = data.site(f"hub{i}").xmat.reshape(3, 3)[:, 2]
            tip = np.cross((self._turning(wheel.member) @ driven).T, spin).T
            level = spin[0] ** 2 + spin[1] ** 2
            said["x'"].append(path[0])
            said["y'"].append(path[1])
            said["camber'"].append(-tip[2] / math.sqrt(level))
            said["toe'"].append(wheel.side * (tip[0] * spin[1] - spin[0] * tip[1]) / level)
        for name, start, end, wheel in self.case.links:
            said.setdefault(f"{name}'", [np.full(driven.shape[1], math.nan) for _ in wheels])
            gap = data.site(end).xpos - data.site(start).xpos
            apart = (self._path(end) - self._path(start)) @ driven
            said[f"{name}'"][wheel] = gap @ apart / np.linalg.norm(gap)
        return said


def answers(case, lifts, rack, travel):
    """What the linkage says at each of some poses: columns, or the text why it was not reached."""
    if np.any(travel):
        raise ValueError("adjusters are not part of the model")
    engine = Engine(case)
    found = []
    for lift, steer in zip(lifts, rack, strict=True):
        try:
            engine.follow(lift, steer)
        except UnreachableError as why:
            found.append(str(why))
        else:
            found.append(engine.columns() | engine.rates())
    return found
