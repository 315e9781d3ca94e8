"""Brown trout, straight or S-bent, finished or with its fins carded."""
import numpy as np
from geom import Batch, Model, grid, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball

LEN = [(-3.72, .03, .20), (-3.5, .09, .33), (-3.15, .13, .34), (-2.4, .25, .45), (-1.2, .44, .70), (0, .56, .86),
        (1.2, .58, .88), (2.1, .54, .80), (2.8, .46, .66), (3.3, .34, .50), (3.62, .20, .30), (3.75, .05, .10)]


class Fish:
    def __init__(self, bend=0.0, seed=2, painted=1.0):
        self.bend, self.painted = bend, painted
        self.rng = np.random.default_rng(seed)
        rows = [self.spine(x) + [w, h * .92, h] for x, w, h in LEN]
        self.loft = Loft(rows)
        r = np.random.default_rng(seed + 8)
        self.spots = np.stack([r.uniform(-3.2, 2.3, 190), r.uniform(-.35, 1.0, 190)], -1)
        self.rad = r.uniform(.035, .085, 190)
        self.red = r.random(190) < .16
        self.us = np.linspace(0, 1, 241)

    def spine(self, x):
        y = self.bend * (.34 * np.sin(x * .95 + .5) + .10 * np.abs(np.clip(-x - 2.2, 0, 2)) ** 1.3)
        z = self.bend * .55 * np.sin(x * .95 - .4)
        return [x, y, z]

    def colour(self, P, u, a):
        x = P[..., 0]
        h = np.interp(x, [r[0] for r in LEN], [r[2] for r in LEN])
        y0 = self.bend * (.34 * np.sin(x * .95 + .5) + .10 * np.clip(-x - 2.2, 0, 2) ** 1.3)
        v = (P[..., 1] - y0) / np.maximum(h, .05)
        col = mix(rgb("#c89b4e"), rgb("#59492a"), smooth(.0, .85, v))
        col = mix(col, rgb("#2e2a1b"), smooth(.65, 1.0, v))
        col = mix(col, rgb("#e2cfa0"), smooth(-.25, -.8, v))
        col = mix(col, rgb("#6d5a2e"), smooth(2.3, 2.9, x) * smooth(-.5, .3, v) * .8)
        sc = .93 + .07 * np.sin(x * 60 + np.floor(v * 14) * np.pi) * np.sin(v * 44)
        plain = col * sc[..., None]
        return mix(mix(rgb("#b7a684"), plain, .25), plain, self.painted)

    def flank(self, near):
        """Sign of the loft angle that lands on the near side."""
        return np.sign(self.loft.point(.5, 1.57)[2] - self.loft.point(.5, -1.57)[2]) * near

    def speckle(self, near):
        """Dark and red spots with pale haloes, laid on the flank as small discs."""
        m = Model()
        x = self.spots[:, 0]
        along = self.loft.point(self.us, 0 * self.us)[:, 0]
        u = np.interp(x, along, self.us)
        a = np.arccos(np.clip(self.spots[:, 1], -1, 1)) * self.flank(near)
        th = np.linspace(0, 2 * np.pi, 15)
        for grow, lift, pick in ((1.75, .012, 0), (1.0, .022, 1)):
            P, N, T = self.loft.at(u, a)
            S = np.cross(N, T)
            wob = 1 + .15 * np.sin(th * 2 + x[:, None] * 9)
            r = self.rad[:, None] * grow * wob
            rim = P[:, None] + N[:, None] * lift + T[:, None] * (r * 1.15 * np.cos(th))[..., None] + S[:,
                    None] * (r * .9 * np.sin(th))[..., None]
            c = np.where(self.red[:, None], rgb("#a3301d"),
                    rgb("#1d150e")) if pick else np.broadcast_to(rgb("#dcc68e"), P.shape)
            ctr = np.broadcast_to((P + N * lift)[:, None], rim[:, 1:].shape)
            V = np.stack([ctr, rim[:, :-1], rim[:, 1:]], 2).reshape(-1, 3, 3)
            al = np.tile([.95 if pick else .55, .75 if pick else .0, .75 if pick else .0], (len(V), 1)) * self.painted
            m.append(Batch(V, np.repeat(c, 14, 0), np.repeat(N, 14, 0), al, layer=1.2 + pick * .1, cast=False,
                    cull=True, spec=.4, gloss=16))
        return m

    def fin(self, base, dirs, lens, layer, tint="#a97f3e", spots=False, rays=13, edge=None, side=.0, alpha=.93):
        """A fin: rays from points along `base` in directions `dirs`."""
        k = np.linspace(0, 1, rays * 4)
        B, D, L = spline(np.array(base, float),
                k), unit(spline(np.array(dirs, float), k)), spline(np.array(lens, float)[:, None], k)[:, 0]
        s = np.linspace(0, 1, 12)
        P = B[:, None] + D[:, None] * (L[:, None] * s)[..., None]
        P[..., 2] += side * s ** 2
        ray = .5 + .5 * np.cos(k * rays * 2 * np.pi)
        P[..., 2] += .02 * ray[:, None]
        C = mix(rgb(tint) * .55, rgb(tint) * 1.15, ray)[:, None] * (1.0 - .25 * s)[None, :, None]
        C = mix(mix(rgb("#b7a684"), C, .3), C, self.painted)
        if spots:
            C = mix(C, rgb("#2a1c10"), (smooth(.55, .8, np.sin(k * 31)[:, None] * np.sin(s * 14 + 1)[None])) * .8
                    * self.painted)
        N = unit(np.array([0, .1, 1.]) + np.array([1., 0, 0]) * (ray[:, None, None] - .5) * .8 + 0 * P)
        A = np.ones(P.shape[:2]) * alpha
        A[:, -2:] *= .75
        return grid(P, C, N, A, layer=layer, spec=.15)

    def fins(self, near):
        f, s = self.spine, self.fin
        o = lambda x, y, z=0: [f(x)[0], f(x)[1] + y, f(x)[2] + z]
        m = Model()
        m.append(s([o(-3.4, .34), o(-3.5, .12), o(-3.53, -.12), o(-3.4, -.36)],
                [(-.62, .85, 0), (-1, .35, 0), (-1, -.35, 0), (-.62, -.85, 0)], [1.25, .98, .98, 1.25], 0, spots=True,
                rays=18))
        m.append(s([o(.75, .78), o(.2, .80), o(-.5, .70)], [(-.45, 1, 0), (-.7, .9, 0), (-1, .7, 0)], [.95, .95, .55],
                0, spots=True, rays=12))
        m.append(s([o(-2.0, .5), o(-2.25, .44)], [(-.9, .8, 0), (-1, .5, 0)], [.38, .30], 0, rays=4, tint="#a5592e"))
        m.append(s([o(-1.35, -.64), o(-1.7, -.54), o(-2.05, -.45)], [(-.35, -1, 0), (-.6, -.9, 0), (-.95, -.65, 0)],
                [.85, .72, .45], 0, rays=10, tint="#b98a44"))
        m.append(s([o(-.1, -.76, .2 * near), o(-.35, -.75, .2 * near)],
                [(-.45, -1, .2 * near), (-.9, -.6, .2 * near)], [.80, .6], 2, rays=8, tint="#b98a44"))
        m.append(s([o(1.95, -.52, .52 * near), o(1.86, -.70, .48 * near)],
                [(-1, -.30, .45 * near), (-.75, -.75, .4 * near)], [1.05, .8], 3, rays=10, tint="#b98a44"))
        return m

    def face(self, near):
        f = self.spine
        o = lambda x, y, z: np.array([f(x)[0], f(x)[1] + y, f(x)[2] + z * near])
        m = Model()
        m.append(ball(o(3.02, .16, .40), [.145, .145, .06], rgb("#a8843c"), n=16, layer=2, spec=.6))
        m.append(ball(o(3.03, .16, .445), [.095, .095, .045], rgb("#0a0705"), n=14, layer=2.1, spec=3, gloss=50))

        def line(pts, w, c, al=.9, smoothk=24):
            p = spline(np.array(pts), np.linspace(0, 1, smoothk))[None]
            ww = w * np.sin(np.linspace(.15, np.pi - .1, smoothk))[None]
            return ribbons(p, ww, np.broadcast_to(rgb(c), p.shape), np.array([[0, .2, float(near)]]),
                    np.full(p.shape[:2], al), cast=False, layer=2.2)
        m.append(line([o(3.74, .0, .08), o(3.5, -.05, .26), o(3.2, -.13, .37), o(2.75, -.30, .47)], .022, "#241709"))
        m.append(line([o(3.45, .06, .27), o(3.15, -.02, .40), o(2.85, -.14, .47), o(2.72, -.30, .48)], .014,
                "#3a2c14", .7))
        m.append(line([o(2.25, .55, .46), o(2.02, .2, .57), o(2.0, -.15, .57), o(2.2, -.55, .44)], .05, "#2e2110",
                .75))
        m.append(line([o(2.6, .40, .47), o(2.42, .12, .53), o(2.45, -.2, .52), o(2.7, -.45, .36)], .022, "#3a2c14",
                .6))
        m.append(line([o(2.3, .5, .48), o(2.08, .2, .585), o(2.06, -.15, .585), o(2.25, -.5, .46)], .02, "#e0c98a",
                .35))
        m.append(line([o(2.0, .12, .60), o(.5, .1, .62), o(-1.2, .06, .48), o(-3.2, .02, .15)], .012, "#4a3a1c", .55,
                60))
        return m

    def model(self, near=-1, carded=False):
        m = self.fins(near)
        m.append(self.loft.skin(self.colour, nu=230, na=130, layer=1, spec=.55 * self.painted + .12, gloss=16))
        m += self.speckle(near) + self.face(near)
        if carded:
            m += self.cards(near)
        return m

    def cards(self, near):
        """Card clips over the fins while they dry."""
        m = Model()
        f = self.spine
        for x, y, w, h, tilt in [(-4.2, .0, .28, 1.0, 0), (-.25, 1.45, .75, .22, .25), (-1.95, -1.15, .5, .2, -.2),
                (-.7, -1.4, .4, .2, -.35)]:
            a, b = np.meshgrid(np.linspace(-w, w, 4), np.linspace(-h, h, 4), indexing="ij")
            c, s = np.cos(tilt), np.sin(tilt)
            P = np.stack([f(x)[0] + a * c - b * s, f(x)[1] + y + a * s + b * c, 0 * a + f(x)[2] + .16 * near], -1)
            m.append(grid(P, rgb("#dccfae"), np.broadcast_to([0, 0, float(near)], P.shape), layer=4))
            for k in (-.7, .7):
                q = np.array([f(x)[0] + k * (w if w > h else 0), f(x)[1] + y + k * (h if h >= w else 0),
                        f(x)[2] + .22 * near])
                m.append(ball(q, .05, rgb("#aab4bb"), n=8, spec=1.5, gloss=40, layer=4.1))
        return m
