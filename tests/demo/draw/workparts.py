"""Half-made things for the bench pictures: foam bodies, laid-out skins, pinned fans, capes."""
import numpy as np
import bases as bs
import deer
import duck
import props as pr
import skull
import turkey as tk
from feathers import scales
from geom import Model, grid, mix, rgb, ribbons, smooth, spline, unit
from loft import Loft, ball, box, tube

WIRE, FOAM = rgb("#a9aba8"), rgb("#e0c98f")


def foam(P, u=None, a=None):
    n = .5 + .5 * np.sin(P[..., 0] * 13 + 4 * np.sin(P[..., 1] * 11)) * np.sin(P[..., 2] * 12 + P[..., 1] * 5)
    return mix(rgb("#cfb47a"), rgb("#e8d6a4"), n)


def turkey_form(rng):
    """Carved foam body with neck, wing and leg wires, on the bench stand."""
    body = [(-1.92, 3.5, 0, .01, .01, .01), (-1.9, 3.5, 0, .16, .14, .14), (-1.6, 3.45, 0, .62, .55, .6),
            (-.6, 3.3, 0, 1.25, 1.05, 1.15), (.5, 3.25, 0, 1.42, 1.22, 1.35), (1.35, 3.4, 0, 1.2, 1.05, 1.2),
            (1.85, 3.7, 0, .7, .65, .7), (2.05, 3.85, 0, .3, .28, .3), (2.12, 3.88, 0, .01, .01, .01)]
    lo = Loft(body, bumps=[((.9, 2.3, 0), .6, .12), ((0, 4.4, .6), .5, .06)])
    m = Model([lo.skin(foam, nu=70, na=60, layer=2, spec=.06)])
    for k in range(5):                                # rasp marks and a pencilled centre line
        u = np.full(60, .2 + .14 * k)
        P, N, _ = lo.at(u, np.linspace(-np.pi, np.pi, 60))
        m.append(ribbons((P + N * .015)[None], np.full((1, 60), .012), np.broadcast_to(rgb("#8a6f43"), (1, 60, 3)),
                N[None], np.full((1, 60), .35), cast=False, cull=True, layer=2.1))
    P, N, _ = lo.at(np.linspace(.05, .95, 60), np.full(60, np.pi / 2 * 0 + 1.2))
    neck = [(1.5, 4.1, 0), (1.62, 4.75, 0), (1.42, 5.3, 0), (1.35, 5.75, 0)]
    m.append(tube(neck, [.42, .30, .22, .17], lambda P, u,
            a: mix(rgb("#c9b38a"), rgb("#9a8560"), .5 + .5 * np.sin(u * 90 + a)), layer=2.2, nu=60))
    wires = [[(1.35, 5.7, 0), (1.36, 6.1, 0), (1.6, 6.35, 0), (2.0, 6.3, 0)],
            [(.1, 2.2, .6), (.05, 1.2, .6), (.1, .3, .6), (.1, -.1, .6)],
            [(.3, 2.2, -.6), (.2, 1.2, -.6), (.1, .3, -.6), (.1, -.1, -.6)],
            [(-1.6, 3.55, .2), (-2.3, 4.1, .5), (-2.6, 5.2, .9), (-2.7, 5.8, 1.1)],
            [(-1.6, 3.55, -.2), (-2.3, 4.1, -.5), (-2.6, 5.2, -.9), (-2.7, 5.8, -1.1)],
            [(-1.6, 3.6, 0), (-2.3, 4.3, 0), (-2.55, 5.5, 0), (-2.6, 6.2, 0)]]
    for w in wires:
        far = w[0][2] > .3
        m.append(tube(w, [.05] * 4, WIRE, nu=30, na=8, spec=1.4, gloss=20, layer=1 if far else 2.3))
    for s in (-1, 1):
        w = [(.9, 3.6, 1.2 * s), (.7, 3.0, 1.75 * s), (.1, 2.2, 1.95 * s), (-.5, 1.5, 1.9 * s), (-.6, 1.0, 1.8 * s)]
        m.append(tube(w, [.05] * 5, WIRE, nu=30, na=8, spec=1.4, gloss=20, layer=1 if s > 0 else 3))
    m.append(tube([(.7, 3.2, 1.4), (.9, 3.6, 1.2)], [.1, .1], foam, layer=1))
    return m


def laid_turkey(rng):
    """Washed skin on its back-board, seen from above: back up, wings and fan open (x, y plane)."""
    pats = dict(prim=tk.primary_pattern, sec=tk.secondary_pattern, cov=tk.wing_covert_pattern)
    m = tk.fan((0, -1.7, .25), (0, -1, 0), (0, 0, 1), 46, 3.3, rng, layer=0)
    for s in (-1, 1):
        m += duck.open_wing((.75 * s, 1.0, .3), (s, .10, 0), (0, -1, 0), (0, 0, 1), rng, 1, size=1.35, pats=pats,
                prim=1.75, sec=1.45, order=-s, w=.24)
    lo = Loft([(0, -2.2, .3, .4, .3, .2), (0, -1.5, .4, .95, .45, .3), (0, -.3, .5, 1.3, .55, .4),
            (0, .8, .5, 1.2, .55, .4), (0, 1.5, .4, .85, .45, .3), (0, 2.0, .3, .5, .3, .2)], up=(0, 0, 1))
    m.append(lo.skin(rgb("#2a1b10"), layer=2))
    m += scales(lo, 34, tk.bronze, rng, lambda u: .56 - .12 * u, lambda u: .42 - .1 * u, layer=2.1, spec=.45,
            edgecol=tk.bronze_edge, gloss=10, rough=.22, fringe=.3)
    nk = Loft([(0, 1.6, .4, .6, .35, .25), (.06, 2.4, .3, .42, .25, .2), (.1, 3.2, .28, .30, .2, .18),
            (.02, 3.7, .25, .2, .16, .15)], up=(0, 0, 1))
    m.append(nk.skin(rgb("#2a1b10"), layer=2.9))
    m += scales(nk, 20, tk.bronze, rng, lambda u: .45 - .2 * u, lambda u: .36 - .16 * u, layer=3, spec=.45,
            edgecol=tk.bronze_edge, gloss=10, u1=.92)
    return m


def pinned_board(rng, w=6.2, h=4.4, tone=("#9a7a4e", "#c7a671")):
    """A soft board to pin things on, lying in the picture plane."""
    return box((-w, -h, 0), (w, h, .3), bs.wood(tone[0], tone[1], along=0), m=110, layer=-2, fine=True)


def wing_bands(m, near):
    """Card strips across a folded or dropped wing, each with two pins."""
    for y, x0 in ((2.2, -.1), (3.2, -.3), (1.3, .0)):
        z = (1.98 if y < 3 else 1.82) * near
        m += pr.slip((x0, y, z + .08 * near), (1, .25, 0), (-.25, 1, 0), .95, .13, layer=6)
        m += pr.pins([(x0 - .8, y - .2, z + .1 * near), (x0 + .8, y + .2, z + .1 * near)], [(-.1, .2, near)] * 2,
                layer=6.2, length=.35)
    return m


def fan_cards(pose, layer, length=None, front=True):
    """Long card strips front and back of the fan, following its arc."""
    d, f = unit(np.array(pose["tail_dir"], float)), np.array(pose["tail_face"], float)
    f = unit(f - d * (f @ d))
    side = np.cross(d, f)
    m = Model()
    L, sp = length or pose["tail_len"], pose["spread"]
    for rr in (.62, .86):
        an = np.radians(np.linspace(-sp, sp, 60))
        c = np.asarray(pose["tail"]) + f * .16
        ray = d * np.cos(an)[:, None] + side * np.sin(an)[:, None]
        P = np.stack([c + ray * (L * rr - .11), c + ray * (L * rr + .11)])
        m.append(grid(P, rgb("#e0d3b2"), np.broadcast_to(f, P.shape), layer=layer))
        pick = slice(3, 60, 9)
        m += pr.pins(c + ray[pick] * L * rr, np.broadcast_to(f, (60, 3))[pick], layer=layer + .05, length=.22)
    return m


def carded_turkey(rng, pose, near, painted=.15, seed=21):
    m = tk.turkey(pose, seed=seed, near=near, painted=painted)
    m += fan_cards(pose, .9)
    wing_bands(m, near)
    body = tk.feathered(pose)
    u, a = rng.uniform(.22, .5, 9), rng.uniform(.7, 2.2, 9) * -near
    P, N, _ = body.at(u, a)
    m += pr.pins(P + N * .15, N, layer=4.6, length=.3)
    return m


def hide_colour(t):
    """Back hair dark along the middle, fading to the pale throat at one end."""
    def f(P, u=None, a=None):
        c = mix(rgb("#94744f"), rgb("#5f4631"),
                smooth(.75, .1, np.abs(P[..., 2] + .15 * np.sin(P[..., 0] * 1.3 + t))))
        c = mix(c, rgb("#a98a63"), .25 * (1 + np.sin(P[..., 0] * 1.9 + t)))
        return mix(c, rgb("#e2d6c0"), smooth(-1.7, -2.7, P[..., 0] + .2 * np.sin(P[..., 2] * 4 + t)))
    return f


def cape(rng):
    """Folded deer cape: three soft folds, hair outward, the pale skin side showing at each edge."""
    m = Model()
    for i, (w, d, y, x, rot) in enumerate(((3.1, 1.7, .24, 0, 0), (2.75, 1.5, .66, .15, .07),
            (2.05, 1.25, 1.05, -.25, -.10))):
        rows = [(-w, y, 0, d * .5, .10, .14), (-w * .92, y + .02, 0, d * .9, .20, .22),
                (-w * .3, y + .07, .1, d, .24, .22), (w * .35, y - .02, -.06, d * .95, .22, .22),
                (w * .9, y + .03, .05, d * .86, .20, .2), (w, y, 0, d * .45, .08, .12)]
        turn = lambda r: (x + r[0] * np.cos(rot) + r[2] * np.sin(rot), r[1],
                r[2] * np.cos(rot) - r[0] * np.sin(rot)) + tuple(r[3:])
        under = Loft([turn((r[0] * 1.015, r[1] - .15, r[2] + .05, r[3] * 1.03, .06, .06)) for r in rows], square=3)
        m.append(under.skin(rgb("#d9c3a0"), layer=i * 1.0 - .1))
        bumps = [((x + rng.uniform(-w, w) * .7, y + .25, rng.uniform(-d, d) * .7), .5, rng.uniform(-.07, .09))
                for _ in range(9)]
        lo = Loft([turn(r) for r in rows], square=3, bumps=bumps)
        col = hide_colour(i * 2.1)
        m.append(lo.skin(col, layer=i * 1.0))
        m.append(lo.fur(10000, col, rng, length=.30, width=.012, lift=.10, layer=i + .1, messy=.25, sag=.2))
    return m


def antlers_lying(rng, layer=5):
    """The rack on its skull plate, tipped back on the bench."""
    m = Model()
    for s in (-1, 1):
        m += deer.antler(s, rng, layer + (.1 if s > 0 else 0))
    m.append(ball((.3, .33, 0), [.36, .12, .42], skull.bone(np.zeros(3)), n=18, layer=layer + .05))
    return m


def head_stand(rng, painted=.2, feathers=True, low=0.0):
    """Turkey head and neck alone on a rod and block."""
    pose = dict(tk.WALK, neck=[(1.0, 2.9, 0, .62), (1.55, 3.8, 0, .50), (1.85, 4.7, 0, .38), (1.85, 5.5, 0, .28),
            (2.05, 5.95, 0, .25)], head=(2.2, 6.1, 0), face=(1, -.12))
    pose["neck"] = [(x, y - low, z, r) for x, y, z, r in pose["neck"]]
    pose["head"] = (2.2, 6.1 - low, 0)
    m = Model([tube([(1.1, .4, 0), (1.1, 1.8 - low * .5, 0), (1.1, 3.0 - low, 0)], [.09] * 3, WIRE, na=10, spec=1.2,
            layer=1)])
    m += box((-.1, 0, -1.1), (2.3, .45, 1.1), bs.wood("#5a3a20", "#96683c"), layer=.5)
    if feathers:
        nk = Loft([list(r[:3]) + [r[3]] * 3 for r in spline(np.array(pose["neck"]), np.linspace(0, 1, 6))],
                up=(-1, 0, .01))
        m.append(nk.skin(rgb("#2a1b10"), u1=.7, layer=2))
        m += scales(nk, 20, tk.bronze, rng, lambda u: .5 - .25 * u, lambda u: .38 - .16 * u, u1=.62, layer=2.1,
                spec=.45, edgecol=tk.bronze_edge, gloss=10)
    return Model(m + tk.head(pose, rng, 3, painted))
