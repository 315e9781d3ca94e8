"""Black bear: the flat hide, its stretched and salted stages, the felted rug and the head."""
import numpy as np
from geom import Batch, Model, grid, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball

HALF = [(0, 3.75), (.55, 3.65), (.95, 3.1), (1.45, 2.75), (2.2, 3.0), (2.9, 3.5), (3.45, 3.95), (3.95, 4.05),
        (4.2, 3.75), (4.05, 3.3), (3.5, 2.75), (2.8, 2.05), (2.2, 1.3),
        (1.95, .4), (1.95, -.6), (2.15, -1.35), (2.75, -1.9), (3.4, -2.55), (3.9, -3.3), (4.0, -3.85), (3.6, -4.1),
        (3.1, -3.85), (2.6, -3.2), (1.9, -2.75), (1.1, -2.75), (.4, -2.95), (.22, -3.4), (0, -3.5)]


def outline(n=420):
    h = np.array(HALF, float)
    full = np.vstack([h, (h * [-1, 1])[-2:0:-1], h[:1]])
    p = spline(full, np.linspace(0, 1, n, endpoint=False))
    d = np.roll(p, -1, 0) - np.roll(p, 1, 0)
    nrm = np.stack([d[:, 1], -d[:, 0]], -1)
    nrm /= np.linalg.norm(nrm, axis=1, keepdims=True)
    c = ((p - p.mean(0)) * nrm).sum(1).mean()
    return p, nrm * (1 if c > 0 else -1)


def inside(x, y, poly):
    a, b = poly, np.roll(poly, -1, 0)
    hit = np.zeros(x.shape, bool)
    for (x0, y0), (x1, y1) in zip(a, b):
        hit ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0 + 1e-12) + x0)
    return hit


def distance(x, y, poly):
    d = np.full(x.shape, 1e9)
    for q in poly[::2]:
        d = np.minimum(d, (x - q[0]) ** 2 + (y - q[1]) ** 2)
    return np.sqrt(d)


def flow(x, y):
    """Which way the hair lies: down the back, out along the limbs."""
    seeds = np.array([(0, 3, 0, -1), (0, 0, 0, -1), (0, -2.5, 0, -1), (1.2, 1.5, .6, -.8), (1.6, 0, .6, -.8),
            (1.2, -1.5, .7, -.8), (2.2, 2.4, .8, .2), (3.2, 3.1, .75, .65), (2.6, -2.4, .7, -.7),
            (3.5, -3.4, .5, -.85), (.9, 2.6, .7, -.5)])
    s = np.vstack([seeds, seeds * [-1, 1, -1, 1]])
    w = 1 / ((x[:, None] - s[:, 0]) ** 2 + (y[:, None] - s[:, 1]) ** 2 + .05) ** 1.5
    v = (w[..., None] * s[:, 2:]).sum(1)
    return v / np.linalg.norm(v, axis=1, keepdims=True)


def hide(rng, fur=True, colour=None, n=30000, z=.0, puff=.26, layer=1):
    poly, _ = outline()
    step = .07 if fur else .035
    gx, gy = np.meshgrid(np.arange(-4.4, 4.4, step), np.arange(-4.4, 4.2, step), indexing="ij")
    ok = inside(gx, gy, poly)
    h = puff * np.sqrt(np.clip(distance(gx, gy, poly) / 1.1, 0, 1)) * ok
    h = h + .05 * np.sin(gx * 2.1 + gy) * np.sin(gy * 1.7) * (h > .1)
    dx, dy = np.gradient(h, step)
    N = unit(np.stack([-dx, -dy, np.ones_like(h)], -1))
    P = np.stack([gx, gy, h + z], -1)
    cell = (ok[:-1, :-1] & ok[1:, 1:] & ok[1:, :-1] & ok[:-1, 1:]).ravel()
    colf = colour or (lambda P: np.broadcast_to(rgb("#17110e"), P.shape))
    b = grid(P, colf(P), N, layer=layer)
    k = np.repeat(cell, 2)
    m = Model([Batch(b.V[k], b.C[k], b.N[k], b.A[k], layer=layer)])
    if fur:
        m.append(_hair(poly, rng, n, h, N, step, z, layer))
    return m


def _hair(poly, rng, n, h, N, step, z, layer):
    x, y = rng.uniform(-4.3, 4.3, n * 3), rng.uniform(-4.2, 4.1, n * 3)
    k = inside(x, y, poly)
    x, y = x[k][:n], y[k][:n]
    i, j = ((x + 4.4) / step).astype(int), ((y + 4.4) / step).astype(int)
    p = np.stack([x, y, h[i, j] + z], -1)
    d = flow(x, y) + rng.normal(0, .22, (len(x), 2))
    L = rng.uniform(.25, .55, len(x))
    s = np.array([0, .5, 1])
    path = p[:, None] + np.concatenate([d, np.zeros((len(x), 1))], 1)[:, None] * (L[:, None] * s)[..., None]
    path[..., 2] += .10 * np.sin(s * np.pi * .8)
    c = mix(rgb("#120d0b"), rgb("#33251c"), rng.random(len(x)) ** 2.4)
    c = c[:, None] * np.array([.55, 1, 1.3])[None, :, None]
    nn = unit(N[i, j] + rng.normal(0, .22, (len(x), 3)) - .45 * np.concatenate([d, np.zeros((len(x), 1))], 1))
    b = ribbons(path, np.full((len(x), 3), .017) * [1, .8, .15], c, nn, np.full((len(x), 3), .85), cast=False,
            spec=.20, gloss=12, layer=layer + .1)
    b.key = np.repeat(y * 1.0, 4)          # upper hairs overlap lower ones
    return b


def felt(layer=.5):
    """Two felt borders, the lower one scalloped."""
    p, nrm = outline(840)
    m = Model()
    t = np.arange(len(p))
    for colour, w, sc, z, ly in (("#6b2f22", .52, .10, .015, layer), ("#c2a878", .30, .0, .03, layer + .1)):
        wide = w + sc * np.abs(np.sin(t / len(p) * np.pi * 70)) - (sc and .05)
        q = p + nrm * wide[:, None]
        P = np.stack([np.c_[p - nrm * .3, 0 * t + z], np.c_[p + nrm * (wide[:, None] * .6), 0 * t + z],
                np.c_[q, 0 * t + z]], 0)
        P = np.concatenate([P, P[:, :1]], 1)
        m.append(grid(P, rgb(colour) * 1.0, np.broadcast_to([0, 0, 1.], P.shape), layer=ly))
    return m


def claws(layer=2):
    m = Model()
    for sx in (-1, 1):
        for (cx, cy), ang in (((4.02, 3.85), 35), ((3.82, -3.95), -55)):
            for k in range(5):
                a = np.radians(ang + (k - 2) * 20)
                d = np.array([np.cos(a), np.sin(a), 0])
                b = np.array([cx, cy, .12]) + d * .02
                q = Loft([list((b + d * t + [0, 0, zz]) * [sx, 1, 1]) + [r, r, r] for t, zz,
                        r in ((0, .0, .07), (.2, .08, .055), (.38, .02, .01))], up=(0, 0, 1))
                m.append(q.skin(rgb("#1a1512"), nu=8, na=8, spec=.7, gloss=18, layer=layer))
    return m


ROWS = [(-.9, .1, 0, .75, .62, .6), (-.3, .12, 0, 1.02, .88, .85), (.3, .08, 0, .98, .84, .85),
        (.75, -.08, 0, .70, .60, .66), (1.1, -.22, 0, .47, .38, .46), (1.6, -.32, 0, .38, .30, .38),
        (2.1, -.38, 0, .30, .24, .30), (2.23, -.40, 0, .10, .08, .1)]


def head_colour(P, u=None, a=None):
    x, y = P[..., 0], P[..., 1]
    col = mix(rgb("#1a1310"), rgb("#33251b"), smooth(.2, .8, y))
    tan = smooth(.98, 1.3, x + .12 * smooth(.0, -.4, y))
    col = mix(col, rgb("#8a6238"), tan)
    return mix(col, rgb("#5b3f26"), smooth(1.4, 1.9, x) * .5)


def head(rng, layer=3):
    lo = Loft(ROWS, bumps=[((.72, .35, .42), .25, .08), ((.72, .35, -.42), .25, .08), ((.1, -.3, .95), .4, .12),
            ((.1, -.3, -.95), .4, .12)])
    m = Model([lo.skin(head_colour, layer=layer)])
    for s in (-1, 1):
        ear = Loft([(-.15, .65, .66 * s, .24, .12, .12), (-.2, .86, .82 * s, .29, .12, .12),
                (-.22, 1.05, .9 * s, .2, .09, .09), (-.22, 1.13, .93 * s, .05, .04, .04)], up=(1, 0, 0))
        m.append(ear.skin(rgb("#1f1713"), layer=layer - .05))
        m.append(ear.fur(1500, rgb("#2c211a"), rng, length=.2, sign=1, layer=layer - .04, spec=.3))
        m.append(ball((.95, .22, .36 * s), [.085, .08, .08], rgb("#120a06"), n=14, spec=3, gloss=50,
                layer=layer + .3))
    m.append(lo.fur(11000, head_colour, rng, length=lambda P, u, a: .12 + .28 * smooth(1.0, .1, P[..., 0]),
            width=.013, lift=.14, spec=.35, gloss=10, layer=layer + .1, u1=.95))
    nose = Loft([(2.0, -.22, 0, .20, .12, .14), (2.23, -.24, 0, .22, .14, .16), (2.37, -.30, 0, .13, .1, .1),
            (2.4, -.31, 0, .03, .03, .03)])
    m.append(nose.skin(rgb("#151110"), nu=14, na=20, spec=1.0, gloss=14, layer=layer + .3))
    for s in (-1, 1):
        m.append(ball((2.34, -.24, .10 * s), [.05, .06, .05], rgb("#040303"), n=8, layer=layer + .31))
        p = np.array([[(2.25, -.56, .02 * s), (2.05, -.62, .16 * s), (1.6, -.63, .31 * s), (1.2, -.57, .44 * s)]])
        m.append(ribbons(p, np.array([[.02, .025, .02, .005]]), np.broadcast_to(rgb("#140d0a"), (1, 4, 3)),
                np.array([[.3, 0, float(s)]]), cast=False, layer=layer + .3))
    return m


def rug(stage="finished", seed=4):
    """salted: hide skin side with salt; stretched: fur side laced to a board; finished: felt and head."""
    rng = np.random.default_rng(seed)
    if stage == "salted":
        skin = lambda P: mix(rgb("#cdb493"), rgb("#e6d8bf"),
                .5 + .5 * np.sin(P[..., 0] * 2.3 + 2 * np.sin(P[..., 1] * 1.9)))
        m = hide(rng, fur=False, colour=skin, puff=.10)
        m += edge_fur(rng) + salt(rng)
        return m
    m = hide(rng)
    m += claws()
    if stage == "finished":
        m = felt() + list(m)
    if stage == "stretched":
        return Model(m)
    m += head(rng).place(at=(0, 3.3, .6), yaw=-90, pitch=-16, scale=1.22)
    return Model(m)


def edge_fur(rng, n=5200):
    p, nrm = outline(n)
    L = rng.uniform(.12, .32, n)
    d = nrm + rng.normal(0, .35, (n, 2))
    s = np.array([-.35, .4, 1])
    path = np.c_[p, np.full(n, .02)][:, None] + np.c_[d, np.zeros(n)][:, None] * (L[:, None] * s)[..., None]
    c = mix(rgb("#1b1310"), rgb("#3d2c21"), rng.random(n))[:, None] * np.ones((1, 3, 1))
    return [ribbons(path, np.full((n, 3), .016) * [1, .8, .2], c, np.broadcast_to([0, 0, 1.], (n, 3)), cast=False,
            spec=.3, layer=.9)]


def salt(rng, n=9000):
    poly, _ = outline()
    x, y = rng.normal(0, 1.9, n), rng.normal(0, 2.1, n)
    k = inside(x, y, poly * .95)
    x, y = x[k], y[k]
    p = np.stack([x, y, np.full(len(x), .16)], -1)
    r = rng.uniform(.015, .04, len(x))
    a = rng.uniform(0, 6.28, (len(x), 1)) + np.array([0, 2.1, 4.2])
    V = p[:, None] + np.stack([np.cos(a), np.sin(a), 0 * a], -1) * r[:, None, None]
    N = unit(np.array([0, 0, 1.]) + rng.normal(0, .4, (len(x), 3)))
    return [Batch(V, np.full((len(x), 3), .95), N, .9, layer=1.5, cast=False, spec=.5, gloss=8)]
