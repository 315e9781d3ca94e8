"""The turkey gobbler: one posable bird, from full strut to a walking pose, plus fan and beard."""
import numpy as np
from feathers import plumes, scales
from geom import Model, mix, rgb, ribbons, spline, unit
from loft import Loft, tube
from plumage import (bronze, bronze_edge, fan, primary_pattern, secondary_pattern,
                     wing_covert_pattern)
from turkey_head import head

STRUT = dict(
    body=[(-2.1, 3.75, 0, .45, .4, .4), (-1.5, 3.6, 0, 1.05, .85, .95), (-.5, 3.35, 0, 1.5, 1.35, 1.5),
            (.5, 3.25, 0, 1.68, 1.5, 1.65), (1.3, 3.45, 0, 1.55, 1.02, 1.55), (1.75, 4.0, 0, 1.18, .5, 1.15)],
    neck=[(1.55, 4.2, 0, .85), (1.62, 4.75, 0, .62), (1.4, 5.25, 0, .42), (1.3, 5.7, 0, .30), (1.42, 6.0, 0, .27)],
    head=(1.5, 6.12, 0), face=(1, -.30), tail=(-1.75, 4.0, 0), tail_dir=(-.30, 1, 0), tail_face=(1, .3, 0),
    spread=104, tail_len=3.9, wing="drop", legs=[(.1, 1.9, .55), (.25, 1.9, -.55)],
            feet=[(.35, 0, .6), (-.1, 0, -.6)])
WALK = dict(
    body=[(-2.7, 3.05, 0, .3, .25, .3), (-2.0, 3.2, 0, .7, .55, .65), (-.9, 3.4, 0, 1.05, .95, 1.1),
            (.3, 3.55, 0, 1.2, 1.1, 1.3), (1.1, 3.8, 0, 1.02, .80, 1.12), (1.6, 4.3, 0, .78, .42, .85)],
    neck=[(1.5, 4.35, 0, .72), (1.9, 5.0, 0, .46), (2.05, 5.7, 0, .31), (2.12, 6.3, 0, .23), (2.25, 6.7, 0, .22)],
    head=(2.38, 6.85, 0), face=(1, -.12), tail=(-2.2, 3.1, 0), tail_dir=(-1, -.32, 0), tail_face=(-.3, 1, 0),
    spread=19, tail_len=3.3, wing="fold", snood=.30, legs=[(.0, 2.6, .45), (.2, 2.6, -.45)],
            feet=[(.85, 0, .5), (-.75, 0, -.5)])
GOBBLE = dict(WALK, neck=[(1.5, 4.35, 0, .75), (2.1, 4.85, 0, .52), (2.7, 5.35, 0, .38), (3.2, 5.95, 0, .29),
        (3.5, 6.35, 0, .25)],
              head=(3.66, 6.48, 0), face=(1, .12), spread=30, tail_dir=(-1, .05, 0),
              feet=[(.4, 0, .5), (-.05, 0, -.5)], gape=1)
HALF = dict(STRUT, tail_dir=(-.95, .75, 0), tail_face=(.75, .95, 0), spread=72, tail_len=3.7, wing="half", snood=.7,
            neck=[(1.55, 4.2, 0, .8), (1.9, 4.85, 0, .55), (1.95, 5.5, 0, .38), (1.9, 6.05, 0, .28),
            (2.0, 6.4, 0, .25)],
            head=(2.1, 6.53, 0), face=(1, -.2))


def wing_drop(sz, rng, layer, drop=1.0):
    """Wing lowered so the primaries brush the ground; sz = +1 or -1 side."""
    n = 10
    k = np.linspace(0, 1, n)
    B = spline([(.75, 2.6, 1.62), (.1, 2.75, 1.72), (-.6, 3.0, 1.62)], k)
    tip = spline([(.95, .12 + (1 - drop), 2.0), (.1, .05 + (1 - drop), 2.15), (-1.3, .35 + (1 - drop), 1.9)], k)
    N = np.array([[0.15, .12, 1.0]])
    flip = np.array([1, 1, sz])
    out = plumes(B * flip, (tip - B) * flip, N * flip, np.linalg.norm(tip - B, axis=1), .27, primary_pattern, rng,
            barbs=90, blunt=.3, base=.55, key=np.arange(n)[::-1], layer=layer, curl=.04, cup=.15)
    m = 11
    k = np.linspace(0, 1, m)
    B2 = spline([(.5, 3.4, 1.62), (-.4, 3.6, 1.6), (-1.2, 3.75, 1.3)], k)
    D2 = spline([(-.05, -1, .18), (-.6, -.85, .12), (-1, -.5, 0)], k)
    out += plumes(B2 * flip, D2 * flip, N * flip, 1.9, .30, secondary_pattern, rng, barbs=60, blunt=.35, base=.5,
            key=np.arange(m)[::-1], layer=layer + .1, cup=.15)
    for r, (y0, L) in enumerate([(0, 1.15), (.35, .95), (.7, .8)]):
        m = 12
        k = np.linspace(0, 1, m)
        B3 = spline([(.95, 3.25 + y0, 1.52 - y0 * .25), (0, 3.5 + y0, 1.62 - y0 * .35),
                (-1.1, 3.75 + y0 * .8, 1.35 - y0 * .3)], k) + rng.normal(0, .04, (m, 3))
        D3 = spline([(-.1, -1, .25), (-.6, -.85, .15), (-1, -.5, 0)], k)
        out += plumes(B3 * flip, D3 * flip, (N + [0, .3 * r, 0]) * flip, L, .30, wing_covert_pattern, rng, barbs=40,
                blunt=.4, base=.55, key=rng.permutation(m) * 1., layer=layer + .2 + r * .1, cup=.2, spec=.25)
    return Model(out + shoulder(sz * 1.22, rng, layer + .6, .15))


def shoulder(sz, rng, layer, dy=0.0):
    """Small lapping feathers over the front of the wing, where it meets the breast."""
    lo = Loft([(-.35, 3.45 + dy, 1.16 * sz, .10, .35, .4), (.4, 3.4 + dy, 1.22 * sz, .24, .72, .78),
            (1.1, 3.42 + dy, 1.1 * sz, .24, .7, .75), (1.55, 3.55 + dy, .9 * sz, .14, .4, .45),
            (1.75, 3.6 + dy, .8 * sz, .04, .1, .1)])
    return scales(lo, 20, bronze, rng, lambda u: .58 - .22 * u, lambda u: .42 - .14 * u, layer=layer, spec=.7,
            gloss=9, edgecol=bronze_edge, lift=.04, fringe=.24, keep=lambda P, u, a: (P[:, 2] - 1.0 * sz) * sz > -.1)


def wing_fold(sz, rng, layer, body):
    """Wing folded against the flank."""
    flip = np.array([1, 1, sz])
    out = Model()
    n = 9
    k = np.linspace(0, 1, n)
    B = spline([(.3, 3.0, 1.12), (-.2, 3.2, 1.16), (-.6, 3.45, 1.1)], k)
    D = spline([(-1, -.28, -.10), (-1, -.16, -.16), (-1, -.06, -.2)], k)
    N = np.array([[0, .15, 1.0]])
    out += plumes(B * flip, D * flip, N * flip, np.linspace(2.5, 2.7, n), .24, primary_pattern, rng, barbs=80,
            blunt=.3, base=.55, key=np.arange(n), layer=layer, cup=.15, curl=.05)
    for r, (dx, y0, L, w, pat) in enumerate([(.15, .12, 2.0, .27, secondary_pattern),
            (.5, .30, 1.4, .28, wing_covert_pattern), (.8, .42, 1.1, .27, wing_covert_pattern),
            (1.1, .5, .9, .25, wing_covert_pattern)]):
        m = 10
        k = np.linspace(0, 1, m)
        B = spline([(.3 + dx * .8, 2.75 + y0, 1.12), (-.1 + dx * .8, 3.2 + y0, 1.2), (-.6 + dx, 3.7 + y0, .95)], k)
        D = spline([(-1, -.30, .02), (-1, -.22, 0), (-1, -.16, -.08)], k) + rng.normal(0, .03, (m, 3))
        out += plumes(B * flip, D * flip, (N + [0, .25, 0]) * flip, L, w, pat, rng, barbs=50, blunt=.4, base=.55,
                key=rng.permutation(m) * .3 + np.arange(m), layer=layer + .1 + .1 * r, cup=.2, spec=.2)
    return Model(out + shoulder(sz, rng, layer + .6, -.05))


def leg(top, foot, layer, rng):
    """Feathered thigh is part of the body; this is shank, spur and toes."""
    top, foot = np.array(top, float), np.array(foot, float)
    knee = np.array([(top[0] + foot[0]) / 2 - .25, top[1] * .62, (top[2] + foot[2]) / 2])
    col = lambda P, u, a: mix(rgb("#b07060"), rgb("#8a5348"), .5 + .5 * np.sin(u * 60)) 
    out = Model()
    ank = foot + [0, .16, 0]
    out.append(tube([top, (top + knee) / 2, knee, (knee + ank) / 2, ank], [.33, .22, .115, .095, .12], col, na=12,
            spec=.15, layer=layer))
    for a, L in ((-28, .85), (0, 1.0), (28, .85), (172, .4)):
        d = np.array([np.cos(np.radians(a)), 0, np.sin(np.radians(a))])
        out.append(tube([ank, foot + d * L * .5 + [0, .13, 0], foot + d * L * .85 + [0, .06, 0],
                foot + d * L + [0, .01, 0]], [.1, .085, .065, .015], col, nu=20, na=10, layer=layer + .01, spec=.15))
    out.append(tube([ank + [-.05, .35, 0], ank + [-.3, .38, 0], ank + [-.42, .46, 0]], [.07, .045, .01],
            rgb("#3a2b24"), nu=10, na=8, layer=layer))
    return out


def beard(at, length, rng, layer, n=170, out_dir=(.35, -1, 0)):
    d = unit(np.array(out_dir, float))
    s = np.linspace(0, 1, 5)
    sp = rng.normal(0, .07, (n, 3)) * [1, .3, 1]
    L = length * rng.uniform(.7, 1.05, n)
    P = np.asarray(at, float) + sp[:, None] * (.3 + 1.5 * s)[None, :, None] + d * (L[:, None] * s)[..., None]
    P[..., 1] -= .35 * (L[:, None] * s ** 2) * abs(d[0])
    C = np.array([.10, .075, .055]) * rng.uniform(.7, 1.7, (n, 1, 1)) * np.ones((1, 5, 1))
    return ribbons(P, np.full((n, 5), .016) * np.linspace(1, .35, 5), C,
            unit(np.array([.5, .2, 1]) + rng.normal(0, .3, (n, 3))), spec=.3, layer=layer)


def turkey(pose, seed=1, near=1, painted=1.0, with_head=True):
    """near = +1 if the bird's +z side faces the camera, else -1."""
    rng = np.random.default_rng(seed)
    body = feathered(pose)
    m = Model()
    face = np.array(pose["tail_face"], float) + ([0, 0, .55 * near] if pose["wing"] == "fold" else 0)
    m += fan(pose["tail"], pose["tail_dir"], face, pose["spread"], pose["tail_len"], rng,
            layer=pose.get("tail_layer", 0))
    m += leg(pose["legs"][1 if near > 0 else 0], pose["feet"][1 if near > 0 else 0], 1, rng)
    wing = {"drop": wing_drop, "half": lambda s, r, l: wing_drop(s, r, l, .0)}.get(pose["wing"], lambda s, r,
            l: wing_fold(s, r, l, body))
    m += wing(-near, rng, 1.2)
    m += leg(pose["legs"][0 if near > 0 else 1], pose["feet"][0 if near > 0 else 1], 2, rng)
    m.append(body.skin(rgb("#2a1b10"), layer=2.2))
    m += mantle(pose, rng)
    m += scales(body, 64, bronze, rng, lambda u: .66 - .36 * u ** 1.5, lambda u: .50 - .30 * u ** 1.5, u0=.02,
            u1=.985, layer=2.5, spec=.75, gloss=9, edgecol=bronze_edge, lift=.045, fringe=.24, keep=lambda P, u,
            a: ~((np.abs(a) < 1.15) & (u > .36) & (u < .70)))
    m += thighs(pose, near, rng)
    m += wing(near, rng, 3)
    m.append(beard(pose.get("beard", (pose["body"][-1][0] + pose["body"][-1][5] * .72, pose["body"][-1][1] - .75, 0)),
            1.7, rng, 4.2))
    if with_head:
        m += head(pose, rng, 5, painted)
    return m


def feathered(pose):
    """Tail, body and the feathered part of the neck as one loft, so the rows run on."""
    nk = np.array(pose["neck"], float)
    rows = [list(r) for r in pose["body"]] + [list(r[:3]) + [r[3] * 1.04, r[3] * .82, r[3]]
            for r in spline(nk, np.array([.22, .36, .5, .64]))]
    return Loft(rows, up=(-1, .35, 0))


def mantle(pose, rng):
    """Feathers from the back up to the nape, bridging the fold behind the neck."""
    b, nk = np.array(pose["body"], float), spline(np.array(pose["neck"], float), np.array([.16, .34, .5]))
    rows = [[r[0], r[1] + .5 * r[4], 0, .72 * r[3], .5 * r[4], .4] for r in b[2:4]]
    mid = (np.array(rows[-1]) + np.array([nk[0, 0], nk[0, 1] + .1, 0, nk[0, 3] * .95, nk[0, 3] * .9, .4])) / 2
    rows.append(list(mid))
    rows += [[n[0], n[1], 0, n[3] * .95, n[3] * .85, n[3] * .6] for n in nk[1:]]
    lo = Loft(rows, up=(-1, .6, 0))
    return [lo.skin(rgb("#2a1b10"), layer=2.3)] + scales(lo, 30, bronze, rng, lambda u: .6 - .2 * u,
            lambda u: .46 - .18 * u, layer=2.35, spec=.75, gloss=9, u0=.14, u1=.84, edgecol=bronze_edge, lift=.01,
            fringe=.24, keep=lambda P, u, a: np.abs(a) < 2.0)


def thighs(pose, near, rng):
    out = Model()
    for i, l in enumerate(pose["legs"]):
        x, y, z = l
        f = pose["feet"][i]
        th = Loft([(x - .1, y + .9, z * 1.1, .62, .6, .6), (x, y + .2, z * 1.2, .55, .5, .5),
                (x * .6 + f[0] * .4 - .2, y - .55, z * 1.2, .25, .22, .22)], up=(1, 0, 0))
        ly = 2.9 if (z > 0) == (near > 0) else .95
        out += scales(th, 9, bronze, rng, .42, .36, layer=ly, sign=1, spec=.3, edgecol=bronze_edge)
    return out
