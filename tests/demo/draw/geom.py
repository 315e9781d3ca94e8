"""Small vector helpers and the batch of triangles every drawn thing becomes."""
import numpy as np


def unit(v):
    v = np.asarray(v, float)
    return v / np.maximum(np.linalg.norm(v, axis=-1, keepdims=True), 1e-9)


def rgb(text):
    """'#rrggbb' to three floats, still in display (sRGB) values."""
    text = text.lstrip("#")
    return np.array([int(text[i:i + 2], 16) / 255 for i in (0, 2, 4)])


def mix(a, b, k):
    k = np.asarray(k, float)[..., None] if np.ndim(k) else k
    return np.asarray(a) * (1 - k) + np.asarray(b) * k


def smooth(a, b, x):
    t = np.clip((np.asarray(x, float) - a) / (b - a), 0, 1)
    return t * t * (3 - 2 * t)


def spline(points, t):
    """Catmull-Rom through rows of `points`, sampled at t in 0..1 (any width)."""
    p = np.asarray(points, float)
    p = np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    n = len(p) - 3
    x = np.clip(np.asarray(t, float), 0, 1) * n
    i = np.minimum(x.astype(int), n - 1)
    f = (x - i)[..., None]
    a, b, c, d = p[i], p[i + 1], p[i + 2], p[i + 3]
    return 0.5 * (2 * b + (c - a) * f + (2 * a - 5 * b + 4 * c - d) * f ** 2 + (3 * b - a - 3 * c + d) * f ** 3)


def turn(axis, degrees):
    """Rotation matrix about 'x', 'y' or 'z'."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return {"x": np.array([[1, 0, 0], [0, c, -s], [0, s, c]]), "y": np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]),
            "z": np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])}[axis]


class Batch:
    """n triangles: corners V (n,3,3), colour C (n,3,3), alpha A (n,3), normal N (n,3)."""

    def __init__(self, V, C, N, A=1.0, key=None, layer=0.0, cast=True, spec=0.0, gloss=20.0, cull=False, fine=False):
        n = len(V)
        self.V = np.asarray(V, float)
        C = np.asarray(C, float)
        self.C = np.broadcast_to(C[:, None] if C.ndim == 2 else C, (n, 3, 3)).copy()
        N = np.asarray(N, float)
        self.N = np.broadcast_to(N[:, None] if N.ndim == 2 else N, (n, 3, 3)).copy()
        A = np.asarray(A, float)
        self.A = np.broadcast_to(A[:, None] if A.ndim == 1 else A, (n, 3)).copy()
        self.key = None if key is None else np.asarray(key, float)
        self.layer, self.cast = layer, cast
        self.spec = np.broadcast_to(np.asarray(spec, float), (n,)).copy()
        self.gloss = gloss
        self.anchor, self.cull, self.fine = None, cull, fine

    def facing(self, eye):
        """The same batch without what looks away from the eye."""
        k = (self.N.mean(1) * unit(eye - self.V.mean(1))).sum(-1) > -.22
        out = Batch(self.V[k], self.C[k], self.N[k], self.A[k], None if self.key is None else self.key[k], self.layer,
                self.cast, self.spec[k], self.gloss)
        out.anchor = None if self.anchor is None else self.anchor[k]
        return out

    def moved(self, R, T, scale=1.0):
        self.V = (self.V * scale) @ R.T + T
        self.N = self.N @ R.T
        if self.anchor is not None:
            self.anchor = (self.anchor * scale) @ R.T + T
        return self


class Model(list):
    """A list of batches that can be placed in the scene as one thing."""

    def place(self, at=(0, 0, 0), yaw=0, pitch=0, roll=0, scale=1.0):
        R = turn("y", yaw) @ turn("z", pitch) @ turn("x", roll)
        for b in self:
            b.moved(R, np.asarray(at, float), scale)
        return self

    def mirrored(self, axis=2):
        for b in self:
            b.V[..., axis] *= -1
            b.N[..., axis] *= -1
            if b.anchor is not None:
                b.anchor[..., axis] *= -1
        return self

    def layered(self, offset):
        for b in self:
            b.layer += offset
        return self


def ribbons(P, W, C, N, A=None, **kw):
    """Strokes as tapering ribbons. P (n,k,3) path, W (n,k) half-width, C (n,k,3), N (n,3).

    The ribbon lies across the path and the surface normal."""
    n, k, _ = P.shape
    T = unit(np.gradient(P, axis=1))
    Nk = np.broadcast_to(N[:, None] if N.ndim == 2 else N, P.shape)
    S = unit(np.cross(Nk, T)) * W[..., None]
    L, R = P - S, P + S
    A = np.ones((n, k)) if A is None else A
    quads = np.stack([np.stack([L[:, :-1], R[:, :-1], R[:, 1:]], 2), np.stack([L[:, :-1], R[:, 1:], L[:, 1:]], 2)], 2)
    at = lambda X: np.stack([np.stack([X[:, :-1], X[:, :-1], X[:, 1:]], 2),
            np.stack([X[:, :-1], X[:, 1:], X[:, 1:]], 2)], 2)
    m = (k - 1) * 2
    out = Batch(quads.reshape(n * m, 3, 3), at(C).reshape(n * m, 3, 3), at(Nk).reshape(n * m, 3, 3),
            at(A).reshape(n * m, 3), **kw)
    out.anchor = np.repeat(P[:, 0], m, 0)
    return out


def grid(P, C, N, A=None, key=None, **kw):
    """A sheet of points P (a,b,3) as triangles."""
    def q(X):
        a, b, c, d = X[:-1, :-1], X[1:, :-1], X[1:, 1:], X[:-1, 1:]
        t = np.stack([np.stack([a, b, c], 2), np.stack([a, c, d], 2)], 2)
        return t.reshape((-1, 3) + X.shape[2:])
    A = np.ones(P.shape[:2]) if A is None else A
    out = Batch(q(P), q(np.broadcast_to(C, P.shape)), q(np.broadcast_to(N, P.shape)), q(A), **kw)
    mid = (P[:-1, :-1] + P[1:, 1:]) / 2
    out.anchor = np.repeat(mid.reshape(-1, 3), 2, 0)
    return out


def grid_normals(P):
    du, dv = np.gradient(P, axis=0), np.gradient(P, axis=1)
    return unit(np.cross(du, dv))
