"""Breaks sound models in known ways and holds what `survey` reads against the sound ones.

Five shapes, made and united by manifold3d, each broken in one way and in pairs of ways,
triangles shuffled and turned round, written as STL, OBJ and PLY in turn. A mended model
has to enclose what the sound one does, by manifold3d, to 0.1 %; the ways that are not
certain have to be refused with exit code 3. Nothing may come out wrong.

usage: check_broken.py PROGRAM FOLDER
"""

import itertools
import json
import pathlib
import random
import subprocess
import sys

import numpy as np
import trimesh
from manifold3d import Manifold

TOLERANCE = 1e-3


def box(low, high):
    size = [h - l for l, h in zip(low, high)]
    return Manifold.cube(size).translate(low)


def union(parts):
    whole = parts[0]
    for part in parts[1:]:
        whole += part
    return whole


def shapes():
    table = [box([0, 0, 700], [900, 500, 728])]
    for x, y in itertools.product([20, 840], [20, 440]):
        table.append(box([x, y, 0], [x + 40, y + 40, 700]))
    case = [box([0, 0, 0], [18, 240, 800]), box([582, 0, 0], [600, 240, 800])]
    for z in [0, 260, 520, 782]:
        case.append(box([18, 0, z], [582, 240, z + 18]))
    tube = [Manifold.cylinder(400, 90, 90, 48) - Manifold.cylinder(400, 70, 70, 48)]
    stool = [Manifold.cylinder(30, 170, 170, 64).translate([0, 0, 420])]
    for a in range(3):
        leg = Manifold.cylinder(420, 16, 22, 24).translate([110, 0, 0])
        stool.append(leg.rotate([0, 0, 120 * a]))
    bracket = [box([0, 0, 0], [300, 40, 40]), box([0, 0, 40], [40, 40, 300])]
    return {
        "table": table,
        "case": case,
        "tube": tube,
        "stool": stool,
        "bracket": bracket,
    }


def soup_of(solid):
    mesh = solid.to_mesh()
    return np.asarray(mesh.vert_properties[:, :3], dtype=float)[np.asarray(mesh.tri_verts)]


def normal(t):
    return np.cross(t[1] - t[0], t[2] - t[0])


def coplanar(soup, k):
    """The triangles of the face that a triangle is in: of its plane, joined by edges."""
    n = normal(soup[k])
    n = n / np.linalg.norm(n)
    height = soup[k][0] @ n
    flat = [
        i
        for i, t in enumerate(soup)
        if np.abs(t @ n - height).max() < 1e-6 and normal(t) @ n > 0
    ]
    keys = {i: {tuple(np.round(p, 6)) for p in soup[i]} for i in flat}
    face, front = {k}, [k]
    while front:
        here = front.pop()
        for i in flat:
            if i not in face and len(keys[i] & keys[here]) >= 2:
                face.add(i)
                front.append(i)
    return face


def without_face(soup, dice):
    k = int(np.argmax([np.linalg.norm(normal(t)) for t in soup]))
    gone = coplanar(soup, k)
    return np.array([t for i, t in enumerate(soup) if i not in gone])


def without_corner(soup, dice):
    """Two faces that meet in an edge gone: a rim that is not flat."""
    first = coplanar(soup, int(np.argmax([np.linalg.norm(normal(t)) for t in soup])))
    n = normal(soup[next(iter(first))])
    corners = {tuple(np.round(p, 6)) for i in first for p in soup[i]}
    for i, t in enumerate(soup):
        beside = sum(tuple(np.round(p, 6)) in corners for p in t) >= 2
        if beside and abs(normal(t) @ n) < 1e-6 * np.linalg.norm(normal(t)) * np.linalg.norm(n):
            gone = first | coplanar(soup, i)
            return np.array([t for i, t in enumerate(soup) if i not in gone])
    raise ValueError("no face beside")


def some_flipped(soup, dice):
    soup = soup.copy()
    for k in dice.sample(range(len(soup)), max(1, len(soup) // 10)):
        soup[k] = soup[k][[0, 2, 1]]
    return soup


def all_flipped(soup, dice):
    return soup[:, [0, 2, 1]]


def doubled(soup, dice):
    more = [soup[k][[1, 2, 0]] for k in dice.sample(range(len(soup)), max(1, len(soup) // 8))]
    return np.concatenate([soup, more])


def no_area(soup, dice):
    more = []
    for k in dice.sample(range(len(soup)), 3):
        a, b, _ = soup[k]
        more.append([a, b, b])
    return np.concatenate([soup, more])


def junctions(soup, dice):
    out = []
    parted = set(dice.sample(range(len(soup)), 3))
    for k, (a, b, c) in enumerate(soup):
        if k in parted:
            m = (a + b) / 2
            out += [[a, m, c], [m, b, c]]
        else:
            out.append([a, b, c])
    return np.array(out)


def unwelded(soup, dice):
    rng = np.random.default_rng(dice.randrange(1 << 30))
    return soup + rng.uniform(-1, 1, soup.shape) * 2e-5


def film(soup, dice):
    low, high = soup.min(axis=(0, 1)), soup.max(axis=(0, 1))
    middle = (low + high) / 2
    corners = middle + np.array([[2000, 0, 0], [2050, 0, 0], [2050, 40, 0], [2000, 40, 0]])
    a, b, c, d = corners
    return np.concatenate([soup, [[a, b, c], [a, c, d], [a, c, b], [a, d, c]]])


def debris(soup, dice):
    at = soup.max(axis=(0, 1)) + [4, 4, -60]
    more = soup_of(box(at, at + 1.5))
    return np.concatenate([soup, more])


def nested(soup, dice):
    """A small block wholly in the material, behind a corner of the model's box."""
    k = int(np.argmax([np.linalg.norm(normal(t)) for t in soup]))
    n = normal(soup[k])
    inside = soup[k].mean(axis=0) - n / np.linalg.norm(n) * 6
    return np.concatenate([soup, soup_of(box(inside - 2, inside + 2))])


WAYS = {
    "face gone": without_face,
    "some flipped": some_flipped,
    "all flipped": all_flipped,
    "doubled": doubled,
    "no area": no_area,
    "junctions": junctions,
    "unwelded": unwelded,
    "film": film,
    "debris": debris,
    "nested": nested,
    "corner gone": without_corner,
}
# What is not certain is refused.
REFUSED = {"corner gone"}
# Each of these with each of the others: ways that do not undo each other.
PAIRED = ["some flipped", "doubled", "junctions", "debris", "no area", "face gone"]


def shuffled(soup, dice):
    order = list(range(len(soup)))
    dice.shuffle(order)
    turned = [soup[k][[[0, 1, 2], [1, 2, 0], [2, 0, 1]][dice.randrange(3)]] for k in order]
    return np.array(turned)


def write(soup, path):
    mesh = trimesh.Trimesh(
        soup.reshape(-1, 3), np.arange(len(soup) * 3).reshape(-1, 3), process=False
    )
    if path.suffix == ".stl":
        mesh.export(path)
        return
    mesh.merge_vertices(digits_vertex=9)
    if path.suffix == ".obj":
        # All digits: the library's own writer keeps eight.
        lines = ["v %r %r %r" % tuple(map(float, p)) for p in mesh.vertices]
        lines += ["f %d %d %d" % tuple(f + 1) for f in mesh.faces]
        path.write_text("\n".join(lines) + "\n")
    else:
        mesh.export(path)


def read(program, path, *more):
    run = subprocess.run(
        [program, "survey", path, "--json", *more], capture_output=True, text=True
    )
    return run.returncode, json.loads(run.stdout) if run.returncode == 0 else run.stderr


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    endings = itertools.cycle([".stl", ".obj", ".ply"])
    right, refused, wrong = 0, 0, []
    cases = []
    for name, parts in shapes().items():
        sound = union(parts)
        ways = [(way,) for way in WAYS]
        ways += [pair for pair in itertools.combinations(PAIRED, 2)]
        cases += [(name, soup_of(sound), sound.volume(), way) for way in ways]
        # Not united: boards that lie against each other, each a shell of its own.
        loose = np.concatenate([soup_of(part) for part in parts])
        cases.append((name, loose, sound.volume(), ("parts",)))
        cases.append((name, loose, sound.volume(), ("parts", "some flipped")))
    for k, (name, soup, volume, ways) in enumerate(cases):
        dice = random.Random(k)
        for way in ways:
            soup = WAYS.get(way, lambda s, _: s)(soup, dice)
        path = folder / f"{k:03}-{name}-{'-'.join(ways).replace(' ', '_')}{next(endings)}"
        write(shuffled(soup, dice), path)
        code, said = read(program, str(path))
        expected_refusal = REFUSED & set(ways)
        if code == 0 and not expected_refusal:
            off = abs(said["volume_mm3"] / volume - 1)
            if off < TOLERANCE:
                right += 1
                # A sound model is not touched; a broken one is told.
                if ways != ("parts",) and not said["notes"]:
                    wrong.append((path.name, "mended without a word"))
                continue
            wrong.append((path.name, f"volume off by {off:.2%}: {said['notes']}"))
        elif code == 3:
            refused += 1
            if not expected_refusal:
                print("refused:", path.name, said.splitlines()[0][-150:])
        else:
            wrong.append((path.name, f"exit {code}: {said}"))
    print(f"{len(cases)} models: {right} right, {refused} refused, {len(wrong)} wrong")
    for name, why in wrong:
        print("WRONG", name, why)
    return 1 if wrong or right < 100 else 0


if __name__ == "__main__":
    sys.exit(main())
