"""Solid bodies as lofts along a spine: smooth skin, hair, or rows of body feathers on top."""
import numpy as np
from geom import Model, grid, ribbons, spline, unit


class Loft:
    """rows of (x, y, z, half-width across, half-height up, half-height down)."""

    def __init__(self, rows, up=(0, 1, 0), square=2.0, bumps=()):
        self.rows = np.array([list(r) + [r[-1]] * (6 - len(r)) for r in rows], float)
        self.up, self.square, self.bumps = np.asarray(up, float), square, bumps

    def at(self, u, a):
        """Point, outward normal and backward-to-front tangent at u 0..1, angle a (0 = top)."""
        u, a = np.broadcast_arrays(np.asarray(u, float), np.asarray(a, float))
        e = 1e-3
        P = self.point(u, a)
        Tu = self.point(np.minimum(u + e, 1), a) - self.point(np.maximum(u - e, 0), a)
        Ta = self.point(u, a + e) - self.point(u, a - e)
        N = unit(np.cross(Tu, Ta))
        r = spline(self.rows, u)
        out = ((P - r[..., :3]) * N).sum(-1, keepdims=True)
        return P, N * np.where(out < 0, -1, 1), unit(Tu)

    def point(self, u, a):
        r = spline(self.rows, u)
        e = 2e-3
        T = unit(spline(self.rows[:, :3], np.minimum(u + e, 1)) - spline(self.rows[:, :3], np.maximum(u - e, 0)))
        S = unit(np.cross(T, self.up))
        U = np.cross(S, T)
        c, s = np.cos(a), np.sin(a)
        p = 2 / self.square
        cs = np.sign(c) * np.abs(c) ** p
        ss = np.sign(s) * np.abs(s) ** p
        v = np.where(cs > 0, r[..., 4], r[..., 5])
        P = r[..., :3] + S * (ss * np.maximum(r[..., 3], .004))[..., None] + \
            U * (cs * np.maximum(v, .004))[..., None]
        for at, rad, amount in self.bumps:
            d = np.linalg.norm(P - np.asarray(at, float), axis=-1)
            P = P + unit(P - r[..., :3]) * (amount * np.exp(-(d / rad) ** 2))[..., None]
        return P

    def skin(self, color, nu=46, na=40, u0=0.0, u1=1.0, **kw):
        """Smooth shaded surface. color(P, u, a) -> rgb."""
        u, a = np.meshgrid(np.linspace(u0, u1, nu), np.linspace(-np.pi, np.pi, na), indexing="ij")
        P, N, _ = self.at(u, a)
        C = color(P, u, a) if callable(color) else np.broadcast_to(color, P.shape)
        return grid(P, C, N, **kw)

    def scatter(self, n, rng, u0=0.0, u1=1.0):
        """Even random spots on the surface."""
        u, a = np.meshgrid(np.linspace(u0, u1, 60), np.linspace(-np.pi, np.pi, 48), indexing="ij")
        P = self.point(u, a)
        e1 = P[1:, :-1] - P[:-1, :-1]
        e2 = P[:-1, 1:] - P[:-1, :-1]
        area = np.linalg.norm(np.cross(e1, e2), axis=-1).ravel()
        k = rng.choice(area.size, n, p=area / area.sum())
        i, j = np.unravel_index(k, e1.shape[:2])
        du, da = (u1 - u0) / 59, 2 * np.pi / 47
        return u0 + (i + rng.random(n)) * du, -np.pi + (j + rng.random(n)) * da

    def fur(self, n, color, rng, length=.28, width=.012, sign=-1, lift=.18, u0=0.0, u1=1.0, jitter=.10, sag=.10,
            messy=.25, rootdark=.72, **kw):
        """Hair lying along the spine (sign -1: pointing back to u=0). length may be f(P,u,a)."""
        u, a = self.scatter(n, rng, u0, u1)
        P, N, T = self.at(u, a)
        L = length(P, u, a) if callable(length) else np.full(n, length)
        L = L * rng.uniform(.65, 1.25, n)
        side = np.cross(N, T)
        D = unit(sign * T + side * rng.normal(0, messy, (n, 1)) + N * lift)
        s = np.array([0, .5, 1.0])
        path = P[:, None] + D[:, None] * (L[:, None] * s)[..., None]
        path[..., 1] -= (sag * L)[:, None] * s ** 2
        path -= N[:, None] * ((lift * .55 * L)[:, None] * s ** 2)[..., None]
        C = color(P, u, a) if callable(color) else np.broadcast_to(color, P.shape)
        C = np.clip(C * (1 + rng.normal(0, jitter, (n, 1))), 0, 1)
        ramp = np.array([rootdark, 1.0, 1.08])
        Ck = np.clip(C[:, None] * ramp[None, :, None], 0, 1)
        W = width * rng.uniform(.6, 1.4, n)[:, None] * np.array([1, .8, .12])
        Nj = unit(N + rng.normal(0, .12, (n, 3)))
        return ribbons(path, W, Ck, Nj, np.array([[.9, .95, .5]]).repeat(n, 0), cast=False, cull=True, **kw)


def tube(points, radii, color, nu=40, na=12, up=(0, 1, 0.01), **kw):
    """A round tube through points; radii may be one number or one per point."""
    radii = np.broadcast_to(np.asarray(radii, float), (len(points),))
    rows = [list(p) + [r, r, r] for p, r in zip(points, radii)]
    return Loft(rows, up=up).skin(color, nu=nu, na=na, **kw)


def ball(at, r, color, n=18, **kw):
    r = np.broadcast_to(np.asarray(r, float), (3,))
    u, a = np.meshgrid(np.linspace(0, np.pi, n), np.linspace(0, 2 * np.pi, n), indexing="ij")
    D = np.stack([np.sin(u) * np.cos(a), np.cos(u), np.sin(u) * np.sin(a)], -1)
    C = color(D) if callable(color) else color
    return grid(np.asarray(at, float) + D * r, C, unit(D / r), **kw)


def lathe(profile, color, at=(0, 0, 0), na=36, **kw):
    """Surface of revolution about the upright: profile rows (radius, y)."""
    pr = np.asarray(profile, float)
    a = np.linspace(0, 2 * np.pi, na)
    P = np.stack([pr[:, :1] * np.cos(a), np.repeat(pr[:, 1:], na, 1), pr[:, :1] * np.sin(a)], -1)
    t = np.gradient(pr, axis=0)
    nr, ny = t[:, 1:], -t[:, :1]
    N = unit(np.stack([nr * np.cos(a), np.repeat(ny, na, 1), nr * np.sin(a)], -1))
    C = color(P) if callable(color) else np.broadcast_to(color, P.shape)
    return grid(P + np.asarray(at, float), C, N, **kw)


def box(lo, hi, color, m=7, **kw):
    """Six shaded faces."""
    lo, hi = np.asarray(lo, float), np.asarray(hi, float)
    out = Model()
    for ax in range(3):
        for val, s in ((lo[ax], -1), (hi[ax], 1)):
            o = [i for i in range(3) if i != ax]
            g = np.meshgrid(np.linspace(lo[o[0]], hi[o[0]], m), np.linspace(lo[o[1]], hi[o[1]], m), indexing="ij")
            P = np.zeros((m, m, 3))
            P[..., ax], P[..., o[0]], P[..., o[1]] = val, g[0], g[1]
            N = np.zeros(3)
            N[ax] = s
            C = color(P) if callable(color) else np.broadcast_to(color, P.shape)
            out.append(grid(P, C, np.broadcast_to(N, P.shape), **kw))
    return out
