"""Writes furniture of boards as STL files, made as exact unions of boxes.

Booleans by `manifold3d` (PyPI). Invented for the checks: a bookshelf of 18 mm boards with a
back of 6, a nightstand on four legs, a deep drawer and a desk organiser; and, of bodies that
stand apart, a cabinet with two drawers of one shape and a door, and a panel in its frame.

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


def cabinet():
    wide, deep, high, board = 320, 260, 420, 15
    bays = [(15, 165), (180, 285), (300, 405)]
    case = box((0, 0, 0), (wide, deep, high))
    for low, top in bays:
        case -= box((board, -1, low), (wide - board, deep - 6, top))
    def drawer(low, top):
        left, right = board + 0.8, wide - board - 0.8
        room = box((left + 9, 28, low + 9), (right - 9, deep - 20, top))
        drawer = box((left, 0, low + 0.8), (right, deep - 10, top - 12)) - room
        knob = manifold3d.Manifold.cylinder(20, 9, 12, 48).rotate((90, 0, 0))
        return drawer + knob.translate((wide / 2, 1, (low + top) / 2))
    door = box((board + 0.8, 0, 15.8), (wide - board - 0.8, 14, 164.2))
    return [case, drawer(*bays[1]), drawer(*bays[2]), door]


def frame():
    ring = box((0, 0, 0), (340, 24, 460)) - box((48, -1, 48), (292, 25, 412))
    groove = box((40, 9, 40), (300, 15, 420))
    return [ring - groove, box((41, 9.6, 41), (299, 14.4, 419))]


def write(bodies, path):
    with open(path, "wb") as file:
        meshes = [solid.to_mesh() for solid in bodies]
        file.write(bytes(80) + struct.pack("<I", sum(len(m.tri_verts) for m in meshes)))
        for mesh in meshes:
            vertices = mesh.vert_properties[:, :3]
            for triangle in mesh.tri_verts:
                corners = [c for corner in triangle for c in vertices[corner]]
                file.write(struct.pack("<12fH", 0, 0, 0, *corners, 0))


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for make in (bookshelf, nightstand, drawer, organiser):
        write([make()], folder / f"{make.__name__}.stl")
    for make in (cabinet, frame):
        write(make(), folder / f"{make.__name__}.stl")
