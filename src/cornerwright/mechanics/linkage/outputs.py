"""What a linkage says of its wheels: angles, places, lengths and the paths of its points.

Angles and signs: ISO 8855 and `mechanics.heading`, in body axes. Of each quantity a `Series` for
each wheel is made; how many parameters it is differentiated by is the motion's business.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.layout import CARRIER, Joint, Layout, Line, Rod, Wheel
from cornerwright.mechanics.linkage.members import Members
from cornerwright.mechanics.linkage.motion import Motion
from cornerwright.mechanics.linkage.series import Series, atan2, cross, derivative, dot, unit
from cornerwright.mechanics.linkage.structure import HALVES
from cornerwright.mechanics.linkage.turning import turning_rate, turning_under

Array = NDArray[np.float64]

SECOND = ("x", "y", "camber", "toe", "caster", "kingpin", "scrub", "trail", "contact_x", "contact_y")
"""Columns of a wheel that come with second derivatives; so do the lengths of all links."""

FIRST = ("roll_centre", "brake_path", "drive_path")
"""Columns of a wheel with first derivatives only; so are the angles of all joints."""


def columns_of(layout: Layout) -> tuple[str, ...]:
    """Names of everything a linkage can say; links and joints by their own names."""
    links = dict.fromkeys(link.name for link in layout.links)
    joints = dict.fromkeys(joint.name for joint in layout.joints)
    return (*SECOND, *FIRST, *links, *joints)


class Outputs:
    """The columns of one motion. Body-fixed places are in body axes, from the car's own origin."""

    def __init__(self, motion: Motion) -> None:
        self.motion = motion
        self.members = Members(motion)
        self.layout = motion.frame.structure.layout
        self._wheels = [WheelOutputs(self, i) for i in range(len(self.layout.wheels))]

    def columns(self, names: Iterable[str]) -> dict[str, list[Series | None]]:
        """For each name a series (n) for each wheel, None where a wheel has no such thing."""
        wanted = list(names)
        known = columns_of(self.layout)
        for name in wanted:
            if name not in known:
                raise ValueError(f"no column {name!r}; there are {', '.join(known)}")
        found: dict[str, list[Series | None]] = {}
        if wanted:
            self.gather(wanted)
        lengths = self._lengths(wanted)
        angles = self._angles(wanted)
        for name in wanted:
            if name in lengths:
                found[name] = lengths[name]
            elif name in angles:
                found[name] = angles[name]
            else:
                found[name] = [getattr(wheel, name) for wheel in self._wheels]
        return found

    def gather(self, wanted: list[str]) -> None:
        """Work out together the points that these columns need."""
        index = self.motion.frame.structure.index
        names = [wheel.centre for wheel in self.layout.wheels]
        for link in self.layout.links:
            if link.name in wanted:
                names += [link.start, link.end]
        self.members.gather(index(name) for name in names)

    def _lengths(self, wanted: list[str]) -> dict[str, list[Series | None]]:
        links = [link for link in self.layout.links if link.name in wanted]
        found: dict[str, list[Series | None]] = {link.name: [None] * len(self._wheels) for link in links}
        if links:
            index = self.motion.frame.structure.index
            rows = [index(link.start) for link in links] + [index(link.end) for link in links]
            ends = self.members.points(np.array(rows, dtype=np.intp))
            many = ends.at(slice(len(links), None)) - ends.at(slice(len(links)))
            length = dot(many, many).sqrt()
            for i, link in enumerate(links):
                found[link.name][link.wheel] = length[i]
        return found

    def _angles(self, wanted: list[str]) -> dict[str, list[Series | None]]:
        joints = [joint for joint in self.layout.joints if joint.name in wanted]
        found: dict[str, list[Series | None]] = {joint.name: [None] * len(self._wheels) for joint in joints}
        for joint in joints:
            found[joint.name][joint.wheel] = self._angle(joint)
        return found

    def _ends(self, member: str) -> tuple[str, str] | None:
        """Names of the two points that give a rod, a line or a link its direction."""
        for one in self.layout.constraints:
            if one.name == member and isinstance(one, Rod):
                return one.body, one.carrier
            if one.name == member and isinstance(one, Line):
                return one.along
        for rocker in self.layout.rockers:
            if rocker.rod == member:
                return rocker.eye, rocker.drive
        for link in self.layout.links:
            if link.name == member:
                return link.start, link.end
        return None

    def _angle(self, joint: Joint) -> Series:
        """Angle (n) [rad] between the two directions of a joint, with first derivatives."""
        frame = self.motion.frame
        reference, structure = frame.reference, frame.structure
        ends = [self._ends(member) for member in joint.members]
        default: Array | None = None
        for pair in ends:
            if pair is not None:
                start, end = (reference.points[:, structure.index(name)] for name in pair)
                default = end - start
        if joint.direction is not None:
            default = np.array(joint.direction)[:, None]
        if default is None:
            raise ValueError(f"joint {joint.name}: its direction is not given")
        lines = []
        for i, (member, pair) in enumerate(zip(joint.members, ends, strict=True)):
            if pair is not None:
                lines.append(unit(self._between(pair)))
                continue
            given = default
            if i == 1 and joint.housing is not None:
                given = np.array(joint.housing)[:, None]
            given = given / np.sqrt(np.sum(given**2, axis=0))
            lines.append(self.members.vector(member, given).order(1))
        return angle_between(lines[0].order(1), lines[1].order(1), self.motion.n)

    def _between(self, ends: tuple[str, str]) -> Series:
        index = self.motion.frame.structure.index
        both = self.members.points(np.array([index(ends[0]), index(ends[1])], dtype=np.intp))
        both = both.order(1)
        return Series(both.value[:, 1] - both.value[:, 0], both.first[:, :, 1] - both.first[:, :, 0], None)


def angle_between(a: Series, b: Series, n: int) -> Series:
    """Angle (n) [rad] of two unit vectors, to first order.

    Where they coincide the angle has its least value and a kink; its slope is given as zero there.
    """
    over = cross(a, b)
    sine = np.broadcast_to(np.sqrt(np.einsum("x...,x...->...", over.value, over.value)), (n,))
    cosine = dot(a, b)
    safe = np.where(sine > 1e-12, sine, np.inf)
    rise = np.einsum("kx...,x...->k...", over.first, over.value) / safe
    level = np.broadcast_to(cosine.value, (n,))
    return Series(np.arctan2(sine, level), rise * level - sine * cosine.first, None)


class WheelOutputs:
    """The columns of one wheel, each worked out when first asked for."""

    def __init__(self, outputs: Outputs, number: int) -> None:
        self.outputs = outputs
        self.motion = outputs.motion
        self.wheel: Wheel = outputs.layout.wheels[number]
        self.number = number

    @cached_property
    def centre(self) -> Series:
        """Wheel centre (3, n) [m] from the linkage's origin."""
        return self.outputs.members.point(self.wheel.centre)

    @cached_property
    def spin(self) -> Series:
        """Spin axis (3, n), pointing outboard."""
        motion, i = self.motion, self.number
        reference, side = motion.frame.reference, self.wheel.side
        tilt = reference.tilt[:, :, i]
        camber = reference.camber[i] + tilt[0] @ motion.parameters
        toe = reference.toe[i] + tilt[1] @ motion.parameters
        flat = np.cos(camber)
        own = np.stack([np.sin(toe) * flat, side * np.cos(toe) * flat, -np.sin(camber)])
        first = None
        if tilt.any():
            with_camber = np.stack([-np.sin(toe) * np.sin(camber), -side * np.cos(toe) * np.sin(camber), -flat])
            with_toe = np.stack([np.cos(toe) * flat, -side * np.sin(toe) * flat, np.zeros_like(flat)])
            used = tilt[:, motion.used, None, None]
            first = (used[0] * with_camber + used[1] * with_toe)[:, :, None]
        share = None
        if motion.frame.share is not None:
            share = np.array([HALVES[self.wheel.member]])
        turned = motion.carried(own[:, None], first, share, free=True)
        second = None if turned.second is None else turned.second[:, :, :, 0]
        return Series(turned.value[:, 0], turned.first[:, :, 0], second)

    @cached_property
    def contact(self) -> Series:
        """Lowest point of the wheel (3, n) [m] from the linkage's origin, body level."""
        u = self.spin
        down = u * u[2:3]
        lift = np.zeros((3, 1))
        lift[2] = 1.0
        return self.centre + unit(down.plus(-lift)).times(self.motion.frame.reference.radius[self.number])

    @cached_property
    def x(self) -> Series:
        """Wheel centre, forward [m]."""
        return self.centre[0].plus(self.motion.frame.reference.origin[0])

    @cached_property
    def y(self) -> Series:
        """Wheel centre, to the left [m]."""
        return self.centre[1].plus(self.motion.frame.reference.origin[1])

    @cached_property
    def contact_x(self) -> Series:
        """Contact point, forward [m]."""
        return self.contact[0].plus(self.motion.frame.reference.origin[0])

    @cached_property
    def contact_y(self) -> Series:
        """Contact point, to the left [m]."""
        return self.contact[1].plus(self.motion.frame.reference.origin[1])

    @cached_property
    def camber(self) -> Series:
        """Camber [rad], negative = top inboard."""
        z = self.spin[2]
        flat = np.sqrt(1.0 - z.value**2)
        return z.of(-np.arcsin(z.value), -1.0 / flat, -z.value / flat**3)

    @cached_property
    def toe(self) -> Series:
        """Toe [rad], positive = toe-in."""
        return atan2(self.spin[0], self.spin[1].times(float(self.wheel.side)))

    @cached_property
    def steering_axis(self) -> tuple[Series, Series] | None:
        """A point [m] and the upward direction (3, n) of the steering axis; None without one."""
        axis, members = self.wheel.axis, self.outputs.members
        if axis is None:
            return None
        if axis == "steer":
            structure = self.motion.frame.structure
            if not structure.layout.steered or structure.coordinates > 6:
                return None
            rack = self.motion.frame.reference.shift.shape[0] - 1
            velocity, turning = turning_under(self.motion, rack)
            point = cross(turning, velocity) * dot(turning, turning).reciprocal().along()
            return self.motion.place + point, turning.times(np.sign(turning.value[2]))
        upper, lower = members.point(axis[0]), members.point(axis[1])
        return lower, upper - lower

    @cached_property
    def caster(self) -> Series | None:
        """Caster [rad], positive = axis leans back at the top."""
        if self.steering_axis is None:
            return None
        along = self.steering_axis[1]
        return atan2(-along[0], along[2])

    @cached_property
    def kingpin(self) -> Series | None:
        """Steering axis (kingpin) inclination [rad], positive = axis leans inboard at the top."""
        if self.steering_axis is None:
            return None
        along = self.steering_axis[1]
        return atan2(along[1].times(-float(self.wheel.side)), along[2])

    @cached_property
    def _at_ground(self) -> Series | None:
        """Where the steering axis meets the ground, from the contact point (3, n) [m]."""
        if self.steering_axis is None:
            return None
        point, along = self.steering_axis
        fall = (self.contact[2] - point[2]) * along[2].reciprocal()
        return point + along * fall.along() - self.contact

    @cached_property
    def _outboard(self) -> Series:
        """Level unit vector (2, n) along the spin axis."""
        return unit(self.spin[0:2])

    @cached_property
    def scrub(self) -> Series | None:
        """Kingpin offset at ground [m], positive = axis meets the ground inboard of the contact."""
        if self._at_ground is None:
            return None
        return -dot(self._at_ground[0:2], self._outboard)

    @cached_property
    def trail(self) -> Series | None:
        """Caster trail at ground [m], positive = axis meets the ground ahead of the contact."""
        if self._at_ground is None:
            return None
        side = float(self.wheel.side)
        ground, out = self._at_ground, self._outboard
        return (ground[0] * out[1] - ground[1] * out[0]).times(side)

    @cached_property
    def roll_centre(self) -> Series:
        """Height [m] above the ground at which the contact's normal meets the car's centre plane.

        The contact's path is that of its own lift, or of the axle in roll. Source: the instant
        centre construction, Milliken, Race Car Vehicle Dynamics, ch. 17, from memory.
        """
        sides = np.array([float(wheel.side) for wheel in self.outputs.layout.wheels])
        along = sides if sides.size > 1 else np.ones(1)
        y, z = derivative(self.contact[1], along), derivative(self.contact[2], along)
        return self.contact_y.order(1) * y * z.reciprocal()

    @cached_property
    def drive_path(self) -> Series:
        """Side view angle [rad] of the wheel centre's path as both wheels rise, positive = forward."""
        along = np.ones(self.motion.lifts)
        return atan2(derivative(self.centre[0], along), derivative(self.centre[2], along))

    @cached_property
    def brake_path(self) -> Series:
        """Side view angle [rad] of the path of the contact, fixed in the carrier as by its brake.

        Both wheels rise; positive = forward, which is anti-dive at the front axle.
        """
        motion = self.motion
        along = np.ones(motion.lifts)
        turning = turning_rate(motion, along)
        if motion.frame.share is not None:
            axis = self.outputs.members.vector(CARRIER, motion.frame.reference.twist_axis).order(1)
            own = derivative(motion.twist, along).times(HALVES[self.wheel.member])
            turning = turning + axis * own.along()
        lever = (self.contact - self.centre).order(1)
        speed = derivative(self.centre, along) + cross(turning, lever)
        return atan2(speed[0], speed[2])
