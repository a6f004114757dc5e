"""Cubic splines on uniform grids, for the property tables: along a curve and over a surface.

Only numpy: a keystroke must not wait for a larger library to load. Slopes at the nodes are those of the
cubic spline through the values whose third derivative is continuous at the last node but one of either end
("not-a-knot"), so that a table need hold values alone. de Boor, A Practical Guide to Splines (1978), ch. 4.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]

STEPS = 4
"""Newton steps within one cell; from the chord's guess they reach rounding on tables as smooth as ours."""


@dataclass(frozen=True, slots=True)
class Cubic:
    """One quantity along a curve whose nodes lie at 0, spacing, 2 spacing ..., made for long arrays.

    Attributes
    ----------
    spacing
        Between the nodes.
    coefficients
        Shape (4, n - 1), of the powers of the place within a piece.
    """

    spacing: float
    coefficients: Floats

    @classmethod
    def hermite(cls, spacing: float, values: Floats, slopes: Floats) -> Cubic:
        """Cubic through values with slopes, both shape (n,), ``spacing`` apart."""
        left, right = values[:-1], values[1:]
        rise, fall = slopes[:-1] * spacing, slopes[1:] * spacing
        step = right - left
        return cls(spacing, np.array([left, rise, 3 * step - 2 * rise - fall, rise + fall - 2 * step]))

    def __call__(self, x: Floats) -> Floats:
        """Values at places inside the grid; places outside take the end pieces."""
        place = x / self.spacing
        piece = np.clip(place.astype(np.intp), 0, self.coefficients.shape[1] - 1)
        place -= piece
        constant, linear, square, cube = self.coefficients
        value: Floats = cube.take(piece)
        for lower in (square, linear, constant):
            value *= place
            value += lower.take(piece)
        return value

    def slope(self, x: Floats) -> Floats:
        """First derivative at places inside the grid."""
        place = x / self.spacing
        piece = np.clip(place.astype(np.intp), 0, self.coefficients.shape[1] - 1)
        place -= piece
        _, linear, square, cube = (row.take(piece) for row in self.coefficients)
        derivative: Floats = (linear + place * (2 * square + 3 * place * cube)) / self.spacing
        return derivative


@dataclass(frozen=True, slots=True)
class Line:
    """Several quantities along a curve whose nodes lie at 0, 1, 2 ...

    Attributes
    ----------
    pieces
        Shape (n - 1, q, 4): value and slope of each quantity at the first and at the second end of a piece.
    """

    pieces: Floats

    @classmethod
    def through(cls, values: Floats) -> Line:
        """The spline through values of shape (n, q)."""
        ends = np.stack([values, slope_matrix(len(values)) @ values], axis=-1)
        return cls(np.concatenate([ends[:-1], ends[1:]], axis=-1))

    def at(self, x: Floats) -> Floats:
        """The quantities at places x, shape (m,), within the nodes: shape (m, q)."""
        first, weights = _weights(x, len(self.pieces))
        found: Floats = np.einsum("mk,mqk->mq", weights, self.pieces.take(first, axis=0))
        return found


@dataclass(frozen=True, slots=True)
class Surface:
    """Several quantities over a rectangle whose nodes lie at 0, 1, 2 ... both ways.

    Attributes
    ----------
    values, slopes_x
        Shape (q, nx, ny): each quantity at the nodes and its slope along x.
    cells
        Shape (nx - 1, ny - 1, q, 4, 4): along either direction value and slope at the first and at the
        second end of a cell.
    """

    values: Floats
    slopes_x: Floats
    cells: Floats

    @classmethod
    def through(cls, values: Floats) -> Surface:
        """The spline through values of shape (q, nx, ny)."""
        quantities, nx, ny = values.shape
        slopes_x = slope_matrix(nx) @ values
        cells = np.empty((nx - 1, ny - 1, quantities, 4, 4))
        for along_x, level in enumerate((values, slopes_x)):
            for along_y, nodes in enumerate((level, level @ slope_matrix(ny).T)):
                by_place = np.moveaxis(nodes, 0, -1)
                for end_x in (0, 1):
                    for end_y in (0, 1):
                        corner = by_place[end_x : nx - 1 + end_x, end_y : ny - 1 + end_y]
                        cells[..., 2 * end_x + along_x, 2 * end_y + along_y] = corner
        return cls(values, slopes_x, cells)

    def at(self, x: Floats, y: Floats) -> Floats:
        """The quantities at places (x, y), each of shape (m,), within the nodes: shape (m, q)."""
        rows, columns, quantities = self.cells.shape[:3]
        first_x, weights_x = _weights(x, rows)
        first_y, weights_y = _weights(y, columns)
        pieces = self.cells.reshape(-1, quantities, 16).take(first_x * columns + first_y, axis=0)
        weights = (weights_x[:, :, None] * weights_y[:, None, :]).reshape(-1, 16)
        found: Floats = np.einsum("mk,mqk->mq", weights, pieces)
        return found

    def solve(self, x: Floats, quantity: int, wanted: Floats) -> tuple[Floats, Floats]:
        """The place y where a quantity that rises with y has the wanted value; all of shape (m,).

        Also answered, shape (m,), is how far the wanted value lies beyond those that the quantity takes at
        x: negative below the lowest, 0 within. Beyond them y is the nearer end.
        """
        first, weights = _weights(x, len(self.cells))
        row = _across(weights, self.values[quantity], self.slopes_x[quantity], first)
        cell = np.count_nonzero(row[:, 1:-1] <= wanted[:, None], axis=1)
        piece = np.einsum("mk,mkl->ml", weights, self.cells[first, cell, quantity])
        beyond = wanted - np.minimum(np.maximum(wanted, row[:, 0]), row[:, -1])
        return cell + _within_piece(piece, wanted), beyond


def _weights(x: Floats, pieces: int) -> tuple[Indices, Floats]:
    """The piece that holds x, and the weights of value and slope at its first and at its second end."""
    first = np.minimum(np.maximum(x.astype(np.intp), 0), pieces - 1)
    t = x - first
    u = 1.0 - t
    tt, uu = t * t, u * u
    weights = np.empty((len(x), 4))
    weights[:, 0], weights[:, 1] = uu * (1.0 + 2.0 * t), uu * t
    weights[:, 2], weights[:, 3] = tt * (1.0 + 2.0 * u), -tt * u
    return first, weights


def _across(weights: Floats, values: Floats, slopes: Floats, first: Indices) -> Floats:
    """Whole rows of a surface at places between its nodes, shape (m, ny)."""
    row: Floats = weights[:, 0:1] * values[first]
    row += weights[:, 1:2] * slopes[first]
    row += weights[:, 2:3] * values[first + 1]
    row += weights[:, 3:4] * slopes[first + 1]
    return row


def _within_piece(piece: Floats, wanted: Floats) -> Floats:
    """Where the rising cubic of a piece, ends as in `Line`, shape (m, 4), has the wanted values."""
    left, rise, right, fall = piece.T
    step = right - left
    square, cube = 3.0 * step - 2.0 * rise - fall, rise + fall - 2.0 * step
    sought = wanted - left
    t = np.minimum(np.maximum(sought / step, 0.0), 1.0)
    for _ in range(STEPS):
        miss = ((cube * t + square) * t + rise) * t - sought
        t = t - miss / ((3.0 * cube * t + 2.0 * square) * t + rise)
        t = np.minimum(np.maximum(t, 0.0), 1.0)
    return np.asarray(t, dtype=np.float64)


@cache
def slope_matrix(nodes: int) -> Floats:
    """Shape (nodes, nodes): times the values at uniform nodes it gives the spline's slopes there.

    >>> square = np.arange(1.0, 7.0) ** 2
    >>> (slope_matrix(6) @ square).round(9).tolist()
    [2.0, 4.0, 6.0, 8.0, 10.0, 12.0]
    """
    left, right = np.zeros((nodes, nodes)), np.zeros((nodes, nodes))
    inner = np.arange(1, nodes - 1)
    left[inner, inner - 1], left[inner, inner], left[inner, inner + 1] = 1.0, 4.0, 1.0
    right[inner, inner - 1], right[inner, inner + 1] = -3.0, 3.0
    left[0, :2], right[0, :3] = (1.0, 2.0), (-2.5, 2.0, 0.5)
    left[-1, -2:], right[-1, -3:] = (2.0, 1.0), (-0.5, -2.0, 2.5)
    return np.asarray(np.linalg.solve(left, right), dtype=np.float64)
