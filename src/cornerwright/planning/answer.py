"""A plan in words and trade units: moves in stages, readings before and after."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, Outputs, outputs
from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Gauges, Reading
from cornerwright.model.results import Move, PredictedReading, ShortOf, Stage
from cornerwright.model.target import Band, Targets
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.learn import Belief
from cornerwright.planning.observe import Key, gauge_scatter, pick
from cornerwright.planning.order import STAGES, StageName, StageText, stage_of
from cornerwright.planning.search import Task
from cornerwright.planning.shortfall import Shortfall

Array = NDArray[np.float64]

SHOWN = tuple(name for name in CORNER_OUTPUTS if name != "bind_margin")
SHOWN_CAR = tuple(name for name in CAR_OUTPUTS if name != "cg_height")
STAGE_READINGS = ("height", "load", "camber", "toe", "caster")


@dataclass(frozen=True)
class Planned:
    """Everything that the answer is made from."""

    rig: Rig
    task: Task
    belief: Belief
    reading: Reading | None
    gauges: Gauges
    steps: Array
    settings: Array
    before: Outputs
    at: Outputs
    final: Outputs
    draws: Array
    """(k, q) readings of drawn cars after the moves, without gauge scatter"""
    draw_keys: tuple[Key, ...]
    targets: Targets

    def scatter(self, keys: tuple[Key, ...]) -> Array:
        """Scatter (r,) of the gauges behind these readings."""
        return gauge_scatter(self.gauges, keys, self.rig.car.mass.total * 9.80665)

    def chance(self) -> float | None:
        """Share of the drawn cars whose gauges show every asked-for reading inside its range."""
        bands = {key: band for key, band in self.targets.bands().items() if key in self.draw_keys}
        if not bands:
            return None
        keys = tuple(bands)
        places = [self.draw_keys.index(key) for key in keys]
        noise = np.random.default_rng(len(self.draws)).standard_normal((len(self.draws), len(keys)))
        seen = self.draws[:, places] + noise * self.scatter(keys)
        low = np.array([bands[key].low for key in keys])
        high = np.array([bands[key].high for key in keys])
        return float(((seen >= low) & (seen <= high)).all(axis=1).mean())


def staged(planned: Planned) -> tuple[tuple[Move, ...], tuple[Stage, ...]]:
    """Moves in working order, and the stages with what the gauges show after each."""
    rig = planned.rig
    place = {k: stage_of(rig, slot, k, planned.at) for k, slot in enumerate(rig.slots) if planned.steps[k] != 0}
    moves: list[Move] = []
    stages: list[Stage] = []
    settings = rig.settings.copy()
    bars = planned.task.loose.bars
    for text in STAGES:
        turned = [k for k, name in place.items() if name == text.name]
        for k in turned:
            settings[k] = planned.settings[k]
            moves.append(_move(planned, k, text.name))
        if _has_work(text, turned, planned):
            joined = text.name in ("bars", "finish")
            stages.append(
                Stage(
                    name=text.name,
                    title=text.title,
                    tasks=_tasks(text, planned),
                    check=text.check,
                    predicted=_after(planned, settings, Loose((False, False) if joined else bars, True))
                    if text.check is not None or text.name == "finish"
                    else {},
                )
            )
    return tuple(moves), tuple(stages)


def _has_work(text: StageText, turned: list[int], planned: Planned) -> bool:
    """A stage with nothing to turn and nothing fitted that it speaks of is left out."""
    if text.name in ("prepare", "finish"):
        return bool((planned.steps != 0).any())
    if text.name == "bushes":
        corners = planned.rig.car.corners.values()
        return bool((planned.steps != 0).any()) and any(one.bushes for one in corners)
    if text.name == "bars":
        return bool((planned.steps != 0).any()) and any(planned.task.loose.bars)
    return bool(turned)


def _tasks(text: StageText, planned: Planned) -> tuple[str, ...]:
    if text.name != "prepare":
        return text.tasks
    bars, bushes, ready = text.tasks
    has_bushes = any(corner.bushes for corner in planned.rig.car.corners.values())
    return (
        *((bars,) if any(planned.task.loose.bars) else ()),
        *((bushes,) if has_bushes else ()),
        ready,
    )


def _move(planned: Planned, k: int, stage: StageName) -> Move:
    slot = planned.rig.slots[k]
    adjuster = slot.adjuster
    steps = int(planned.steps[k])
    start = adjuster.setting
    end = float(planned.settings[k])
    return Move.model_validate(
        {
            "corner": slot.place,
            "adjuster": slot.short,
            "kind": adjuster.kind,
            "stage": stage,
            "steps": steps,
            "unit": adjuster.unit,
            "amount": steps * adjuster.step,
            "from": start / adjuster.unit_travel,
            "to": end / adjuster.unit_travel,
            "from_mm": to_document(start, LENGTH),
            "to_mm": to_document(end, LENGTH),
            "do": adjuster.words(end - start),
            "minutes": adjuster.work,
        }
    )


def _after(planned: Planned, settings: Array, loose: Loose) -> dict[str, dict[str, float]]:
    """What the gauges will show at these settings, by corner."""
    variant = planned.rig.vary(settings, planned.belief.mean, loose=loose)
    at = outputs(variant, variant.stand(), gradients=False)
    found: dict[str, dict[str, float]] = {}
    for i, corner in enumerate(CORNERS):
        found[corner] = {
            key_of(name): shown(at.corner[name][0, i], KINDS[name])
            for name in STAGE_READINGS
            if np.isfinite(at.corner[name][0, i])
        }
    cross = at.car["cross_weight"][0]
    if np.isfinite(cross):
        found["car"] = {key_of("cross_weight"): shown(cross, KINDS["cross_weight"])}
    return found


def predicted_readings(planned: Planned) -> dict[str, dict[str, PredictedReading]]:
    """Every reading now and after, by corner (and car) and by key with its unit."""
    bands = planned.targets.bands()
    read: dict[Key, float] = (
        {}
        if planned.reading is None
        else {
            (corner, name): value
            for corner, one in planned.reading.corners.items()
            for name, value in one.taken().items()
        }
    )
    found: dict[str, dict[str, PredictedReading]] = {}
    corner_keys: list[Key] = [(corner, name) for corner in CORNERS for name in SHOWN]
    for key in (*corner_keys, *((None, name) for name in SHOWN_CAR)):
        value = pick(planned.final, (key,))[0, 0]
        if not np.isfinite(value):
            continue
        scatter = float(planned.scatter((key,))[0])
        spread = float(np.nanstd(planned.draws[:, planned.draw_keys.index(key)]))
        now = read.get(key, float(pick(planned.before, (key,))[0, 0]))
        found.setdefault(key[0] or "car", {})[key_of(key[1])] = _predicted(
            planned, key, bands.get(key), now, key in read, float(value), spread, scatter
        )
    return found


def _predicted(
    planned: Planned,
    key: Key,
    band: Band | None,
    now: float,
    was_read: bool,
    value: float,
    spread: float,
    scatter: float,
) -> PredictedReading:
    kind = KINDS[key[1]]
    low = None if band is None or not np.isfinite(band.low) else shown(band.low, kind)
    high = None if band is None or not np.isfinite(band.high) else shown(band.high, kind)
    chance = inside = None
    if band is not None:
        column = planned.draws[:, planned.draw_keys.index(key)]
        seed = np.random.default_rng(planned.draw_keys.index(key))
        seen = column + scatter * seed.standard_normal(column.size)
        chance = float(((seen >= band.low) & (seen <= band.high)).mean())
        inside = bool(band.low - 1e-12 <= value <= band.high + 1e-12)
    return PredictedReading(
        now=shown(now, kind) if np.isfinite(now) else None,
        was_read=was_read,
        value=shown(value, kind),
        sigma=shown(float(np.hypot(spread, scatter)), kind),
        low=low,
        high=high,
        hard=band is not None and band.hard,
        inside=inside,
        chance=chance,
    )


def short_of(short: tuple[Shortfall, ...]) -> tuple[ShortOf, ...]:
    """Missed targets in trade units."""
    found = []
    for one in short:
        corner, name = one.want.key
        kind, band = KINDS[name], one.want.band
        found.append(
            ShortOf(
                corner=corner or "car",
                reading=key_of(name),
                predicted=shown(one.predicted, kind),
                low=shown(band.low, kind) if np.isfinite(band.low) else None,
                high=shown(band.high, kind) if np.isfinite(band.high) else None,
                why=one.why,
                needs=one.needs,
            )
        )
    return tuple(found)
