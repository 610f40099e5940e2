"""The targets of the bench, and what of them is met: one row each, by the clip that is worst."""
from corpus import FULL_HD, GROUPS


def pair(ratio):
    return f"{ratio[0]:.2f} ({ratio[1]:.2f})"


class Row:
    """Ratios by clip against a bound; `above`: larger is better."""

    def __init__(self, what, bound, values, above=False):
        self.what, self.bound, self.above = what, bound, above
        self.values = [(name, value) for name, value in values if value is not None]

    def holds(self, value):
        return value >= self.bound if self.above else value <= self.bound

    def met(self, ratio):
        if self.holds(ratio[0]):
            return "met"
        return "met by CPU time" if self.holds(ratio[1]) else "missed"

    def cells(self):
        order = ["missed", "met by CPU time", "met"]
        key = (lambda item: (order.index(self.met(item[1])), item[1][0] if self.above else -item[1][0]))
        name, worst = min(self.values, key=key)
        missed = sum(self.met(value) == "missed" for _, value in self.values)
        told = self.met(worst) + (f", {missed} of {len(self.values)} clips" if missed else "")
        sign = "at least" if self.above else "at most"
        return [self.what, f"{sign} {self.bound}", pair(worst), name, told]


def plain(what, bound, value, unit, name, digits=1):
    """A figure that is no ratio."""
    told = "met" if value <= bound else "missed"
    return [what, f"at most {bound:g} {unit}", f"{value:.{digits}f} {unit}", name, told]


def inverse(ratio):
    return tuple(1 / part for part in ratio)


def of(taken, ratio, only=lambda name: True):
    return [(one.name, ratio(one)) for one in taken if only(one.name)]


def ratio_rows(taken):
    depends = lambda name: GROUPS[name] > 1
    yield Row("forward, cold: speed of the raw loop", 0.95,
              of(taken, lambda t: t.ratio("raw", "forward")), above=True)
    yield Row("forward, cold: speed of libffms2", 0.95,
              of(taken, lambda t: t.ratio("ffms2 forward", "forward")), above=True)
    yield Row("the same in this process: speed of raw", 0.95,
              of(taken, lambda t: t.ratio("raw", "here")), above=True)
    yield Row("its own process: time of decoding here", 1.05,
              of(taken, lambda t: t.ratio("forward", "here")))
    yield Row("backward, whole clip: time of forward", 1.25,
              of(taken, lambda t: t.ratio("backward", "forward")))
    for title, ratio in (("a plain loop from the key", lambda t: t.visits("limit")),
                         ("the clip's mean rate", lambda t: t.to_rate())):
        yield Row(f"random access, groups of 60 and more: {title}", 1.15,
                  of(taken, ratio, lambda name: GROUPS[name] >= 60))
        yield Row(f"random access, shorter groups: {title}", 1.4,
                  of(taken, ratio, lambda name: GROUPS[name] < 60))
    for peer, title in (("ffms2", "libffms2"), ("opencv", "OpenCV")):
        yield Row(f"random access: time of {title}", 1.0, of(taken, lambda t: t.visits(f"{peer} random")))
    for peer, title in (("ffms2", "libffms2"), ("opencv", "OpenCV")):
        yield Row(f"forty steps back: time of {title}", 0.06,
                  of(taken, lambda t: t.ratio("back-steps", f"{peer} back-steps"), depends))
    yield Row("at rest after dragging, exact frame: the clip's mean rate", 1.4,
              of([t for t in taken if t.has("scrub")], lambda t: t.to_rest()))
    yield Row("pass for reduced pictures: time of raw", 1.15,
              of([t for t in taken if t.has("scrub")], lambda t: t.to_pass()))


def summed(taken, peer):
    parts = [sum(one.typical(way, key) for one in taken)
             for key in ("walls", "cpus") for way in ("random", f"{peer} random")]
    return parts[0] / parts[1], parts[2] / parts[3]


def worst(taken, way, key):
    """(value, name) of the clip where it is largest."""
    return max((one.median(way, key), one.name) for one in taken if one.has(way))


def memory_rows(taken, budget_mib):
    for one in taken:
        if not one.has("scrub"):
            continue
        peak = max(one.median(way, "peak_kib")
                   for way in ("forward", "backward", "steps-at-30", "scrub")) / 1024
        full = one.name in FULL_HD
        group = GROUPS[one.name] * 1920 * 1080 * 1.5 / 2**20 if full else 0
        what = "budget + 10 % + a group" if full else "budget + 10 %"
        yield plain(f"peak memory, all processes: {what}", round(budget_mib * 1.1 + group), peak, "MiB",
                    one.name, 0)


def later(one):
    """Milliseconds that a visit takes longer because the decoder is a process of its own."""
    return 1000 * (one.typical("random", "walls") - one.typical("random here", "walls"))


def plain_rows(taken, budget_mib):
    for one in taken:
        if GROUPS[one.name] == 1: # else the time is that of the group
            yield plain("its own process: later by, one frame", 1000 / 60, later(one), "ms", one.name, 2)
    full = [one for one in taken if one.name in FULL_HD]
    large = [one for one in taken if one.has("scrub")]
    if full:
        wait, name = worst(full, "steps-at-30", "p99")
        yield plain("step back at 30 frames/s: wait, p99, 1080p", 20, 1000 * wait, "ms", name)
        wait, name = worst(full, "texture", "median")
        yield plain("cached step to the texture, 1080p", 2, 1000 * wait, "ms", name)
    if large:
        wait, name = worst(large, "scrub", "p95")
        yield plain("dragging: time to a picture, p95", 16, 1000 * wait, "ms", name)
        missing, name = worst(large, "scrub", "missing")
        yield plain("dragging: times that none was there", 0, missing, "", name, 0)
    yield from memory_rows(taken, budget_mib)


def exact_row(taken):
    shares = {who: [sum(one.exact[who][i] for one in taken) for i in (0, 1)]
              for who in ("ours", "ffms2", "OpenCV")}
    good, count = shares["ours"]
    others = ", ".join(f"{who} {good}/{of}" for who, (good, of) in shares.items() if who != "ours")
    return ["visits that gave the frame named", "all", f"{good}/{count}", others,
            "met" if good == count else "missed"]


def index_rows(seconds):
    probe = seconds["probe"]
    name = f"ffprobe -show_packets: {probe:.2f} s"
    again = f"opening it again in all: {1000 * seconds['again']:.0f} ms"
    return [plain("opening an hour of 1080p: time of ffprobe", 1.2, seconds["open"] / probe, "", name, 2),
            plain("its index, kept: time of ffprobe", 0.05, seconds["kept-index"] / probe, "", again, 3)]


def print_table(columns, rows):
    widths = [max(len(str(row[i])) for row in [columns] + rows) for i in range(len(columns))]
    for row in [columns] + rows:
        print("  ".join(str(cell).ljust(width) for cell, width in zip(row, widths)).rstrip(), flush=True)


def print_verdicts(taken, budget_mib, index):
    rows = [exact_row(taken)] + [row.cells() for row in ratio_rows(taken) if row.values]
    rows += [Row(f"random access, summed: time of {peer}", 1.0, [("all", summed(taken, peer))]).cells()
             for peer in ("ffms2", "opencv")]
    rows += list(plain_rows(taken, budget_mib))
    if index:
        rows += index_rows(index)
    print()
    print_table(["what", "target", "worst", "clip", "verdict"], rows)


DETAILS = (
    ("clip", lambda t: t.name),
    ("fwd/raw", lambda t: pair(t.ratio("raw", "forward"))),
    ("fwd/ffms2", lambda t: pair(t.ratio("ffms2 forward", "forward"))),
    ("own/here", lambda t: pair(t.ratio("forward", "here"))),
    ("back/fwd", lambda t: pair(t.ratio("backward", "forward"))),
    ("visit ms", lambda t: f"{1000 * t.typical('random', 'walls'):.0f}"),
    ("/limit", lambda t: pair(t.visits("limit"))),
    ("/rate", lambda t: pair(t.to_rate())),
    ("/ffms2", lambda t: pair(t.visits("ffms2 random"))),
    ("/OpenCV", lambda t: pair(t.visits("opencv random"))),
    ("40 back/ffms2", lambda t: pair(t.ratio("back-steps", "ffms2 back-steps"))),
    ("/OpenCV", lambda t: pair(t.ratio("back-steps", "opencv back-steps"))),
    ("pass/raw", lambda t: pair(t.to_pass()) if t.has("scrub") else "-"),
    ("exact", lambda t: "{}/{}".format(*t.exact["ours"])),
    ("ffms2", lambda t: "{}/{}".format(*t.exact["ffms2"])),
    ("OpenCV", lambda t: "{}/{}".format(*t.exact["OpenCV"])),
)


def print_details(taken):
    print()
    print_table([title for title, _ in DETAILS], [[cell(one) for _, cell in DETAILS] for one in taken])
