#!/usr/bin/python3
"""`make bench`: how fast frames come, as ratios taken in one run on one machine.

Every way runs in a process of its own, the ways taken in turn so that a slow minute falls on all;
figures are medians of BENCH_RUNS runs (3), visits of a run medians of themselves. BENCH_CLIPS: some
of the corpus only, by name, with commas. BENCH_DETAILS: the figures of each clip as well, always
there when not all clips were asked for."""
import json
import os
import pathlib
import statistics
import subprocess
import sys
import time

import verdict
import window_bench
from corpus import CLIPS, FULL_HD, HOUR_LOOPS, HOUR_PART, LARGE, NAMES

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FOLDER = ROOT / "build" / "bench"
LIBRARY = pathlib.Path(os.environ.get("SP_BUILD", "build/plain")).resolve() / "libserveplumb.a"
RUNS = int(os.environ.get("BENCH_RUNS", "3"))
THREADS = str(min(os.cpu_count() or 1, 8))
PACKAGES = ["libffms2-dev", "python3-opencv"]
AV = ["libavformat", "libavcodec", "libswscale", "libswresample", "libavutil"]
BUDGET_MIB = 512
WINDOW_CLIP = ["-f", "lavfi", "-i", "testsrc2=size=1920x1080:rate=60", "-frames:v", "120", "-c:v", "libx264",
               "-preset", "veryfast", "-pix_fmt", "yuv420p"]


def run(*words, **more):
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True,
                          stdin=subprocess.DEVNULL, check=False, timeout=900, **more)
    if done.returncode != 0:
        sys.exit(f"bench: {' '.join(map(str, words))}: {done.stderr.strip()}")
    return done.stdout


def ask(*words):
    return json.loads(run(*words))


# --- set-up ---

def build(name, *libraries):
    flags = run("pkg-config", "--cflags", "--libs", *libraries).split()
    run(os.environ.get("CC", "gcc"), "-std=c11", "-O2", "-D_GNU_SOURCE", "-Iinclude", "-Isrc",
        f"tests/bench/{name}.c", LIBRARY, "-o", FOLDER / name, *flags, "-lm", "-lpthread", cwd=ROOT)
    return FOLDER / name


def make_clip(name, words):
    path = FOLDER / name
    if not path.exists():
        part = path.with_name("part-" + name)
        run("ffmpeg", "-v", "error", "-nostdin", "-y", *words, part)
        part.rename(path)
    return path


def straight_hashes(path):
    kept = path.with_suffix(path.suffix + ".md5")
    if not kept.exists():
        kept.write_text(run("ffmpeg", "-v", "error", "-nostdin", "-noautorotate", "-i", path,
                            "-map", "0:v:0", "-fps_mode", "passthrough", "-f", "framemd5", "-"))
    return [line.split(",")[5].strip() for line in kept.read_text().splitlines()
            if not line.startswith("#")]


# --- measuring ---

class Taken:
    """What the ways took on one clip, run for run."""

    def __init__(self, name):
        self.name = name
        self.values = {}
        self.exact = {}

    def note(self, way, value):
        self.values.setdefault(way, []).append(value)

    def has(self, way):
        return way in self.values

    def median(self, way, key):
        return statistics.median(value[key] for value in self.values[way])

    def ratio(self, way, other):
        """(of the wall, of CPU time)"""
        return tuple(self.median(way, key) / self.median(other, key) for key in ("wall", "cpu"))

    def typical(self, way, key):
        """The median over runs of the median over visits."""
        return statistics.median(statistics.median(value[key]) for value in self.values[way])

    def visits(self, other):
        return tuple(self.typical("random", key) / self.typical(other, key)
                     for key in ("walls", "cpus"))

    def to_rate(self):
        """Against what as many packets as are needed take on the average of the whole clip."""
        raw = self.values["raw"]
        packets = statistics.median(self.values["random"][0]["packets"])
        return tuple(self.typical("random", key + "s") / packets /
                     statistics.median(value[key] / value["frames"] for value in raw)
                     for key in ("wall", "cpu"))

    def to_rest(self):
        """The exact frame once a hand rests, by the packets that takes, at the rate of the whole clip."""
        raw = statistics.median(value["wall"] / value["frames"] for value in self.values["raw"])
        return (self.median("scrub", "rest") / raw,) * 2

    def to_pass(self):
        return (self.median("scrub", "pass") / self.median("raw", "wall"),
                self.median("scrub", "pass_cpu") / self.median("raw", "cpu"))


def measure(name, path, tools):
    taken = Taken(name)
    ours, ffms2, opencv = tools
    frames = len(straight_hashes(path))
    for _ in range(RUNS):
        for way in ("raw", "forward", "backward"):
            taken.note(way, ask(ours, way, path, THREADS, BUDGET_MIB))
        taken.note("here", ask(ours, "forward", path, THREADS, BUDGET_MIB, "here"))
        taken.note("ffms2 forward", ask(ffms2, "forward", path, THREADS))
    for _ in range(RUNS):
        for way in ("limit", "random"):
            taken.note(way, ask(ours, way, path, THREADS, BUDGET_MIB))
        taken.note("random here", ask(ours, "random", path, THREADS, BUDGET_MIB, "here"))
    taken.note("back-steps", ask(ours, "back-steps", path, THREADS, BUDGET_MIB))
    for way in ("random", "back-steps"):
        taken.note("ffms2 " + way, ask(ffms2, way, path, THREADS))
        taken.note("opencv " + way, ask(opencv, way, path, THREADS, frames))
    of_size = ("steps-at-30", "scrub", "texture") if name in FULL_HD else ("steps-at-30", "scrub")
    for way in of_size if name in LARGE else ():
        taken.note(way, ask(ours, way, path, THREADS, BUDGET_MIB))
    taken.exact = exactness(path, tools)
    return taken


def share(lines, truth):
    rows = [line.split() for line in lines.splitlines()]
    good = sum(int(n) < len(truth) and truth[int(n)] == hash_ for n, hash_ in rows)
    return good, len(rows)


def exactness(path, tools):
    ours, ffms2, opencv = tools
    truth = straight_hashes(path)
    cv = ask(opencv, "exact", path, THREADS, len(truth))
    return {"ours": share(run(ours, "hashes", path, THREADS), truth),
            "ffms2": share(run(ffms2, "hashes", path, THREADS), truth),
            "OpenCV": (cv["good"], cv["of"])}


def measure_index(ours):
    """Seconds: ffprobe for its packets, opened the first time, opened again, its kept index alone."""
    part = make_clip("hour_part.mp4", HOUR_PART)
    hour = make_clip("hour.mp4", ["-stream_loop", HOUR_LOOPS - 1, "-i", part, "-c", "copy"])
    cache = FOLDER / "cache"
    taken = {"probe": [], "open": [], "again": [], "kept-index": []}
    for _ in range(RUNS):
        begun = time.monotonic()
        subprocess.run(["ffprobe", "-v", "error", "-select_streams", "v:0", "-show_packets", hour],
                       stdout=subprocess.DEVNULL, check=True)
        taken["probe"].append(time.monotonic() - begun)
        for kept in cache.glob("serveplumb/index/*"):
            kept.unlink()
        environment = dict(os.environ, XDG_CACHE_HOME=str(cache))
        for way in ("open", "again", "kept-index"):
            told = run(ours, "open" if way == "again" else way, hour, THREADS, env=environment)
            taken[way].append(json.loads(told)["wall"])
    return {way: statistics.median(seconds) for way, seconds in taken.items()}


def main():
    os.chdir(ROOT)
    subprocess.run(["sh", ".ci/packages", *PACKAGES], check=True)
    FOLDER.mkdir(parents=True, exist_ok=True)
    tools = (build("clip_bench", *AV, "sdl2"), build("ffms2_bench", "ffms2", *AV),
             HERE / "opencv_bench.py")
    names = [name for name in os.environ.get("BENCH_CLIPS", "").split(",") if name]
    begun = time.monotonic()
    print(f"{THREADS} threads for everyone, budget {BUDGET_MIB} MiB, medians of {RUNS} runs, other load "
          f"at the start {os.getloadavg()[0]:.1f}; in brackets the same ratio of CPU time, which a "
          "busy machine\nblurs less. Ours decodes in a process of its own, as the program does.",
          flush=True)
    taken = []
    for name in names or NAMES:
        taken.append(measure(name, make_clip(name, CLIPS[name]), tools))
        print(f"measured {name}, {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
    if names or "BENCH_DETAILS" in os.environ:
        verdict.print_details(taken)
    verdict.print_verdicts(taken, BUDGET_MIB, measure_index(tools[0]) if not names else None)
    if names:
        return
    window_bench.report(build("window_bench", "sdl2", "pangocairo", "gsl", "libcjson", *AV),
                        ROOT / "build" / "plain" / "serveplumb", make_clip("window.mp4", WINDOW_CLIP), FOLDER / "home")
    readout = HERE / "readout_bench.c"
    if readout.exists():
        program = build("readout_bench", *os.environ.get("LIBRARIES", "gsl libcjson").split())
        print("\n" + run(program))
    print("\n" + run(HERE / "carry_bench.py", build("carry_bench", "gsl"), FOLDER))


main()
