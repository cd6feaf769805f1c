"""Judges what holds pieces where they meet, from their STL files in place.

Sections by `manifold3d` (PyPI), nothing of the program's own; the report only says where
pieces lie, where seams are and which way they close. What two pieces share on a seam is
opened by 8 mm (shrunk and grown again): each part of 200 mm2 or more that is left is a
limb, and must have a joint: a tail, a tenon or a key that goes through the seam there. Of all
limbs at least nine tenths of the area must lie within 20 mm of a joint. And no seam may be
freed by load: of the two sides of a steep slide the one that does not stand on the floor,
by what level joints hold together, must not come home upwards.

    python check_limbs.py FOLDER [FOLDER ...]      exits 1 where a limb is bare or load
                                                   frees a seam and no finding says so,
                                                   or where joints are too far apart
    python check_limbs.py --all FOLDER ...         whatever findings say
"""

import json
import sys
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

LIMB_MM = 8.0
LIMB_MM2 = 200.0
NEAR_MM = 20.0
NEAR_SHARE = 0.9
# So far beside the seam faces are looked at, and joints.
FACE_MM = 0.05
JOINT_MM = 1.2
# Joints stand apart from their sockets by clearance, rounding and the run-out of blind ends.
GAP_MM = 2.2
JOINT_MM2 = 4.0
# Friction of printed plastic on itself, 0.2 at the least: no steeper slope holds by it.
STEEP = 0.196
ON_FLOOR_MM = 0.5
MITRE = manifold3d.JoinType.Miter


def grown(section, by):
    return section.offset(by, MITRE, 2.0)


def in_place(folder, piece):
    mesh = trimesh.load(folder / piece["file"], file_type="stl", process=True, force="mesh")
    rows = np.array(piece["placement"], dtype=float).reshape(3, 4)
    mesh.apply_transform(np.vstack([rows, [0, 0, 0, 1]]))
    return mesh


def seam_axes(seam):
    """The motion that takes the seam's plane to z = 0, its normal to +z."""
    n = np.array(seam["normal"])
    u = np.cross(n, [0, 0, 1] if abs(n[2]) < 0.9 else [1, 0, 0])
    u /= np.linalg.norm(u)
    rows = np.array([u, np.cross(n, u), n])
    return np.column_stack([rows, -rows @ np.array(seam["origin_mm"])])


class Cut:
    """The sections of a piece beside a seam, made when they are asked for."""

    def __init__(self, solid, axes):
        self.solid = solid.transform(axes)
        self.at = {}

    def __call__(self, height):
        if height not in self.at:
            self.at[height] = self.solid.slice(height)
        return self.at[height]

    def reach(self):
        """How far it goes below the plane and above it."""
        box = self.solid.bounding_box()
        return -box[2], box[5]


def near_each_other(a, b):
    """Whether the boxes of two pieces overlap in the plane."""
    p, q = a.solid.bounding_box(), b.solid.bounding_box()
    return all(p[k] < q[k + 3] and q[k] < p[k + 3] for k in (0, 1))


def joints_of(a, b, keys):
    """Where something of one half stands in the other, or a key goes through."""
    out = a(JOINT_MM) + b(-JOINT_MM)
    for key in keys:
        out += key(JOINT_MM) ^ key(-JOINT_MM)
    return out


def limbs_of(a, b, joints):
    """The limbs of what a piece below and a piece above share, joints counted in."""
    faces = a(-FACE_MM) ^ b(FACE_MM)
    if faces.area() < LIMB_MM2 / 4:
        return []
    both = (a(-FACE_MM) + b(-FACE_MM)) ^ (a(FACE_MM) + b(FACE_MM))
    # The clearance about joints closes; the rounding of edges does not come back.
    whole = grown(grown(both + (joints ^ grown(faces, NEAR_MM)), GAP_MM), -GAP_MM)
    opened = grown(grown(whole, -(LIMB_MM - 0.1) / 2), (LIMB_MM - 0.1) / 2)
    return [part for part in opened.decompose() if part.area() >= LIMB_MM2]


def judged(folder, heed_findings):
    report = json.loads((folder / "report.json").read_text())
    meshes = {p["id"]: in_place(folder, p) for p in report["pieces"]}
    solids = {k: manifold3d.Manifold(manifold3d.Mesh64(
        vert_properties=np.asarray(m.vertices, dtype=np.float64),
        tri_verts=np.asarray(m.faces, dtype=np.uint64))) for k, m in meshes.items()}
    told = {(f["code"], f.get("seam"), f.get("piece")) for f in report["findings"]} if heed_findings else set()
    pieces = [p["id"] for p in report["pieces"] if not p["id"].startswith("K")]
    faults, area, near, links = [], 0.0, 0.0, []
    for seam in report["seams"]:
        axes = seam_axes(seam)
        cuts = {}
        def cut(piece):
            if piece not in cuts:
                cuts[piece] = Cut(solids[piece], axes)
            return cuts[piece]
        # Whatever ends at the plane from below may meet whatever ends there from above.
        reach = {k: cut(k).reach() for k in solids}
        low = [k for k in pieces if reach[k][0] > FACE_MM and reach[k][1] > -FACE_MM]
        high = [k for k in pieces if reach[k][1] > FACE_MM and reach[k][0] > -FACE_MM]
        keys = [cut(k) for k in solids if k not in pieces and min(reach[k]) > JOINT_MM]
        pairs = [(p, q) for p in low for q in high if p != q and near_each_other(cut(p), cut(q))]
        for below, above in pairs:
            a, b = cut(below), cut(above)
            sliding = a(JOINT_MM) + b(-JOINT_MM)
            joints = joints_of(a, b, keys)
            limbs = limbs_of(a, b, joints)
            halo = grown(joints, NEAR_MM)
            held = False
            for limb in limbs:
                area += limb.area()
                near += (limb ^ halo).area()
                if (limb ^ joints).area() >= JOINT_MM2:
                    held = True
                    continue
                if not {(code, seam["id"], below) for code in ("bare-limb", "plain-contact")} & told:
                    x0, y0, x1, y1 = limb.bounds()
                    faults.append(f"{seam['id']}: a limb of {below} and {above}, {limb.area():.0f} mm2, {x1 - x0:.0f} x {y1 - y0:.0f}, has no joint")
            if not limbs:
                continue
            slid = any((limb ^ sliding).area() >= JOINT_MM2 for limb in limbs)
            links.append((seam, below, above, held, slid))
    faults += freed(report, meshes, links, told)
    share = near / area if area else 1.0
    if share < NEAR_SHARE:
        faults.append(f"only {100 * share:.0f} % of the limbs' area lies within {NEAR_MM:.0f} mm of a joint")
    return faults, share


def freed(report, meshes, links, told):
    up = {"x": 0, "y": 1, "z": 2}
    side = report["settings"].get("up", "+z")
    axis, sign = up[side[1]], 1.0 if side[0] == "+" else -1.0
    lowest = {k: (sign * m.vertices[:, axis]).min() for k, m in meshes.items()}
    floor = min(lowest.values())
    group = {k: k for k in meshes}

    def find(k):
        while group[k] != k:
            k = group[k]
        return k

    for seam, below, above, held, _ in links:
        if held and abs(sign * seam["slide"][axis]) <= STEEP:
            group[find(below)] = find(above)
    stands = {find(k) for k, low in lowest.items() if low - floor < ON_FLOOR_MM}
    out = []
    for seam, below, above, _, slid in links:
        climbs = sign * seam["slide"][axis]
        b, a = find(below) in stands, find(above) in stands
        loose = climbs > STEEP and not b and a or climbs < -STEEP and b and not a
        if slid and loose and ("freed-by-load", seam["id"], None) not in told:
            out.append(f"{seam['id']}: load frees {below} or {above}")
    return out


def main(arguments):
    heed = "--all" not in arguments
    folders = [Path(a) for a in arguments if not a.startswith("--")]
    failed = False
    for folder in folders:
        faults, share = judged(folder, heed)
        print(f"{folder.name}: {100 * share:.0f} % of the limbs' area near a joint, {len(faults)} faults")
        for fault in faults:
            print(f"  {fault}")
        failed |= bool(faults)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(sys.argv[1:])
