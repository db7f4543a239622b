"""The one place where a car's document becomes arrays: a rig that can be varied and stood on its wheels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.axles import AxleBuilder, TwoBuilders, axle_builder
from cornerwright.assembly.jack_corner import FITTED, JackCorner
from cornerwright.assembly.motion import AxleMotion, AxlePartials, Rows, joined
from cornerwright.assembly.slots import Slot, settings_of, slots_of
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Kinematics, Linkages
from cornerwright.mechanics.springs import damper_law, spring_pack
from cornerwright.mechanics.stance import GRAVITY, Partials, Stance, StanceInputs, stand
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS, Damper
from cornerwright.model.reading import CarState

Array = NDArray[np.float64]


GAUGE_KINDS = {"height": "length", "camber": "angle", "toe": "angle", "caster": "angle", "damper_length": "length"}
"""Gauges that one zero error may run through, whatever corner they are used at."""


@dataclass(frozen=True)
class Loose:
    """What is not holding: bars unhooked (front, rear), rubber bushes slackened."""

    bars: tuple[bool, bool] = (False, False)
    bushes: bool = False


KILONEWTON = 1000.0

ALL_TIGHT = Loose()


def loose_in(state: CarState) -> Loose:
    """What was loose when the readings were taken."""
    bars = state.bars == "loose"
    return Loose((bars, bars), state.bushes == "loose")


def usual_load(car: Car) -> Array:
    """Load (4,) [N] that the file's weights put on each wheel, both axles shared left to right alike."""
    mass = car.mass
    front = np.array([mass.front, mass.front, 1 - mass.front, 1 - mass.front])
    side = np.array([mass.left, 1 - mass.left, mass.left, 1 - mass.left])
    return np.asarray(GRAVITY * mass.total * front * side)


class Rig:
    """A car as arrays. Variants of it differ in settings, in unknowns, and in what is loose."""

    def __init__(self, car: Car) -> None:
        self.car = car
        self.slots: tuple[Slot, ...] = slots_of(car)
        self.settings: Array = settings_of(self.slots)
        self.unknowns = UnknownList()
        corners = list(car.corners.values())
        doubt = car.doubt
        add = self.unknowns.add
        self._spring_rate = _block(
            [add(f"{n} spring rate", n, 1, doubt.spring_rate, "share", relative=True) for n in CORNERS]
        )
        self._free_length = _block([add(f"{n} spring free length", n, 1, doubt.free_length, "length") for n in CORNERS])
        self._tyre_rate = _block(
            [add(f"{n} tyre rate", n, 1, doubt.tyre_rate, "share", relative=True) for n in CORNERS]
        )
        self._height = _block([add(f"{n} height point", n, 1, doubt.height_point, "length") for n in CORNERS])
        self._bar = _block(
            [add(f"{n} bar rate", n, 1, doubt.bar_rate, "share", relative=True) for n in ("front", "rear")]
        )
        self._mass = add("total mass", "car", 1, doubt.total_mass, "share", relative=True).start
        self._front = add("front share of the weight", "car", 1, doubt.weight_share, "share").start
        self._left = add("left share of the weight", "car", 1, doubt.weight_share, "share").start
        self._cg = add("height of the centre of gravity", "car", 1, doubt.cg_height, "length").start
        self._given = {
            angle: np.array([getattr(corner, f"{angle}_compliance") for corner in corners])
            for angle in ("camber", "toe")
        }
        self._compliance = {
            angle: _block([add(f"{n} {angle} compliance", n, 1, own, "angle_per_force") for n in CORNERS])
            for angle, own in (("camber", doubt.camber_compliance), ("toe", doubt.toe_compliance))
        }
        self.gauge_zeros = {
            name: add(f"{name.replace('_', ' ')} gauge zero", "car", 1, getattr(doubt.gauge_zero, name), kind)
            for name, kind in GAUGE_KINDS.items()
        }
        self.gauge_zero_scale = {name: float(getattr(doubt.gauge_zero, name)) for name in GAUGE_KINDS}
        self._doubt = doubt
        self._axles: tuple[AxleBuilder, ...] = tuple(
            axle_builder(car, axle, self.slots, self.unknowns) for axle in (0, 1)
        )

        most = max(len(corner.spring.stack) for corner in corners)
        self._stack = np.full((3, 4, most), np.nan)
        for c, corner in enumerate(corners):
            for s, coil in enumerate(corner.spring.stack):
                self._stack[:, c, s] = (coil.rate, coil.free_length, coil.block_length)
        self._spacers = np.array([corner.spring.spacers for corner in corners])
        self.open = np.array([corner.damper.open for corner in corners])
        self.closed = np.array([corner.damper.closed for corner in corners])
        self.bump_length = np.array([bump_length(corner.damper) for corner in corners])
        """Damper length [m] at full bump: stop squeezed as far as its curve goes, or metal."""
        self.stop_touch = np.array(
            [
                corner.damper.closed + (corner.damper.bump_stop.length if corner.damper.bump_stop else 0.0)
                for corner in corners
            ]
        )
        self._damper_law = _alone(ForceLaw.stack([damper_law_of(corner.damper) for corner in corners]))
        self.height_points = np.array([tuple(corner.height_point.at) for corner in corners])
        self._tyre_radius = np.array([corner.tyre.free_radius for corner in corners])
        self._tyre = np.array([corner.tyre.rate for corner in corners])
        self._centre_height = np.array([corner.wheel.height for corner in corners])
        self._unsprung = np.array([corner.unsprung_mass for corner in corners])
        bushes = [corner.bushes for corner in corners]
        self._bush_rate = np.array([0.0 if one is None else one.rate for one in bushes])
        self._bush_lift = np.array([0.0 if one is None else one.clamped_at for one in bushes])
        bars = [axle.bar for axle in car.axles]
        self._bar_rate = np.array([0.0 if bar is None or not bar.connected else bar.rate for bar in bars])
        self._bar_neutral = np.array([0.0 if bar is None else bar.neutral for bar in bars])
        self._place_acts()

    def _place_acts(self) -> None:
        """How each adjuster moves spring seats, damper bodies and bars, per metre of its travel."""
        m = len(self.slots)
        self._seat = np.zeros((4, m))
        self._body = np.zeros((4, m))
        self._link = np.zeros((2, m))
        for k, slot in enumerate(self.slots):
            if slot.adjuster.kind == "bar_link":
                bar = self.car.axles[slot.axle].bar
                assert bar is not None  # a link belongs to a bar
                # A longer left link lets the left wheel hang lower before the bar is level again.
                self._link[slot.axle, k] = -bar.link_ratio
            elif slot.corner is None:
                continue
            elif slot.adjuster.kind == "perch":
                self._seat[slot.corner, k] = 1.0
            elif slot.adjuster.kind == "body":
                self._body[slot.corner, k] = 1.0
                around = list(self.car.corners.values())[slot.corner].spring.around_damper
                self._seat[slot.corner, k] = 1.0 if around else 0.0

    def jack_root(self, corner: int, column: str) -> Array:
        """(4, 4) change of a jack curve's coefficients per standard normal unknown of that column."""
        axle = self._axles[corner // 2]
        own = (axle.left, axle.right)[corner % 2] if isinstance(axle, TwoBuilders) else None
        if not isinstance(own, JackCorner):
            raise TypeError(f"corner {corner} has no jack table")
        return np.asarray(own.root[FITTED.index(column)])

    @property
    def usual_load(self) -> Array:
        """Load (4,) [N] that the file's weights put on each wheel, both axles shared left to right alike."""
        return usual_load(self.car)

    def vary(
        self,
        settings: Array | None = None,
        unknowns: Array | None = None,
        *,
        loose: Loose = ALL_TIGHT,
        settle: Array | None = None,
    ) -> Variant:
        """Variants of the car: settings (n|1, m) or (m,) [m], unknowns (n|1, p) or (p,).

        settle (n|1, 4) [m]: how far friction holds each wheel off its rest, in lift, with the force of its spring
        over that way.
        """
        a = np.atleast_2d(self.settings if settings is None else settings)
        z = np.atleast_2d(self.unknowns.nominal() if unknowns is None else unknowns)
        d = self._doubt
        travel = a - np.array([slot.adjuster.measured_at for slot in self.slots])
        rate_factor = np.exp(d.spring_rate * z[:, self._spring_rate])
        rates = self._stack[0] * rate_factor[:, :, None]
        free, block = np.broadcast_arrays(self._stack[1:2], rates)[0], self._stack[2:3]
        law = spring_pack(rates, free, np.broadcast_to(block, rates.shape), self._spacers)
        # A spring that is really longer, block and all, acts as a perch set further towards it; only the tape
        # between the seats sees the difference.
        longer = d.free_length * z[:, self._free_length]
        seat = travel @ self._seat.T + longer
        body = travel @ self._body.T
        motions = tuple(axle.vary(a, z) for axle in self._axles)
        if settle is not None:
            seat, longer = self._settled(motions, seat, longer, settle)
        points = np.broadcast_to(self.height_points, (z.shape[0], 4, 3)).copy()
        points[:, :, 2] += d.height_point * z[:, self._height]
        body_mass, body_cg = self._body_mass(z)
        bar_rate = np.where(loose.bars, 0.0, self._bar_rate) * np.exp(d.bar_rate * z[:, self._bar])
        inputs = StanceInputs(
            kinematics=_FourCorners(motions),
            spring_law=law,
            damper_law=self._damper_law,
            seat_offset=seat,
            body_offset=body,
            bar_rate=bar_rate,
            bar_offset=self._bar_neutral + travel @ self._link.T,
            bush_rate=np.where(loose.bushes, 0.0, self._bush_rate)[None],
            bush_lift=self._bush_lift[None],
            body_mass=body_mass,
            body_cg=body_cg,
            unsprung_mass=self._unsprung[None],
            centre_height=self._centre_height[None],
            tyre_radius=self._tyre_radius[None],
            tyre_rate=self._tyre * np.exp(d.tyre_rate * z[:, self._tyre_rate]),
        )
        compliance = {
            angle: (self._given[angle] + getattr(d, f"{angle}_compliance") * z[:, where]) / KILONEWTON
            for angle, where in self._compliance.items()
        }
        return Variant(self, inputs, motions, points, travel, longer, compliance)

    def _settled(
        self, motions: tuple[AxleMotion, ...], seat: Array, longer: Array, settle: Array
    ) -> tuple[Array, Array]:
        """Friction as a spring that seems longer by its share of the lift; the tape between the seats sees it."""
        first = _FourCorners(motions)(np.zeros((seat.shape[0] if seat.shape[0] > 1 else 1, 4))).spring.first
        pushed = settle * np.abs(np.einsum("nii->ni", first))
        return seat + pushed, longer + pushed

    def _body_mass(self, z: Array) -> tuple[Array, Array]:
        """Mass (n,) [kg] and centre of gravity (n, 3) [m] of what the springs carry."""
        mass, car, d = self.car.mass, self.car, self._doubt
        total = mass.total * np.exp(d.total_mass * z[:, self._mass])
        front = mass.front + d.weight_share * z[:, self._front]
        left = mass.left + d.weight_share * z[:, self._left]
        half_track = (front * car.front.track + (1 - front) * car.rear.track) / 2
        cg = np.stack(
            [
                -car.wheelbase * (1 - front),
                (2 * left - 1) * half_track,
                mass.cg_height + d.cg_height * z[:, self._cg],
            ],
            axis=1,
        )
        side = np.array([1.0, -1.0, 1.0, -1.0])
        track = np.repeat([car.front.track, car.rear.track], 2)
        x = np.repeat([0.0, -car.wheelbase], 2)
        centres = np.stack([x, side * track / 2, self._centre_height], axis=1)
        body = total - self._unsprung.sum()
        moment = total[:, None] * cg - (self._unsprung[:, None] * centres).sum(axis=0)
        return body, moment / body[:, None]

    @property
    def free_length(self) -> Array:
        """Seat distance (4,) [m] at which each stack is just held."""
        return np.asarray(np.nansum(self._stack[1], axis=1) + self._spacers)

    @property
    def bind_length(self) -> Array:
        """Seat distance (4,) [m] at which every spring of each stack is bound."""
        return np.asarray(np.nansum(self._stack[2], axis=1) + self._spacers)

    @property
    def seat_acts(self) -> Array:
        """(4, m) metres that each spring seat moves per metre of each adjuster."""
        return self._seat

    @property
    def body_acts(self) -> Array:
        """(4, m) metres by which each damper grows per metre of each adjuster."""
        return self._body

    @property
    def link_acts(self) -> Array:
        """(2, m) metres by which each bar's neutral lift difference moves per metre of each adjuster."""
        return self._link


@dataclass(frozen=True)
class Variant:
    """n variants of a car, ready to stand."""

    rig: Rig
    inputs: StanceInputs
    motions: tuple[AxleMotion, ...]
    height_points: Array
    """(n, 4, 3) body axes [m]"""
    travel: Array
    """(n|1, m) adjusters' travels from where the linkage was measured [m]"""
    longer: Array
    """(n|1, 4) by how much each spring stack is longer than its file says [m]"""
    compliance: dict[str, Array]
    """(n|1, 4) camber and toe that the bushes give [rad/N] for load above the rig's `usual_load`"""

    @property
    def count(self) -> int:
        """How many variants, n."""
        return int(self.inputs.seat_offset.shape[0])

    def stand(self, start: Array | None = None) -> Stance:
        """Static equilibrium of every variant."""
        return stand(self.inputs, start)

    def linkages_of(self, rows: Rows) -> Linkages:
        """The linkages of these variants (n,), as one function of their lifts (n, 4)."""
        return _FourCorners(tuple(motion.take(rows) for motion in self.motions))

    def linkage_partials(self, lifts: Array, rows: Rows | None = None) -> dict[str, AxlePartials]:
        """Dependence of every column on the adjusters at these lifts (n, 4), as (n, 4, m) and (n, 4, 4, m).

        rows (n,): the variant that each of them is a lift of, where it is not each one's in turn.
        """
        n, m = lifts.shape[0], len(self.rig.slots)
        found: dict[str, AxlePartials] = {}
        for axle, whole in enumerate(self.motions):
            motion = whole if rows is None else whole.take(rows)
            own = slice(2 * axle, 2 * axle + 2)
            for column, part in motion.partials(lifts[:, own]).items():
                both = found.setdefault(column, AxlePartials(np.zeros((n, 4, m)), np.zeros((n, 4, 4, m))))
                both.value[:, own] = part.value
                both.lift[:, own, own] = part.lift
        return found

    def partials(self, stance: Stance) -> Partials:
        """How the adjusters enter the equilibrium at this stance."""
        found = self.linkage_partials(stance.q[:, 3:])
        n, m = stance.q.shape[0], len(self.rig.slots)
        none = AxlePartials(np.zeros((n, 4, m)), np.zeros((n, 4, 4, m)))
        spring, damper, x, y = (found.get(c, none) for c in ("spring", "damper", "x", "y"))
        return Partials(
            seat_offset=self.rig.seat_acts[None],
            body_offset=self.rig.body_acts[None],
            bar_offset=self.rig.link_acts[None],
            spring=spring.value,
            spring_lift=spring.lift,
            damper=damper.value,
            damper_lift=damper.lift,
            x=x.value,
            x_lift=x.lift,
            y=y.value,
            y_lift=y.lift,
        )


class _FourCorners:
    """The axles' motions as the one function of four lifts that the stance asks for."""

    def __init__(self, motions: tuple[AxleMotion, ...]) -> None:
        self._motions = motions

    def __call__(self, lifts: Array) -> Kinematics:
        return joined([motion.at(lifts[:, 2 * i : 2 * i + 2]) for i, motion in enumerate(self._motions)])

    def take(self, rows: Rows) -> _FourCorners:
        """Only these variants."""
        return _FourCorners(tuple(motion.take(rows) for motion in self._motions))


def _block(slices: list[slice]) -> NDArray[np.intp]:
    return np.array([one.start for one in slices], dtype=np.intp)


def bump_length(damper: Damper) -> float:
    """Damper length [m] at full bump: its stop squeezed as far as the curve goes, or metal."""
    if damper.bump_stop is None:
        return damper.closed
    return damper.closed + damper.bump_stop.length - damper.bump_stop.curve[-1].squeeze


def damper_law_of(damper: Damper) -> ForceLaw:
    """Static force of one damper with its stop along its length."""
    stop = damper.bump_stop
    rows = () if stop is None else stop.curve
    return damper_law(
        damper.open,
        damper.closed,
        damper.gas_force,
        0.0 if stop is None else stop.length,
        np.array([0.0, *(row.squeeze for row in rows)]),
        np.array([0.0, *(row.force for row in rows)]),
    )


def _alone(law: ForceLaw) -> ForceLaw:
    """A law of four corners as a batch of one car."""
    return ForceLaw(law.knots[None], law.force[None], law.slope_below[None], law.slope_above[None])
