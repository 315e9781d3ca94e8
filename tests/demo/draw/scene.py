"""Camera, lamp and shadow: lights all batches and paints them over the room, back to front."""
import numpy as np
import skia
from scipy.ndimage import gaussian_filter, minimum_filter
from geom import unit

SRGB = 2.2


def tone(lin):
    """Soft shoulder so lamplight never burns out, then to display values."""
    x = np.maximum(lin, 0) * 1.4
    y = x * (1 + x / 9.0) / (1 + x * 0.72)
    return np.clip(y, 0, 1) ** (1 / SRGB)


class Camera:
    """A shift-lens view: the wall (z=0) stays square, 100 px to the unit at 1600 px wide."""

    def __init__(self, size, eye=(0, 10, 26), ground=880, zoom=1.0, px=1.0):
        self.size, self.eye, self.px = size, np.array(eye, float), px
        self.f = 100 * eye[2] * zoom
        self.cx = size[0] / 2
        self.cy = ground - 100 * zoom * eye[1]     # picture row of eye height

    def project(self, P):
        d = self.eye[2] - P[..., 2]
        d = np.maximum(d, 1.0)
        x = self.cx + self.f * (P[..., 0] - self.eye[0]) / d
        y = self.cy - self.f * (P[..., 1] - self.eye[1]) / d
        return np.stack([x, y], -1) * self.px, np.linalg.norm(P - self.eye, axis=-1)

    def rays(self, h, w):
        """Direction per picture cell for an h x w sampling of the frame."""
        X, Y = np.meshgrid((np.arange(w) + .5) * self.size[0] / w, (np.arange(h) + .5) * self.size[1] / h)
        d = np.stack([(X - self.cx) / self.f, -(Y - self.cy) / self.f, -np.ones_like(X)], -1)
        return d


class Lamp:
    """One warm lamp, upper left and in front, with a cool fill from the dusk at right."""

    def __init__(self, at=(-6.5, 11.5, 8.5), power=1.0, ambient=1.0, reach=10.5):
        self.at, self.power, self.reach = np.array(at, float), power, reach
        self.key = np.array([1.0, 0.82, 0.57]) * 1.9 * power
        self.amb = np.array([0.135, 0.125, 0.135]) * ambient
        self.rim = np.array([0.20, 0.29, 0.42])
        self.rimdir = unit(np.array([0.85, 0.35, -0.15]))

    def fall(self, P):
        d = np.linalg.norm(P - self.at, axis=-1)
        return np.minimum((self.reach / np.maximum(d, .5)) ** 2.3, 3.2)

    def light(self, P, N, alb, eye, shade, spec=0.0, gloss=20.0, wrap=0.22):
        lin = np.maximum(alb, 0) ** SRGB
        l, v = unit(self.at - P), unit(eye - P)
        side = np.sign((N * v).sum(-1, keepdims=True) + 1e-6)
        N = N * side
        nl = (N * l).sum(-1)
        diff = np.clip((nl + wrap) / (1 + wrap), 0, 1) * shade * self.fall(P)
        sky = 0.75 + 0.35 * N[..., 1] + 0.1 * N[..., 0]
        nv = np.clip((N * v).sum(-1), 0, 1)
        rim = (1 - nv) ** 2.5 * np.clip((N @ self.rimdir) + .25, 0, 1)
        fill = np.clip(N @ self.rimdir, 0, 1) * 0.35
        h = unit(l + v)
        sp = np.clip((N * h).sum(-1), 0, 1) ** gloss * spec * shade * self.fall(P)
        out = lin * (self.amb * sky[..., None] + self.key * diff[..., None] + self.rim * (fill + rim * .9)[..., None])
        tint = .35 + .65 * lin / np.maximum(lin.max(-1, keepdims=True), .02)
        return out + self.key * tint * sp[..., None] * .42 + self.rim * (rim * .05)[..., None]


def triangles(canvas, pts, cols, chunk=120000):
    """Paint (n,3,2) triangles with per-corner ARGB integers, in order."""
    paint = skia.Paint(AntiAlias=False)
    for i in range(0, len(pts), chunk):
        p = [skia.Point(x, y) for x, y in pts[i:i + chunk].reshape(-1, 2).tolist()]
        c = cols[i:i + chunk].reshape(-1).tolist()
        v = skia.Vertices(skia.Vertices.kTriangles_VertexMode, p, p, c)
        canvas.drawVertices(v, paint, skia.BlendMode.kDst)


class Scene:
    def __init__(self, camera, lamp, room):
        self.cam, self.lamp, self.room, self.items = camera, lamp, room, []

    def add(self, *models):
        for m in models:
            self.items += list(m)
        return self

    # -- shadows ---------------------------------------------------------------
    def shadow_map(self, casters, n=640):
        c = casters.reshape(-1, 3)
        fwd = unit(c.mean(0) - self.lamp.at)
        right = unit(np.cross(fwd, [0, 1, 0]))
        up = np.cross(right, fwd)
        self.basis = np.stack([right, up, fwd])
        q, d = self.lightspace(c)
        lo, hi = q.min(0) - .01, q.max(0) + .01
        self.map_lo, self.map_k, self.map_n = lo, n / (hi - lo).max(), n
        grid = np.full((n, n), 1e9)
        T = casters
        w = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [.5, .5, 0], [0, .5, .5], [.5, 0, .5], [1 / 3, 1 / 3, 1 / 3],
                [.7, .15, .15], [.15, .7, .15], [.15, .15, .7]])
        for row in w:
            q, d = self.lightspace(np.einsum("k,nkc->nc", row, T))
            ij = np.clip(((q - lo) * self.map_k).astype(int), 0, n - 1)
            np.minimum.at(grid, (ij[:, 1], ij[:, 0]), d)
        self.map = minimum_filter(grid, 2)

    def lightspace(self, P):
        r = (P - self.lamp.at) @ self.basis.T
        return r[:, :2] / r[:, 2:], r[:, 2]

    def lit(self, P, bias=.16, spread=2):
        q, d = self.lightspace(P)
        ij = ((q - self.map_lo) * self.map_k).astype(int)
        tot = np.zeros(len(P))
        offs = range(-spread, spread + 1)
        for a in offs:
            for b in offs:
                x = np.clip(ij[:, 0] + a * 2, 0, self.map_n - 1)
                y = np.clip(ij[:, 1] + b * 2, 0, self.map_n - 1)
                tot += np.clip(1 - (d - bias - self.map[y, x]) / .25, 0, 1)
        return tot / len(offs) ** 2

    def plane_shadow(self, casters, axis, h, w):
        """Soft shadow of the casters on the wall (axis 2) or the bench (axis 1), as 0..1."""
        L = self.lamp.at
        V = casters
        den = L[axis] - V[..., axis]
        keep = (den > .3).all(1) & (V[..., axis] > -.05).all(1)
        V, den = V[keep], den[keep]
        k = L[axis] / den
        hit = L + (V - L) * k[..., None]
        hit[..., axis] = 0
        near = (np.abs(hit) < 60).all((1, 2))
        if axis == 1:
            near &= (hit[..., 2] < 20).all(1)
        hit, tall = hit[near], V[near][..., axis].mean(1)
        out = np.zeros((h, w))
        sx = w / (self.cam.size[0] * self.cam.px)
        edges = [(-9, .45, 2.5), (.45, 1.5, 7), (1.5, 3.2, 13), (3.2, 99, 24)]
        for lo, hi, blur in edges:
            m = (tall >= lo) & (tall < hi)
            if not m.any():
                continue
            arr = np.zeros((h, w, 4), np.uint8)
            p, _ = self.cam.project(hit[m])
            triangles(skia.Surface(arr).getCanvas(), p * sx, np.full((m.sum(), 3), 0xffffffff))
            s = gaussian_filter(arr[..., 3] / 255.0, blur * w / 800)
            out = 1 - (1 - out) * (1 - s * .93)
        return out

    def contact(self, casters, axis, h, w):
        """Dark where something stands close to the plane."""
        close = casters[(casters[..., axis].mean(1) < 1.1) & (casters[..., axis].mean(1) > -.1)].copy()
        if not len(close):
            return np.zeros((h, w))
        close[..., axis] = 0
        arr = np.zeros((h, w, 4), np.uint8)
        p, _ = self.cam.project(close)
        triangles(skia.Surface(arr).getCanvas(), p * w / (self.cam.size[0] * self.cam.px),
                np.full((len(p), 3), 0xffffffff))
        return gaussian_filter(arr[..., 3] / 255.0, 8 * w / 800) * .6

    # -- painting --------------------------------------------------------------
    def render(self, supersample=2):
        W, H = [int(round(s * self.cam.px)) for s in self.cam.size]
        casters = np.concatenate([b.V for b in self.items if b.cast]) if self.items else None
        h, w = H // 2, W // 2
        sh = {}
        if casters is not None:
            self.shadow_map(casters)
            for axis in self.room.planes:
                sh[axis] = (self.plane_shadow(casters, axis, h, w), self.contact(casters, axis, h, w))
        back = self.room.paint(self.cam, self.lamp, sh, H, W)
        S = supersample
        img = np.repeat(np.repeat(back, S, 0), S, 1)
        arr = np.dstack([img, np.ones(img.shape[:2])])
        arr = np.ascontiguousarray((arr * 255).astype(np.uint8))
        if self.items:
            pts, cols = self.lit_triangles()
            triangles(skia.Surface(arr).getCanvas(), pts * S, cols)
        out = arr[..., :3].astype(np.float32).reshape(H, S, W, S, 3).mean((1, 3)) / 255
        return out

    def lit_triangles(self):
        P2, CC, KEY, LAY = [], [], [], []
        for b in self.items:
            if b.cull:
                b = b.facing(self.cam.eye)
            p, d = self.cam.project(b.V)
            ctr = b.V.mean(1)
            shade = self.lit(b.V.reshape(-1, 3)).reshape(-1, 3) if b.fine else self.lit(ctr)[:, None]
            col = self.lamp.light(b.V, b.N, b.C, self.cam.eye, shade, b.spec[:, None], b.gloss)
            c8 = (tone(col) * 255).astype(np.int64)
            a8 = (np.clip(b.A, 0, 1) * 255).astype(np.int64)
            CC.append((a8 << 24) | (c8[..., 0] << 16) | (c8[..., 1] << 8) | c8[..., 2])
            P2.append(p)
            if b.key is not None:
                KEY.append(-b.key)
            else:
                at = b.anchor if b.anchor is not None else ctr
                KEY.append(np.linalg.norm(at - self.cam.eye, axis=-1))
            LAY.append(np.full(len(p), float(b.layer)))
        P2, CC = np.concatenate(P2), np.concatenate(CC)
        order = np.lexsort((-np.concatenate(KEY), np.concatenate(LAY)))
        return P2[order], CC[order]
