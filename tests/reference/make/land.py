"""Makes src/Phasekeeper.Web/wwwroot/data/land-110m.json from the npm package world-atlas 2.0.2 (land-110m.json, a TopoJSON of Natural Earth's 1:110m land).

Usage: npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz && python3 land.py package/land-110m.json > land-110m.json

The package joins rings across the date line and around the pole; a flat map needs them cut there: every ring is unwrapped, closed over the south pole where it
goes round it, and clipped to -180...180 degrees. Figures are rounded to 0.1 degree and written as differences.
"""
import json
import sys

topology = json.load(open(sys.argv[1]))
scale, origin = topology["transform"]["scale"], topology["transform"]["translate"]


def arc(number):
    x = y = 0
    points = []
    for dx, dy in topology["arcs"][number if number >= 0 else ~number]:
        x, y = x + dx, y + dy
        points.append((x * scale[0] + origin[0], y * scale[1] + origin[1]))
    return points if number >= 0 else points[::-1]


def ring_of(numbers):
    points = []
    for number in numbers:
        points += arc(number)[1 if points else 0:]
    return points


def unwrapped(points):
    out = [points[0]]
    for x, y in points[1:]:
        while x - out[-1][0] > 180: x -= 360
        while x - out[-1][0] < -180: x += 360
        out.append((x, y))
    turn = out[-1][0] - out[0][0]
    if abs(turn) > 180:  # round the pole: down its first meridian's end, along the pole, and back up
        out += [(out[-1][0], -90.0), (out[0][0], -90.0), out[0]]
    return out


def clipped(points, side, sign):
    """The part of a ring with sign * x <= side (Sutherland and Hodgman, 1974)."""
    out = []
    for (x0, y0), (x1, y1) in zip(points, points[1:]):
        in0, in1 = sign * x0 <= side, sign * x1 <= side
        if in0 != in1:
            t = (sign * side - x0) / (x1 - x0)
            out.append((sign * side, y0 + t * (y1 - y0)))
        if in1: out.append((x1, y1))
    return out + out[:1]


def differences(points):
    whole = []
    for x, y in points:
        place = (round(10 * x), round(10 * y))
        if not whole or place != whole[-1]: whole.append(place)
    if len(whole) < 4: return None
    flat = list(whole[0])
    for (x0, y0), (x1, y1) in zip(whole, whole[1:]): flat += [x1 - x0, y1 - y0]
    return flat


rings = []
for geometry in topology["objects"]["land"]["geometries"]:
    for polygon in geometry["arcs"]:
        for numbers in polygon:
            points = unwrapped(ring_of(numbers))
            for shift in (-360, 0, 360):
                moved = [(x + shift, y) for x, y in points]
                piece = clipped(clipped(moved, 180, 1), 180, -1) if moved else []
                flat = differences(piece) if len(piece) > 3 else None
                if flat: rings.append(flat)

print('{')
print('"about": "Land outlines for maps: closed rings on a flat map of -180 to 180 degrees east. Each ring is longitude, latitude of its first point and then differences, in units of \'stepDeg\'; holes run as rings of their own.",')
print('"source": "Natural Earth, 1:110m physical vectors, land (naturalearthdata.com), in the public domain; read from the npm package world-atlas 2.0.2 (land-110m.json, ISC licence) by tests/reference/make/land.py.",')
print('"stepDeg": 0.1,')
print('"rings": [')
print(",\n".join("[" + ",".join(map(str, ring)) + "]" for ring in rings))
print(']}')
