"""A second road to a linkage's pose: natural coordinates and SciPy's root finder.

A rigid body is known by one of its points and two unit vectors fixed in it, nine numbers held
together by three products; any of its points is a linear combination of these and their vector
product (Garcia de Jalon and Bayo, Kinematic and Dynamic Simulation of Multibody Systems, ch. 2,
from memory). No rotation matrix, turning or angle takes part. A point on a line has its place
along the line as one more unknown, so every equation is a polynomial; a twist beam is two bodies
with a hinge between them. Plain loops over floats; SciPy's hybrid Powell method (MINPACK hybrj),
led from the reference pose in short steps, with slopes by complex steps, which are exact here.
"""

import math

import numpy as np
from scipy import optimize

STRIDE = 0.02
"""Longest step of a lift or the rack on the way [m]."""

SETTLED = 1e-13
"""Greatest residual [m, or 1 for the unit vectors] of a pose that is accepted."""


class UnreachableError(Exception):
    """The pose was not found on the way from the reference."""


def add(a, b, scale=1.0):
    return a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2]


def sub(a, b):
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a, b):
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def unit(a):
    return add((0.0, 0.0, 0.0), a, 1.0 / math.sqrt(dot(a, a)))


class Body:
    """Natural coordinates: a point, the forward and the upward vector."""

    def __init__(self, x):
        self.point, self.forward, self.up = x[0:3], x[3:6], x[6:9]
        self.left = cross(self.up, self.forward)

    def at(self, r):
        """A point given from the body's own, in its vectors."""
        return add(add(add(self.point, self.forward, r[0]), self.left, r[1]), self.up, r[2])

    def rigid(self):
        return dot(self.forward, self.forward) - 1, dot(self.up, self.up) - 1, dot(self.forward, self.up)


class Equations:
    """The equations of a linkage with its adjusters, rack and lifts at one place on the way."""

    def __init__(self, case, lifts, rack, travel):
        self.case = case
        self.origin = case.points[case.wheels[0].point]
        self.halves = 2 if case.kind == "twist_beam" else 1
        self.heights = [case.points[wheel.point][2] + lift for wheel, lift in zip(case.wheels, lifts, strict=True)]
        self.points = dict(case.points)
        self.growth = {}
        self.angles = [(wheel.camber, wheel.toe) for wheel in case.wheels]
        for adjuster, t in zip(case.adjusters, travel, strict=True):
            for name, move in adjuster.points.items():
                self.points[name] = add(self.points[name], move, t)
            for name, change in adjuster.rods.items():
                self.growth[name] = self.growth.get(name, 0.0) + change * t
            for i, (camber, toe) in adjuster.wheels.items():
                self.angles[i] = self.angles[i][0] + camber * t, self.angles[i][1] + toe * t
        for name, move in case.steered.items():
            self.points[name] = add(self.points[name], move, rack)
        self.lengths = {
            name: math.dist(case.points[a], case.points[b]) + self.growth.get(name, 0.0) for name, a, b in case.rods
        }
        # Points of the carrier from its own, those of the body as they are.
        self.own = {name: sub(place, self.origin) for name, place in self.points.items()}

    def start(self):
        """Unknowns at the reference: the bodies, then the places along lines."""
        case = self.case
        bodies = [*self.origin, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0] * self.halves
        along = []
        for point, (a, b) in (*case.lines, *case.sliders):
            line = sub(case.points[b], case.points[a])
            along.append(dot(sub(case.points[point], case.points[a]), line) / dot(line, line))
        return [*bodies, *along, *(0.0 for _ in case.hinges), *([0.0, 0.0] if self.halves == 2 else [])]

    def bodies(self, x):
        return [Body(x[9 * i : 9 * i + 9]) for i in range(self.halves)]

    def body_of(self, bodies, member):
        return bodies[1] if member == "right_half" else bodies[0]

    def residuals(self, x):
        """As many polynomials as unknowns."""
        case, points, own = self.case, self.points, self.own
        bodies = self.bodies(x)
        carrier = bodies[0]
        rest = x[9 * self.halves :]
        out = [one for body in bodies for one in body.rigid()]
        for name, inner, outer in case.rods:
            gap, length = sub(carrier.at(own[outer]), points[inner]), self.lengths[name]
            out.append((dot(gap, gap) - length * length) / (2.0 * length))
        k = 0
        for point, (a, b) in case.lines:
            start, end = carrier.at(own[a]), carrier.at(own[b])
            out += sub(points[point], add(start, sub(end, start), rest[k]))
            k += 1
        for point, (a, b) in case.sliders:
            line = sub(points[b], points[a])
            out += sub(carrier.at(own[point]), add(points[a], line, rest[k]))
            k += 1
        for point, mount in case.pins:
            out += sub(carrier.at(own[point]), points[mount])
        for (near, far), (near_mount, far_mount) in case.hinges:
            # The far bush may slide in its mount, along the axis at the reference.
            bore = sub(case.points[far_mount], case.points[near_mount])
            out += sub(carrier.at(own[near]), points[near_mount])
            out += sub(carrier.at(own[far]), add(points[far_mount], bore, rest[k]))
            k += 1
        if self.halves == 2:
            out += self._beam(bodies, rest[k:])
        for wheel, height in zip(case.wheels, self.heights, strict=True):
            out.append(self.body_of(bodies, wheel.member).at(own[wheel.point])[2] - height)
        return out

    def _beam(self, bodies, slides):
        """Bushes that share the side force, and the hinge about the beam's own axis."""
        out = []
        for body, side, slide in zip(bodies, ("left", "right"), slides, strict=True):
            mount = self.points[f"{side}_pivot.body"]
            out += sub(body.at(self.own[f"{side}_pivot"]), add(mount, (0.0, slide, 0.0)))
        out.append(slides[0] + slides[1])
        middle = self.own["beam_centre"]
        out += sub(bodies[0].at(middle), bodies[1].at(middle))
        out += [dot(bodies[0].left, bodies[1].forward), dot(bodies[0].left, bodies[1].up)]
        return out

    def slopes(self, x):
        """Jacobian by complex steps."""
        columns = []
        for k in range(len(x)):
            there = [complex(one) for one in x]
            there[k] += 1e-30j
            columns.append([complex(one).imag * 1e30 for one in self.residuals(there)])
        return np.array(columns).T

    def solve(self, start, tolerance):
        found = optimize.root(
            lambda x: self.residuals(x.tolist()),
            start,
            jac=lambda x: self.slopes(x.tolist()),
            method="hybr",
            options={"xtol": tolerance},
        )
        return found.x


def follow(case, lifts, rack, travel):
    """Where a linkage comes to. Raises UnreachableError."""
    greatest = max(np.abs(lifts).max(), abs(rack), np.abs(travel).max(initial=0.0))
    steps = max(2, math.ceil(greatest / STRIDE))
    before = here = np.array(Equations(case, 0 * lifts, 0.0, 0 * travel).start())
    swung = dict.fromkeys((name for name, *_ in case.rockers), 0.0)
    for i in range(1, steps + 1):
        share = i / steps
        there = Equations(case, lifts * share, rack * share, travel * share)
        found = there.solve(2.0 * here - before, 1e-14 if i == steps else 1e-9)
        residual = max(map(abs, there.residuals(found.tolist())))
        if not residual < (SETTLED if i == steps else 1e-6):
            raise UnreachableError(f"residual {residual:.1e} at {share:.2f} of the way")
        before, here = here, found
        pose = Pose(there, here.tolist())
        for name, angle in swung.items():
            swung[name] = pose.swing(name, angle)
    return pose


class Pose:
    """What can be measured at a closed linkage."""

    def __init__(self, there, x):
        self.equations, self.case, self.x = there, there.case, x
        self.bodies = there.bodies(x)
        self.swung = {}

    def place(self, name):
        """A point [m], wherever it is."""
        member = self.case.members[name]
        if member == "body":
            return self.equations.points[name]
        if member in {"carrier", "left_half", "right_half"}:
            return self.equations.body_of(self.bodies, member).at(self.equations.own[name])
        for arm, axis, ball in self.case.arms:
            if arm == member:
                return self._on_arm(name, axis, ball)
        return self._on_rocker(member, name, self.swung[member])

    def _on_arm(self, name, axis, ball):
        """The arm's own three directions, along its axis and out to its ball, then and now."""
        before, now = self.case.points, self.equations.points
        then = _directions(before[axis[0]], before[axis[1]], before[ball])
        today = _directions(now[axis[0]], now[axis[1]], self.place(ball))
        arm = sub(now[name], before[axis[0]])
        place = now[axis[0]]
        for old, new in zip(then, today, strict=True):
            place = add(place, new, dot(old, arm))
        return place

    def _on_rocker(self, rocker, name, angle):
        """A point turned about the rocker's axis (Rodrigues' formula)."""
        axis = next(one[1] for one in self.case.rockers if one[0] == rocker)
        origin, end = (self.equations.points[one] for one in axis)
        along, arm = unit(sub(end, origin)), sub(self.equations.points[name], origin)
        turned = add((0.0, 0.0, 0.0), arm, math.cos(angle))
        turned = add(turned, cross(along, arm), math.sin(angle))
        turned = add(turned, along, dot(along, arm) * (1.0 - math.cos(angle)))
        return add(origin, turned)

    def swing(self, rocker, before):
        """Angle [rad] of a rocker at which its rod has its length, near the one before."""
        _, _, rod, drive, eye = next(one for one in self.case.rockers if one[0] == rocker)
        length = math.dist(self.case.points[drive], self.case.points[eye])
        length += self.equations.growth.get(rod, 0.0)
        end = self.place(drive)

        def gap(angle):
            return math.dist(self._on_rocker(rocker, eye, angle), end) - length

        found = optimize.root(lambda a: gap(float(a[0])), [before], options={"xtol": 1e-14})
        angle = float(found.x[0])
        if not abs(gap(angle)) < SETTLED:
            raise UnreachableError(f"the rod {rod} does not reach")
        self.swung[rocker] = angle
        return angle

    def columns(self):
        """Column -> one value a wheel [m, rad]; nan where there is none."""
        said = {name: [] for name in ("x", "y", "camber", "toe", "caster", "kingpin")}
        for wheel, (camber, toe) in zip(self.case.wheels, self.equations.angles, strict=True):
            centre = self.place(wheel.point)
            body = self.equations.body_of(self.bodies, wheel.member)
            spin = (
                math.sin(toe) * math.cos(camber),
                wheel.side * math.cos(toe) * math.cos(camber),
                -math.sin(camber),
            )
            spin = sub(body.at(spin), body.point)
            said["x"].append(centre[0])
            said["y"].append(centre[1])
            said["camber"].append(math.atan2(-spin[2], math.hypot(spin[0], spin[1])))
            said["toe"].append(math.atan2(spin[0], wheel.side * spin[1]))
            axis = self._steering()
            said["caster"].append(math.atan2(-axis[0], axis[2]) if axis else math.nan)
            said["kingpin"].append(math.atan2(-wheel.side * axis[1], axis[2]) if axis else math.nan)
        for name, start, end, wheel in self.case.links:
            said.setdefault(name, [math.nan] * len(self.case.wheels))
            said[name][wheel] = math.dist(self.place(start), self.place(end))
        return said

    def _steering(self):
        """Upward along the steering axis; by the rack where no points give it."""
        steering = self.case.steering
        if steering is None:
            return None
        if steering != "steer":
            return sub(self.place(steering[0]), self.place(steering[1]))
        rack = self.equations
        moved = Equations(self.case, [0.0] * len(self.case.wheels), 1.0, [0.0] * len(self.case.adjusters))
        push = {name: sub(moved.points[name], self.case.points[name]) for name in self.case.steered}
        # Only rods are steered; a rod's equation goes with its inner end by its direction.
        pull = np.zeros(len(self.x))
        for k, (name, inner, outer) in enumerate(self.case.rods):
            if inner in push:
                gap = sub(self.place(outer), rack.points[inner])
                pull[3 * rack.halves + k] = dot(gap, push[inner]) / rack.lengths[name]
        rate = np.linalg.solve(rack.slopes(self.x), pull)
        forward, up = tuple(rate[3:6]), tuple(rate[6:9])
        body = self.bodies[0]
        left = add(cross(up, body.forward), cross(body.up, forward))
        # Turning vector of a triad from its rates: half the sum of e x de.
        turning = (0.0, 0.0, 0.0)
        for e, change in ((body.forward, forward), (body.left, left), (body.up, up)):
            turning = add(turning, cross(e, change), 0.5)
        return turning if turning[2] > 0 else add((0.0, 0.0, 0.0), turning, -1.0)


def _directions(origin, end, ball):
    along = unit(sub(end, origin))
    lever = sub(ball, origin)
    out = unit(add(lever, along, -dot(along, lever)))
    return along, out, cross(along, out)


def answers(case, lifts, rack, travel):
    """What the linkage says at each of some poses: columns, or the text why it was not reached."""
    found = []
    for pose in zip(lifts, rack, travel, strict=True):
        try:
            found.append(follow(case, *pose).columns())
        except UnreachableError as why:
            found.append(str(why))
    return found
