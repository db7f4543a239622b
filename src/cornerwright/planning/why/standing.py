"""A number of the car at rest: its value, what it is made of, and how sure it is, by the car's unknowns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.report import KINDS as READING_KINDS
from cornerwright.assembly.report import key_of, shown, standing, wheel_rates
from cornerwright.assembly.rig import Loose, Rig, Variant, loose_in
from cornerwright.mechanics.springs import ride_frequency
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.reading import Gauges, Reading, Readings
from cornerwright.model.results_why import WhyCause, WhyDoubt, WhyInput
from cornerwright.model.units import ANGLE, FORCE, KINDS, LENGTH, RATE, SHARE, WEIGHT, Kind, to_document
from cornerwright.planning.learn import NUDGE, Belief, learn
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.why.car_fields import fields_of
from cornerwright.planning.why.explained import Explained, unit_of

Array = NDArray[np.float64]

MOST = 8
"""Causes of doubt that are told."""
LEAST_SHARE = 0.005
"""Share of the variance below which a cause is not told."""

READING_OF = {key_of(name): name for name in READING_KINDS}
"""Reading behind a key: `camber` behind `camber_deg`; a weight's first key is in kg."""
CAR_KEYS = {"front_percent": "front_share", "left_percent": "left_share", "cross_weight_percent": "cross_weight"}
OWN_KINDS: dict[str, Kind] = {
    "load_n": FORCE,
    "load_kg": WEIGHT,
    "lift_mm": LENGTH,
    "spring_load_n": FORCE,
    "stop_gap_mm": LENGTH,
    "wheel_rate_n_per_mm": RATE,
    "total_kg": WEIGHT,
    "front_percent": SHARE,
    "left_percent": SHARE,
    "pitch_deg": ANGLE,
    "roll_deg": ANGLE,
    "residual_n": FORCE,
}


@dataclass(frozen=True)
class Standing:
    """The car at rest as it is believed to be."""

    rig: Rig
    belief: Belief
    reading: Reading | None
    loose: Loose
    variant: Variant
    stance: Stance
    at: Outputs

    @classmethod
    def of(cls, car: Car, readings: Readings | Reading | None) -> Standing:
        """As the file has it, or as its readings say. Raises Refusal for a car that does not stand or fit them."""
        rig = Rig(as_it_stands(car, readings))
        belief = learn(rig, readings)
        if belief.verdict not in ("fitted", "nothing read"):
            raise Refusal.of(f"readings that the car file does not fit ({belief.verdict})", "see cornerwright learn")
        reading = readings.latest if isinstance(readings, Readings) else readings
        loose = Loose() if reading is None else loose_in(reading.state)
        variant = rig.vary(unknowns=belief.mean, loose=loose)
        stance = variant.stand()
        if not stance.stands[0]:
            raise Refusal.of("a car that does not stand on its wheels", "springs that carry it; see cornerwright check")
        return cls(rig, belief, reading, loose, variant, stance, outputs(variant, stance, gradients=False))

    def value(self, key: str, corner: CornerName | None) -> float | None:
        """The number, in trade units; None where it is not known."""
        found = float(_values(self.variant, self.stance, self.at, key, corner)[0])
        return _in_trade(found, key) if np.isfinite(found) else None

    def inputs(self, explained: Explained, key: str, corner: CornerName | None) -> tuple[WhyInput, ...]:
        """What goes into the number, as it is for this car."""
        told = standing(self.variant, self.stance, self.at)
        own = {} if corner is None else told.corners[corner].model_dump()
        both = told.model_dump() | own
        found = []
        for name in explained.answers:
            if both.get(name) is not None:
                found.append(WhyInput(name=name, value=both[name], unit=unit_of(name), comes_from="computed"))
        found += [
            WhyInput(name=name, value=_in_trade(value, name), unit=unit_of(name), comes_from="computed")
            for name, value in self._parts(key, corner).items()
        ]
        found += fields_of(self.rig.car, explained.file, corner)
        name = READING_OF.get(key, "load" if key == "load_n" else "")
        if self.reading is not None and corner is not None:
            read = self.reading.corners[corner].taken().get(name)
            if read is not None:
                value = _in_trade(read, key)
                found.append(WhyInput(name=f"{corner}.{name}", value=value, unit=unit_of(key), comes_from="reading"))
        return tuple(found)

    def _parts(self, key: str, corner: CornerName | None) -> dict[str, float]:
        """Numbers between the file and the answer [SI] that no command shows by themselves, by a key with its unit."""
        kin = self.stance.kinematics
        if corner is None:
            shares = ("total_kg", "cg_height_mm", *CAR_KEYS)
            loads = {f"{name} load_kg": float(self.stance.load[0, i]) for i, name in enumerate(CORNERS)}
            return loads if key in shares else {}
        i = CORNERS.index(corner)
        if key in ("camber_deg", "toe_deg", "caster_deg"):
            angle = key.removesuffix("_deg")
            body = float(getattr(kin, angle).value[0, i])
            found = {f"{angle} against the body_deg": body}
            given = 0.0
            if angle in self.variant.compliance:
                give = self.variant.compliance[angle]
                given = float((give * (self.stance.load - self.rig.usual_load))[0, i])
                found["given by the bushes under load_deg"] = given
            found["by the body's roll and pitch_deg"] = float(self.at.corner[angle][0, i]) - body - given
            return found
        if key == "wheel_rate_n_per_mm":
            own = slice(i // 2 * 2, i // 2 * 2 + 2)
            return {
                "spring rate_n_per_mm": float(self.stance.spring_rate[0, i]),
                "motion ratio": float(kin.spring.first[0, i, own].sum()),
            }
        if key in ("droop_left_mm", "bump_left_mm", "stop_gap_mm", "spring_held_mm"):
            ends = self.at.window
            lifts = {"droop": ends.droop, "bump": ends.bump, "coil bind": ends.bind, "touch of the stop": ends.touch}
            found = {f"lift at {name}_mm": float(end.lift[0, i]) for name, end in lifts.items()}
            return {name: lift for name, lift in found.items() if np.isfinite(lift)}
        return {}

    def doubt(self, key: str, corner: CornerName | None) -> WhyDoubt:
        """Standard deviation of the number to first order, and what makes it: sigma² = J cov J'."""
        size = self.rig.unknowns.size
        spread = self.belief.mean + np.concatenate([np.zeros((1, size)), NUDGE * np.eye(size)])
        variant = self.rig.vary(unknowns=spread, loose=self.loose)
        stance = variant.stand(np.broadcast_to(self.stance.q, (size + 1, 7)))
        value = _values(variant, stance, outputs(variant, stance, gradients=False), key, corner)
        slope = (value[1:] - value[0]) / NUDGE
        variance = float(((slope @ self.belief.posterior_root()) ** 2).sum())
        read = bool(self.belief.keys)
        left = self.belief.sd()
        causes = []
        for block in self.rig.unknowns.blocks:
            moves = float(np.linalg.norm(slope[block.where] * left[block.where]))
            if moves**2 > LEAST_SHARE * variance:
                causes.append((moves, block))
        causes.sort(key=lambda one: -one[0])
        name = READING_OF.get(key, "load" if key == "load_n" else "")
        gauges = Gauges() if self.reading is None else self.reading.gauges
        gauge = getattr(gauges, name, None) if corner is not None or name == "cg_height" else None
        passes = len(self.belief.passes)
        unread = "the doubt that the car file gives its values, and the scatter of its jack tables; nothing read yet"
        after = f"what {passes} pass{'' if passes == 1 else 'es'} of readings left of the doubt in the car file"
        return WhyDoubt(
            sigma=_size(np.sqrt(variance), key),
            gauge=None if gauge is None else _size(gauge, key),
            comes_from=after if read else unread,
            causes=tuple(
                WhyCause(
                    what=block.label.replace("_", " "),
                    sigma=_of_block(block.scale * float(np.sqrt(np.mean(left[block.where] ** 2))), block.kind),
                    sigma_unit=KINDS[block.kind].unit if block.kind else "",
                    moves_by=_size(moves, key),
                    share_percent=None if read else float(f"{100 * moves**2 / variance:.3g}"),
                )
                for moves, block in causes[:MOST]
            ),
        )


def _values(variant: Variant, stance: Stance, at: Outputs, key: str, corner: CornerName | None) -> Array:
    """The number (n,) [SI] of every car of a batch."""
    if corner is None:
        return _of_car(stance, at, key)
    i = CORNERS.index(corner)
    if key in READING_OF:
        return at.corner[READING_OF[key]][:, i]
    lift = stance.q[:, 3 + i]
    if key in ("wheel_rate_n_per_mm", "ride_frequency_hz"):
        rate = wheel_rates(variant, stance)[:, i]
        rate = np.where(rate > 0, rate, np.nan)
        tyre = variant.inputs.tyre_rate[:, i]
        carried = stance.load[:, i] / GRAVITY - variant.inputs.unsprung_mass[:, i]
        swings = ride_frequency(rate * tyre / (rate + tyre), np.where(carried > 0, carried, np.nan))
        return np.asarray(rate if key == "wheel_rate_n_per_mm" else swings)
    stop = list(variant.rig.car.corners.values())[i].damper.bump_stop
    return {
        "load_n": stance.load[:, i],
        "lift_mm": lift,
        "spring_load_n": stance.spring_force[:, i],
        "stop_gap_mm": at.window.touch.lift[:, i] - lift if stop is not None else np.full(lift.shape, np.nan),
    }[key]


def _of_car(stance: Stance, at: Outputs, key: str) -> Array:
    if key in CAR_KEYS or key == "cg_height_mm":
        return at.car[CAR_KEYS.get(key, "cg_height")]
    return {
        "total_kg": np.asarray(stance.load.sum(axis=1)),
        "pitch_deg": stance.q[:, 1],
        "roll_deg": stance.q[:, 2],
        "residual_n": stance.residual,
    }[key]


def _kind(key: str) -> Kind | None:
    if key in OWN_KINDS:
        return OWN_KINDS[key]
    if key in READING_OF:
        return READING_KINDS[READING_OF[key]]
    if key in CAR_KEYS:
        return SHARE
    by_unit = {"mm": LENGTH, "°": ANGLE, "N/mm": RATE, "kg": WEIGHT, "N": FORCE}
    return by_unit.get(unit_of(key.split(" of ", maxsplit=1)[0]))


def _in_trade(value: float, key: str) -> float:
    kind = _kind(key)
    return float(f"{value:.10g}") if kind is None else shown(value, kind)


def _size(value: float, key: str) -> float:
    """A standard deviation in trade units, to four digits."""
    kind = _kind(key)
    return float(f"{float(value) if kind is None else to_document(float(value), kind):.4g}")


def _of_block(value: float, kind: str) -> float:
    return float(f"{to_document(value, kind) if kind else value:.4g}")
