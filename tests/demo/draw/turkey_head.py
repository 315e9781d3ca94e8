"""The bare head of the gobbler: crown, wattles, snood, bill and eye, pale until painted."""
import numpy as np
from geom import Model, mix, rgb, smooth, spline, unit
from loft import Loft, ball, tube


def head_colour(P, h, f):
    d = P - np.asarray(h)
    up = d[..., 1]
    col = mix(rgb("#7d9fbf"), rgb("#dfe3e0"), smooth(.02, .2, up))
    return mix(col, rgb("#5f86b0"), smooth(.25, .02, np.linalg.norm(d - np.array([f[0] * .16, .0, 0]), axis=-1)) * .6)


def head(pose, rng, layer, painted=1.0):
    """Bare head: pale crown, blue face, red wattles and caruncles, snood, eye, bill."""
    h, f = np.array(pose["head"], float), unit(np.array(list(pose["face"]) + [0.0]))
    up = np.array([-f[1], f[0], 0])
    pale = rgb("#b79c86")
    tint = lambda c: mix(pale, rgb(c), painted)
    nk = np.array(pose["neck"], float)
    end = nk[-1][:3]
    out = Model()
    rows = [list(end - up * .15 - f * .12) + [.2, .2, .2], list(h - f * .22) + [.235, .25, .26],
            list(h + f * .02) + [.255, .27, .25], list(h + f * .22) + [.2, .2, .2],
            list(h + f * .36) + [.13, .13, .13], list(h + f * .42) + [.04, .04, .04]]
    col = lambda P, u, a: mix(pale, head_colour(P, h, f), painted)
    out.append(Loft(rows).skin(col, nu=30, na=30, spec=.25, gloss=18, layer=layer + .3))
    g = .11 * pose.get("gape", 0)
    for s, lo in ((1, 0), (-1, 1)):
        b0 = h + f * .34 + up * (.02 * s - g * lo)
        b1 = h + f * .55 + up * (.0 * s - .02 - g * 2.2 * lo + g * .6 * (1 - lo))
        b2 = h + f * .74 - up * (.10 + g * 3 * lo - g * .6 * (1 - lo))
        rr = .09 if lo else .11
        out.append(Loft([list(b0) + [rr, rr * .8, rr * .8], list(b1) + [rr * .75, rr * .6, rr * .5],
                list(b2) + [.015, .015, .015]]).skin(
            lambda P, u, a: mix(rgb("#7d6648"), rgb("#b9a174"), u), nu=14, na=14, spec=.35, gloss=25,
            layer=layer + .25 + .06 * s))
    q = pose.get("snood", 1.0)
    sn = [h + f * .33 + up * .18, h + f * .46 + up * .24 , h + f * .55 + up * (.24 - .19 * q) + [0, 0, .08 * q],
            h + f * (.58 - .05 * q) + up * (.10 - .35 * q) + [0, 0, .13 * q],
            h + f * (.58 - .10 * q) + up * (.02 - .54 * q) + [0, 0, .15 * q]]
    out.append(tube(sn, [.07, .085, .08, .075, .045], tint("#a83029"), na=12, spec=.4, gloss=16, layer=layer + .5))
    for sz in (-1, 1):
        e = h + f * .13 + up * .08 + np.array([0, 0, .215 * sz])
        out.append(ball(e, .062, tint("#9fb6c6"), n=12, layer=layer + .3, spec=.2))
        out.append(ball(e + f * .012 + [0, 0, .034 * sz], .05, rgb("#140b07"), n=14, layer=layer + .3, spec=.5,
                gloss=90))
        out[-1].cull = True
        out.append(ball(e + f * .012 + up * .022 + f * .012 + [0, 0, .078 * sz], .013, rgb("#fff3dc"), n=6,
                layer=layer + .3, spec=3, gloss=3))
    out += wrinkles(Loft(rows), nk, rng, tint, layer)
    out += caruncles(nk, h, f, rng, tint, layer)
    return out


def wrinkles(lo, nk, rng, tint, layer):
    """Pebbled skin on the back of the head and down the bare neck."""
    out = Model()
    spots = []
    for u, a in zip(rng.uniform(.05, .45, 40), rng.uniform(-np.pi, np.pi, 40)):
        if np.cos(a) < .75:
            P, N, _ = lo.at(u, a)
            spots.append((P - N * .008, rng.uniform(.012, .024), .1))
    for t, a in zip(rng.uniform(.66, .98, 110), rng.uniform(.4, 2 * np.pi - .4, 110)):
        c = spline(nk, t)
        spots.append((c[:3] + np.array([np.cos(a), 0, np.sin(a)]) * c[3] * .97, rng.uniform(.022, .048),
                1 - (t - .6)))
    for p, r, k in spots:
        c = mix(tint("#88a5bd"), tint("#b9605a"), np.clip(k * rng.uniform(.2, 1.1), 0, 1))
        out.append(ball(p, [r, r * 1.25, r], c, n=6, spec=.25, gloss=14, layer=layer + .3))
    return out


def caruncles(nk, h, f, rng, tint, layer):
    """Bumpy red flesh down the front of the bare neck, bluish behind."""
    out = Model()
    ts = np.linspace(.62, 1, 70)
    c = spline(nk, ts)
    neck_rows = [list(r[:3]) + [r[3], r[3], r[3]] for r in spline(nk, np.linspace(.5, 1, 5))]
    out.append(Loft(neck_rows, up=(1, 0, 0.01)).skin(lambda P, u,
            a: mix(tint("#7391ad"), tint("#b5473f"), smooth(-.3, .6, np.cos(a)) * smooth(1.0, .55, u)), nu=20, na=24,
            spec=.2, layer=layer + .1))
    for i, (x, y, z, r) in enumerate(c):
        k = (ts[i] - .62) / .38
        an = rng.uniform(-1.15, 1.15)
        p = np.array([x + np.cos(an) * r, y, z + np.sin(an) * r])
        rad = rng.uniform(.05, .10) * (1.5 - k)
        out.append(ball(p, [rad, rad * 1.2, rad], mix(tint("#a53028"), tint("#c98078"), k * rng.random()), n=8,
                spec=.35, gloss=14, layer=layer + .2))
    for i in range(12):
        p = spline(nk, .60)[:3] + [rng.uniform(.18, .34), rng.uniform(-.25, .12), rng.uniform(-.24, .24)]
        out.append(ball(p, rng.uniform(.09, .14), tint("#972820"), n=9, spec=.4, gloss=14, layer=layer + .22))
    return out
