"""Judges a finished split with kernels that are not the program's own.

Reads `report.json` and the STL files of a folder and the model they came
from. Geometry by `manifold3d` (booleans) and `trimesh` (closedness, bodies),
both from PyPI.

    python check_split.py MODEL.stl FOLDER [FOLDER of another split of it ...]

Prints a line a check; exits 1 if any fails.
"""

import json
import sys
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

# Files keep single precision: two faces that lie on each other may seem to
# share this much over the area where they touch.
TOUCH_MM = 2e-4
TOUCH_MM3 = 0.02
# A pulled joint must bite into at least this much.
BITE_MM3 = 0.1


def kernel64(mesh):
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.asarray(mesh.vertices, dtype=np.float64),
            tri_verts=np.asarray(mesh.faces, dtype=np.uint64),
        )
    )
    if solid.status() != manifold3d.Error.NoError:
        raise ValueError(f"the kernel refuses it: {solid.status()}")
    return solid


def load(path):
    # Merging equal corners is all that is done to the file.
    return trimesh.load(path, file_type="stl", process=True, force="mesh")


def holds(d, printer):
    """Whether a printer has room for two points so far apart along its sides."""
    w, h = printer["usable_mm"][0], printer["usable_mm"][2]
    if printer.get("round"):
        return any(d[up] <= h and np.hypot(d[up - 1], d[up - 2]) <= w for up in range(3))
    return bool((np.sort(d) <= np.sort(printer["usable_mm"])).all())


def fits(size, printer):
    """Whether a box goes on all of a bed, square to it."""
    return holds(size - 1e-6, dict(printer, usable_mm=printer["bed_mm"]))


class Split:
    def __init__(self, model_path, folder):
        self.folder = Path(folder)
        self.report = json.loads((self.folder / "report.json").read_text())
        self.model_mesh = load(model_path)
        self.failures = []
        self.meshes, self.solids = {}, {}

    def verdict(self, name, problems):
        print(f"{'FAIL' if problems else 'ok  '} {self.folder.name}: {name}"
              + "".join(f"\n       {p}" for p in problems[:10]))
        self.failures += problems

    def pieces(self):
        problems = []
        usable = {p["name"]: p["usable_mm"] for p in self.report["printers"]}
        for piece in self.report["pieces"]:
            mesh = load(self.folder / piece["file"])
            bodies = len(mesh.split(only_watertight=False))
            if not (mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0):
                problems.append(f"{piece['id']} is not closed and oriented")
            if bodies != 1:
                problems.append(f"{piece['id']} has {bodies} bodies")
            low, high = mesh.bounds
            size = high - low
            bed = usable[piece["printer"]]
            if abs(low[2]) > 1e-3 or any(size[k] > bed[k] + 1e-3 for k in range(3)):
                problems.append(f"{piece['id']} {size.round(2)} does not lie in its bed {bed}")
            if abs(mesh.volume - piece["volume_mm3"]) > 1e-5 * mesh.volume:
                problems.append(f"{piece['id']} has {mesh.volume} mm3, reported {piece['volume_mm3']}")
            placement = np.vstack([np.array(piece["placement"]), [0, 0, 0, 1]])
            mesh.apply_transform(placement)
            self.meshes[piece["id"]] = mesh
            self.solids[piece["id"]] = kernel64(mesh)
        self.verdict(f"{len(self.meshes)} pieces closed, one body each, in their beds", problems)

    def shared(self, a, b, shift=(0.0, 0.0, 0.0)):
        """Volume shared by two pieces, the first shifted, and what counts as touching."""
        shift = np.asarray(shift, dtype=float)
        low = np.maximum(self.meshes[a].bounds[0] + shift, self.meshes[b].bounds[0])
        high = np.minimum(self.meshes[a].bounds[1] + shift, self.meshes[b].bounds[1])
        s = high - low
        if (s <= 0).any():
            return 0.0, TOUCH_MM3
        both = self.solids[a].translate(tuple(shift)) ^ self.solids[b]
        faces = max(s[0] * s[1], s[1] * s[2], s[2] * s[0])
        return both.volume(), TOUCH_MM3 + TOUCH_MM * faces

    def disjoint(self):
        problems = []
        ids = list(self.solids)
        for i, a in enumerate(ids):
            for b in ids[i + 1:]:
                volume, limit = self.shared(a, b)
                if volume > limit:
                    problems.append(f"{a} and {b} share {volume:.3f} mm3")
        self.verdict("pieces pairwise disjoint", problems)

    def union(self):
        problems = []
        model = kernel64(self.model_mesh)
        whole = manifold3d.Manifold.batch_boolean(list(self.solids.values()), manifold3d.OpType.Add)
        outside = (whole - model).volume()
        missing = (model - whole).volume()
        # Rounding to single precision moves every face by up to 2e-5 mm.
        allowance = 1e-3 + 5e-5 * model.surface_area()
        if outside > allowance:
            problems.append(f"{outside:.3f} mm3 of the pieces lie outside the model")
        if missing > 0.01 * model.volume():
            problems.append(f"{missing:.1f} mm3 of the model are in no piece")
        self.verdict(
            f"union is the model but for gaps ({100 * missing / model.volume():.3f} % missing, "
            f"{outside:.4f} mm3 outside)", problems)

    def steps(self):
        problems, placed = [], []
        for step in self.report["steps"]:
            direction = np.array(step["direction"])
            for k in range(1, 9):
                back = -direction * step["travel_mm"] * k / 8
                for a in step["moving"]:
                    for b in step["onto"]:
                        volume, limit = self.shared(a, b, back)
                        if volume > limit:
                            problems.append(
                                f"step {step['step']}: {a} hits {b} at {k}/8 of its travel: {volume:.3f} mm3")
            placed += step["moving"] + step["onto"]
        missing = set(self.solids) - set(placed)
        if len(self.solids) > 1 and missing:
            problems.append(f"no step places {sorted(missing)}")
        self.verdict(f"{len(self.report['steps'])} steps free of collision at eight points", problems)

    def held(self):
        problems, seams = [], 0
        for seam in self.report["seams"]:
            normal = np.array(seam["normal"])
            for contact in seam["contacts"]:
                if contact["joint"] in ("plain", "tenon", "tongue"):
                    continue
                seams += 1
                below, above = contact["pieces"]
                # A key is in the way of both halves, and they of nothing.
                keys = contact.get("keys", [])
                pairs = [p for k in keys for p in ((below, k), (k, above))] or [(below, above)]
                for a, b in pairs:
                    bite, _ = self.shared(a, b, -normal)
                    if bite < BITE_MM3:
                        problems.append(f"{seam['id']}: {a} comes off {b}: only {bite:.4f} mm3 in the way")
        self.verdict(f"{seams} contacts blocked when pulled 1 mm along the normal", problems)

    def least(self):
        """The points by which the report says how few pieces there can be."""
        certificate = self.report.get("certificate")
        if certificate is None:
            return
        problems = []
        points = np.array(certificate["apart_mm"]).reshape(-1, 3)
        model = kernel64(self.model_mesh)
        speck = manifold3d.Manifold.cube((0.05, 0.05, 0.05), True)
        for p in points:
            if (speck.translate(tuple(p)) ^ model).volume() <= 0:
                problems.append(f"{p} lies outside the model")
        along = points @ np.array(certificate["square_to"]).T
        for i, p in enumerate(along):
            for j, q in enumerate(along[:i]):
                d = np.abs(p - q)
                if any(holds(d, printer) for printer in self.report["printers"]):
                    problems.append(f"a bed holds both {points[i]} and {points[j]}")
        if len(points) > certificate["lying_square"]:
            problems.append("fewer pieces are claimed than there are points")
        self.verdict(f"{len(points)} points in the model, no two of which go on one bed lying square", problems)

    def boxes(self):
        """What the report says that equal boxes along the model's own axes would make."""
        boxes = (self.report.get("certificate") or {}).get("equal_boxes")
        if boxes is None:
            return
        problems = []
        turn = np.array(self.report["certificate"]["square_to"])
        model = kernel64(self.model_mesh).transform(np.hstack([turn, np.zeros((3, 1))]))
        low, high = np.array(model.bounding_box()).reshape(2, 3)
        size = (high - low) / boxes["along"]
        if not any(fits(size, printer) for printer in self.report["printers"]):
            problems.append(f"boxes of {size.round(2)} mm fit no bed")
        parts = [model]
        for axis, count in enumerate(boxes["along"]):
            for k in range(1, count):
                parts = [half for part in parts
                         for half in part.split_by_plane(np.eye(3)[axis], low[axis] + k * size[axis])
                         if not half.is_empty()]
        bodies = [body for part in parts for body in part.decompose()]
        # What is smaller is a chip.
        pieces = sum(body.volume() > 1.0 for body in bodies)
        if pieces != boxes["pieces"]:
            problems.append(f"they make {pieces} pieces, reported {boxes['pieces']}")
        self.verdict(f"{boxes['along']} equal boxes that fit a bed make {boxes['pieces']} pieces", problems)

    def run(self):
        self.pieces()
        self.least()
        self.boxes()
        self.disjoint()
        self.union()
        self.steps()
        self.held()
        return not self.failures


if __name__ == "__main__":
    good = [Split(sys.argv[1], folder).run() for folder in sys.argv[2:]]
    sys.exit(0 if good and all(good) else 1)
