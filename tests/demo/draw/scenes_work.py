"""The other bench pictures: deer, skull, rug, fish and two still lifes on the same bench."""
import numpy as np
import bases as bs
import bear
import deer
import props as pr
import skull
import workparts as wp
from geom import rgb
from loft import ball, box
from scenes_birds import BIRDS
from scenes_show import skull_plaque, trout
from stage import back_row, bench, flat, front_tools, stage

RNG = np.random.default_rng


def deer_cape(px):
    s = back_row(stage("steep", px=px), 5)
    s.add(wp.cape(RNG(2)).place(at=(-1.9, .12, 4.2), yaw=12, scale=1.04).layered(2))
    s.add(wp.antlers_lying(RNG(3)).place(at=(3.6, .2, 5.0), yaw=-105, pitch=8, scale=1.2).layered(3))
    s.add(pr.tag((1.7, 0, 7.0), "352", layer=14, w=1.0, h=.52, string=(3.4, .5, 5.2)))
    return s


def deer_at_bench(px, mode, seed, pose="semi", at=(.3, 3.9, 0), scale=.92, **kw):
    s = bench(px, seed, tools=("tool", "brush") if mode != "fur" else ())
    return s.add(deer.mount(pose, seed=9, mode=mode, **kw).place(at=at, scale=scale))


def deer_dried(px):
    s = deer_at_bench(px, "fur", 4)
    s.add(pr.tag((-3.2, 0, 4.6), "352", layer=12))
    return front_tools(s, 5, which=("brush", "jar", "tool"))


def deer_finished(px):
    s = deer_at_bench(px, "fur", 13, at=(.3, 3.75, 0))
    s.cam.f *= 1.1
    s.cam.cy = 960 - s.cam.f / 26 * 9
    return s


def skull_whitened(px):
    s = back_row(stage("steep", px=px), 6)
    s.add(pr.towel((-4.6, 2.2), (4.8, 8.4), layer=-3, colour="#b0aa98"))
    sk = skull.skull(14).place(yaw=-122, pitch=-8)
    return s.add(sk.place(at=(.9, .62, 4.4), scale=1.35))


def skull_finished(px):
    s = stage("bench", px=px)
    back_row(s, 11)
    skull_plaque(s, (0, 4.3, 0), scale=1.45, seed=14, tip=24)
    return front_tools(s, 8, which=("spool", "brush"))


def rug_on_board(px, stage_name):
    s = stage("flat", px=px)
    m = bear.rug(stage_name, seed=6)
    if stage_name != "finished":
        s.add(wp.pinned_board(RNG(2), 7.2, 5.6, ("#7a5a36", "#a98352")))
    m.place(roll=0).place(at=(0, .05, .35), scale=1.13)
    for b in m:                                        # lie across the board, head to the left
        R = np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1.]])
        b.moved(R, np.zeros(3))
    s.add(m)
    if stage_name != "finished":
        p, nrm = bear.outline(64)
        q = np.stack([-p[:, 1], p[:, 0]], -1) * 1.13
        n = np.stack([-nrm[:, 1], nrm[:, 0]], -1)
        at = np.c_[q + n * .02, np.full(64, .5)]
        s.add(pr.pins(at, np.c_[n * .5, np.ones(64)], layer=6, length=.28, head="#b9b6ac"))
    return s


def fish_carded(px):
    s = stage("flat", px=px)
    s.add(wp.pinned_board(RNG(3), 7.3, 3.6))
    trout(s, 1.0, at=(0, 0, .95), scale=1.5, panel=False, painted=.22, carded=True, seed=5)
    s.add(*flat(pr.tape((0, 0, 0), layer=5, length=3.5)))
    for b in s.items[-1:]:
        b.moved(np.eye(3), np.array([-5.4, -4.6, .1]))
    return s


def fish_painted(px):
    s = stage("flat", px=px)
    trout(s, 1.0, at=(0, .6, 1.0), scale=1.6, panel=False, seed=5)
    for x, c in ((-5.6, "#c89b4e"), (-4.3, "#59492a"), (-3.0, "#a3301d")):
        j = pr.jar((0, 0, 0), c, .55, .6, layer=4)
        s.add(*flat(j))
        for b in j:
            b.moved(np.eye(3), np.array([x, -4.3, .1]))
    b1 = pr.brush((-1.0, -4.7, .2), (2.9, -3.6, .2), layer=6, r=.08)
    b2 = pr.brush((5.8, -4.6, .3), (2.2, -1.4, 1.6), tip="#a3301d", handle="#2f4a3c", layer=7, r=.08)
    return s.add(b1, b2)


def bench_tools(px):
    s = back_row(stage("steep", px=px), 21)
    s.add(pr.towel((-5.2, 2.6), (5.4, 7.6), layer=-3, colour="#8d8a78", stripe="#46352a"))
    s.add(pr.scissors((-3.7, .1, 4.3), yaw=70, layer=3, scale=1.2))
    for i, x in enumerate((-1.9, -1.0, -.1)):
        s.add(pr.modelling_tool((x, .2, 6.7), (x + .15, .18, 3.3 + .2 * i), layer=3, loop=i == 1))
    s.add(pr.brush((1.0, .18, 6.6), (.9, .16, 3.2), layer=3),
            pr.brush((1.7, .18, 6.5), (1.8, .16, 3.5), tip="#c9b48a", handle="#2f4a3c", layer=3))
    s.add(pr.spool((3.1, .08, 4.0), layer=3, s=1.7), pr.spool((4.0, .08, 4.8), "#d8cba8", layer=3.5, s=1.5))
    s.add(pr.tape((2.6, .08, 6.4), layer=4, length=2.0, yaw=.1))
    eyes = box((-4.95, .08, 5.95), (-3.1, .16, 7.2), bs.wood(), layer=4)
    for i in range(6):
        p = (-4.6 + (i % 3) * .58, .22, 6.3 + (i // 3) * .55)
        eyes.append(ball(p, .2, lambda D: np.where((D[..., 1:2] > .62), rgb("#0d0705"), rgb("#7a4a1c")), n=20,
                spec=2.5, gloss=60, layer=5))
    return s.add(eyes)


def bench_lamp(px):
    s = stage("bench", px=px)
    s.lamp.at, s.lamp.reach = np.array([-1.75, 4.7, 3.1]), 5.2
    s.cam.f *= 1.18
    s.cam.cy = 850 - s.cam.f / 26 * 9
    rng = RNG(11)
    s.add(pr.lamp((-4.4, 0, 2.4), layer=2, reach=(2.6, 6.0)))
    for x, z, c in ((1.2, 1.4, "#8a3b2e"), (2.2, 1.1, "#b58a45"), (3.1, 1.5, "#3f5a63"), (4.1, 1.0, "#5d6b46")):
        s.add(pr.jar((x, 0, z), c, .42, 1.1, lid="#2b2b2a", layer=1 + z * .1))
    s.add(pr.brush_pot((5.4, 0, 1.6), rng, layer=1.2))
    s.add(pr.spool((.9, 0, 3.6), layer=3, s=1.5), pr.spool((1.8, 0, 4.2), "#d8cba8", layer=3.2, s=1.3))
    s.add(pr.tape((-2.6, 0, 4.4), layer=4, length=3.0), pr.scissors((3.4, 0, 3.8), yaw=25, layer=4))
    return s.add(pr.tag((.6, 0, 5.0), "209", layer=5))


WORK = {
    **BIRDS,
    "work-deer-cape": deer_cape,
    "work-deer-form": lambda px: deer_at_bench(px, "foam", 1), "work-deer-mounted": lambda px: deer_at_bench(px,
            "carded", 2),
    "work-deer-dried": deer_dried, "work-deer-finished": deer_finished,
    "work-skull-whitened": skull_whitened, "work-skull-finished": skull_finished,
    "work-rug-salted": lambda px: rug_on_board(px, "salted"), "work-rug-stretched": lambda px: rug_on_board(px,
            "stretched"),
    "work-rug-finished": lambda px: rug_on_board(px, "finished"),
    "work-fish-carded": fish_carded, "work-fish-painted": fish_painted,
    "work-bench-tools": bench_tools, "work-bench-lamp": bench_lamp,
}
