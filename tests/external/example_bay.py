# SPDX-License-Identifier: GPL-3.0-or-later
"""A bay file read again and its items placed, grown and shifted by hand.

Only what the two examples use: symmetric sections, smooth paths, ports on turbos and on items.
"""
import math
import xml.etree.ElementTree as ElementTree

import numpy as np

from example_shapes import Ball, Block, Path, Prism, Rod, Row, Sweep, across, unit


def numbers(text):
    return np.array([float(t) for t in text.split()])


def number(element, name, default=0.0):
    return float(element.get(name, default))


class Port:
    def __init__(self, point, flow, up):
        self.point, self.flow, self.up = point, flow, up


class Item:
    """Its parts: at most one sweep, plain shapes, and end pieces (flanges, clamps, bolts)."""

    def __init__(self):
        self.sweep, self.plain, self.ends = None, [], []


class Bay:
    def __init__(self, path, materials, variant, state):
        self.root = ElementTree.parse(path).getroot()
        self.materials = ElementTree.parse(materials).getroot()
        self.items = {e.get("id"): e for e in self.root.find("items")}
        self.ports = {e.get("id"): e for e in self.root.find("ports")}
        self.mounts = {e.get("id"): e for e in self.root.find("mounts")}
        self.state = next(s for s in self.root.find("states") if s.get("id") == state)
        self.variant = next(v for v in self.root.find("variants") if v.get("id") == variant)
        if self.variant.find("mirror") is not None or self.variant.find("swap") is not None:
            raise ValueError("variants that mirror or swap are not read here")

    # ---- places ----

    def shift(self, mount):
        by = np.zeros(3)
        while mount is not None:
            for s in self.variant.findall("shift"):
                if s.get("mount") == mount:
                    by = by + numbers(s.get("by"))
            mount = self.mounts[mount].get("parent")
        return by

    def turbo_axes(self, element, housing):
        """Rows x, y, z: x along the shaft, z as near to up as square allows, both turned."""
        x = unit(numbers(element.get("shaft")))
        z = unit(across(numbers(element.get("up", "0 0 1")), x))
        y = np.cross(z, x)
        turn = next((number(h, "turn") for h in element.findall("housing") if h.get("of") == housing), 0.0)
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        return np.array([x, c * y + s * z, c * z - s * y])

    def port(self, name):
        element = self.ports[name]
        owner = self.items.get(element.get("owner"))
        mount = owner.get("mount") if owner is not None else element.get("mount")
        at, flow = numbers(element.get("at")), numbers(element.get("flow"))
        up = numbers(element.get("up")) if element.get("up") else None
        if owner is not None and owner.tag == "turbo":
            axes = self.turbo_axes(owner, element.get("housing"))
            at = numbers(owner.get("at")) + at @ axes
            flow = flow @ axes
            up = up @ axes if up is not None else None
        flow = unit(flow)
        if up is None:
            steep = abs(flow[2]) > math.cos(math.radians(18))
            up = np.array([-1.0, 0, 0]) if steep else np.array([0, 0, 1.0])
        return Port(at + self.shift(mount), flow, unit(across(up, flow)))

    def meets(self, name, port):
        element, record = self.items[name], self.ports[port]
        ends = [element.find("start"), element.find("end")]
        return record.get("owner") == name or any(e is not None and e.get("port") == port for e in ends)

    # ---- growth ----

    def growth(self, name):
        """Factor and datum of an item in the state; None where it does not grow."""
        element = self.items[name]
        mount = self.mounts[element.get("mount")]
        best, temperature = -1, None
        for warm in self.state.findall("warm"):
            keys = [(warm.get(k), element.get(k)) for k in ("class", "mount")]
            if all(w is None or w == e for w, e in keys):
                how = sum(w is not None for w, _ in keys)
                if how > best:
                    best, temperature = how, number(warm, "growth")
        if temperature is None or element.get("material") is None:
            return None
        material = next(m for m in self.materials if m.get("id") == element.get("material"))
        means = [(number(m, "to"), number(m, "expansion")) for m in material.findall("mean")]
        if means:
            expansion = np.interp(temperature, [m[0] for m in means], [m[1] for m in means])
        else:
            expansion = number(material, "expansion")
        factor = 1 + expansion * 1e-6 * (temperature - number(mount, "reference", 20))
        return factor, numbers(mount.get("datum", "0 0 0")) + self.shift(mount.get("id"))

    def warming(self, name):
        """Factor, and of both ends what it grows about and how far their ports' owners carry them.
        What hangs on one port grows about it, what hangs on none about its mount's datum."""
        element, growth = self.items[name], self.growth(name)
        factor, datum = growth if growth is not None else (1.0, np.zeros(3))
        names = [element.get("on")]
        if element.tag in ("duct", "line"):
            names = [None if e is None else e.get("port") for e in (element.find("start"), element.find("end"))]
        held = [(self.port(n).point, self.carried(n, name)) for n in names if n is not None]
        if not held:
            return factor, [datum, datum], np.zeros((2, 3))
        return factor, [held[0][0], held[-1][0]], np.array([held[0][1], held[-1][1]])

    def follows(self, name):
        element = self.items[name]
        return all(e is not None and e.get("port") is not None
                   for e in (element.find("start"), element.find("end")))

    def carried(self, port, by=None):
        """How far a port goes with its owner; what asks is not its own owner."""
        owner, place = self.ports[port].get("owner"), self.port(port).point
        if owner is None or owner == by or owner not in self.items:
            return np.zeros(3)
        factor, about, shift = self.warming(owner)
        end = 0
        if self.follows(owner):
            ends = self.path(self.items[owner]).frame(np.array([0.0, self.path(self.items[owner]).length]))[0]
            end = int(np.linalg.norm(place - ends[1]) < np.linalg.norm(place - ends[0]))
            about = ends
        return about[end] + factor * (place - about[end]) + shift[end] - place

    # ---- items ----

    def path(self, element):
        shift = self.shift(element.get("mount"))
        knots = [numbers(k.get("at")) + shift for k in element.find("path")]
        tangents, up = [None, None], None
        for i, end in enumerate((element.find("start"), element.find("end"))):
            if end is None or end.get("port") is None:
                continue
            port = self.port(end.get("port"))
            knots = [port.point] + knots if i == 0 else knots + [port.point]
            tangents[i] = -port.flow if end.get("against") == "yes" else port.flow
            up = port.up if i == 0 else up
        if element.get("end-mount") and element.find("end") is None:
            knots[-1] = knots[-1] - shift + self.shift(element.get("end-mount"))
        return Path(knots, tangents[0], tangents[1], up)

    def rows(self, element, length):
        if element.tag == "line":
            bore = number(element, "bore", element.get("diameter"))
            wall = (number(element, "diameter") - bore) / 2
            return [Row(0.0, "superellipse", bore, bore, 2.0, 0.0, wall)]
        rows = []
        for e in element.findall("section"):
            at = number(e, "at")
            at = length - at if e.get("from-end") == "yes" else at
            kind = e.get("kind", "superellipse")
            size = number(e, "corner") if kind == "rounded" else number(e, "exponent", 2)
            rows.append(Row(at, kind, number(e, "width"), number(e, "height"), size,
                            math.radians(number(e, "turn")), number(e, "wall", element.get("wall"))))
        return rows

    def end_pieces(self, holder, point, inward, t, h):
        """Rings and bolt boxes at a joint or end; h is the zero of turns, right-handed about t."""
        pieces = []
        for ring in holder.findall("ring"):
            r = number(ring, "diameter") / 2
            pieces.append(Rod(point + number(ring, "from") * inward, point + number(ring, "to") * inward, r, r))
        for box in holder.findall("bolt-box"):
            middle = point + number(box, "shift") * inward
            low, high = number(box, "from"), number(box, "to")
            along, wide = number(box, "along"), number(box, "across")
            turn = math.radians(number(box, "turn"))
            out = math.cos(turn) * h + math.sin(turn) * np.cross(t, h)
            if box.get("free") == "yes":
                r = math.hypot(high, wide / 2)
                pieces.append(Rod(middle - along / 2 * t, middle + along / 2 * t, r, r))
            else:
                pieces.append(Block(middle + (low + high) / 2 * out, [t, np.cross(out, t), out],
                                    [along / 2, wide / 2, (high - low) / 2]))
        return pieces

    def clamps(self, name):
        """A joint's clamp counts with the first item that ends there, else with its port's owner."""
        pieces = []
        for joint in self.root.find("joints"):
            ends = {joint.get("a"), joint.get("b")}
            bearer = next((i for i, e in self.items.items() if e.get("spare") != "yes" and any(
                k is not None and k.get("port") in ends for k in (e.find("start"), e.find("end")))), None)
            if bearer is None:
                bearer = self.ports[joint.get("a")].get("owner")
            if bearer == name:
                port = self.port(joint.get("a"))
                pieces += self.end_pieces(joint, port.point, port.flow, port.flow, port.up)
        return pieces

    def plain(self, element):
        shift = self.shift(element.get("mount"))

        def point(name):
            return numbers(element.get(name)) + shift

        if element.tag == "rod":
            radius = number(element, "radius")
            return [Rod(point("a"), point("b"), radius, number(element, "radius-to", radius))]
        if element.tag == "ball":
            return [Ball(point("at"), number(element, "radius"))]
        if element.tag == "block":
            low, high = point("low"), point("high")
            x = unit(numbers(element.get("along", "1 0 0")))
            z = unit(across(numbers(element.get("up", "0 0 1")), x))
            return [Block((low + high) / 2, [x, np.cross(z, x), z], (high - low) / 2)]
        if element.tag == "outline":
            u = unit(numbers(element.get("u")))
            v = unit(across(numbers(element.get("v")), u))
            corners = [numbers(c.get("at")) for c in element.findall("corner")]
            return [Prism(point("origin"), u, v, corners, number(element, "depth"), number(element, "rounding"))]
        axes = self.turbo_axes(element, None)  # rods on the shaft: a housing's turn leaves them alone
        return [Rod(point("at") + number(r, "from") * axes[0], point("at") + number(r, "to") * axes[0],
                    number(r, "radius"), number(r, "radius-to", r.get("radius")))
                for r in element.findall("rod")]

    def item(self, name):
        element, item = self.items[name], Item()
        if element.tag in ("duct", "line"):
            path = self.path(element)
            item.sweep = Sweep(path, self.rows(element, path.length))
            for holder, s, sign in ((element.find("start"), 0, 1), (element.find("end"), path.length, -1)):
                if holder is not None:
                    point, t, h, _ = (a[0] for a in path.frame(np.array([float(s)])))
                    item.ends += self.end_pieces(holder, point, sign * t, t, h)
        elif element.tag != "scan":
            item.plain = self.plain(element)
        item.ends += self.clamps(name)
        factor, about, shift = self.warming(name)

        def moved(piece, end):
            """Grown about an end and carried along: a growth about another place."""
            k = factor if factor != 1 else 1 + 1e-9  # carried only: from far away
            return piece.grown(k, about[end] + shift[end] / (1 - k))

        def end_of(piece):
            if item.sweep is None or not self.follows(name):
                return 0
            ends = item.sweep.path.frame(np.array([0.0, item.sweep.length]))[0]
            away = np.linalg.norm(ends - piece.centre, axis=1)
            return int(away[1] < away[0])

        if factor != 1 or np.any(shift):
            item.plain = [moved(p, 0) for p in item.plain]
            item.ends = [moved(p, end_of(p)) for p in item.ends]
            item.sweep = item.sweep.grown(factor, about, shift) if item.sweep is not None else None
        return item

    def grown_port(self, name):
        """Where a port lies in the state: it goes with its owner."""
        return self.port(name).point + self.carried(name)
