"""White-tailed buck: shoulder mounts in three poses, antlers, bare form, cape and skull."""
import numpy as np
from geom import Model, grid, grid_normals, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball, tube

# Spine rows in mount space: x right, y up, z out of the wall; widths across, nape side, throat side.
POSES = {
    "upright": dict(
        neck=[(.3, -.75, -.1, 1.72, 1.9, 2.6), (.3, -.7, .6, 1.76, 1.85, 2.65), (.22, -.1, 1.35, 1.55, 1.45, 2.1),
              (.06, .9, 1.82, 1.2, 1.0, 1.38), (-.1, 1.8, 2.05, .92, .78, 1.0), (-.28, 2.6, 2.25, .67, .56, .73),
              (-.4, 2.95, 2.4, .4, .3, .4)],
        up=(0, .3, -1), head=(-.25, 3.0, 2.2), yaw=-138, pitch=-22, roll=0, muscle=.35),
    "semi": dict(
        neck=[(1.4, -.95, -.1, 1.8, 1.75, 2.3), (1.35, -.9, .6, 1.75, 1.7, 2.35), (.75, -.45, 1.45, 1.5, 1.62, 1.85),
              (-.15, .5, 2.0, 1.1, 1.14, 1.2), (-.85, 1.25, 2.3, .82, .75, .92), (-1.4, 1.8, 2.55, .62, .54, .70),
              (-1.7, 2.05, 2.7, .4, .3, .4)],
        up=(.2, .75, -.75), head=(-1.45, 2.1, 2.5), yaw=-150, pitch=-20, roll=0, muscle=1.0),
    "sneak": dict(
        neck=[(2.15, -.85, -.1, 1.75, 1.85, 2.2), (2.0, -.8, .7, 1.72, 1.8, 2.15), (1.2, -.35, 1.55, 1.42, 1.5, 1.75),
              (.1, .1, 2.05, 1.1, 1.0, 1.2), (-.85, .38, 2.3, .82, .74, .9), (-1.55, .62, 2.5, .62, .54, .70),
              (-1.95, .75, 2.65, .4, .3, .4)],
        up=(.1, .95, -.3), head=(-1.7, .95, 2.5), yaw=-158, pitch=-14, roll=0, muscle=1.0),
}
HEAD = [(-.28, -.20, 0, .34, .30, .42), (.05, -.12, 0, .54, .50, .66), (.5, -.08, 0, .66, .55, .74),
        (.92, -.10, 0, .64, .52, .70),
        (1.3, -.20, 0, .50, .43, .56), (1.75, -.30, 0, .41, .35, .44), (2.2, -.38, 0, .365, .31, .37),
        (2.55, -.42, 0, .35, .28, .33),
        (2.76, -.45, 0, .26, .20, .24), (2.86, -.47, 0, .08, .07, .08)]
BUMPS = [((.75, .30, .60), .26, .10), ((.75, .30, -.60), .26, .10), ((1.25, .0, .45), .20, -.07),
        ((1.25, .0, -.45), .20, -.07),
         ((.35, -.45, .6), .4, .05), ((.35, -.45, -.6), .4, .05), ((1.0, .5, 0), .3, -.05), ((2.3, -.2, .3), .2, .03),
         ((2.3, -.2, -.3), .2, .03)]
EYE = (.86, .06, .60)
BROWN, GREY, WHITE, DARK = rgb("#8a6a4a"), rgb("#7d6a56"), rgb("#e4d8c4"), rgb("#35271c")


def head_colour(P, u=None, a=None):
    x, y, z = P[..., 0], P[..., 1], np.abs(P[..., 2])
    col = mix(rgb("#8f6d4c"), rgb("#6e5138"), smooth(.15, .5, y + .1 * np.sin(x * 6)))
    col = mix(col, rgb("#a08160"), smooth(.1, -.4, y) * .6)
    col = mix(col, rgb("#4e3826"), smooth(.55, 1.2, x) * smooth(1.9, 1.2, x) * smooth(.25, .05, z)
            * smooth(-.1, .2, y) * .8)
    e = np.hypot(x - EYE[0], (y - EYE[1]) * 1.15)
    col = mix(col, WHITE, smooth(.30, .17, e) * smooth(.25, .45, z) * .55)
    col = mix(col, WHITE, smooth(-.52, -.68, y + .03 * x) * .9)
    band = smooth(2.12, 2.26, x) * smooth(2.56, 2.44, x)
    col = mix(col, WHITE, band * .9)
    col = mix(col, rgb("#4a382a"), smooth(1.75, 1.95, x) * smooth(2.2, 2.08, x) * .55)
    col = mix(col, rgb("#2a211b"), smooth(2.46, 2.6, x) * smooth(-.62, -.5, y))
    return mix(col, DARK, smooth(.16, .05, np.hypot(x - 1.16, (y + .08) * 1.0)) * smooth(.3, .4, z) * .9)


def neck_colour(P, u, a):
    back = np.cos(a)
    col = mix(rgb("#8c6e4d"), rgb("#604832"), smooth(-.2, .9, back))
    col = mix(col, rgb("#5e4936"), smooth(.4, .0, u) * smooth(.2, -.9, back) * .7)
    throat = smooth(.62, .74, u) * smooth(.93, .84, u) * smooth(-.45, -.8, back)
    col = mix(col, WHITE, throat * .95)
    return mix(col, rgb("#a1845f"), smooth(-.3, -.8, back) * smooth(.15, .5, u) * .5)


def antler(side, rng, layer, points=4, spread=1.0, tall=1.0):
    """One beam: out, back, then sweeping forward, tines standing up from it."""
    k = np.array([1, tall, side * spread])
    j = lambda: rng.normal(0, .05, 3)
    beam = np.array([(.28, .38, .28), (.10, .72, .52), (-.12, 1.15, .92), (-.05, 1.65, 1.35), (.45, 2.08, 1.62),
            (1.1, 2.3, 1.58), (1.75, 2.42, 1.28)]) * k
    beam[2:] += [j() for _ in range(5)]
    rad = [.20, .155, .145, .135, .12, .095, .02]
    out = Model([tube(beam, rad, antler_colour, nu=70, na=12, spec=.22, gloss=14, layer=layer)])
    tines = [(.12, (.38, .85, -.12), .10), (.40, (.28, 1.55, .05), .12), (.60, (.30, 1.45, -.05), .11),
            (.80, (.22, .85, -.12), .085)][:points]
    for t, d, r in tines:
        b = spline(beam, t)
        d = np.array(d) * k * rng.uniform(.9, 1.1)
        pts = [b, b + d * .3 + np.array([-.06, 0, .05 * side]), b + d * .68 + np.array([-.04, 0, .04 * side]), b + d]
        out.append(tube(pts, [r, r * .85, r * .6, .012], lambda P, u, a: antler_colour(P, .45 + .55 * u, a), nu=34,
                na=10, spec=.22, gloss=14, layer=layer + .01))
    for i in range(26):
        a = rng.uniform(0, 2 * np.pi)
        p = beam[0] + np.array([np.cos(a) * .22, .04 + rng.uniform(-.03, .06), np.sin(a) * .22])
        out.append(ball(p, rng.uniform(.05, .085), rgb("#6b523a") * rng.uniform(.8, 1.2), n=7, layer=layer + .01))
    return out


def antler_colour(P, u, a):
    grain = np.sin(a * 5 + u * 9) * .5 + .5
    col = mix(rgb("#5d432b"), rgb("#a98c66"), smooth(.0, .55, u) * .8 + .2 * grain)
    return mix(col, rgb("#ddcfae"), smooth(.80, 1, u))


def ear(side, rng, layer, foam=False, carded=False):
    """A cupped leaf: pale inside with long hair, brown rim."""
    s, q = np.meshgrid(np.linspace(0, 1, 26), np.linspace(-1, 1, 19), indexing="ij")
    w = .46 * np.sin(np.pi * np.clip(s * .93 + .07, 0, 1) ** .85) ** .75
    D, F = unit(np.array([-.42, .55, .85 * side])), unit(np.array([.80, .10, .45 * side]))
    S = np.cross(D, F) * side
    F = np.cross(S, D) * side
    base = np.array([.02, .22, .44 * side])
    L = 1.5
    P = base + D * (s * L)[..., None] + S * (w * q)[..., None] - F * (w * .75 * (1 - q ** 2))[...,
            None] - F * (.25 * s ** 2 * 0)[..., None]
    N = grid_normals(P)
    C = mix(rgb("#c9b190"), rgb("#6e5238"), smooth(.70, .95, np.abs(q)) + 0 * s)
    C = mix(C, rgb("#4a3423"), smooth(.86, 1, s) * .8)
    C = mix(C, rgb("#9a7560"), smooth(.6, .2, np.abs(q)) * smooth(.75, .2, s) * .6)
    out = Model([grid(P, C, N, layer=layer)])
    n = 900
    i, k = rng.integers(0, 25, n), rng.integers(0, 18, n)
    p, nn = P[i, k] + rng.normal(0, .012, (n, 3)), N[i, k]
    inner = np.abs(q[i, k]) < .8
    d = unit(D * rng.uniform(.4, 1, (n, 1)) + S * (q[i, k] * -.9 * inner)[:, None] + F * .25
            + rng.normal(0, .15, (n, 3)))
    ln = np.where(inner, rng.uniform(.18, .42, n), .10) * (1.05 - s[i, k])
    path = p[:, None] + d[:, None] * (ln[:, None] * np.array([0, .5, 1]))[..., None]
    cc = np.where(inner[:, None], rgb("#ddcfb6") * rng.uniform(.75, 1.1, (n, 1)),
            C[i, k] * rng.uniform(.8, 1.2, (n, 1)))
    out.append(ribbons(path, np.full((n, 3), .011) * [1, .8, .2], np.repeat(np.clip(cc, 0, 1)[:, None], 3, 1), nn,
            np.full((n, 3), .75), cast=False, layer=layer + .01))
    if carded:
        out += ear_cards(base, D, S, F, L, side, layer)
    return out


def ear_cards(base, D, S, F, L, side, layer):
    """Card strips either side of the ear, held with pins."""
    out = Model()
    for q in (-.55, .55):
        a, b = np.meshgrid(np.linspace(.22, .92, 4), np.linspace(-.11, .11, 3), indexing="ij")
        P = base + D * (a * L)[..., None] + S * (q * .42 + b)[..., None] + F * .10
        out.append(grid(P, rgb("#d9cba8"), np.broadcast_to(F, P.shape), layer=layer + .05))
        for t in (.3, .6, .85):
            out.append(ball(base + D * t * L + S * q * .42 + F * .16, .042, rgb("#b9c4cc"), n=8, spec=1.5, gloss=40,
                    layer=layer + .06))
    return out


def eyes(sides, layer, lids=True):
    out = Model()
    for sd in sides:
        e = np.array([EYE[0], EYE[1], EYE[2] * sd])
        if lids:
            out.append(ball(e - [0, 0, .02 * sd], [.165, .115, .06], rgb("#1d140f"), n=16, layer=layer))
        out.append(ball(e, [.115, .092, .075], rgb("#1a0e07"), n=18, spec=3.5, gloss=60, layer=layer + .01))
        out.append(ball(e + [.03, .04, .062 * sd], .017, rgb("#fff3dc"), n=7, spec=4, gloss=4, layer=layer + .02))
    return out


def nose(layer, colour="#1b1512"):
    out = Model([Loft([(2.52, -.34, 0, .24, .13, .16), (2.72, -.36, 0, .25, .15, .17), (2.87, -.41, 0, .17, .12, .12),
            (2.92, -.43, 0, .04, .04, .04)]).skin(
        rgb(colour), nu=16, na=22, spec=1.1 if colour == "#1b1512" else .1, gloss=14, layer=layer)])
    for sd in (-1, 1):
        out.append(ball((2.80, -.35, .155 * sd), [.085, .06, .07], rgb("#050303"), n=10, layer=layer + .02))
        p = np.array([[(2.80, -.56, .10 * sd), (2.55, -.585, .25 * sd), (2.2, -.57, .315 * sd),
                (1.85, -.50, .37 * sd)]])
        out.append(ribbons(p, np.array([[.018, .022, .018, .004]]), np.broadcast_to(rgb("#1a120d"), (1, 4, 3)),
                np.array([[0, 0, float(sd)]]), cast=False, layer=layer))
    return out


def head(rng, sides=(-1, 1), near=-1, mode="fur", points=4):
    """Head in its own space: poll at the origin, nose along +x. near = side toward the camera."""
    lo = Loft(HEAD, bumps=BUMPS)
    m = Model()
    m += antler(-near, rng, .3, points)
    foam = mode == "foam"
    if not foam:
        m += ear(-near, rng, .5, carded=mode == "carded")
    col = foam_colour if foam else head_colour
    m.append(lo.skin(col, nu=90, na=60, layer=1.0, spec=.1 if foam else 0))
    if not foam:
        m.append(lo.fur(9000, head_colour, rng, length=lambda P, u, a: .09 + .10 * smooth(1.6, .0, P[..., 0]),
                width=.0095, sign=-1, lift=.10, layer=1.1, u1=.93, sag=.02, u0=.05, messy=.18))
        m += nose(1.2)
    m += eyes(sides, 1.25, lids=not foam)
    m += antler(near, rng, 1.4, points)
    if foam:
        m.append(ball((.28, .36, 0), [.34, .10, .42], rgb("#d9c9a6"), n=16, layer=1.3))
        m += nose(1.2, "#a98257")
        m.append(ball((EYE[0], EYE[1], (EYE[2] - .02) * near), [.20, .15, .06], rgb("#a98257"), n=16, layer=1.2))
    else:
        m += ear(near, rng, 1.35, carded=mode == "carded")
    return m


def foam_colour(P, u, a):
    c = mix(rgb("#d8bf86"), rgb("#e6d3a2"), .5 + .5 * np.sin(P[..., 0] * 3 + P[..., 1] * 2))
    seam = smooth(.03, .012, np.abs(np.sin(a)) * .5) if np.ndim(a) else 0
    return c * (1 - .18 * seam[..., None]) if np.ndim(seam) else c


def shoulders(p):
    """Swellings of the shoulder points and the hollows above and between them."""
    x, y = p["neck"][1][:2]
    k = p["muscle"]
    return [((x + 1.1, y - 1.0, 1.2), .75, .20 * k), ((x - 1.2, y - 1.0, 1.2), .75, .22 * k),
            ((x, y - 2.0, 1.4), .5, -.10 * k), ((x - 1.1, y + .5, 1.5), .5, -.12 * k),
            ((x + .9, y + .6, 1.4), .5, -.10 * k)]


def mount(pose="upright", seed=5, mode="fur", points=4, near=None):
    """Shoulder mount against the wall. mode: fur, carded or foam."""
    p = POSES[pose]
    rng = np.random.default_rng(seed)
    nk = Loft(p["neck"], up=p["up"], bumps=shoulders(p))
    m = Model()
    if mode == "foam":
        m.append(nk.skin(foam_colour, nu=80, na=60, layer=1, spec=.1))
    else:
        m.append(nk.skin(neck_colour, nu=70, na=50, layer=1))
        m.append(nk.fur(17000, neck_colour, rng, length=lambda P, u,
                a: .50 - .26 * u + .12 * smooth(-.2, -1, np.cos(a)), width=.0125, sign=-1, lift=.16, layer=1.1,
                sag=.25, messy=.2, u1=.97))
    h = head(rng, mode=mode, points=points, near=-1 if near is None else near, sides=(-1,))
    h.place(at=p["head"], yaw=p["yaw"], pitch=p["pitch"], roll=p["roll"]).layered(1.5)
    return Model(m + h)
