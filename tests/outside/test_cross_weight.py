"""Outside source: the trade's definition of cross weight (common practice of scaling a race car).

Cross weight = 100 (right front + left rear) / total, in per cent. The readings of the example are
invented; the result is the definition worked by hand to the printed digit.
"""

import numpy as np

from cornerwright.mechanics.weights import cross_weight, front_share, left_share
from evidence import Outside

TRADE = Outside("weights", "definition of cross weight in scaling a race car", "common practice")

G = 9.80665
#                  left front, right front, left rear, right rear [kg]
SCALES = np.array([320.0, 330.0, 290.0, 310.0])


def test_cross_weight_of_the_example():
    share, _ = cross_weight(SCALES * G)
    TRADE.agrees("cross weight", 49.6, 100 * share, "%", abs=0.05)


def test_front_and_left_shares_of_the_example():
    """Front 650 of 1250 kg = 52.0 %, left 610 of 1250 kg = 48.8 %."""
    TRADE.agrees("front share of the weight", 52.0, 100 * front_share(SCALES * G)[0], "%", abs=0.05)
    TRADE.agrees("left share of the weight", 48.8, 100 * left_share(SCALES * G)[0], "%", abs=0.05)


def test_wedge_moves_weight_along_the_diagonals_only():
    """Common practice: weight put into one diagonal leaves the front and left shares alone."""
    wedge = 10.0 * np.array([-1.0, 1.0, 1.0, -1.0])
    before, after = SCALES * G, (SCALES + wedge) * G
    TRADE.agrees("cross weight after wedge is put in", 100 * 640 / 1250, 100 * cross_weight(after)[0], "%")
    TRADE.agrees("front share of the weight is left alone by wedge", front_share(before)[0], front_share(after)[0])
    TRADE.agrees("left share of the weight is left alone by wedge", left_share(before)[0], left_share(after)[0])
