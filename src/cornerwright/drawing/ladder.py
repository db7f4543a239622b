"""Damper and spring as ladders: their lengths to scale, where they stand now and where they end."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.drawing.labels import Label, label, lane, lane_height
from cornerwright.drawing.lettering import figure
from cornerwright.drawing.members import coil
from cornerwright.drawing.svg import FINE, INK, MARK, OUTLINE, PAPER, SHADE, THIN, Drawing, Pen
from cornerwright.model.results import CornerScene

SYMBOL = 7.0
"""Width of a ladder's picture [mm of paper]."""
STEM = 4.0
"""Room between picture and labels for the leaders [mm of paper]."""


@dataclass(frozen=True)
class Ladder:
    """Where a ladder stands on the page [mm of paper], and at one to which scale."""

    x: float
    """Its left edge."""
    ground: float
    """Y of its foot: lengths are counted from there."""
    top: float
    """Its labels stand between this y and the ground."""
    scale: float
    size: float
    """Of the lettering."""
    room: float
    """For the labels, to the right of symbol and stem."""

    @property
    def middle(self) -> float:
        """X of its middle."""
        return self.x + SYMBOL / 2

    @property
    def right(self) -> float:
        """X of its right edge."""
        return self.x + SYMBOL

    def up(self, length: float) -> float:
        """Y of a length [mm of the car]."""
        return self.ground - length / self.scale

    def label(self, words: tuple[str, ...], length: float, *, now: bool = False) -> Label:
        """A label at a length [mm of the car]; now: at which it stands."""
        spot = self.right, self.up(length)
        if now:
            return label(words, spot, self.size, self.room, bold=True, colour=MARK)
        return label(words, spot, self.size, self.room)

    def finish(self, drawing: Drawing, now: float, labels: list[Label]) -> None:
        """Mark the length at which it stands [mm of the car], and put the labels beside it."""
        drawing.line(self.x - 1, self.up(now), self.right, self.up(now), Pen(0.5, MARK))
        lane(drawing, labels, self.right + STEM, 1, self.top, self.ground, self.size)


def heights(scene: CornerScene, scale: float) -> float:
    """Height of the taller ladder [mm of paper] at one to `scale`."""
    lengths = (scene.damper_open_mm, scene.damper_mm, scene.spring_free_mm, scene.spring_mm)
    return max(lengths) / scale


def damper_ladder(drawing: Drawing, scene: CornerScene, at: Ladder) -> None:
    """The damper on its lower eye, with marks of what its upper eye can reach."""
    middle, scale, up = at.middle, at.scale, at.up
    low, high, now = scene.damper_closed_mm, scene.damper_open_mm, scene.damper_mm
    third = (high - low) / 3
    drawing.rect(at.x, up(high - third), SYMBOL, third / scale, None, SHADE)
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
        drawing.line(at.x, up(mark), at.right, up(mark), OUTLINE)
    at.finish(drawing, now, damper_labels(scene, at))


def damper_labels(scene: CornerScene, at: Ladder) -> list[Label]:
    """What the marks of the damper's ladder say."""
    low, high, now = scene.damper_closed_mm, scene.damper_open_mm, scene.damper_mm
    labels = [
        at.label((f"open {figure(high)}",), high),
        at.label((f"now {figure(now)}",), now, now=True),
        at.label((f"closed {figure(low)}",), low),
        at.label(("middle third",), (low + high) / 2),
    ]
    if scene.stop_length_mm is not None:
        touch = low + scene.stop_length_mm
        labels.append(at.label(("bump stop", f"touches {figure(touch)}"), touch))
    return labels


def spring_ladder(drawing: Drawing, scene: CornerScene, at: Ladder) -> None:
    """The spring on its lower seat: free, now, bind."""
    middle, up = at.middle, at.up
    stands = min(scene.spring_mm, scene.spring_free_mm)
    drawing.rect(at.x, up(scene.spring_bind_mm), SYMBOL, scene.spring_bind_mm / at.scale, None, SHADE)
    coil(drawing, (middle, at.ground), (middle, up(stands)), SYMBOL / 2 - 0.8)
    drawing.line(at.x, at.ground, at.right, at.ground, OUTLINE)
    for mark in (scene.spring_free_mm, scene.spring_bind_mm):
        drawing.line(at.x, up(mark), at.right, up(mark), THIN)
    at.finish(drawing, scene.spring_mm, spring_labels(scene, at))


def spring_labels(scene: CornerScene, at: Ladder) -> list[Label]:
    """What the marks of the spring's ladder say."""
    loose = scene.spring_mm > scene.spring_free_mm
    load = "loose" if loose else f"{figure(scene.spring_load_n)} N"
    return [
        at.label((f"free {figure(scene.spring_free_mm)}",), scene.spring_free_mm),
        at.label((f"now {figure(scene.spring_mm)}", load), scene.spring_mm, now=True),
        at.label((f"bind {figure(scene.spring_bind_mm)}",), scene.spring_bind_mm),
    ]


def ladders_height(scene: CornerScene, size: float, room: float) -> float:
    """Height the labels of the fuller ladder need [mm of paper]."""
    anywhere = Ladder(0.0, 0.0, 0.0, 1.0, size, room)
    both = damper_labels(scene, anywhere), spring_labels(scene, anywhere)
    return max(lane_height(labels, size) for labels in both)
