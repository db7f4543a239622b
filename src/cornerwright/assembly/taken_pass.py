"""A pass of readings while it is turned into plain ones."""

from __future__ import annotations

import math

from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.carried import Carried
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CornerName
from cornerwright.model.reading import CornerScatter, Reading
from cornerwright.model.results import Finding
from cornerwright.model.taken import Taken


class Pass:
    """A pass while it is converted: values and their standard deviations by corner and reading."""

    def __init__(self, reading: Reading, taken: Taken, rig: Rig | None) -> None:
        self.reading, self.taken, self.rig = reading, taken, rig
        self.value: dict[CornerName, dict[str, float]] = {c: one.taken() for c, one in reading.corners.items()}
        self.sigma: dict[CornerName, dict[str, float]] = {
            corner: {name: self._plain_sigma(corner, name) for name in one} for corner, one in self.value.items()
        }
        self.cg: float | None = reading.cg_height
        self.cg_sigma: float = reading.gauges.cg_height
        self.kingpin: dict[CornerName, Carried] = {}
        self.notes: list[Finding] = []

    def _plain_sigma(self, corner: CornerName, name: str) -> float:
        own = getattr(self.reading.corners[corner].scatter, name, None)
        return float(own or getattr(self.reading.gauges, name))

    def put(self, corner: CornerName, name: str, value: float, sigma: float) -> None:
        """Take a value and its standard deviation [SI] for this reading, in place of any before."""
        self.value[corner][name], self.sigma[corner][name] = value, sigma

    def note(self, place: str, about: str, says: str, do: str | None = None, *, warn: bool = False) -> None:
        """Something that whoever reads the answer should know."""
        self.notes.append(Finding(level="warning" if warn else "note", place=place, about=about, says=says, do=do))

    def plain(self) -> Reading:
        """The pass with plain readings; scatter is written where it is not the gauge's own."""
        update: dict[str, object] = {"taken": None, "cg_height": self.cg}
        if self.cg is not None:
            update["gauges"] = self.reading.gauges.model_copy(update={"cg_height": self.cg_sigma})
        for corner, values in self.value.items():
            own = {
                name: sigma
                for name, sigma in self.sigma[corner].items()
                if not math.isclose(sigma, getattr(self.reading.gauges, name), rel_tol=1e-12)
            }
            scatter = CornerScatter().model_copy(update=own) if own else None
            update[corner] = self.reading.corners[corner].model_copy(update={**values, "scatter": scatter})
        return self.reading.model_copy(update=update)


def refused(error: ValueError, at: str) -> Refusal:
    """What a formula could not take, as a refusal of the field at this dotted path."""
    return Refusal.of("", str(error), field=at)
