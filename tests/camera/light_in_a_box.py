"""Light traced through a box by chance: rays, matt walls, a board in the middle. Knows no formula of spheres."""

from __future__ import annotations

import numpy as np

HALF = 150.0  # of a side of the patch that counts what falls on a tray [mm]


def traced(box, board_at, board, circle, axis_high, middle, walls, white, rays, seed=3):
    """Shares of the picture's mean illuminance: on all surfaces, on a tray, back on the lit board.

    box        length, width, height [mm]; x from the lens's wall, y from the middle, z from the floor
    middle     of the tray, in the same coordinates
    walls, white  reflectance of the walls (and the board's back), and of the board's face

    Each packet starts in the lens's circle at the board's place, on the board or past it; it loses by reflectance at each hit.
    """
    rng = np.random.default_rng(seed)
    length, width, height = box
    radius = np.sqrt(rng.random(rays)) * circle / 2
    angle = rng.random(rays) * 2 * np.pi
    y, z = radius * np.cos(angle), axis_high + radius * np.sin(angle)
    inside = (np.abs(y) <= width / 2) & (z >= 0) & (z <= height)
    y, z = y[inside], z[inside]
    area = np.pi * circle**2 / 4
    each = area / rays  # flux of a packet where the picture's illuminance is 1
    on = _on_board(y, z, board, axis_high)
    at = np.stack([np.where(on, board_at, length), y, z], axis=1)
    normal = np.tile([-1.0, 0.0, 0.0], (len(y), 1))
    weight = np.where(on, white, walls) * each
    lit_area = each * on.sum()
    surfaces = 2 * (length * width + length * height + width * height) + 2 * board[0] * board[1]
    hits = tray = veil = 0.0
    for _ in range(60):
        way = _matt(normal, rng)
        far, where, face = _walls(at, way, box)
        plane = (board_at - at[:, 0]) / np.where(way[:, 0] == 0, 1e-12, way[:, 0])
        hit = at + way * plane[:, None]
        board_hit = (plane > 1e-6) & (plane < far) & _on_board(hit[:, 1], hit[:, 2], board, axis_high)
        reach = np.where(board_hit, plane, far)
        # the tray lets light through: it only counts what comes down on it
        down = (middle[2] - at[:, 2]) / np.where(way[:, 2] == 0, 1e-12, way[:, 2])
        over = at + way * down[:, None]
        counted = (way[:, 2] < 0) & (down > 0) & (down < reach)
        counted &= (np.abs(over[:, 0] - middle[0]) < HALF) & (np.abs(over[:, 1] - middle[1]) < HALF)
        tray += weight[counted].sum()
        front = board_hit & (way[:, 0] > 0)
        near = np.hypot(hit[:, 1], hit[:, 2] - axis_high) <= circle / 2
        veil += weight[front & near].sum()
        hits += weight.sum()
        at = np.where(board_hit[:, None], hit, where)
        normal = np.where(board_hit[:, None], np.stack([-np.sign(way[:, 0]), 0 * reach, 0 * reach], axis=1), face)
        weight = weight * np.where(front, white, walls)
        if weight.sum() < 1e-5 * lit_area:
            break
    return hits / surfaces, tray / (2 * HALF) ** 2, veil / lit_area


def _on_board(y, z, board, axis_high):
    return (np.abs(y) <= board[0] / 2) & (np.abs(z - axis_high) <= board[1] / 2)


def _matt(normal, rng):
    """A way off a matt surface: a point of a unit ball's skin added to the normal."""
    v = rng.normal(size=normal.shape)
    v /= np.linalg.norm(v, axis=1, keepdims=True)
    way = normal + v
    return way / np.linalg.norm(way, axis=1, keepdims=True)


def _walls(at, way, box):
    """Distance to the wall each ray meets, where, and the way it faces."""
    low, high = np.array([0.0, -box[1] / 2, 0.0]), np.array([box[0], box[1] / 2, box[2]])
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.where(way > 0, (high - at) / way, (low - at) / way)
    t = np.where(np.isfinite(t), np.maximum(t, 0), np.inf)
    axis = t.argmin(axis=1)
    rows = np.arange(len(at))
    far = t[rows, axis]
    face = np.zeros_like(way)
    face[rows, axis] = -np.sign(way[rows, axis])
    return far, at + way * far[:, None], face
