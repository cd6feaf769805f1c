"""Builds one dovetail from its numbers with a CAD kernel and compares volumes.

The kernel is that of `cadquery` (PyPI): boundary representation, with true
arcs and ruled surfaces, where the program has triangles. Width is taken at the
crest where the tail comes in; both flanks lean by the taper along the run.

    python check_dovetail.py FOLDER    (written by the example make-dovetail)

Prints a line a half; exits 1 if a volume differs by more than 0.1 %.
"""

import json
import math
import sys
from pathlib import Path

import cadquery as cq
import trimesh

LIMIT = 1e-3


def profile(n, run_at, grown, depth, neck_radius, crest_radius):
    """The tail's outline at a place along the run, back to half a millimetre before the seam."""
    half = math.radians(n["included_angle_deg"]) / 2
    lean = math.tan(math.radians(n["taper_deg"]))
    neck = n["width_mm"] / 2 - n["depth_mm"] * math.tan(half) - run_at * lean + grown
    crest = neck + depth * math.tan(half)
    back, shoulder = -0.5, neck + 1.0
    points = [(back, -shoulder), (0, -shoulder), (0, -neck), (depth, -crest),
              (depth, crest), (0, neck), (0, shoulder), (back, shoulder)]
    sketch = cq.Sketch().polygon(points + points[:1])
    near = lambda p: cq.selectors.NearestToPointSelector((p[0], p[1], 0))
    for p, radius in ((points[2], neck_radius), (points[5], neck_radius),
                      (points[3], crest_radius), (points[4], crest_radius)):
        sketch = sketch.vertices(near(p)).fillet(radius).reset()
    return sketch


def drafted(n, grown, depth, neck_radius, crest_radius):
    low = profile(n, 0.0, grown, depth, neck_radius, crest_radius)
    high = profile(n, n["run_mm"], grown, depth, neck_radius, crest_radius)
    wires = [low._faces.Faces()[0].outerWire(),
             high._faces.Faces()[0].outerWire().translate(cq.Vector(0, 0, n["run_mm"]))]
    return cq.Workplane(obj=cq.Solid.makeLoft(wires, True))


def block(low, high, half, run):
    return cq.Workplane().box(high - low, 2 * half, run, centered=False).translate((low, -half, 0))


def main(folder):
    n = json.loads((folder / "numbers.json").read_text())
    back, half = n["block_mm"]
    run = n["run_mm"]
    angle = math.radians(n["included_angle_deg"]) / 2
    across = n["clearance_mm"] * math.sqrt(
        1 + math.tan(angle) ** 2 + math.tan(math.radians(n["taper_deg"])) ** 2)
    tail = drafted(n, 0.0, n["depth_mm"], n["concave_radius_mm"], n["convex_radius_mm"])
    socket = drafted(n, across, n["depth_mm"] + n["crest_relief_mm"],
                     n["convex_radius_mm"], n["concave_radius_mm"])
    halves = {
        "tail": block(-back, 0, half, run).union(tail),
        "socket": block(0, back, half, run).cut(socket),
    }
    good = True
    for name, solid in halves.items():
        ours = trimesh.load(folder / f"{name}.stl").volume
        # What the block has is the same for both: the joint alone is compared.
        whole = back * 2 * half * run
        cad, ours = abs(solid.val().Volume() - whole), abs(ours - whole)
        off = ours / cad - 1
        good &= abs(off) <= LIMIT
        print(f"{'ok  ' if abs(off) <= LIMIT else 'FAIL'} {name}: {ours:.3f} mm3, by the CAD kernel {cad:.3f}, {100 * off:+.4f} %")
    return good


if __name__ == "__main__":
    sys.exit(0 if main(Path(sys.argv[1])) else 1)
