"""Takes a finished split apart again with a kernel that is not the program's own.

Reads `report.json` and the STL files of a folder. For every piece it undoes the steps
that `undoing` lists, one by one: at each the part that came is moved back along the
step, eight looks on its way, and must touch nothing that stays (booleans by
`manifold3d`); in the end the piece must hang on nothing. With a second folder, in which
the pieces were printed again, each is put in the place of the old one, alone, among old
neighbours: it has to be home without sharing volume, and to come out as the old one did.

    python check_undoing.py MODEL.stl FOLDER [FOLDER of the pieces printed again]

Prints a line a check; exits 1 if any fails.
"""

import sys

import numpy as np

from check_split import Split

LOOKS = 8


class Undone:
    def __init__(self, split, again=None):
        self.split, self.again = split, again
        steps = split.report["steps"]
        sides = [(set(s["moving"]), set(s["onto"])) for s in steps]

        def met(a, b):
            for k, (moving, onto) in enumerate(sides):
                if (a in moving and b in onto) or (b in moving and a in onto):
                    return k + 1
            return None

        pairs = set()
        for seam in split.report["seams"]:
            for contact in seam["contacts"]:
                a, b = contact["pieces"]
                pairs.add((a, b))
                for key in contact.get("keys", []):
                    pairs |= {(a, key), (key, b)}
        # By which step two pieces that touch were brought together.
        self.links = [(met(a, b), a, b) for a, b in sorted(pairs) if met(a, b)]

    def part_of(self, starts, undone):
        """What hangs on some pieces, but for what some steps made."""
        part, open_ = set(starts), list(starts)
        while open_:
            at = open_.pop()
            for step, a, b in self.links:
                if step in undone or at not in (a, b):
                    continue
                other = b if at == a else a
                if other not in part:
                    part.add(other)
                    open_.append(other)
        return part

    def piece(self, piece, steps):
        """What goes wrong where some steps are undone for a piece."""
        problems, undone = [], set()
        by_number = {s["step"]: s for s in self.split.report["steps"]}
        for number in steps:
            step = by_number[number]
            before = self.part_of(step["moving"], undone) | self.part_of(step["onto"], undone)
            undone.add(number)
            comes = self.part_of(step["moving"], undone)
            stays = before - comes
            if comes & set(step["onto"]):
                problems.append(f"{piece}: step {number} is undone and its sides hang together")
                continue
            way = -np.array(step["direction"]) * step["travel_mm"]
            for k in range(1, LOOKS + 1):
                for a in sorted(comes):
                    for b in sorted(stays):
                        volume, limit = self.split.shared(a, b, way * k / LOOKS)
                        if volume > limit:
                            problems.append(
                                f"{piece}: undoing step {number}, {a} meets {b} in {volume:.2f} mm3"
                            )
        left = self.part_of([piece], undone)
        if left != {piece}:
            problems.append(f"{piece} still hangs on {sorted(left - {piece})}")
        return problems

    def all(self):
        for entry in self.split.report["undoing"]:
            problems = []
            for piece in entry["pieces"]:
                old = self.split.meshes[piece], self.split.solids[piece]
                if self.again:
                    self.split.meshes[piece] = self.again.meshes[piece]
                    self.split.solids[piece] = self.again.solids[piece]
                    for other in self.split.solids:
                        volume, limit = self.split.shared(piece, other)
                        if other != piece and volume > limit:
                            problems.append(
                                f"{piece}, printed again, shares {volume:.2f} mm3 with {other}"
                            )
                problems += self.piece(piece, entry["steps"])
                self.split.meshes[piece], self.split.solids[piece] = old
            printed = ", printed again," if self.again else ""
            names = ", ".join(entry["pieces"])
            self.split.verdict(f"{names}{printed} free by {entry['steps']}", problems)
        listed = [p for entry in self.split.report["undoing"] for p in entry["pieces"]]
        pieces = [p["id"] for p in self.split.report["pieces"]]
        missing = sorted(set(pieces) - set(listed))
        self.split.verdict(
            f"{len(pieces)} pieces said how to come free", [f"{p} is not listed" for p in missing]
        )


def main(model, folder, *again):
    split = Split(model, folder)
    split.pieces()
    others = []
    for path in again:
        other = Split(model, path)
        other.pieces()
        turned = [
            p["id"]
            for p, q in zip(split.report["pieces"], other.report["pieces"], strict=True)
            if not np.allclose(p["placement"], q["placement"])
        ]
        other.verdict(f"printed another way: {turned}", [] if turned else ["none is"])
        others.append(other)
    for other in [None, *others]:
        Undone(split, other).all()
    return split.failures + [f for other in others for f in other.failures]


if __name__ == "__main__":
    sys.exit(1 if main(*sys.argv[1:]) else 0)
