"""European mount: the cleaned white-tail skull with its antlers."""
import numpy as np
from deer import antler
from geom import Model, grid, mix, rgb, ribbons, smooth, unit
from loft import Loft, ball, tube


def bone(P, u=None, a=None):
    k = .5 + .5 * np.sin(P[..., 0] * 5 + 3 * np.sin(P[..., 2] * 4))
    return mix(rgb("#d9cba9"), rgb("#efe6cf"), k)


def socket(c, n, r):
    """Eye socket: a dark hollow inside a ring of bone."""
    s = unit(np.cross(n, [0, 1., 0]))
    t = np.cross(s, n)
    a = np.linspace(0, 2 * np.pi, 32)
    ring = c + (s * np.cos(a)[:, None] * 1.12 + t * np.sin(a)[:, None]) * r
    k = np.linspace(0, 1, 7)[:, None, None]
    P = c + (ring - c)[None] * k - n * (.10 * (1 - k ** 2))
    C = mix(rgb("#0c0805"), rgb("#4a3b2a"), smooth(.55, 1, k[..., 0]) * np.ones((1, 32)))
    return [grid(P, C, np.broadcast_to(n, P.shape), layer=1.12, cull=True),
            tube(ring, [.062] * 32, bone(np.zeros(3)), nu=70, na=10, up=n, layer=1.13, spec=.12)]


def skull(seed=4, clean=1.0, antlers=True, points=4):
    """European mount, head space as above; turn it to hang nose down."""
    rng = np.random.default_rng(seed)
    rows = [(-.45, -.05, 0, .12, .1, .1), (-.32, -.02, 0, .38, .34, .30), (.0, .02, 0, .48, .42, .36),
            (.45, .03, 0, .56, .40, .34), (.8, -.02, 0, .58, .34, .32), (1.15, -.12, 0, .42, .26, .28),
            (1.6, -.22, 0, .30, .20, .24), (2.1, -.32, 0, .22, .14, .18), (2.5, -.38, 0, .17, .07, .12),
            (2.62, -.4, 0, .05, .03, .05)]
    lo = Loft(rows, square=2.3, bumps=[((.8, .1, .58), .22, .10), ((.8, .1, -.58), .22, .10),
            ((1.15, -.05, .3), .15, -.05), ((1.15, -.05, -.3), .15, -.05)])
    col = lambda P, u, a: bone(P) * (.82 + .18 * clean)
    m = Model([lo.skin(col, nu=90, na=60, layer=1, spec=.12)])
    for sd in (-1, 1):
        m += socket(np.array([.80, .10, .56 * sd]), unit(np.array([.35, .35, .85 * sd])), .25)
        m.append(ball((1.2, .10, .26 * sd), [.10, .04, .035], rgb("#3a2a1c"), n=10, layer=1.12))
        m.append(ball((.15, .36, .33 * sd), [.2, .2, .17], bone(np.zeros(3)) * .85, n=12, layer=1.12))
        if antlers:
            m += antler(sd, rng, 1.4, points)
    gap = [(1.78, -.05, .0), (2.05, -.12, .10), (2.4, -.24, .09), (2.58, -.30, .0), (2.4, -.24, -.09),
            (2.05, -.12, -.10)]
    g = np.array(gap + gap[:1])
    c = g.mean(0)
    rings = np.stack([c + (g - c) * k for k in (0.02, .5, 1)]) + [0, .045, 0]
    m.append(grid(rings, rgb("#1f150e"), np.broadcast_to([0, 1., 0], rings.shape), layer=1.13))
    for pth in ([(.3, .45, 0), (.8, .36, .01), (1.3, .18, -.01), (1.75, .02, 0)],
            [(.38, .44, -.4), (.42, .47, -.15), (.4, .47, .15), (.38, .44, .4)]):
        p = np.array([pth])
        m.append(ribbons(p, np.full((1, 4), .012), np.broadcast_to(rgb("#8d7852"), (1, 4, 3)), np.array([[0, 1., 0]]),
                np.full((1, 4), .7), cast=False, layer=1.14))
    return m
