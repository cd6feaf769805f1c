"""Cuts a model into a grid of cells and writes each: nothing else.

No joints, no checks, no plates, no pages: what the same cells cost with a
general-purpose kernel (`manifold3d` from PyPI), plane by plane.

    python cut_grid.py MODEL.stl NX NY NZ OUT_FOLDER
"""

import sys
from pathlib import Path

import manifold3d
import numpy as np


RECORD = np.dtype([("normal", "<3f4"), ("corners", "<9f4"), ("attribute", "<u2")])


def read(path):
    data = Path(path).read_bytes()
    count = int.from_bytes(data[80:84], "little")
    records = np.frombuffer(data, RECORD, count, 84)
    corners = records["corners"].reshape(-1, 3)
    places, index = np.unique(corners, axis=0, return_inverse=True)
    solid = manifold3d.Manifold(
        manifold3d.Mesh(places.astype(np.float32), index.reshape(-1, 3).astype(np.uint32))
    )
    if solid.status() != manifold3d.Error.NoError:
        raise ValueError(f"{path}: {solid.status()}")
    return solid


def write(solid, path):
    mesh = solid.to_mesh()
    corners = mesh.vert_properties[:, :3][mesh.tri_verts]
    records = np.zeros(len(corners), RECORD)
    records["corners"] = corners.reshape(-1, 9)
    path.write_bytes(bytes(80) + len(corners).to_bytes(4, "little") + records.tobytes())


def parted(solids, axis, places):
    normal = [float(k == axis) for k in range(3)]
    done = []
    for rest in solids:
        for place in places:
            above, below = rest.split_by_plane(normal, place)
            done.append(below)
            rest = above
        done.append(rest)
    return [s for s in done if not s.is_empty()]


def main(model, counts, out):
    solid = read(model)
    box = solid.bounding_box()
    cells = [solid]
    for axis, count in enumerate(counts):
        low, high = box[axis], box[axis + 3]
        cells = parted(cells, axis, [low + (high - low) * k / count for k in range(1, count)])
    folder = Path(out)
    folder.mkdir(parents=True, exist_ok=True)
    for k, cell in enumerate(cells):
        write(cell, folder / f"{k:03}.stl")
    print(f"{len(cells)} cells")


if __name__ == "__main__":
    main(sys.argv[1], [int(n) for n in sys.argv[2:5]], sys.argv[5])
