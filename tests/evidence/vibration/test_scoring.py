"""The search for the lowest place: on places that are known."""

from __future__ import annotations

import numpy as np

from cfgaudit.evidence.vibration.scoring import Place, lowest


def valley(matrix: np.ndarray, middle: np.ndarray):
    """A quadratic with its lowest place at ``middle``."""

    def look(point: np.ndarray) -> Place:
        away = point - middle
        return Place(point, float(away @ matrix @ away) / 2, matrix @ away, matrix)

    return look


MATRIX, MIDDLE = np.array([[3.0, 1.0], [1.0, 2.0]]), np.array([0.5, -0.25])


def test_inside() -> None:
    found = lowest(valley(MATRIX, MIDDLE), np.array([4.0, 4.0]), np.full(2, -9.0), np.full(2, 9.0))
    np.testing.assert_allclose(found.point, MIDDLE, atol=1e-4)


def test_at_a_bound() -> None:
    """With x held at 1, the lowest y solves x − ½ + 2(y + ¼) = 0: y = −½."""
    found = lowest(valley(MATRIX, MIDDLE), np.array([4.0, 4.0]), np.array([1.0, -9.0]), np.full(2, 9.0))
    np.testing.assert_allclose(found.point, [1.0, -0.5], atol=1e-4)


def test_a_curved_valley() -> None:
    """Source: H. H. Rosenbrock, The Computer Journal 3 (1960) 175-184: (1 − x)² + 100 (y − x²)²."""

    def look(point: np.ndarray) -> Place:
        x, y = point
        rises = np.array([[-1.0, 0.0], [-20.0 * x, 10.0]])
        off = np.array([1.0 - x, 10.0 * (y - x * x)])
        return Place(point, float(off @ off), 2 * off @ rises, 2 * rises.T @ rises)

    found = lowest(look, np.array([-1.2, 1.0]), np.full(2, -9.0), np.full(2, 9.0))
    np.testing.assert_allclose(found.point, [1.0, 1.0], atol=1e-3)


def test_a_flat_place_ends_the_search() -> None:
    start = np.array([1.0, 2.0])
    flat = np.zeros(2)
    found = lowest(lambda point: Place(point, 0.0, flat, np.zeros((2, 2))), start, start - 1, start + 1)
    np.testing.assert_array_equal(found.point, start)
