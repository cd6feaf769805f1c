"""Sixty 3MF files, of the core and the production kind, read as the reference implementation
of the standard (lib3mf) reads them: as many parts, the same volume to a millionth.

Components within components, mirrored, turned and sheared transforms, every unit, several
items, objects in parts of their own, scaffolds and items that are not to be printed. What each
file encloses is summed up from what lib3mf says of its items, and held against `survey`.

usage: check_3mf.py PROGRAM FOLDER
"""

import json
import pathlib
import random
import subprocess
import sys
import zipfile

import lib3mf
import numpy as np

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
RELATED = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
IN_MM = {
    "micron": 1e-3,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "inch": 25.4,
    "foot": 304.8,
    "meter": 1000.0,
}


def block(number, size, kind="model"):
    x, y, z = size
    corners = [(a, b, c) for c in (0, z) for b in (0, y) for a in (0, x)]
    faces = [
        (0, 2, 3), (0, 3, 1), (4, 5, 7), (4, 7, 6), (0, 1, 5), (0, 5, 4),
        (2, 6, 7), (2, 7, 3), (0, 4, 6), (0, 6, 2), (1, 3, 7), (1, 7, 5),
    ]
    vertices = "".join(f'<vertex x="{a}" y="{b}" z="{c}"/>' for a, b, c in corners)
    triangles = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in faces)
    return (
        f'<object id="{number}" type="{kind}"><mesh><vertices>{vertices}</vertices>'
        f"<triangles>{triangles}</triangles></mesh></object>"
    )


def transform(dice, shift, scale):
    """Turned, mirrored now and then, sheared a little; placed apart from the others."""
    a = dice.uniform(0, 6)
    turn = np.array([[np.cos(a), np.sin(a), 0], [-np.sin(a), np.cos(a), 0], [0, 0, 1]])
    shear = np.eye(3)
    shear[dice.randrange(3), dice.randrange(3)] += dice.choice([0, 0.2, 0.5])
    mirror = np.diag([dice.choice([1, 1, -1]), 1, 1])
    rows = np.round(turn @ shear @ mirror, 4)
    return " ".join(f"{v:.4f}" for v in [*rows.flatten(), *(np.array(shift) / scale)])


def relations(targets):
    each = "".join(
        f'<Relationship Target="{target}" Id="r{k}" Type="{RELATED}"/>'
        for k, target in enumerate(targets)
    )
    return f'<?xml version="1.0"?><Relationships xmlns="{PACKAGE}/relationships">{each}</Relationships>'


def model(unit, objects, items):
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><model unit="{unit}" xml:lang="en-US" '
        f'xmlns="{CORE}" xmlns:p="{PRODUCTION}" requiredextensions="p">'
        f"<resources>{objects}</resources><build p:UUID=\"00000000-0000-4000-8000-000000000001\">"
        f"{items}</build></model>"
    )


def uuid(k):
    return f'p:UUID="00000000-0000-4000-8000-{k + 100:012}"'


def file(path, k):
    dice = random.Random(k)
    unit = list(IN_MM)[k % len(IN_MM)]
    scale = IN_MM[unit]
    size = [dice.randrange(40, 120) / scale for _ in range(3)]
    elsewhere = k % 2 == 1
    part = "/3D/part.model"
    identified = lambda xml, number: xml.replace("<object ", f"<object {uuid(number)} ", 1)
    meshes = identified(block(1, size), 1)
    home = f'p:path="{part}" ' if elsewhere else ""
    # Two levels of components on the mesh, and a scaffold that is no furniture.
    inner = "".join(
        f'<component {home}objectid="1" {uuid(10 + n)} transform="{transform(dice, [n * 400, 0, 0], scale)}"/>'
        for n in range(dice.randrange(1, 4))
    )
    outer = "".join(
        f'<component objectid="2" {uuid(20 + n)} transform="{transform(dice, [0, 0, n * 2000], scale)}"/>'
        for n in range(dice.randrange(1, 3))
    )
    objects = ("" if elsewhere else meshes) + (
        f'<object id="2" type="model" {uuid(2)}><components>{inner}</components></object>'
        f'<object id="3" type="model" {uuid(3)}><components>{outer}</components></object>'
    )
    objects += identified(block(4, size, dice.choice(["model", "support"])), 4)
    items = "".join(
        f'<item objectid="{number}" {uuid(30 + n)} transform="{transform(dice, [0, 5000 * n, 0], scale)}"'
        + (' printable="0"' if dice.random() < 0.2 and n else "")
        + "/>"
        for n, number in enumerate([3, 4, 2, 4][: dice.randrange(1, 5)])
    )
    types = (
        f'<?xml version="1.0"?><Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
        "</Types>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", types)
        package.writestr("_rels/.rels", relations(["/3D/3dmodel.model"]))
        package.writestr("3D/3dmodel.model", model(unit, objects, items))
        if elsewhere:
            package.writestr("3D/_rels/3dmodel.model.rels", relations([part]))
            package.writestr("3D/part.model", model(unit, meshes, ""))
    return scale


def affine(t):
    m = np.array([list(row) for row in t.Fields], dtype=float)
    return m[:3], m[3]


def enclosed(thing, linear):
    """Volumes of the meshes of an object, each where it is placed."""
    if thing.IsMeshObject():
        # By its kind in lib3mf: only objects that are made or help to make are furniture.
        if thing.GetType() not in (lib3mf.ObjectType.Model, lib3mf.ObjectType.Other):
            return []
        corners = np.array([list(v.Coordinates) for v in thing.GetVertices()], dtype=float)
        faces = np.array([list(t.Indices) for t in thing.GetTriangleIndices()])
        a, b, c = (corners[faces[:, k]] @ linear for k in range(3))
        return [abs(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)]
    out = []
    for k in range(thing.GetComponentCount()):
        component = thing.GetComponent(k)
        own = affine(component.GetTransform())[0] if component.HasTransform() else np.eye(3)
        out += enclosed(component.GetObjectResource(), own @ linear)
    return out


def reference(path, printable):
    wrapper = lib3mf.get_wrapper()
    whole = wrapper.CreateModel()
    whole.QueryReader("3mf").ReadFromFile(str(path))
    out = []
    items = whole.GetBuildItems()
    k = 0
    while items.MoveNext():
        item = items.GetCurrent()
        if printable[k]:
            linear = affine(item.GetObjectTransform())[0] if item.HasObjectTransform() else np.eye(3)
            out += enclosed(item.GetObjectResource(), linear)
        k += 1
    return out


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    wrong = empty = 0
    for k in range(60):
        path = folder / f"{k:02}.3mf"
        scale = file(path, k)
        text = zipfile.ZipFile(path).read("3D/3dmodel.model").decode()
        # That attribute is newer than the library: read here.
        printable = ['printable="0"' not in item for item in text.split("<item ")[1:]]
        volumes = [v * scale**3 for v in reference(path, printable)]
        run = subprocess.run([program, "survey", path, "--json"], capture_output=True, text=True)
        if not volumes:
            empty += run.returncode == 3
            wrong += run.returncode != 3
            continue
        if run.returncode:
            wrong += 1
            print("WRONG", path.name, run.stderr.strip())
            continue
        said = json.loads(run.stdout)
        off = abs(said["volume_mm3"] / sum(volumes) - 1)
        if said["bodies"] != len(volumes) or off > 1e-6:
            wrong += 1
            print("WRONG", path.name, said["bodies"], len(volumes), off)
    print(f"60 files: {60 - wrong} as lib3mf reads them, {empty} of them without furniture")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
