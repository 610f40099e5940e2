#!/usr/bin/python3
"""`make bench`: how fast frames come, as ratios taken in one run on one machine.

Every figure is a median of BENCH_RUNS runs (3), each in a process of its own, the ways taken in
turn so that a slow minute falls on all. CPU ratios stand beside those of the wall where a busy
machine would blur them. BENCH_CLIPS: some of the corpus only, by name, with commas."""
import json
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import time

import window_bench
from corpus import CLIPS, HOUR_LOOPS, HOUR_PART, NAMES

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FOLDER = ROOT / "build" / "bench"
LIBRARY = pathlib.Path(os.environ.get("SP_BUILD", "build/plain")).resolve() / "libserveplumb.a"
RUNS = int(os.environ.get("BENCH_RUNS", "3"))
THREADS = str(min(os.cpu_count() or 1, 8))
PACKAGES = ["libffms2-dev", "python3-opencv"]
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
    """What the ways took, run for run."""

    def __init__(self):
        self.values = {}

    def note(self, way, value):
        self.values.setdefault(way, []).append(value)

    def median(self, way, key):
        return statistics.median(value[key] for value in self.values[way])

    def ratio(self, way, other, key):
        return self.median(way, key) / self.median(other, key)

    def typical(self, way, key):
        """The median over runs of the median over visits."""
        return statistics.median(statistics.median(value[key]) for value in self.values[way])

    def ideal(self, key):
        """Median visit, if only the packets needed were decoded at the raw rate."""
        raw = self.values["raw"]
        a_frame = statistics.median(value[key] / value["frames"] for value in raw)
        return statistics.median(self.values["random"][0]["packets"]) * a_frame


def measure(path, ours, ffms2, frames):
    taken = Taken()
    opencv = HERE / "opencv_bench.py"
    for turn in range(RUNS):
        for way in ("raw", "forward", "backward", "random", "back-steps", "steps-at-30", "scrub"):
            taken.note(way, ask(ours, way, path, THREADS, BUDGET_MIB))
        # The peers' visits are medians of forty as they are, and take minutes.
        for way in ("forward", "random", "back-steps")[:3 if turn == 0 else 1]:
            taken.note("ffms2 " + way, ask(ffms2, way, path, THREADS))
            taken.note("opencv " + way, ask(opencv, way, path, THREADS, frames))
    return taken


def share(lines, truth):
    rows = [line.split() for line in lines.splitlines()]
    good = sum(int(n) < len(truth) and truth[int(n)] == hash_ for n, hash_ in rows)
    return good, len(rows)


def exactness(path, ours, ffms2):
    truth = straight_hashes(path)
    cv = ask(HERE / "opencv_bench.py", "exact", path, THREADS, len(truth))
    shares = [share(run(ours, "hashes", path, THREADS), truth),
              share(run(ffms2, "hashes", path, THREADS), truth), (cv["good"], cv["of"])]
    return [f"{good}/{of}" for good, of in shares]


# --- printing ---

def pair(taken, way, other):
    return f"{taken.ratio(way, other, 'wall'):.2f} ({taken.ratio(way, other, 'cpu'):.2f})"


def print_row(widths, cells):
    print("  ".join(str(cell).ljust(width) for cell, width in zip(cells, widths)), flush=True)


SPEED = (("clip", 16), ("fwd/raw", 12), ("fwd/ffms2", 12), ("fwd/OpenCV", 12), ("back/fwd", 12),
         ("step p99", 9), ("peak MiB", 9))
VISIT = (("clip", 16), ("visit ms", 9), ("/ideal", 12), ("/ffms2", 12), ("/OpenCV", 12),
         ("40 back/ffms2", 14), ("40 back/OpenCV", 14))
SCRUB = (("clip", 16), ("pass/raw", 14), ("p95", 9), ("none", 6), ("reduced", 9), ("exact after", 12))
EXACT = (("clip", 16), ("exact", 10), ("ffms2", 10), ("OpenCV", 10))


def visits(taken, other):
    walls = taken.typical("random", "walls") / taken.typical(other, "walls")
    cpus = taken.typical("random", "cpus") / taken.typical(other, "cpus")
    return f"{walls:.2f} ({cpus:.2f})"


def speed_row(name, taken):
    worst = max(taken.median(way, "peak_kib") for way in ("forward", "backward", "steps-at-30", "scrub"))
    waits = taken.median("steps-at-30", "p99")
    return [name, pair(taken, "raw", "forward"), pair(taken, "ffms2 forward", "forward"),
            pair(taken, "opencv forward", "forward"), pair(taken, "backward", "forward"),
            f"{1000 * waits:.1f} ms", f"{worst / 1024:.0f}"]


def visit_row(name, taken):
    walls = taken.typical("random", "walls") / taken.ideal("wall")
    cpus = taken.typical("random", "cpus") / taken.ideal("cpu")
    return [name, f"{1000 * taken.typical('random', 'walls'):.0f}", f"{walls:.2f} ({cpus:.2f})",
            visits(taken, "ffms2 random"), visits(taken, "opencv random"),
            pair(taken, "back-steps", "ffms2 back-steps"),
            pair(taken, "back-steps", "opencv back-steps")]


def scrub_row(name, taken):
    """The pass waits a moment for the hand to rest, which is in the ratio of the wall."""
    wall = taken.median("scrub", "pass") / taken.median("raw", "wall")
    cpu = taken.median("scrub", "pass_cpu") / taken.median("raw", "cpu")
    return [name, f"{wall:.2f} ({cpu:.2f})", f"{1000 * taken.median('scrub', 'p95'):.1f} ms",
            f"{taken.median('scrub', 'missing'):.0f}", f"{taken.median('scrub', 'reduced'):.0f}",
            f"{1000 * taken.median('scrub', 'rest'):.0f} ms"]


def print_table(title, columns, rows):
    print(f"\n{title}")
    widths = [width for _, width in columns]
    print_row(widths, [name for name, _ in columns])
    for row in rows:
        print_row(widths, row)


def index_of_an_hour(ours):
    part = make_clip("hour_part.mp4", HOUR_PART)
    hour = make_clip("hour.mp4", ["-stream_loop", HOUR_LOOPS - 1, "-i", part, "-c", "copy"])
    cache = FOLDER / "cache"
    taken = {"probe": [], "cold": [], "kept": []}
    for _ in range(RUNS):
        begun = time.monotonic()
        subprocess.run(["ffprobe", "-v", "error", "-select_streams", "v:0", "-show_packets", hour],
                       stdout=subprocess.DEVNULL, check=True)
        taken["probe"].append(time.monotonic() - begun)
        shutil.rmtree(cache, ignore_errors=True)
        environment = dict(os.environ, XDG_CACHE_HOME=str(cache))
        for way in ("cold", "kept"):
            taken[way].append(json.loads(run(ours, "open", hour, THREADS, env=environment))["wall"])
    probe, cold, kept = (statistics.median(taken[way]) for way in ("probe", "cold", "kept"))
    print(f"\nOpening an hour of 1080p: {cold / probe:.2f} of the time of ffprobe -show_packets "
          f"({cold:.2f} s of {probe:.2f} s); opened again {kept / probe:.3f} ({kept:.2f} s)")


def sums(rows):
    """Everybody's median visits, summed over the corpus."""
    ours = sum(taken.typical("random", "walls") for _, taken in rows)
    for peer in ("ffms2", "opencv"):
        theirs = sum(taken.typical(f"{peer} random", "walls") for _, taken in rows)
        print(f"Random access, summed over the corpus: {ours / theirs:.2f} of {peer}'s time")


def main():
    os.chdir(ROOT)
    subprocess.run(["sh", ".ci/packages", *PACKAGES], check=True)
    FOLDER.mkdir(parents=True, exist_ok=True)
    ours = build("clip_bench", "libavformat", "libavcodec", "libswscale", "libswresample",
                 "libavutil")
    ffms2 = build("ffms2_bench", "ffms2", "libavformat", "libavcodec", "libavutil")
    names = [name for name in os.environ.get("BENCH_CLIPS", ",".join(NAMES)).split(",") if name]
    print(f"{THREADS} threads, budget {BUDGET_MIB} MiB, medians of {RUNS} runs, load at the start "
          f"{os.getloadavg()[0]:.1f}; in brackets the same ratio of CPU time", flush=True)
    rows, exact = [], []
    for name in names:
        path = make_clip(name, CLIPS[name])
        exact.append([name] + exactness(path, ours, ffms2))
        rows.append((name, measure(path, ours, ffms2, len(straight_hashes(path)))))
        print(f"measured {name}", file=sys.stderr, flush=True)
    print_table("Forward, cold (speed as a ratio: above 1 is faster); backward over the whole clip "
                "(time as a\nratio); the wait for a step back at 30 frames/s; memory at the most",
                SPEED, [speed_row(name, taken) for name, taken in rows])
    print_table("Random access, cold, and forty steps back (time as a ratio: below 1 is faster)",
                VISIT, [visit_row(name, taken) for name, taken in rows])
    print_table("Dragging to 240 frames at random after the background pass: time to a picture, how "
                "often none\nor a reduced one was there; the exact frame after the last request",
                SCRUB, [scrub_row(name, taken) for name, taken in rows])
    print_table("Frames that are the ones named (OpenCV against its own straight reading)", EXACT,
                exact)
    print()
    sums(rows)
    if "BENCH_CLIPS" not in os.environ:
        index_of_an_hour(ours)
    window_bench.report(build("window_bench", "sdl2", "pangocairo", "gsl", "libcjson", "libavformat", "libavcodec",
                              "libswscale", "libswresample", "libavutil"),
                        ROOT / "build" / "plain" / "serveplumb", make_clip("window.mp4", WINDOW_CLIP), FOLDER / "home")
    readout = HERE / "readout_bench.c"
    if readout.exists():
        program = build("readout_bench", *os.environ.get("LIBRARIES", "gsl libcjson").split())
        print("\n" + run(program))


main()
