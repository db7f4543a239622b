"""Clearances held against brute force: dense triangle meshes of tyre and wheel, distances by trimesh.

The mesh is the same outline turned about the axle, its circles of 360 sides; obstacles are sampled by the half mm.
"""

import itertools

import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from cornerwright.mechanics.cavity import cavity_clearances, depth_in_cavity
from cornerwright.mechanics.envelope import Element, Poses, clearances
from cornerwright.mechanics.tyre_profile import tyre_profile
from evidence import Outside

DRAWN = Outside("clearance", "places inside and outside of a drawn outline", "second road")
TRIMESH = Outside("clearance", "trimesh, distances to dense meshes", "reference library")

trimesh = pytest.importorskip("trimesh")

SIDES = 360
FLAT = 2e-5
"""What the sides of the circles and the sampling may be off [m]."""


LONGEST = 0.008
"""Longest side of a triangle [m]."""


def turned(chain):
    """The mesh of a chain (a, r) turned about the axis a."""
    steps = [max(1, int(np.ceil(np.hypot(*(b - a)) / 0.004))) for a, b in itertools.pairwise(chain)]
    chain = np.concatenate(
        [
            a + np.linspace(0, 1, n, endpoint=False)[:, None] * (b - a)
            for n, (a, b) in zip(steps, itertools.pairwise(chain), strict=True)
        ]
        + [chain[-1:]]
    )
    angle = np.arange(SIDES) * 2 * np.pi / SIDES
    rings = np.stack([np.stack([r * np.cos(angle), np.full(SIDES, a), r * np.sin(angle)], axis=1) for a, r in chain])
    faces = []
    for k in range(len(chain) - 1):
        i = np.arange(SIDES)
        j = (i + 1) % SIDES
        low, high = k * SIDES, (k + 1) * SIDES
        faces += [np.stack([low + i, low + j, high + i], axis=1), np.stack([low + j, high + j, high + i], axis=1)]
    return trimesh.Trimesh(rings.reshape(-1, 3), np.concatenate(faces), process=False)


def tyre_mesh(profile):
    half = profile.outline.corners
    return turned(np.concatenate([half[::-1], half[1:] * [-1.0, 1.0]]))


def distance(mesh, points):
    """Least distance of points (k, 3) from the mesh: by all its triangles that can be the nearest."""
    near = cKDTree(mesh.vertices).query(points)[0]
    points = points[near <= near.min() + LONGEST]
    centres = mesh.triangles_center
    some = cKDTree(points).query(centres)[0] <= near.min() + 2 * LONGEST
    part = trimesh.Trimesh(mesh.vertices, mesh.faces[some], process=False)
    return min(
        trimesh.proximity.closest_point_naive(part, few)[1].min()
        for few in np.array_split(points, -(-len(points) // 20))
    )


def sampled(corners, count=160):
    share = np.linspace(0, 1, count)
    if len(corners) == 1:
        return corners
    if len(corners) == 2:
        return corners[0] + share[:, None] * (corners[1] - corners[0])
    u, v = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 1, 41)))
    return corners[0] + u[:, None] * (corners[1] - corners[0]) + v[:, None] * (corners[3] - corners[0])


def random_poses(rng, n):
    lean, turn = rng.uniform(-0.08, 0.08, n), rng.uniform(-0.5, 0.5, n)
    axis = np.stack([np.sin(turn) * np.cos(lean), np.cos(turn) * np.cos(lean), -np.sin(lean)], axis=1)
    return Poses(rng.uniform(-0.05, 0.05, (n, 3)), axis)


def obstacles(rng, n):
    """Points, edges and patches around a tyre, some of them before its lower walls."""
    found = []
    for k in range(n):
        angle = rng.uniform(0, 2 * np.pi)
        if k % 2:
            reach, across = rng.uniform(0.40, 0.46), rng.uniform(-0.2, 0.2)
        else:
            reach, across = rng.uniform(0.12, 0.34), rng.choice([-1, 1]) * rng.uniform(0.26, 0.34)
        middle = np.array([reach * np.cos(angle), across, reach * np.sin(angle)])
        if k % 3 == 0:
            corners = middle[None]
        elif k % 3 == 1:
            corners = middle + np.array([[-1], [1]]) * rng.normal(0, 0.04, 3)
        else:
            first, second = rng.normal(0, 0.03, (2, 3))
            corners = middle + np.array([-first - second, first - second, first + second, second - first])
        found.append(Element(corners))
    return found


def placed(mesh, poses, k):
    """The mesh, whose axle is y, at a pose."""
    turn, _ = Rotation.align_vectors(poses.axis[k : k + 1], [[0.0, 1.0, 0.0]])
    copy = mesh.copy()
    copy.apply_transform(np.block([[turn.as_matrix(), poses.centre[k][:, None]], [np.zeros((1, 3)), np.ones((1, 1))]]))
    return copy


@pytest.mark.parametrize("seed", range(3))
def test_least_clearances_of_a_tyre_among_obstacles(seed):
    rng = np.random.default_rng(seed)
    section = rng.uniform(0.17, 0.24)
    profile = tyre_profile(section, 0.8 * section, rng.uniform(0.28, 0.33), 0.19, 0.0173, rng.uniform(0.15, 0.26))
    poses, elements = random_poses(rng, 3), obstacles(rng, 9)
    told = clearances(profile, poses, elements)
    brute = np.empty((3, len(elements)))
    for k in range(3):
        mesh = placed(tyre_mesh(profile), poses, k)
        for i, element in enumerate(elements):
            brute[k, i] = distance(mesh, sampled(element.corners))
    clear = brute.min(axis=1) > 1e-3
    assert clear.any()
    TRIMESH.agrees(
        "clearance of a tyre from obstacles, pose by pose", brute.min(axis=1)[clear], told.least[clear], "m", abs=2e-4
    )
    for i, contact in enumerate(told.each):
        if contact.clearance > 1e-3:
            # Samples stand apart: brute force can only find the gap wider, and not by much.
            assert -FLAT <= brute[:, i].min() - contact.clearance <= 3e-4, i
            TRIMESH.agrees(
                "least clearance of a tyre from each obstacle", contact.clearance, brute[contact.pose, i], "m", abs=3e-4
            )


@pytest.mark.parametrize("seed", range(3))
def test_places_on_tyre_and_obstacle_are_where_the_mesh_has_them(seed):
    rng = np.random.default_rng(100 + seed)
    profile = tyre_profile(0.2, 0.16, 0.3, 0.19, 0.0173, 0.17)
    poses = random_poses(rng, 1)
    told = clearances(profile, poses, obstacles(rng, 9))
    mesh = placed(tyre_mesh(profile), poses, 0)
    for contact in told.each:
        if contact.clearance > 1e-3:
            TRIMESH.agrees(
                "distance of the told place on the obstacle from the tyre",
                contact.clearance,
                distance(mesh, contact.place[None]),
                "m",
                abs=FLAT,
            )
            TRIMESH.agrees(
                "distance of the told place on the tyre from the tyre's mesh",
                0.0,
                distance(mesh, contact.body[None]),
                "m",
                abs=FLAT,
            )
            TRIMESH.agrees(
                "distance between the two told places",
                contact.clearance,
                np.linalg.norm(contact.place - contact.body),
                "m",
                abs=1e-9,
            )


def test_within_the_wheel():
    rng = np.random.default_rng(7)
    chain = np.array([(0.05, 0.07), (0.04, 0.12), (0.03, 0.15), (0.0, 0.16), (-0.05, 0.162), (-0.09, 0.17)])
    poses = random_poses(rng, 1)
    mesh = placed(turned(chain), poses, 0)
    turn, _ = Rotation.align_vectors(poses.axis, [[0.0, 1.0, 0.0]])
    for _ in range(6):
        angle, reach = rng.uniform(0, 2 * np.pi), rng.uniform(0.08, 0.13)
        own = np.array([reach * np.cos(angle), rng.uniform(-0.07, 0.01), reach * np.sin(angle)])
        corners = poses.centre[0] + turn.apply(own + np.array([[-1], [1]]) * rng.normal(0, 0.012, 3))
        (contact,) = cavity_clearances(chain, poses, [Element(corners)]).each
        brute = distance(mesh, sampled(corners))
        TRIMESH.agrees("clearance inside a wheel", brute, contact.clearance, "m", abs=5e-5)


def test_metal_is_beyond_the_surface_and_the_open_side_is_free():
    chain = np.array([(0.05, 0.07), (0.04, 0.12), (0.0, 0.16), (-0.09, 0.17)])
    a = np.array([0.0, 0.0, 0.06, -0.12, -0.12, 0.03])
    r = np.array([0.10, 0.165, 0.05, 0.20, 0.10, 0.14])
    sign = np.sign(depth_in_cavity(chain, a, r))
    DRAWN.agrees("side of a wheel's inside on which a point lies", [1, -1, -1, 1, 1, -1], sign)
