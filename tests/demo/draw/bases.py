"""What finished mounts hang or stand on: wood grain, plaques, turned bases, driftwood."""
import numpy as np
from geom import Model, grid, grid_normals, mix, rgb, ribbons, spline, unit
from loft import Loft, lathe


def wood(dark="#4a2d18", light="#8a5a34", along=0):
    """Colour function with grain along one axis."""
    other = [i for i in range(3) if i != along]

    def f(P, u=None, a=None):
        w = np.sin(P[..., along] * .55 + P[..., other[0]] * .8) + .5 * np.sin(P[..., along] * .23 + 2
                * P[..., other[0]])
        g = np.sin(P[..., other[0]] * 7 + 1.6 * w + P[..., other[1]] * 7) * np.cos(P[..., other[0]] * 2.3 + w)
        g2 = np.sin(P[..., other[0]] * 41 + P[..., other[1]] * 33 + 3 * np.sin(P[..., along] * 1.7))
        return mix(rgb(dark), rgb(light), np.clip(.5 + .24 * g + .10 * g2, 0, 1))
    return f


def plaque(outline, at, depth=.35, layer=-1, dark="#3f2413", light="#7d4c28", bevel=.16):
    """A wooden panel on the wall from a closed outline (x, y), with a moulded edge."""
    o = np.array(outline, float)
    o = spline(np.vstack([o, o[:1]]), np.linspace(0, 1, 240))
    c = o.mean(0)
    rings = [(.01, depth), (.2, depth), (.4, depth), (.6, depth), (.75, depth), (.86, depth), (.90, depth * .82),
            (.93, depth * .82), (1 - .012, depth * .55), (1, depth * .25), (1, 0)]
    ks, zs = np.array(rings).T
    fine = np.interp(np.linspace(0, len(ks) - 1, 90), np.arange(len(ks)),
            ks), np.interp(np.linspace(0, len(ks) - 1, 90), np.arange(len(ks)), zs)
    P = np.stack([np.c_[c + (o - c) * k, np.full(len(o), z)] for k, z in zip(*fine)]) + np.asarray(at, float)
    N = grid_normals(P)
    N = N * np.where(N[..., 2:3] < -.01, -1, 1)
    col = wood(dark, light, along=1)(P * [1, 1, 0])
    return Model([grid(P, col, N, layer=layer, spec=.28, gloss=18, fine=True)])


SHIELD = [(0, -2.3), (.75, -1.85), (1.35, -1.0), (1.55, 0), (1.5, .9), (1.62, 1.5), (1.05, 1.62), (.5, 1.75),
        (0, 1.95), (-.5, 1.75), (-1.05, 1.62), (-1.62, 1.5), (-1.5, .9), (-1.55, 0), (-1.35, -1.0), (-.75, -1.85)]


def oval(rx, ry, n=24):
    a = np.linspace(0, 2 * np.pi, n, endpoint=False)
    return np.stack([rx * np.cos(a), ry * np.sin(a)], -1)


def base(at, rx=3.0, rz=1.5, h=.45, layer=-1, moss=True, rng=None, dark="#3f2615", light="#7a4c2a"):
    """A turned oval stand with leaf litter on top."""
    m = lathe([(1.0, 0), (1.02, .08), (.97, .16), (.96, h - .12), (.99, h - .06), (.97, h)]
            + [(r, h) for r in np.linspace(.93, .01, 24)], wood(dark, light), na=90, layer=layer, spec=.3, fine=True)
    m.V *= [rx, 1, rz]
    m.anchor *= [rx, 1, rz]
    m.N = unit(m.N / [rx, 1, rz])
    out = Model([m.moved(np.eye(3), np.asarray(at, float))])
    if moss:
        out += litter(at, rx * .9, rz * .9, h, rng or np.random.default_rng(5), layer + .1)
    return out


def litter(at, rx, rz, h, rng, layer, n=1500):
    a, r = rng.uniform(0, 2 * np.pi, n), np.sqrt(rng.random(n))
    p = np.stack([rx * r * np.cos(a), np.full(n, h) + .08 * (1 - r), rz * r * np.sin(a)], -1) + np.asarray(at, float)
    d = unit(np.stack([np.cos(t := rng.uniform(0, 6.28, n)), rng.uniform(.05, .5, n), np.sin(t)], -1))
    L = rng.uniform(.15, .42, n)
    path = p[:, None] + d[:, None] * (L[:, None] * np.array([0, .5, 1]))[..., None]
    path[:, 2, 1] -= .06
    pal = np.array([rgb(c) for c in ("#6b4a26", "#8a6a34", "#4e5a2c", "#5f6b34", "#7d4a26", "#a5824a", "#3f3018")])
    c = pal[rng.integers(0, len(pal), n)]
    return [ribbons(path, (rng.uniform(.03, .085, n)[:, None]) * np.array([.4, 1, .1]), np.repeat(c[:, None], 3, 1),
            unit(np.array([0, 1., .4]) + rng.normal(0, .3, (n, 3))), layer=layer, cast=True)]


def driftwood(rows, layer=-1):
    col = lambda P, u, a: mix(rgb("#6f6152"), rgb("#a89681"),
            np.clip(.5 + .35 * np.sin(a * 7 + u * 9) + .2 * np.sin(a * 17 + u * 30), 0, 1))
    return Model([Loft(rows).skin(col, nu=60, na=36, layer=layer, spec=.05)])
