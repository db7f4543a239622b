"""Damper and spring as ladders: their lengths to scale, where they stand now and where they end."""

from __future__ import annotations

from cornerwright.drawing.labels import Label, label, lane, lane_height
from cornerwright.drawing.lettering import figure
from cornerwright.drawing.members import coil
from cornerwright.drawing.svg import FINE, INK, MARK, OUTLINE, PAPER, SHADE, THIN, Drawing, Pen
from cornerwright.model.results import CornerScene

SYMBOL = 7.0
"""Width of a ladder's picture [mm of paper]."""
STEM = 4.0
"""Room between picture and labels for the leaders [mm of paper]."""


def heights(scene: CornerScene, scale: float) -> float:
    """Height of the taller ladder [mm of paper] at one to `scale`."""
    lengths = (scene.damper_open_mm, scene.damper_mm, scene.spring_free_mm, scene.spring_mm)
    return max(lengths) / scale


def damper_ladder(
    drawing: Drawing,
    scene: CornerScene,
    x: float,
    ground: float,
    top: float,
    scale: float,
    size: float,
    room: float,
) -> None:
    """The damper on its lower eye at y = `ground`, with marks of what its upper eye can reach.

    x is the left edge; labels take `room` to the right of symbol and stem, between top and ground.
    """
    middle = x + SYMBOL / 2
    right = x + SYMBOL

    def up(length: float) -> float:
        return ground - length / scale

    low, high, now = scene.damper_closed_mm, scene.damper_open_mm, scene.damper_mm
    third = (high - low) / 3
    drawing.rect(x, up(high - third), SYMBOL, third / scale, None, SHADE)
    sleeve = max(0.7 * low, low - 1.6 * scale)
    drawing.rect(middle - 2.2, up(sleeve), 4.4, sleeve / scale, OUTLINE, PAPER)
    if now > sleeve:
        drawing.rect(middle - 0.6, up(now), 1.2, (now - sleeve) / scale, FINE, PAPER)
    if scene.stop_length_mm is not None:
        head = now - (low - sleeve)
        foot = max(sleeve, head - scene.stop_length_mm)
        if head > foot:
            drawing.rect(middle - 1.5, up(head), 3.0, (head - foot) / scale, FINE, INK)
    for eye in (0.0, now):
        drawing.circle(middle, up(eye), 1.3, OUTLINE, PAPER)
    for mark in (low, high):
        drawing.line(x, up(mark), right, up(mark), OUTLINE)
    drawing.line(x - 1, up(now), right, up(now), Pen(0.5, MARK))
    lane(
        drawing,
        damper_labels(scene, right, ground, scale, size, room),
        right + STEM,
        1,
        top,
        ground,
        size,
    )


def damper_labels(scene: CornerScene, x: float, ground: float, scale: float, size: float, room: float) -> list[Label]:
    """What the marks of the damper's ladder say."""
    low, high, now = scene.damper_closed_mm, scene.damper_open_mm, scene.damper_mm

    def at(length: float) -> tuple[float, float]:
        return x, ground - length / scale

    labels = [
        label((f"open {figure(high)}",), at(high), size, room),
        label((f"now {figure(now)}",), at(now), size, room, bold=True, colour=MARK),
        label((f"closed {figure(low)}",), at(low), size, room),
        label(("middle third",), at((low + high) / 2), size, room),
    ]
    if scene.stop_length_mm is not None:
        touch = low + scene.stop_length_mm
        labels.append(label(("bump stop", f"touches {figure(touch)}"), at(touch), size, room))
    return labels


def spring_ladder(
    drawing: Drawing,
    scene: CornerScene,
    x: float,
    ground: float,
    top: float,
    scale: float,
    size: float,
    room: float,
) -> None:
    """The spring on its lower seat at y = `ground`: free, now, bind; arguments as for the damper."""
    middle, right = x + SYMBOL / 2, x + SYMBOL

    def up(length: float) -> float:
        return ground - length / scale

    stands = min(scene.spring_mm, scene.spring_free_mm)
    drawing.rect(x, up(scene.spring_bind_mm), SYMBOL, scene.spring_bind_mm / scale, None, SHADE)
    coil(drawing, (middle, ground), (middle, up(stands)), SYMBOL / 2 - 0.8)
    drawing.line(x, ground, right, ground, OUTLINE)
    for mark in (scene.spring_free_mm, scene.spring_bind_mm):
        drawing.line(x, up(mark), right, up(mark), THIN)
    drawing.line(x - 1, up(scene.spring_mm), right, up(scene.spring_mm), Pen(0.5, MARK))
    lane(
        drawing,
        spring_labels(scene, right, ground, scale, size, room),
        right + STEM,
        1,
        top,
        ground,
        size,
    )


def spring_labels(scene: CornerScene, x: float, ground: float, scale: float, size: float, room: float) -> list[Label]:
    """What the marks of the spring's ladder say."""

    def at(length: float) -> tuple[float, float]:
        return x, ground - length / scale

    loose = scene.spring_mm > scene.spring_free_mm
    load = "loose" if loose else f"{figure(scene.spring_load_n)} N"
    return [
        label((f"free {figure(scene.spring_free_mm)}",), at(scene.spring_free_mm), size, room),
        label(
            (f"now {figure(scene.spring_mm)}", load),
            at(scene.spring_mm),
            size,
            room,
            bold=True,
            colour=MARK,
        ),
        label((f"bind {figure(scene.spring_bind_mm)}",), at(scene.spring_bind_mm), size, room),
    ]


def ladders_height(scene: CornerScene, size: float, room: float) -> float:
    """Height the labels of the fuller ladder need [mm of paper]."""
    both = (
        damper_labels(scene, 0.0, 0.0, 1.0, size, room),
        spring_labels(scene, 0.0, 0.0, 1.0, size, room),
    )
    return max(lane_height(labels, size) for labels in both)
