"""Writes furniture of boards as STL files, made as exact unions of boxes.

Booleans by `manifold3d` (PyPI). Invented for the checks: a bookshelf of 18 mm boards with a
back of 6, a nightstand on four legs, a deep drawer and a desk organiser.

    python make_furniture.py FOLDER
"""

import struct
import sys
from pathlib import Path

import manifold3d
import numpy as np


def box(low, high):
    low, high = np.array(low, float), np.array(high, float)
    return manifold3d.Manifold.cube(high - low).translate(low)


def united(boxes):
    return manifold3d.Manifold.batch_boolean(boxes, manifold3d.OpType.Add)


def bookshelf():
    wide, deep, high, board, back = 640, 240, 900, 18, 6
    sides = [box((x, 0, 0), (x + board, deep, high)) for x in (0, wide - board)]
    shelves = [box((0, 0, z), (wide, deep, z + board)) for z in (0, 290, 580, high - board)]
    return united(sides + shelves + [box((0, deep - back, 0), (wide, deep, high))])


def nightstand():
    wide, deep, high, board, leg = 333, 290, 520, 16, 36
    legs = [box((x, y, 0), (x + leg, y + leg, 140)) for x in (0, wide - leg) for y in (0, deep - leg)]
    sides = [box((x, 0, 140), (x + board, deep, high)) for x in (0, wide - board)]
    shelves = [box((0, 0, z), (wide, deep, z + board)) for z in (140, 300, high - board)]
    return united(legs + sides + shelves + [box((0, deep - 8, 140), (wide, deep, high))])


def drawer():
    return box((0, 0, 0), (372, 318, 116)) - box((12, 12, 8), (360, 306, 117))


def organiser():
    wide, deep, high, board = 480, 240, 180, 8
    uprights = [box((x, 0, 0), (x + board, deep, high)) for x in (0, 160, 320, wide - board)]
    levels = [((160, 90), (328, 98)), ((320, 60), (wide, 68)), ((320, 120), (wide, 128))]
    shelves = [box((x0, 0, z0), (x1, deep, z1)) for (x0, z0), (x1, z1) in levels]
    outer = [box((0, 0, 0), (wide, deep, board)), box((0, deep - board, 0), (wide, deep, high))]
    return united(uprights + shelves + outer)


def write(solid, path):
    mesh = solid.to_mesh()
    vertices, triangles = mesh.vert_properties[:, :3], mesh.tri_verts
    with open(path, "wb") as file:
        file.write(bytes(80) + struct.pack("<I", len(triangles)))
        for triangle in triangles:
            corners = [c for corner in triangle for c in vertices[corner]]
            file.write(struct.pack("<12fH", 0, 0, 0, *corners, 0))


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for make in (bookshelf, nightstand, drawer, organiser):
        write(make(), folder / f"{make.__name__}.stl")
