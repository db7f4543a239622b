"""Full anti-dive and anti-squat by Gillespie, Fundamentals of Vehicle Dynamics (SAE, 1992), ch. 7; from memory.

Anti-dive in front is full where tan(angle) = h / (xi L), xi the brake force's share in front, L the
wheelbase, h the height of the centre of gravity; behind where tan(angle) = h / ((1 - xi) L). A solid axle
driven behind has full anti-squat where its arm's line, from the contact, rises as h / L.
"""

from __future__ import annotations

import math

import pytest

from cornerwright.mechanics.anti import carried_past_springs
from evidence import Outside

GILLESPIE = Outside(
    "anti-dive and anti-squat", "Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 7", "textbook", memory=True
)


@pytest.mark.parametrize(("share", "wheelbase", "height"), [(0.65, 2.6, 0.55), (0.72, 2.35, 0.48), (0.5, 3.0, 0.7)])
def test_full_anti_dive_and_anti_squat(share, wheelbase, height):
    front = math.atan(height / (share * wheelbase))
    rear = math.atan(height / ((1 - share) * wheelbase))
    driven = math.atan(height / wheelbase)
    GILLESPIE.agrees(
        "share of the brake force's pitching carried past the front springs at full anti-dive",
        1.0,
        carried_past_springs(front, share, wheelbase, height),
    )
    GILLESPIE.agrees(
        "share of the brake force's pitching carried past the rear springs at full anti-lift",
        1.0,
        carried_past_springs(rear, 1 - share, wheelbase, height),
    )
    GILLESPIE.agrees(
        "share of the drive force's pitching carried past the rear springs at full anti-squat",
        1.0,
        carried_past_springs(driven, 1.0, wheelbase, height),
    )
