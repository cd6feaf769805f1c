"""Judges how pieces lie on their beds, from their STL files alone.

Slices by `manifold3d` and hulls by `scipy`, both from PyPI; nothing of the
program's own. A piece stands when its first layer (the section 0.1 mm above the
bed), without islands less wide in the mean than two lines, has 60 mm2 or 2 % of its
shadow, and half a square millimetre for each cubic centimetre of it, and its centroid stays over the hull of those until it is tipped by 10 degrees
(common practice, no published source).
Plastic is added up
layer by layer. Support is counted in columns of 2 mm: under each face that hangs over by more than
45 degrees, down to the bed or to the piece, but for ceilings that bridges of 10 mm span.

    python check_lying.py FOLDER [FOLDER ...]      exits 1 where a piece does not
                                                   stand and no finding says so
    python check_lying.py --table FOLDER ...       a line a piece
"""

import json
import math
import sys
from pathlib import Path

import manifold3d
import numpy as np
import trimesh
from scipy.spatial import ConvexHull

FIRST_MM = 0.1
LEAST_MM2 = 60.0
LEAST_SHARE = 0.02
LEAST_WIDTH_MM = 0.9
# And of what it holds, in cubic centimetres.
LEAST_MM2_PER_CM3 = 0.5
LEAST_TIP_DEG = 10.0
COLUMN_MM = 2.0
# A level ceiling between two walls so far apart needs no support.
BRIDGE_MM = 10.0
LEVEL_COS = 0.98
SAME_MM = 0.3
# What lies so near to the bed lies on it.
ON_BED_MM = 0.05
# Estimates agree to within this share.
PLASTIC_TOLERANCE = 0.05
# The program counts columns of its own.
SUPPORT_TOLERANCE = 0.1


def load(path):
    mesh = trimesh.load(path, file_type="stl", process=True, force="mesh")
    mesh.apply_translation([0, 0, -mesh.bounds[0][2]])
    return mesh


def solid_of(mesh):
    return manifold3d.Manifold(manifold3d.Mesh64(
        vert_properties=np.asarray(mesh.vertices, dtype=np.float64),
        tri_verts=np.asarray(mesh.faces, dtype=np.uint64)))


def around(island):
    """The length of all outlines of an island."""
    rings = [np.asarray(ring) for ring in island.to_polygons()]
    return sum(np.linalg.norm(np.roll(r, -1, axis=0) - r, axis=1).sum() for r in rings)


def first_layer(mesh):
    """Area of the first layer, share of the shadow, and by how many degrees the
    piece is tipped when its centroid leaves the hull of that layer (negative:
    it has left it already)."""
    solid = solid_of(mesh)
    islands = [island for island in solid.slice(FIRST_MM).decompose()
               if 2.0 * island.area() / around(island) >= LEAST_WIDTH_MM]
    layer = manifold3d.CrossSection.compose(islands)
    shadow = solid.project().area()
    rings = layer.to_polygons()
    if not rings:
        return 0.0, 0.0, -90.0
    points = np.concatenate(rings)
    centroid = mesh.center_mass
    try:
        hull = ConvexHull(points)
    except Exception:
        return layer.area(), layer.area() / shadow, -90.0
    # Distance to each edge's line, inwards.
    inwards = -(hull.equations[:, :2] @ centroid[:2] + hull.equations[:, 2])
    tip = math.degrees(math.atan2(inwards.min(), centroid[2]))
    return layer.area(), layer.area() / shadow, tip


def crossings(mesh):
    """For each column, from below, where the surface crosses it: height, and whether
    it looks up (1), down (0), down by more than prints without support (-1), or is a
    level ceiling (-2)."""
    low, high = mesh.bounds
    # Columns stand in the middle of cells, a little off the round numbers on which
    # faces end.
    n = [max(1, math.ceil((high[k] - low[k]) / COLUMN_MM)) for k in (0, 1)]
    at = [low[k] + (np.arange(n[k]) + 0.5) * COLUMN_MM + 0.0137 for k in (0, 1)]
    columns = {}
    for (a, b, c), normal in zip(mesh.triangles, mesh.face_normals):
        if abs(normal[2]) < 1e-9:
            continue
        i0, i1 = np.searchsorted(at[0], [min(a[0], b[0], c[0]), max(a[0], b[0], c[0])])
        j0, j1 = np.searchsorted(at[1], [min(a[1], b[1], c[1]), max(a[1], b[1], c[1])])
        if i0 == i1 or j0 == j1:
            continue
        x, y = np.meshgrid(at[0][i0:i1], at[1][j0:j1], indexing="ij")
        d = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
        u = ((x - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (y - a[1])) / d
        v = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / d
        inside = (u >= 0) & (v >= 0) & (u + v <= 1)
        z = a[2] + u * (b[2] - a[2]) + v * (c[2] - a[2])
        if normal[2] > 0:
            kind = 1
        elif normal[2] < -LEVEL_COS:
            kind = -2
        else:
            kind = -1 if normal[2] < -math.sqrt(0.5) - 1e-6 else 0
        for i, j in zip(*np.nonzero(inside)):
            columns.setdefault((i + i0, j + j0), []).append((z[i, j], kind))
    for crossed in columns.values():
        crossed.sort()
    return columns


def bridged(columns, at, z):
    """Whether a ceiling is spanned between two walls along x or y."""
    def wall(cell):
        below = [kind for height, kind in columns.get(cell, []) if height <= z - SAME_MM]
        return bool(below) and below[-1] != 1

    def ceiling(cell):
        return any(k == -2 and abs(h - z) < SAME_MM for h, k in columns.get(cell, []))

    for axis in (0, 1):
        reach = []
        for way in (-1, 1):
            steps = 1
            while steps * COLUMN_MM <= BRIDGE_MM:
                cell = tuple(at[k] + (way * steps if k == axis else 0) for k in (0, 1))
                if wall(cell):
                    reach.append(steps)
                    break
                if not ceiling(cell):
                    break
                steps += 1
        if len(reach) == 2 and (sum(reach) - 1) * COLUMN_MM <= BRIDGE_MM:
            return True
    return False


def support_mm3(mesh):
    """Space under steep faces, column by column, down to the bed or the piece; none
    under a ceiling that a bridge spans."""
    columns = crossings(mesh)
    total = 0.0
    for at, crossed in columns.items():
        floor, inside = 0.0, False
        for z, kind in crossed:
            if kind == 1:
                floor, inside = z, False
            elif not inside:
                inside = True
                if kind < 0 and z > ON_BED_MM and not (kind == -2 and bridged(columns, at, z)):
                    total += z - floor
    return total * COLUMN_MM * COLUMN_MM


def plastic_mm3(mesh, how):
    """Plastic without support, layer by layer: the walls along each outline, solid
    where there is nothing within the solid layers above or below, and infill."""
    solid, height = solid_of(mesh), mesh.bounds[1][2]
    layer, wall = how["layer_mm"], how["walls"] * how["line_mm"]
    skin = how["solid_layers"] * layer
    count = max(1, math.ceil(height / layer - 1e-9))
    # Solid layers come in fives: steps that share no factor with that.
    step = 1 + (count > 200) + (count > 600)
    heights = [(k + 0.5) * layer for k in range(0, count, step)]
    slices = {}

    def at(z):
        key = round(z / layer * 2)
        if key not in slices:
            slices[key] = solid.slice(z)
        return slices[key]

    # Layers that look the same, and have the same about them, are the same.
    known = {}
    total = 0.0
    for z in heights:
        here = at(z)
        sparse = 0.0
        if skin < z < height - skin:
            about = at(z - skin), at(z + skin)
            key = tuple(round(v, 3) for s in (here, *about) for v in (s.area(), *s.bounds()))
            if key not in known:
                inside = here.offset(-wall, manifold3d.JoinType.Round, 2.0, 32)
                known[key] = (inside ^ about[0] ^ about[1]).area()
            sparse = known[key]
        total += here.area() - sparse * (1 - how["infill"])
    return total * height / len(heights)


def judge(path, how):
    mesh = load(path)
    area, share, tip = first_layer(mesh)
    size = mesh.bounds[1] - mesh.bounds[0]
    return {"area": area, "share": share, "tip": tip, "size": size,
            "volume": mesh.volume, "support": support_mm3(mesh),
            "plastic": plastic_mm3(mesh, how)}


def stands(j):
    is_large = j["area"] >= LEAST_MM2 or j["share"] >= LEAST_SHARE
    holds = is_large and j["area"] >= LEAST_MM2_PER_CM3 * j["volume"] / 1000
    return holds and j["tip"] >= LEAST_TIP_DEG


def main(words):
    table = "--table" in words
    failures = 0
    for folder in [Path(w) for w in words if w != "--table"]:
        report = json.loads((folder / "report.json").read_text())
        told = {f["piece"] for f in report["findings"]
                if f["code"] in ("first-layer", "needs-brim")}
        how, density = report["settings"]["print"], report["settings"]["density_g_cm3"]
        files = {p["file"] for p in report["pieces"]}
        judged = {file: judge(folder / file, how) for file in sorted(files)}
        rows = [(p, judged[p["file"]]) for p in report["pieces"]]
        problems = []
        for piece, j in rows:
            if table:
                print(f"{folder.name} {piece['id']} {np.round(j['size'], 1)} first layer "
                      f"{j['area']:.1f} mm2 {100 * j['share']:.1f} % tips {j['tip']:.1f} deg "
                      f"support {j['support'] / 1000:.1f} of {j['volume'] / 1000:.0f} cm3"
                      + ("" if stands(j) else "   DOES NOT STAND"))
            if not stands(j) and piece["id"] not in told:
                problems.append(f"{piece['id']} does not stand, and nothing says so: first layer "
                                f"{j['area']:.1f} mm2, tips at {j['tip']:.1f} deg")
            own = piece.get("support_mm3")
            if own is not None and abs(own - j["support"]) > SUPPORT_TOLERANCE * j["support"] + 2000:
                problems.append(f"{piece['id']} needs {j['support']:.0f} mm3 of support space, "
                                f"reported {own:.0f}")
            grams = j["plastic"] / 1000 * density
            own = piece["plastic_g"] - piece.get("support_g", 0.0)
            if abs(own - grams) > PLASTIC_TOLERANCE * grams + 0.1:
                problems.append(f"{piece['id']} takes {grams:.1f} g, reported {own:.1f}")
        failing = sum(not stands(j) for _, j in rows)
        space = sum(j["support"] for _, j in rows) / 1000
        volume = sum(j["volume"] for _, j in rows) / 1000
        print(f"{'FAIL' if problems else 'ok  '} {folder.name}: {failing} of {len(rows)} pieces do "
              f"not stand, support space {space:.0f} cm3 beside {volume:.0f} cm3 of pieces"
              + "".join(f"\n       {p}" for p in problems[:10]))
        failures += len(problems)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
