"""Feathers: single plumes drawn barb by barb, and rows of small body feathers on a loft."""
import numpy as np
from geom import Batch, Model, rgb, ribbons, unit


def vane(s, blunt=.5, base=.35):
    """Half-width along a feather, 0 at the quill, round at the tip."""
    s = np.clip(s, 0, 1)
    rise = base + (1 - base) * np.sin(np.clip(s / .7, 0, 1) * np.pi / 2)
    tip = np.sqrt(np.clip(1 - np.clip((s - (1 - blunt)) / blunt, 0, 1) ** 2, 0, 1))
    return rise * tip


class Plane:
    """The curved sheet of n large feathers: where (s along, t across) lies in space."""

    def __init__(self, B, D, N, L, W, curl, cup, bend):
        B, D, N = np.broadcast_arrays(np.atleast_2d(B), unit(np.atleast_2d(D)), np.atleast_2d(N))
        n = len(B)
        col = lambda x: np.broadcast_to(x, n)[:, None]
        self.B, self.D, self.n = B, D, n
        self.N = unit(N - D * (N * D).sum(-1, keepdims=True))
        self.S = np.cross(D, self.N)
        self.L, self.W, self.curl, self.bend, self.cup = col(L), col(W), col(curl), col(bend), cup

    def at(self, s, t):
        across = self.W * t + self.bend * s ** 2 * self.L
        lift = -self.curl * s ** 2 * self.L - self.cup * t ** 2 * self.W
        return (self.B[:, None] + self.D[:, None] * (self.L * s)[..., None] + self.S[:, None] * across[..., None]
                + self.N[:, None] * lift[..., None])


def plumes(B, D, N, L, W, pattern, rng, barbs=70, blunt=.22, base=.4, curl=.0, cup=.12, quill="#66502f",
           slant=.10, key=None, jitter=.05, segs=4, split=.02, bend=0.0, cast=True, **kw):
    """Large feathers. B base, D direction, N facing normal (n,3); pattern(s, t, i) -> rgb.

    Every barb is a short ribbon from the quill to the edge. All of one feather share a key."""
    sheet = Plane(B, D, N, L, W, curl, cup, bend)
    key = np.arange(sheet.n, dtype=float) if key is None else np.broadcast_to(key, sheet.n)
    dark = 1 + rng.normal(0, .07, (sheet.n, 1, 1))
    gap = rng.random((sheet.n, barbs)) < split
    out = Model()
    for side in (-1, 1):
        s0 = np.linspace(0, 1, barbs)
        edge = vane(s0, blunt, base) * (1 + rng.normal(0, .02, gap.shape) - .25 * gap * rng.random(gap.shape))
        out.append(_barbs(sheet, side, s0, edge, pattern, rng, slant, dark, jitter, segs, cast, kw))
        out[-1].key = np.repeat(key, barbs * segs * 2) + (.1 if side > 0 else 0)
    out.append(_quill(sheet, rgb(quill), kw))
    out[-1].key = np.repeat(key, 26) + .2
    return out


def _barbs(sheet, side, s0, edge, pattern, rng, slant, dark, jitter, segs, cast, kw):
    """One side of every vane."""
    n, m = edge.shape
    start = s0 + rng.normal(0, .002, (n, m))
    reach = slant * (sheet.W / sheet.L) * 2.2 * (1 - .6 * s0)
    path, col = [], []
    for q in np.linspace(0, 1, segs + 1):
        s = np.clip(start + reach * q - .02 * q, 0, 1.02)
        path.append(sheet.at(s, side * edge * q))
        c = pattern(s, side * q * np.ones_like(s), np.arange(n)[:, None])
        c = c * dark * (1 + rng.normal(0, jitter, (n, m, 1)))
        col.append(c * (1 - .10 * q if side > 0 else 1 - .02 * q))
    k = segs + 1
    path, col = np.stack(path, 2).reshape(-1, k, 3), np.clip(np.stack(col, 2), 0, 1).reshape(-1, k, 3)
    wide = (sheet.L / m)[..., None] * np.linspace(1.15, .9, k) * np.ones((n, m, 1))
    facing = unit(sheet.N[:, None] + sheet.S[:, None] * side * .28 + rng.normal(0, .05, (n, m, 3)))
    alpha = np.ones((n * m, k))
    alpha[:, -1] = .85
    return ribbons(path, wide.reshape(-1, k), col, facing.reshape(-1, 3), alpha, cast=cast, **kw)


def _quill(sheet, colour, kw):
    s = np.broadcast_to(np.linspace(0, .97, 14), (sheet.n, 14))
    p = sheet.at(s, 0 * s) + sheet.N[:, None] * .012
    wide = .034 * np.sqrt(sheet.W / .4) * (1 - .85 * s)
    return ribbons(p, wide, np.broadcast_to(colour, (sheet.n, 14, 3)), sheet.N, cast=False, **kw)


def _rows(loft, rows, width, rng, u0, u1):
    """Staggered rows of feather roots: positions (u, a) on the loft and the row number."""
    U, A, R = [], [], []
    for i, u in enumerate(np.linspace(u0, u1, rows)):
        ring = loft.point(np.full(40, u), np.linspace(-np.pi, np.pi, 40))
        around = np.linalg.norm(np.diff(ring, axis=0), axis=-1).sum()
        m = max(5, int(around / (width(u) * 1.05)))
        A.append((np.arange(m) + (i % 2) * .5) / m * 2 * np.pi - np.pi + rng.normal(0, .25 / m, m))
        U.append(np.clip(u + rng.normal(0, .2 * (u1 - u0) / rows, m), 0, 1))
        R.append(np.full(m, i))
    return map(np.concatenate, (U, A, R))


def scales(loft, rows, color, rng, length, width, u0=0., u1=1., sign=-1, lift=.14, edge=.30, edgecol=None,
           barbs=7, gloss=9., spec=.25, rough=.12, keep=None, fringe=.18, **kw):
    """Small overlapping body feathers in staggered rows along a loft.

    color(P, u, a) -> rgb of the centre; the rim is dark and the fringe breaks into barbs."""
    length, width = [f if callable(f) else (lambda u, f=f: f + 0 * u) for f in (length, width)]
    U, A, R = _rows(loft, rows, width, rng, u0, u1)
    P, N, T = loft.at(U, A)
    if keep is not None:
        k = keep(P, U, A)
        P, N, T, U, A, R = P[k], N[k], T[k], U[k], A[k], R[k]
    n = len(P)
    L, W = length(U) * rng.uniform(.85, 1.15, n), width(U) * rng.uniform(.9, 1.1, n)
    D = unit(sign * T + np.cross(N, T) * rng.normal(0, rough, (n, 1)) + N * lift)
    S = unit(np.cross(D, N))
    F = unit(np.cross(S, D))
    F *= np.sign((F * N).sum(-1, keepdims=True))
    C = color(P, U, A) * (1 + rng.normal(0, .10, (n, 1)))
    rim = C * edge if edgecol is None else edgecol(P, U, A) * (1 + rng.normal(0, .08, (n, 1)))
    B = P - N * .02
    key = R * -float(sign) + rng.random(n) * .4          # later rows overlap earlier ones
    look = dict(spec=spec, gloss=gloss, cull=True, **kw)
    return Model([_leaf(B, D, S, F, L, W, rim, rim * .55, key, 1.0, dict(look, cast=True)),
            _leaf(B + F * .004, D, S, F, L * .80, W * .86, C * 1.15, C * .42, key + .1, .96, dict(look, cast=False)),
            _fringe(B, D, S, F, L, W, C, rim, key + .2, barbs, fringe, rng, dict(look, cast=False, spec=spec * 1.2))])


def _leaf(B, D, S, N, L, W, tipc, rootc, key, alpha, look):
    """Rounded scale as a triangle fan, dark at the root."""
    th = np.linspace(-1, 1, 9) * 1.75
    x = .52 + .48 * np.cos(th)
    y = np.sin(th) * .52
    rim = B[:, None] + D[:, None] * (L[:, None] * x)[..., None] + S[:, None] * (W[:, None] * y)[..., None] \
        - N[:, None] * (W[:, None] * .22 * y ** 2 * 4)[..., None]
    n, m = len(B), len(th)
    V = np.stack([np.broadcast_to(B[:, None], (n, m - 1, 3)), rim[:, :-1], rim[:, 1:]], 2)
    tt = np.clip(x, 0, 1)[None, :, None]
    Cr = rootc[:, None] * (1 - tt) + tipc[:, None] * tt
    C = np.stack([np.broadcast_to(rootc[:, None], (n, m - 1, 3)), Cr[:, :-1], Cr[:, 1:]], 2)
    Nr = unit(N[:, None] + S[:, None] * (y * .9)[None, :, None] + D[:, None] * .25 * tt)
    Nn = np.stack([np.broadcast_to(N[:, None], (n, m - 1, 3)), Nr[:, :-1], Nr[:, 1:]], 2)
    return Batch(V.reshape(-1, 3, 3), np.clip(C, 0, 1).reshape(-1, 3, 3), Nn.reshape(-1, 3, 3), alpha,
            key=np.repeat(key, m - 1), **look)


def _fringe(B, D, S, N, L, W, C, rim, key, barbs, fringe, rng, look):
    """Loose barbs past the rim so feathers do not read as roof tiles."""
    n = len(B)
    t = np.linspace(-1, 1, barbs) * 1.25
    t = t[None] + rng.normal(0, .15, (n, barbs))
    ro, ri = 1.0 + fringe * rng.uniform(-.2, 1, (n, barbs)), rng.uniform(.25, .6, (n, barbs))
    out = []
    for k in (ri, (ri + ro) / 2, ro):
        x = .5 + .5 * np.cos(t) * k
        y = np.sin(t) * .5 * k
        out.append(B[:, None] + D[:, None] * (L[:, None] * x)[..., None] + S[:, None] * (W[:, None] * y)[..., None])
    P = np.stack(out, 2).reshape(-1, 3, 3) + np.repeat(N, barbs, 0)[:, None] * .01
    c = np.repeat(C, barbs, 0)[:, None] * np.array([.6, 1.25, 1.0])[None, :, None]
    c[:, 2] = np.repeat(rim, barbs, 0) * 1.15
    w = np.repeat(W, barbs)[:, None] * .030 * np.array([.7, 1, .3])
    b = ribbons(P, w, np.clip(c, 0, 1), np.repeat(N, barbs, 0), np.broadcast_to([.3, .7, .5], (len(P), 3)), **look)
    b.key = np.repeat(key, barbs * 4)
    return b
