"""Judges the plates of a split with kernels that are not the program's own.

Each plate is read by `lib3mf` (PyPI), the reference implementation of the 3MF
specification, in strict mode. Volumes and overlaps by `manifold3d` (PyPI).

    python check_plates.py FOLDER [FOLDER ...]

Prints a line a folder; exits 1 if anything is wrong.
"""

import json
import sys
from collections import Counter
from pathlib import Path

import lib3mf
import manifold3d
import numpy as np
from lib3mf import get_wrapper

EDGE_MM = 1e-3


def objects_on(path):
    """Names, part numbers and solids in place of a plate, and what the strict reader warns of."""
    model = get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    warnings = [reader.GetWarning(k) for k in range(reader.GetWarningCount())]
    unit = model.GetUnit()
    if unit != lib3mf.ModelUnit.MilliMeter:
        warnings.append(f"its unit is {unit}")
    out = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        mesh = model.GetMeshObjectByID(item.GetObjectResource().GetResourceID())
        points = np.array([list(v.Coordinates) for v in mesh.GetVertices()], dtype=np.float64)
        faces = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()], dtype=np.uint64)
        if not mesh.IsManifoldAndOriented():
            warnings.append(f"{mesh.GetName()} is not closed and oriented")
        matrix = np.array([list(row) for row in item.GetObjectTransform().Fields])
        placed = points @ matrix[:3] + matrix[3]
        solid = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=placed, tri_verts=faces))
        out.append((mesh.GetName(), mesh.GetPartNumber(), placed, solid))
    return out, warnings, model.HasPackageThumbnailAttachment()


def judge(folder):
    report = json.loads((folder / "report.json").read_text())
    printers = {p["name"]: p for p in report["printers"]}
    volumes = {p["id"]: p["volume_mm3"] for p in report["pieces"]}
    problems, seen = [], Counter()
    for plate in report["plates"]:
        found, warnings, thumbnail = objects_on(folder / plate["file"])
        problems += [f"{plate['file']}: {w}" for w in warnings]
        if not thumbnail:
            problems.append(f"{plate['file']} has no thumbnail")
        if [f[0] for f in found] != [p["id"] for p in plate["pieces"]]:
            problems.append(f"{plate['file']} has other pieces than the report says")
        printer = printers[plate["printer"]]
        bed, usable = np.array(printer["bed_mm"]), np.array(printer["usable_mm"])
        rim = (bed - usable) / 2
        shadows = []
        for name, part, placed, solid in found:
            seen[name] += 1
            if part != name:
                problems.append(f"{name} has the part number {part}")
            if abs(solid.volume() / volumes[name] - 1) > 1e-6:
                problems.append(f"{name} has {solid.volume()} mm3, reported {volumes[name]}")
            low, high = placed.min(axis=0), placed.max(axis=0)
            inside = (low[:2] >= rim[:2] - EDGE_MM).all() and (high[:2] <= (bed - rim)[:2] + EDGE_MM).all()
            if not inside or abs(low[2]) > EDGE_MM or high[2] > usable[2] + EDGE_MM:
                problems.append(f"{name} lies from {low.round(2)} to {high.round(2)}, out of its bed")
            shadow = solid.project()
            for other, its in shadows:
                shared = (shadow ^ its).area()
                if shared > 1e-3:
                    problems.append(f"{name} and {other} overlap by {shared:.3f} mm2 on {plate['file']}")
            shadows.append((name, shadow))
    to_print = [p["id"] for p in report["pieces"] if not p.get("printed")]
    problems += [f"{i} is on {seen[i]} plates" for i in to_print if seen[i] != 1]
    problems += [f"{i} is on a plate and need not be printed" for i in seen if i not in to_print]
    print(f"{'FAIL' if problems else 'ok  '} {folder.name}: {len(to_print)} pieces on {len(report['plates'])} plates, strictly read"
          + "".join(f"\n       {p}" for p in problems[:10]))
    return not problems


if __name__ == "__main__":
    good = [judge(Path(folder)) for folder in sys.argv[1:]]
    sys.exit(0 if good and all(good) else 1)
