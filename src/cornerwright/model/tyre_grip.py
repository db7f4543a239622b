"""What a tyre holds sideways: coefficients of the brush formula, measured or taken from its maker."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from cornerwright.model.base import Document
from cornerwright.model.units import PositiveWeight, Share


class TyreGrip(Document):
    """Side force over slip and load, by the brush formula; only cornering asks for it."""

    rated_load: PositiveWeight | None = None
    """Load [N] at which the others hold; None: the mean of what the car's wheels carry."""
    grip: Annotated[float, Field(gt=0.1, le=3)]
    """Greatest side force over load, at the rated load."""
    grip_loss: Share = 0.12
    """Share of the grip that is lost at twice the rated load."""
    stiffness: Annotated[float, Field(gt=0.01, le=1)]
    """Side force for the first degree of slip, over the rated load."""
    peak: Annotated[float, Field(ge=0.5, le=10)] = 1.6
    """Load at which the stiffness is greatest, over the rated load."""
    lean: Annotated[float, Field(ge=0, le=0.5)] = 0.08
    """Degrees of slip that one degree of camber is worth."""

    @classmethod
    def invented(cls) -> TyreGrip:
        """A middling road tyre that stands for no real one."""
        return cls(grip=1.0, stiffness=0.22)
