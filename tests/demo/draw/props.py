"""Bench furniture: lamp, jars, brushes, tape, tag, towel, tools, plaques and bases."""
import numpy as np
from bases import wood
from geom import Model, grid, grid_normals, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball, lathe, tube


def lamp(at, layer=0, reach=(1.6, 3.6), facing=1, shade="#2f4a3c"):
    """Jointed bench lamp with an enamel shade and a lit bulb."""
    x, y, z = at
    m = Model([lathe([(0.01, .22), (.5, .2), (.72, .12), (.75, 0)], rgb("#2b2b2a"), at=at, spec=.4, layer=layer)])
    e = np.array([x - .9 * facing, y + reach[1] * .55, z])
    h = np.array([x + reach[0] * facing * .7, y + reach[1], z + .3])
    for a, b in ((np.array([x, y + .2, z]), e), (e, h)):
        m.append(tube([a, (a + b) / 2, b], [.065, .065, .065], rgb("#8d8a80"), nu=10, na=10, spec=.9, gloss=24,
                layer=layer + .01))
    m.append(ball(e, .14, rgb("#2b2b2a"), n=10, spec=.6, layer=layer + .02))
    d = unit(np.array([.55 * facing, -1, .25]))
    rows = [list(h - d * .1) + [.18] * 3, list(h + d * .25) + [.26] * 3, list(h + d * .45) + [.5] * 3,
            list(h + d * .95) + [.86] * 3]
    m.append(Loft(rows, up=(1, 0, .3)).skin(rgb(shade), nu=24, na=36, spec=.8, gloss=24, layer=layer + .05))
    m += glow(h + d * .97, d, .84, layer + .06)
    return m


def glow(c, d, r, layer):
    """The lit mouth of the shade: paints itself brighter than any lit surface."""
    a = np.linspace(0, 2 * np.pi, 30)
    s = unit(np.cross(d, [0, 0, 1.]))
    t = np.cross(d, s)
    rad = np.linspace(0, 1, 8)
    P = c + (s * np.cos(a)[:, None] + t * np.sin(a)[:, None])[None] * (rad * r)[:, None, None]
    C = mix(rgb("#fff6d8"), rgb("#f3b45c"), smooth(.2, 1, rad))[:, None] * np.ones((1, 30, 1)) * 3.0
    return [grid(P, C, np.broadcast_to(-d * 0 + [-.5, .6, .6], P.shape), layer=layer, cast=False)]


def jar(at, fill="#8a3b2e", r=.38, h=.95, lid=None, layer=0):
    m = Model([lathe([(r * .96, 0), (r, .06), (r, h * .62)], rgb(fill) * .9, at=at, spec=.5, gloss=40, layer=layer)])
    m.append(lathe([(r, h * .62), (r, h * .8), (r * .86, h * .9), (r * .86, h)], mix(rgb("#aeb8b4"), rgb(fill), .25),
            at=at, spec=1.3, gloss=40, layer=layer + .01))
    m.append(lathe([(0.01, h * .62), (r * .97, h * .62)], rgb(fill), at=at, layer=layer + .002))
    if lid:
        m.append(lathe([(r * .93, h * .9), (r * .95, h * .93), (r * .95, h * 1.1), (r * .9, h * 1.13),
                (.01, h * 1.13)], rgb(lid), at=at, spec=.8, gloss=24, layer=layer + .02))
    lab = np.linspace(.3, 2.3, 14)
    P = np.stack([np.stack([at[0] + np.cos(lab) * r * 1.015, np.full(14, at[1] + q), at[2] + np.sin(lab) * r * 1.015],
            -1) for q in (h * .16, h * .5)])
    N = np.stack([np.stack([np.cos(lab), 0 * lab, np.sin(lab)], -1)] * 2)
    m.append(grid(P, rgb("#d8c9a4"), N, layer=layer + .03, cast=False))
    return m


def brush(a, b, tip="#3a2417", layer=0, handle="#8d3b22", r=.055):
    a, b = np.array(a, float), np.array(b, float)
    at = lambda t: a + (b - a) * t
    m = Model([tube([at(0), at(.25), at(.6), at(.72)], [r * .35, r * .8, r * 1.15, r * .8], rgb(handle), nu=20, na=10,
            spec=.7, gloss=24, layer=layer)])
    m.append(tube([at(.72), at(.84)], [r * .9, r * 1.05], rgb("#b9b4a6"), nu=6, na=10, spec=1.4, gloss=24,
            layer=layer + .01))
    m.append(tube([at(.84), at(.91), at(1)], [r * 1.05, r * 1.15, .008], rgb(tip), nu=14, na=10, spec=.1,
            layer=layer + .02))
    return m


def brush_pot(at, rng, n=6, layer=0):
    m = Model()
    hs = ["#8d3b22", "#2f4a3c", "#b38a4a", "#3b3a44", "#6b2f22", "#a87a4c"]
    for i in range(n):
        a = rng.uniform(0, 6.28)
        b0 = np.array(at) + [np.cos(a) * .1, .15, np.sin(a) * .1]
        b1 = np.array(at) + [np.cos(a) * .5, rng.uniform(1.9, 2.6), np.sin(a) * .35]
        m += brush(b0, b1, rng.choice(["#3a2417", "#1d140f", "#c9b48a"]), layer + .01 * (np.sin(a) + 1), hs[i % 6])
    m.append(lathe([(.36, 0), (.4, .04), (.42, .9), (.45, .95), (.42, .97)],
            lambda P: rgb("#7d8c88") * (1 - .25 * smooth(.6, .75, P[..., 1]))[..., None], at=at, spec=.5,
            layer=layer + .05))
    return m


def tape(at, layer=0, length=3.2, yaw=0.):
    """Cloth tape: a coil and a free end lying on the bench, marked in ticks."""
    s = np.linspace(0, 1, 260)
    turns = np.where(s < .6, s / .6, 1)
    ang = turns * 4.2 * 2 * np.pi
    r = .16 + .30 * turns
    x = np.where(s < .6, r * np.cos(ang), .46 * np.cos(4.2 * 2 * np.pi) + (s - .6) / .4 * length)
    z = np.where(s < .6, r * np.sin(ang), .46 * np.sin(4.2 * 2 * np.pi) + .25 * np.sin((s - .6) / .4 * 5) - .0)
    hgt = np.where(s < .6, .26, .26 - .22 * smooth(.6, .68, s))
    flat = smooth(.6, .70, s)
    lo, hi = np.stack([x, 0 * s + .01, z], -1), np.stack([x, hgt, z + flat * .26], -1)
    hi[:, 1] = np.where(flat > 0, .26 * (1 - flat) + .015, hi[:, 1])
    P = np.stack([lo, (lo + hi) / 2, hi])
    tick = (np.mod(s * 90, 1) < .22)
    C = np.broadcast_to(rgb("#d3b04a"), P.shape).copy()
    C[0:1, tick] = rgb("#2a2010")
    N = grid_normals(P)
    m = Model([grid(P, C, N, layer=layer, spec=.1)])
    return m.place(at=at, yaw=np.degrees(yaw))


DIGITS = {"0": "abcdef", "1": "bc", "2": "abged", "3": "abgcd", "4": "fgbc", "5": "afgcd", "6": "afgedc", "7": "abc",
        "8": "abcdefg", "9": "abfgcd"}


def number(text, origin, ex, ey, normal, size=.2, layer=0):
    """Plain stroked numerals for tags and labels (no words)."""
    seg = dict(a=((0, 1), (.5, 1)), b=((.5, 1), (.5, .5)), c=((.5, .5), (.5, 0)), d=((0, 0), (.5, 0)),
            e=((0, .5), (0, 0)), f=((0, 1), (0, .5)), g=((0, .5), (.5, .5)))
    m = Model()
    for i, ch in enumerate(text):
        for k in DIGITS[ch]:
            p = np.array([np.asarray(origin) + (np.asarray(ex) * (q[0] + i * .8) + np.asarray(ey) * q[1]) * size
                    for q in seg[k]])[None]
            m.append(ribbons(p, np.full((1, 2), .028), np.broadcast_to(rgb("#2a2018"), (1, 2, 3)),
                    np.array([normal], float), cast=False, layer=layer))
    return m


def tag(at, text="", layer=0, w=.95, h=.5, hang=False, string=None):
    """Manila tag, flat on the bench or hanging, with an optional number."""
    o = np.array(at, float)
    ex, ey, n = (np.array([1., 0, .12]), np.array([0, 0, -1.]),
            np.array([0, 1., 0])) if not hang else (np.array([1., .08, 0]), np.array([0, 1., 0]),
            np.array([0, .1, 1.]))
    xs = np.array([-w, -w * .92, w * .75, w])
    hh = np.array([h, h, h, h * .55])
    P = np.stack([o + ex * xs[:, None] + ey * hh[:, None], o + ex * xs[:, None],
            o + ex * xs[:, None] - ey * hh[:, None]]) + n * .03
    m = Model([grid(P, rgb("#d9bd86"), np.broadcast_to(n, P.shape), layer=layer)])
    m.append(ball(o + ex * w * .8 + n * .04, [.07, .02, .07] if not hang else [.07, .07, .02], rgb("#7a2e22"), n=8,
            layer=layer + .01))
    if text:
        m += number(text, o - ex * w * .6 - ey * h * .5 + n * .045, ex, ey, n, h, layer + .02)
    if string is not None:
        a = o + ex * w * .8 + n * .05
        b = np.array(string, float)
        mid = (a + b) / 2 + [0, -.15 if hang else .02, .2]
        p = spline([a, mid, b], np.linspace(0, 1, 16))[None]
        m.append(ribbons(p, np.full((1, 16), .018), np.broadcast_to(rgb("#cdbb92"), (1, 16, 3)),
                np.array([[0, .5, 1.]]), layer=layer + .03))
    return m


def towel(lo, hi, layer=0, colour="#9fa79b", stripe="#6d3a30", seed=2):
    """A cloth lying on the bench, gently rumpled, striped at both ends."""
    rng = np.random.default_rng(seed)
    a, b = np.meshgrid(np.linspace(0, 1, 110), np.linspace(0, 1, 70), indexing="ij")
    ph = rng.uniform(0, 6, 6)
    y = .05 + .035 * np.sin(a * 9 + b * 4 + ph[0]) + .03 * np.sin(b * 11 - a * 5 + ph[1]) + .02 * np.sin(a * 23 + b
            * 13 + ph[2])
    x = lo[0] + (hi[0] - lo[0]) * a + .06 * np.sin(b * 7 + ph[3])
    z = lo[1] + (hi[1] - lo[1]) * b + .06 * np.sin(a * 8 + ph[4])
    P = np.stack([x, y, z], -1)
    C = mix(rgb(colour), rgb(stripe), ((np.abs(a - .07) < .012) | (np.abs(a - .93) < .012) | (np.abs(a
            - .04) < .006) | (np.abs(a - .96) < .006)).astype(float))
    C = C * (1 + rng.normal(0, .025, a.shape))[..., None]
    N = grid_normals(P)
    N = N * np.sign(N[..., 1:2])
    return Model([grid(P, C, N, layer=layer, cast=False, fine=True)])


def scissors(at, yaw=20, layer=0, scale=1.0):
    m = Model()
    for s in (-1, 1):
        m.append(tube([(-.0, .06, 0), (.6, .06, .08 * s), (1.5, .05, .16 * s)], [.085, .075, .01], rgb("#b7b5ad"),
                nu=16, na=8, spec=1.6, gloss=24, layer=layer))
        a = np.linspace(0, 2 * np.pi, 20)
        ring = np.stack([-.95 + .32 * np.cos(a), 0 * a + .07, .26 * s + .2 * np.sin(a)], -1)
        m.append(tube([(0, .06, 0), (-.35, .06, .1 * s), (-.66, .06, .2 * s)], [.07, .06, .055], rgb("#3a3634"),
                nu=10, na=8, spec=.9, layer=layer))
        m.append(tube(ring, [.06] * 20, rgb("#3a3634"), nu=50, na=8, spec=.9, up=(0, 1, 0), layer=layer))
    m.append(ball((0, .11, 0), [.07, .04, .07], rgb("#d8d4c8"), n=8, spec=1.5, layer=layer + .01))
    return m.place(at=at, yaw=yaw, scale=scale)


def modelling_tool(a, b, layer=0, loop=False):
    a, b = np.array(a, float), np.array(b, float)
    at = lambda t: a + (b - a) * t
    m = Model([tube([at(0), at(.15), at(.5), at(.75)], [.05, .085, .095, .05], wood("#6b4326", "#b07d4c"), nu=22,
            na=10, spec=.3, layer=layer)])
    m.append(tube([at(.75), at(.9), at(1)], [.035, .03, .05 if loop else .008], rgb("#b9b6ac"), nu=12, na=8, spec=1.6,
            gloss=20, layer=layer + .01))
    return m


def spool(at, thread="#8a2f28", layer=0, s=1.0):
    r = .26 * s
    m = Model([lathe([(r, 0), (r, .08 * s), (r * .7, .1 * s)], rgb("#b98a55"), at=at, layer=layer, spec=.2)])
    m.append(lathe([(r * .7, .1 * s), (r * .86, .14 * s), (r * .88, .5 * s), (r * .7, .56 * s)],
            lambda P: rgb(thread) * (.8 + .3 * np.sin(P[..., 1] * 90 / s))[..., None], at=at, layer=layer + .01,
            spec=.25))
    m.append(lathe([(r * .7, .55 * s), (r, .58 * s), (r, .66 * s), (.01, .66 * s)], rgb("#c99b64"), at=at,
            layer=layer + .02, spec=.2))
    return m


def pins(points, dirs, layer=0, head="#c43a30", length=.5):
    m = Model()
    for p, d in zip(np.asarray(points, float), np.asarray(dirs, float)):
        d = unit(d)
        q = np.array([p, p + d * length])[None]
        m.append(ribbons(q, np.full((1, 2), .013), np.broadcast_to(rgb("#c9cdd0"), (1, 2, 3)),
                np.array([[.2, .3, 1]]), spec=1.2, layer=layer))
        m.append(ball(p + d * length, .055, rgb(head), n=8, spec=1., gloss=30, layer=layer + .01))
    return m


def slip(at, ex, ey, w, h, layer=0, colour="#e3d7b8"):
    """One strip of paper or card standing at a place, spanned by two directions."""
    a, b = np.meshgrid(np.linspace(-w, w, 5), np.linspace(-h, h, 4), indexing="ij")
    ex, ey = unit(np.array(ex, float)), unit(np.array(ey, float))
    n = np.cross(ex, ey)
    P = np.asarray(at, float) + ex * a[..., None] + ey * b[..., None] + n * (.05 * (a / max(w, .01)) ** 2)[..., None]
    return Model([grid(P, rgb(colour), np.broadcast_to(n, P.shape), layer=layer)])
