"""Brings the bodies of a finished split home with a kernel that is not the program's own.

Reads `report.json` and the STL files of a folder. For every step that brings a body to its
place (`body` and not `seam`): at thirty-two places on its way the body shares nothing with
what stands (booleans by `manifold3d`, PyPI); and the room that it has to each side is found
anew by halving, against all other pieces, and is what `play` says. To a side that `play` does
not name nothing stops it within 20 mm.

    python check_bodies.py MODEL.stl FOLDER BODIES

BODIES is how many bodies have to come home. Prints a line a check; exits 1 if any fails.
"""

import sys

import manifold3d
import numpy as np

from check_split import Split

LOOKS = 32
SIDE_LOOKS = 40
MOST_MM = 20.0
# Files keep single precision, and the program counts what goes in by less as touching.
SAME_MM = 2e-3
SIDES = {f"{sign}{axis}": s * np.eye(3)[k] for k, axis in enumerate("xyz") for sign, s in (("-", -1), ("+", 1))}


def meets(body, others, shift):
    low, high = np.array(body.bounding_box()).reshape(2, 3) + shift
    other_low, other_high = np.array(others.bounding_box()).reshape(2, 3)
    size = np.minimum(high, other_high) - np.maximum(low, other_low)
    if (size <= 0).any():
        return False
    faces = max(size[0] * size[1], size[1] * size[2], size[2] * size[0])
    # Less is two faces that lie on each other, rounded to single precision.
    return (body.translate(tuple(shift)) ^ others).volume() > 1e-3 + 1e-5 * faces


def free_mm(body, others, way):
    """How far a body can be moved along a way before it meets others; none if further than
    is looked. The way is looked at in steps of half a millimetre: it may be free again beyond."""
    step = MOST_MM / SIDE_LOOKS
    met = (k for k in range(1, SIDE_LOOKS + 1) if meets(body, others, way * step * k))
    first = next(met, None)
    if first is None:
        return None
    low, high = step * (first - 1), step * first
    while high - low > 1e-4:
        middle = (low + high) / 2
        if meets(body, others, way * middle):
            high = middle
        else:
            low = middle
    return high


def main(model, folder, count):
    split = Split(model, folder)
    split.pieces()
    steps = [s for s in split.report["steps"] if "body" in s]
    split.verdict(
        f"{len(steps)} bodies come home",
        [] if len(steps) == count else [f"{count} were to come home"],
    )
    united = lambda ids: manifold3d.Manifold.batch_boolean([split.solids[k] for k in ids], manifold3d.OpType.Add)
    for step in steps:
        body, stands = united(step["moving"]), united(step["onto"])
        way = -np.array(step["direction"]) * step["travel_mm"]
        problems = [
            f"it meets what stands {step['travel_mm'] * k / LOOKS:.1f} mm before it is home"
            for k in range(1, LOOKS + 1)
            if meets(body, stands, way * k / LOOKS)
        ]
        split.verdict(f"step {step['step']}: {step['body']} is free on its way home", problems)
        others = united([p["id"] for p in split.report["pieces"] if p["id"] not in step["moving"]])
        told = {p["to"]: p["free_mm"] for p in step.get("play", [])}
        problems, found = [], []
        for side, direction in SIDES.items():
            mine, theirs = free_mm(body, others, direction), told.get(side)
            found.append(f"{side} {'free' if mine is None else round(mine, 2)}")
            if (mine is None) != (theirs is None) or (mine is not None and abs(mine - theirs) > SAME_MM):
                problems.append(f"{side}: {mine} mm here, {theirs} mm in the report")
        split.verdict(f"step {step['step']}: {step['body']} has room {', '.join(found)}", problems)
    return split.failures


if __name__ == "__main__":
    sys.exit(1 if main(sys.argv[1], sys.argv[2], int(sys.argv[3])) else 0)
