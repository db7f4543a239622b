"""Outside source: the multibody engine MuJoCo, version 4.0.0 from the Python package index.

Every linkage is a model of separate bodies, joints and equality constraints, see `linkage_mujoco`.
MuJoCo gives the kinematics, the residuals of the constraints and their Jacobian; the pose is where
Newton's method on its joint coordinates brings those residuals to nothing, and the rates by lift
and rack come from the same Jacobian. The linkages are random and invented.
Source of the engine: Todorov, Erez and Tassa, MuJoCo: a physics engine for model-based control,
IROS 2012, from memory.
"""

import linkage_mujoco
import numpy as np
import pytest
from linkage_cases import trials
from linkage_references import AGREED, AGREED_RATE, ENOUGH, HEADING, compare

from cornerwright.mechanics.linkage import KINDS
from evidence import Outside

MUJOCO = Outside("linkage", "MuJoCo, multibody engine", "reference library")


def note(done):
    MUJOCO.apart("wheel centre and links", done.worst["mm"][0], "mm", AGREED, done.numbers, case=done.kind)
    MUJOCO.apart(
        "camber, toe, caster, kingpin inclination", done.worst["deg"][0], "deg", AGREED, done.numbers, case=done.kind
    )
    MUJOCO.apart(
        "rates by lift and rack", done.worst["rate"][0], "m/m, rad/m", AGREED_RATE, done.numbers, case=done.kind
    )


@pytest.mark.parametrize("kind", KINDS)
def test_same_pose_and_rates(kind):
    done = compare(kind, linkage_mujoco.answers)
    note(done)
    assert done.linkages >= ENOUGH, f"\n{HEADING}\n{done}"
    assert done.agrees, f"\n{HEADING}\n{done}"
    assert done.worst["rate"][0] > 0.0, "no rates were compared"


@pytest.mark.parametrize("kind", ["double_wishbone", "five_link"])
def test_same_end_of_reach(kind):
    """With twice the travel many poses lie beyond what the arms, the rods or the rocker allow."""
    done = compare(kind, linkage_mujoco.answers, reach=2.0, count=60)
    note(done)
    MUJOCO.holds("poses that neither reaches, each kind", done.beyond, at_least=11)
    assert done.beyond > 10, f"\n{HEADING}\n{done}"
    assert done.agrees, f"\n{HEADING}\n{done}"


@pytest.mark.parametrize("kind", KINDS)
def test_model_has_the_freedom_of_the_linkage(kind):
    """It closes at the reference; drives apart, only spins of rods and the lifts and rack are free."""
    for trial in trials(kind, 6):
        case = trial.cases[0]
        engine = linkage_mujoco.Engine(case)
        residual, jacobian = engine.constraints()
        MUJOCO.holds("constraints left open at the reference by the engine", np.abs(residual).max(), "m", at_most=1e-15)
        assert np.linalg.matrix_rank(jacobian, tol=1e-9) == jacobian.shape[0]
        bodies = [engine.model.body(i).name for i in range(engine.model.nbody)]
        spins = sum(name.startswith("rod ") for name in bodies)
        # A strut's ball joint lets the carrier turn, so it has no spin of its own.
        assert engine.model.nv - jacobian.shape[0] == spins
        assert len(engine.drives) == len(case.wheels) + bool(case.steered)
