"""Outside source: SciPy's hybrid Powell root finder (MINPACK), on the linkages written anew.

The equations are those of `linkage_scipy`: natural coordinates in plain loops, from the description
of the kinds only. At every second pose the adjusters are travelled as well: rods made longer, points
and wheels moved. The linkages are random and invented.
"""

from dataclasses import replace

import linkage_scipy
import numpy as np
import pytest
from linkage_references import AGREED, ENOUGH, HEADING, compare

from cornerwright.mechanics.linkage import KINDS
from evidence import Outside

SCIPY = Outside("linkage", "SciPy's hybrid Powell root finder on natural coordinates", "reference library")


def note(done):
    SCIPY.apart("wheel centre and links", done.worst["mm"][0], "mm", AGREED, done.numbers, case=done.kind)
    SCIPY.apart(
        "camber, toe, caster, kingpin inclination", done.worst["deg"][0], "deg", AGREED, done.numbers, case=done.kind
    )


@pytest.mark.parametrize("kind", KINDS)
def test_same_pose(kind):
    done = compare(kind, linkage_scipy.answers, adjusters=True)
    note(done)
    assert done.linkages >= ENOUGH, f"\n{HEADING}\n{done}"
    assert done.agrees, f"\n{HEADING}\n{done}"


@pytest.mark.parametrize("kind", ["double_wishbone", "five_link"])
def test_same_end_of_reach(kind):
    """With twice the travel many poses lie beyond what the arms, the rods or the rocker allow."""
    done = compare(kind, linkage_scipy.answers, adjusters=True, reach=2.0, count=60)
    note(done)
    SCIPY.holds("poses that neither reaches, each kind", done.beyond, at_least=11)
    assert done.beyond > 10, f"\n{HEADING}\n{done}"
    assert done.agrees, f"\n{HEADING}\n{done}"


@pytest.mark.parametrize("kind", KINDS)
def test_a_hundredth_of_a_micron_is_seen(kind):
    """The comparison itself: points of the body 10 nm off give another pose."""
    rng = np.random.default_rng(5)

    def astray(case, *pose):
        off = {
            name: tuple(np.array(place) + rng.choice([-1e-8, 1e-8], 3))
            for name, place in case.points.items()
            if case.members[name] == "body"
        }
        return linkage_scipy.answers(replace(case, points=case.points | off), *pose)

    done = compare(kind, astray, count=3)
    assert done.poses == 6
    SCIPY.holds("difference that points 10 nm off make", done.worst["mm"][0], "mm", at_least=1e-6, at_most=1e-3)
    assert not done.agrees, f"\n{HEADING}\n{done}"
    assert done.worst["mm"][0] < 1e-3, f"\n{HEADING}\n{done}"
