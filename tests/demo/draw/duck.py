"""Mallard drake, standing or flying, and the open wing that the turkey skin shares."""
import numpy as np
from feathers import plumes, scales
from geom import Model, grid, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball, tube

STAND = dict(
    body=[(-2.15, 1.95, 0, .16, .10, .12), (-1.6, 1.85, 0, .48, .36, .42), (-.7, 1.72, 0, .86, .66, .78),
            (.3, 1.68, 0, 1.0, .76, .90), (1.05, 1.82, 0, .86, .72, .80), (1.5, 2.1, 0, .56, .52, .56),
            (1.68, 2.35, 0, .3, .3, .3)],
    neck=[(1.28, 2.2, 0, .56), (1.5, 2.62, 0, .38), (1.54, 3.0, 0, .31), (1.60, 3.3, 0, .29)], head=(1.72, 3.42, 0),
            face=(1, -.10))
FLY = dict(
    body=[(-2.2, 1.75, 0, .16, .10, .12), (-1.6, 1.72, 0, .48, .36, .42), (-.7, 1.68, 0, .82, .64, .76),
            (.3, 1.7, 0, .92, .72, .84), (1.1, 1.82, 0, .76, .64, .72), (1.65, 1.98, 0, .50, .46, .5),
            (1.95, 2.1, 0, .3, .3, .3)],
    neck=[(1.5, 1.98, 0, .5), (2.1, 2.2, 0, .36), (2.6, 2.4, 0, .29), (2.9, 2.5, 0, .27)], head=(3.08, 2.56, 0),
            face=(1, .02))


def body_colour(P, u, a):
    x, low = P[..., 0], np.cos(a)
    ver = .5 + .5 * np.sin(P[..., 0] * 40 + 8 * np.sin(P[..., 1] * 9))
    flank = mix(rgb("#9c968c"), rgb("#d5cfc3"), ver)
    back = mix(rgb("#5e5347"), rgb("#837565"), ver)
    col = mix(flank, back, smooth(.2, .75, low))
    col = mix(col, rgb("#5a2c18"), smooth(.75, 1.0, x + .12 * np.sin(a * 7)))
    col = mix(col, rgb("#10130f"), smooth(-1.3, -1.55, x))
    return mix(col, rgb("#e5dfd0"), smooth(-1.95, -2.1, x))


def head_green(P, u=None, a=None):
    k = .5 + .5 * np.sin(P[..., 0] * 7 + P[..., 1] * 5 + P[..., 2] * 6)
    return mix(rgb("#0a4028"), rgb("#14634a"), k)


def neck_colour(P, u, a):
    col = mix(rgb("#5a2c18"), head_green(P), smooth(.30, .36, u))
    return mix(col, rgb("#efe9dc"), smooth(.22, .27, u) * smooth(.40, .36, u))


def head(pose, rng, layer, near):
    h, f = np.array(pose["head"], float), unit(np.array(list(pose["face"]) + [0.]))
    up = np.array([-f[1], f[0], 0])
    at = lambda x, y: list(h + f * x + up * y)
    lo = Loft([at(-.36, -.10) + [.12, .12, .2], at(-.22, .0) + [.30, .28, .36], at(.03, .02) + [.36, .35, .37],
            at(.28, -.04) + [.30, .27, .28], at(.46, -.10) + [.20, .17, .17], at(.5, -.11) + [.1, .08, .08]])
    m = Model([lo.skin(head_green, nu=36, na=36, spec=.5, gloss=8, layer=layer)])
    m.append(lo.fur(2600, head_green, rng, length=.13, width=.011, lift=.06, spec=.55, gloss=9, layer=layer + .1,
            sag=0))
    bill = Loft([at(.36, -.10) + [.19, .17, .16], at(.62, -.16) + [.165, .10, .10], at(.95, -.25) + [.185, .055, .07],
            at(1.14, -.28) + [.15, .04, .05], at(1.2, -.29) + [.05, .02, .02]])
    m.append(bill.skin(lambda P, u, a: mix(mix(rgb("#a8953a"), rgb("#7d7a2e"), smooth(.3, .9, np.cos(a))),
            rgb("#1d1a12"), smooth(.90, .97, u)), nu=30, na=24, spec=.35, gloss=20, layer=layer + .2))
    for s in (-1, 1):
        n = np.array(at(.60, -.10)) + [0, 0, .14 * s]
        m.append(ball(n, [.055, .02, .02], rgb("#2a2410"), n=8, layer=layer + .22))
    line = np.array([[at(.34, -.20), at(.6, -.225), at(.9, -.295), at(1.12, -.31)]]) + np.array([0, 0, .175 * near])
    m.append(ribbons(line, np.full((1, 4), .010), np.broadcast_to(rgb("#3b3413"), (1, 4, 3)), np.array([[0, 0, 1.]]),
            cast=False, layer=layer + .22))
    e = np.array(at(.16, .10)) + [0, 0, .325 * near]
    m.append(ball(e, [.075, .068, .04], rgb("#160c06"), n=12, spec=3, gloss=60, layer=layer + .25))
    return m


def dpattern(dark, mid, tip=None, tip_at=.9):
    def f(s, t, i):
        c = mix(rgb(dark), rgb(mid), smooth(.0, .9, s) * .7 + .3 * smooth(.2, .9, np.abs(t)))
        return c if tip is None else mix(c, rgb(tip), smooth(tip_at, tip_at + .05, s))
    return f


def speculum(s, t, i):
    c = mix(rgb("#3b3a44"), rgb("#2a4796"), smooth(.66, .69, s))
    c = mix(c, rgb("#0f0f14"), smooth(.84, .87, s))
    return mix(c, rgb("#efece2"), smooth(.92, .94, s))


def open_wing(at, out, back, facing, rng, layer, size=1.0, pats=None, prim=2.5, sec=1.55, n=10, w=.24, order=1,
        rows=3):
    """A spread wing: `out` along the arm, `back` along the chord, `facing` toward the viewer."""
    out, back, facing = unit(np.array(out, float)), unit(np.array(back, float)), np.array(facing, float)
    pats = pats or dict(prim=dpattern("#4b4238", "#7a6d5d"), sec=speculum,
            cov=dpattern("#5a5047", "#8b7f70", "#c9c0ae", .9))
    q = lambda x, y: np.asarray(at, float) + (out * np.asarray(x)[..., None] + back * np.asarray(y)[..., None]) * size
    m = Model()
    k = np.linspace(0, 1, n)
    ang = np.radians(98 - 84 * k ** 1.1)
    D = back * np.sin(ang)[:, None] + out * np.cos(ang)[:, None]
    B = q(1.75 + .75 * k, -.30 + .10 * k)
    L = (1.55 + (prim - 1.55) * np.sin(np.clip(k * 1.25, 0, 1) * np.pi / 2)) * size
    m += plumes(B, D, facing, L, w * size, pats["prim"], rng, barbs=90, blunt=.35, base=.6, key=-np.arange(n) * order,
            layer=layer, cup=.1, bend=.03 * order, curl=.03)
    ns = 11
    k = np.linspace(0, 1, ns)
    D = back * 1.0 + out * (-.22 + .35 * k)[:, None]
    m += plumes(q(.15 + 1.6 * k, .05 - .35 * k), D, facing, sec * size * (1 - .05 * k), w * 1.05 * size, pats["sec"],
            rng, barbs=70, blunt=.3, base=.6, key=-k * 9 * order, layer=layer + .05, cup=.1)
    for r in range(rows):
        f = [.62, .42, .27, .2][r]
        nn = 15
        k = np.linspace(0, 1, nn)
        ang = np.radians(104 - 70 * np.clip(k - .55, 0, 1) / .45)
        D = back * np.sin(ang)[:, None] + out * np.cos(ang)[:, None]
        y = np.interp(k, [0, .6, 1], [.02, -.38, -.24]) - .05 * r
        m += plumes(q(.05 + 2.5 * k, y) + facing * .03 * (r + 1), D, facing,
                sec * f * size * rng.uniform(.92, 1.05, nn), w * .95 * size, pats["cov"], rng, barbs=42, blunt=.45,
                base=.6, key=-k * 20 * order + rng.normal(0, .3, nn), layer=layer + .1 + .03 * r, cup=.18, spec=.12)
    arm = q(np.array([0, .6, 1.3, 1.85, 2.5]), np.array([.02, -.18, -.36, -.34, -.16])) + facing * .06
    lo = Loft([list(p) + [r, r * .7, r * .7] for p, r in zip(arm, np.array([.34, .26, .2, .15, .05]) * size)],
            up=facing)
    m += scales(lo, 15, lambda P, u, a: pats["cov"](np.full(u.shape, .6), 0 * u, 0 * u), rng, .34 * size, .26 * size,
            layer=layer + .25, spec=.15, sign=-1)
    return m


def folded_wing(near, rng, layer):
    fl = np.array([1, 1, near])
    m = Model()
    n = 8
    k = np.linspace(0, 1, n)
    B = spline([(.1, 1.9, .92), (-.3, 2.1, .85), (-.5, 2.25, .7)], k)
    D = spline([(-1, -.06, -.16), (-1, .0, -.24), (-1, .08, -.30)], k)
    N = np.array([[0, .35, 1.]])
    m += plumes(B * fl, D * fl, N * fl, np.linspace(1.35, 1.65, n), .13, dpattern("#2f2923", "#6b6052"), rng,
            barbs=60, key=np.arange(n), layer=layer, blunt=.3, base=.6)
    k = np.linspace(0, 1, 7)
    B = spline([(.25, 1.62, .98), (-.1, 1.75, 1.0), (-.3, 1.9, .95)], k)
    m += plumes(B * fl, np.array([[-1, .02, -.12]]) * fl, N * fl, .95, .17, speculum, rng, barbs=50, key=np.arange(7),
            layer=layer + .1, blunt=.3, base=.6)
    for r, (x, y) in enumerate([(.1, 0), (.4, .06), (.65, .1)]):
        k = np.linspace(0, 1, 13)
        B = spline([(.2 + x, 1.66 + y, 1.0 - .04 * r), (-.05 + x, 1.95 + y, .95 - .05 * r), (-.3 + x, 2.3 + y, .6)],
                k)
        m += plumes(B * fl, np.array([[-1, -.02, -.06]]) * fl + rng.normal(0, .03, (13, 3)), (N + [0, .2, 0]) * fl,
                [.85, .62, .5][r], .15, dpattern("#574d43", "#9a8f80", "#6b6156", .8), rng, barbs=40,
                key=rng.permutation(13) * .3, layer=layer + .2 + .1 * r, blunt=.45, base=.6, cup=.2)
    return m


def tail(rng, layer, y=1.95):
    k = np.linspace(-1, 1, 9)
    D = np.stack([-np.ones(9), .12 + 0 * k, k * .35], -1)
    B = np.stack([-1.75 + 0 * k, y - .02 * np.abs(k), k * .16], -1)
    m = plumes(B, D, np.array([[.1, 1, 0]]), .95, .13, dpattern("#c9c0ae", "#eee8da"), rng, barbs=40, key=-np.abs(k),
            layer=layer, blunt=.4, base=.6)
    for s in (-.06, .06):
        c = [(-1.5, y + .2, s), (-1.9, y + .38, s), (-2.05, y + .62, s * 2), (-1.85, y + .74, s * 2),
                (-1.72, y + .62, s * 2)]
        m.append(tube(c, [.07, .07, .06, .045, .01], rgb("#12140f"), na=8, layer=layer + .3, spec=.3))
    return Model(m)


def leg(x, z, near, layer):
    col = rgb("#c8662a")
    m = Model([tube([(x - .1, 1.2, z), (x - .05, .7, z), (x + .05, .38, z), (x, .06, z)], [.2, .1, .075, .08], col,
            na=10, layer=layer, spec=.15)])
    s, q = np.meshgrid(np.linspace(0, 1, 8), np.linspace(-1, 1, 9), indexing="ij")
    P = np.stack([x + s * (.72 + .1 * np.cos(q * 2 * np.pi)), .05 - .03 * s + .02 * np.cos(q * 2 * np.pi),
            z + q * s * .36], -1)
    m.append(grid(P, col * (.8 + .25 * np.cos(q * 2 * np.pi))[..., None], np.broadcast_to([0, 1., 0], P.shape),
            layer=layer + .01))
    return m


def duck(pose="stand", seed=3, near=-1):
    rng = np.random.default_rng(seed)
    p = STAND if pose == "stand" else FLY
    body = Loft(p["body"])
    m = Model()
    if pose == "fly":
        m += open_wing((.85, 2.2, -.50 * near), (-.05, .38, -1 * near), (-1, -.05, .05 * near), (0, 1, .38 * near),
                rng, 0, size=1.08, order=near, prim=2.1)
    m += tail(rng, .8, 1.95 if pose == "stand" else 1.75)
    if pose == "stand":
        m += leg(.35, -.42 * near, near, .9) + leg(.05, .42 * near, near, 1)
    m.append(body.skin(body_colour, layer=1.5))
    m += scales(body, 38, body_colour, rng, lambda u: .42 - .14 * u, lambda u: .30 - .08 * u, u0=.03, u1=.97,
            layer=1.6, edge=.72, spec=.08, lift=.05, barbs=6)
    nk = Loft([list(r[:3]) + [r[3]] * 3 for r in spline(np.array(p["neck"], float), np.linspace(0, 1, 7))],
            up=(-1, 0.2, .01))
    m.append(nk.skin(neck_colour, layer=2.9, spec=.3, gloss=9))
    m.append(nk.fur(2600, neck_colour, rng, length=.16, width=.012, lift=.06, layer=3, spec=.4, gloss=9, sag=0))
    if pose == "stand":
        m += folded_wing(near, rng, 2.2)
    else:
        m += open_wing((.85, 2.2, .50 * near), (-.05, .30, 1 * near), (-1, -.05, .05 * near), (0, 1, -.30 * near),
                rng, 2.2, size=1.08, order=-near, prim=2.1)
        for z in (-.3, .3):
            m.append(tube([(-.9, 1.25, z), (-1.5, 1.3, z), (-2.0, 1.42, z)], [.13, .07, .10], rgb("#c8662a"), na=8,
                    layer=1.4))
    m += head(p, rng, 4, near)
    return m
