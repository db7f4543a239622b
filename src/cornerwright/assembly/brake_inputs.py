"""The brakes of a car's document as numbers: its system, its loads, its heat capacities."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.brake_system import System
from cornerwright.mechanics.braking import Loading
from cornerwright.mechanics.heat import Bodies
from cornerwright.mechanics.hydraulics import Booster, Masters, Valve, area
from cornerwright.model.brake_parts import Brake, Caliper, Pad
from cornerwright.model.brakes import Brakes, Worn, worn_at
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.units import STANDARD_GRAVITY

Array = NDArray[np.float64]
LoadCase = Literal["light", "driven", "full"]
LOAD_CASES: tuple[LoadCase, ...] = ("light", "driven", "full")
Spread = Literal["least", "given", "most"]

BOILING: dict[str, tuple[float, float]] = {
    "DOT 3": (205.0, 140.0),
    "DOT 4": (230.0, 155.0),
    "DOT 5": (260.0, 180.0),
    "DOT 5.1": (260.0, 180.0),
}
"""Least boiling points [degC], dry and wet, of each grade: FMVSS 116 (49 CFR 571.116, S5.1.1 and S5.1.2)."""

WATER_TAKEN = 12.0
"""Months after which the wet boiling point is counted with (common practice: a year or two)."""

HEAT: dict[str, tuple[float, float, float]] = {"iron": (460.0, 7200.0, 50.0), "steel": (480.0, 7800.0, 25.0)}
"""Specific heat [J/(kg K)], density [kg/m3], conductivity [W/(m K)] of rotors, about; from memory."""

EMISSIVITY = 0.55
"""Of a rotor's faces (Limpert, Brake Design and Safety, from memory)."""

CHEEK = 0.3
"""Thickness of one face of a vented rotor over the whole (our own rough figure)."""

ACROSS = 50.0
"""Heat [W/(m2 K)] that goes from a rotor to the half of the caliper that faces it, by hot air and radiation
(our own rough figure: calipers in fade tests come to a third or half of the rotor's rise)."""

VENTED = 2.0
"""Cooled area of a vented rotor over that of its faces: vanes gave 46 to 55 % of the loss (McPhee and Johnson,
International Journal of Thermal Sciences 47 (2008) 458-467, abstract)."""


@dataclass(frozen=True)
class Parts:
    """The brakes' documents, every one there."""

    car: Car
    brakes: Brakes
    corners: tuple[Brake, Brake, Brake, Brake]

    @property
    def worn(self) -> tuple[Worn, ...]:
        """What was measured at the four corners."""
        return tuple(worn_at(self.brakes, name) for name in CORNERS)


def parts_of(car: Car) -> Parts:
    """The brakes of this car. Raises Refusal where its file has none."""
    fitted = [corner.brake for corner in car.corners.values()]
    front_left, front_right, rear_left, rear_right = fitted
    if car.brakes is None or front_left is None or front_right is None or rear_left is None or rear_right is None:
        raise Refusal.of("a car file without brakes", "brakes, and a brake at each corner", field="brakes")
    return Parts(car, car.brakes, (front_left, front_right, rear_left, rear_right))


def loading_of(car: Car, case: LoadCase = "driven") -> Loading:
    """How the car stands: as driven, as light as its `loads` let it be, or with all of them aboard.

    Raises Refusal for loads that leave an axle in the air.
    """
    found = Loading(car.mass.total * STANDARD_GRAVITY, car.mass.front, car.mass.cg_height, car.wheelbase)
    changes = {"light": ("now", -1.0), "driven": ("", 0.0), "full": ("not now", 1.0)}
    which, sign = changes[case]
    for load in () if car.brakes is None else car.brakes.loads.values():
        if load.aboard == which:
            found = found.plus(sign * load.mass, STANDARD_GRAVITY, load.behind_front, load.height)
    if not 0.0 < found.front < 1.0 or found.cg_height <= 0.0:
        raise Refusal.of(f"loads that leave an axle of the {case} car in the air", "other loads", field="brakes.loads")
    return found


def friction_of(pad: Pad, temperature: float | None = None, spread: Spread = "given", *, wet: bool = False) -> float:
    """Friction [1] of a pad at this rotor temperature [degC]; None: as its maker gives it, warm.

    spread: at the least or most its maker allows, by the same share at every temperature.
    """
    value = pad.friction
    if temperature is not None and pad.curve:
        value = float(
            np.interp(temperature, [row.temperature for row in pad.curve], [row.friction for row in pad.curve])
        )
    low, high = pad.friction_range
    value *= {"least": low, "given": pad.friction, "most": high}[spread] / pad.friction
    return value * (pad.wet if wet else 1.0)


def frictions(
    parts: Parts,
    temperatures: ArrayLike | None = None,
    spread: tuple[Spread, Spread] = ("given", "given"),
    *,
    wet: bool = False,
) -> Array:
    """Friction (4,) of the wheels' pads; spread of the front and of the rear."""
    hot = [None] * 4 if temperatures is None else [float(one) for one in np.asarray(temperatures)]
    pairs = zip(parts.corners, hot, (spread[0], spread[0], spread[1], spread[1]), strict=True)
    return np.array([friction_of(one.pad, at, how, wet=wet) for one, at, how in pairs])


def piston_area(caliper: Caliper) -> float:
    """Of one side [m2]."""
    return float(area(caliper.pistons).sum())


def masters_of(brakes: Brakes) -> Masters:
    """Its cylinders."""
    if brakes.master is not None:
        one = brakes.master
        return Masters((one.bore, one.bore), None, (one.stroke, one.stroke))
    front, rear, bar = brakes.front_master, brakes.rear_master, brakes.balance_bar
    if front is None or rear is None or bar is None:
        raise TypeError("brakes with neither a tandem nor two cylinders: the document's validator holds them")
    return Masters((front.bore, rear.bore), bar.front, (front.stroke, rear.stroke))


def valve_of(brakes: Brakes) -> Valve:
    """Its rear valve, or one that does nothing."""
    return Valve() if brakes.valve is None else Valve(brakes.valve.knee, brakes.valve.slope)


def system_of(parts: Parts, friction: Array | None = None) -> System:
    """The service brake; friction (4,): other than the pads' own, dry and warm."""
    brakes, fitted = parts.brakes, parts.corners
    servo = brakes.servo
    return System(
        pedal_ratio=brakes.pedal.ratio,
        booster=Booster() if servo is None else Booster(servo.gain, servo.knee),
        masters=masters_of(brakes),
        valve=valve_of(brakes),
        piston_area=np.array([piston_area(one.caliper) for one in fitted]),
        threshold=np.array([one.caliper.threshold for one in fitted]),
        friction=frictions(parts) if friction is None else friction,
        radius=np.array([one.radius for one in fitted]),
        tyre=tyre_radii(parts.car),
        gap=np.array([one.caliper.running_gap for one in fitted]),
        swell=np.array([one.caliper.swell + (0.0 if one.hose is None else one.hose.swell) for one in fitted]),
        fluid=brakes.fluid.volume,
        free_play=brakes.pedal.free_play,
    )


def tyre_radii(car: Car) -> Array:
    """Loaded radii (4,) [m]: wheel centres over the ground at the reference pose."""
    return np.array([corner.wheel.height for corner in car.corners.values()])


def boiling_of(brakes: Brakes) -> tuple[float, float, float]:
    """Boiling point [degC] of the fluid dry, wet, and as it is counted with now."""
    fluid = brakes.fluid
    dry, wet = BOILING[fluid.grade]
    dry = dry if fluid.dry_boiling is None else fluid.dry_boiling
    wet = min(dry, wet if fluid.wet_boiling is None else fluid.wet_boiling)
    share = 1.0 if fluid.months is None else min(1.0, fluid.months / WATER_TAKEN)
    return dry, wet, dry + (wet - dry) * share


@dataclass(frozen=True)
class Skin:
    """The rubbed face of one rotor."""

    area: float
    """[m2] that one pad sweeps in a turn"""
    depth: float
    """[m] of metal behind it"""
    heat: float
    density: float
    conductivity: float


def skins_of(parts: Parts) -> tuple[Skin, ...]:
    """Of the four rotors, with the thickness that was measured, where it was."""
    return tuple(_skin(one, worn) for one, worn in zip(parts.corners, parts.worn, strict=True))


def _skin(brake: Brake, worn: Worn) -> Skin:
    rotor, height = brake.rotor, brake.pad.height
    heat, density, conductivity = HEAT[rotor.material]
    thickness = rotor.thickness if worn.rotor is None else worn.rotor
    gone = (rotor.thickness - thickness) / 2
    depth = thickness / 2
    if rotor.vented:
        depth = (CHEEK * rotor.thickness if rotor.cheek is None else rotor.cheek) - gone
    heat = heat if rotor.specific_heat is None else rotor.specific_heat
    return Skin(2.0 * np.pi * brake.radius * height, max(depth, 1e-3), heat, density, conductivity)


def bodies_of(parts: Parts, ambient: float) -> Bodies:
    """Rotors and calipers as lumps of heat; a worn rotor has lost what the pads have taken."""
    rows = []
    for one, worn, skin in zip(parts.corners, parts.worn, skins_of(parts), strict=True):
        rotor, pad, caliper = one.rotor, one.pad, one.caliper
        gone = 0.0 if worn.rotor is None else max(0.0, rotor.thickness - worn.rotor)
        mass = max(0.2 * rotor.mass, rotor.mass - gone * skin.area * skin.density)
        faces = 2.0 * skin.area
        cooled = (VENTED * faces if rotor.vented else faces) if rotor.cooling_area is None else rotor.cooling_area
        density = 2700.0 if caliper.specific_heat > 700.0 else 7200.0  # aluminium or iron
        thick = pad.new if worn.pad is None else worn.pad
        outside = 6.0 * (caliper.mass / density) ** (2.0 / 3.0)  # of a compact body
        rows.append(
            (
                mass * skin.heat,
                cooled,
                rotor.diameter,
                EMISSIVITY,
                faces,
                caliper.mass * caliper.specific_heat,
                outside,
                2.0 * pad.conductivity * pad.height * pad.length / max(thick, 1e-3) + ACROSS * outside / 2.0,
            )
        )
    capacity, cooled, across, glow, faces, behind, outside, through = np.array(rows).T
    return Bodies(capacity, cooled, across, glow, faces, behind, outside, through, ambient)
