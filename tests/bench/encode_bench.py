#!/usr/bin/python3
"""Part of `make bench`: the overlay clip beside `ffmpeg` decoding and encoding the same clip with the
same settings, in three ways. Same pictures: our finished clip once more, so that both encode what is
drawn, on as many pixels; this one is held against LEAST. Same size: the clip of the phone, padded to
our size, whose ground is easier to encode than words. As it is: the clip of the phone. Medians of BENCH_RUNS runs (5),
taken in turn; seconds of the processor, which a busy machine does not blur as it does the wall's."""
import json
import os
import pathlib
import resource
import shutil
import statistics
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
FOLDER = ROOT / "build" / "bench" / "encode"
PROGRAM = os.environ.get("SERVEPLUMB", str(ROOT / "build" / "plain" / "serveplumb"))
RUNS = int(os.environ.get("BENCH_RUNS", "5"))
LEAST = 0.8
# As src/clip/encode_video.c has them.
CODER = ["-c:v", "libx264", "-preset", "medium", "-crf", "20", "-profile:v", "high", "-g", "60", "-pix_fmt", "yuv420p",
         "-threads", str(min(os.cpu_count() or 1, 16)), "-an", "-movflags", "+faststart"]


def run(*words):
    """Seconds of the wall and of the processor."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, stdin=subprocess.DEVNULL,
                          check=False, timeout=600)
    if done.returncode != 0:
        sys.exit(f"bench: {' '.join(map(str, words))}: {done.stderr.strip()}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.monotonic() - began, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def prepare(name):
    """A demo serve at 60 frames a second, so that the clip goes out frame by frame, with its review."""
    source, clip = ROOT / "build" / "demo" / f"{name}.mp4", FOLDER / f"{name}.mp4"
    run("ffmpeg", "-v", "error", "-nostdin", "-y", "-r", "60", "-i", source, "-c:v", "libx264", "-crf", "16", "-an",
        "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709", "-color_range", "tv", clip)
    review = FOLDER / f"{name}.review.json"
    review.unlink(missing_ok=True)
    run(PROGRAM, "new", clip)
    document = json.loads((ROOT / "build" / "demo" / f"{name}.review.json").read_text())
    document["clip"] = {**json.loads(review.read_text())["clip"], "slowdown": 1.0}
    review.write_text(json.dumps(document))
    return clip, review, document["clip"]["frames"]


def size_of(path):
    said = subprocess.run(["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries",
                           "stream=width,height,nb_frames", "-of", "csv=p=0", str(path)], capture_output=True,
                          text=True, check=True).stdout
    return [int(part) for part in said.strip().strip(",").split(",")]


def measure(name):
    clip, review, frames = prepare(name)
    ours, theirs = FOLDER / "ours.mp4", FOLDER / "theirs.mp4"
    make = (PROGRAM, "clip", review, "-o", ours, "--slow", "1", "--hold", "0", "--from", "0", "--to", frames - 1)
    run(*make)
    drawn = FOLDER / "drawn.mp4"
    ours.replace(drawn)
    width, height, pictures = size_of(drawn)
    scale = f"scale={width}:-2,pad={width}:{height}:0:0"
    ways = {"ours": make,
            "same size": ("ffmpeg", "-v", "error", "-nostdin", "-y", "-i", clip, "-vf", scale, *CODER, theirs),
            "same pictures": ("ffmpeg", "-v", "error", "-nostdin", "-y", "-i", drawn, *CODER, theirs),
            "as it is": ("ffmpeg", "-v", "error", "-nostdin", "-y", "-i", clip, *CODER, theirs)}
    taken = {way: [] for way in ways}
    for _ in range(RUNS):
        for way, words in ways.items():
            taken[way].append(run(*words))
    wall, cpu = ({way: statistics.median(times[i] for times in taken[way]) for way in ways} for i in (0, 1))
    print(f"overlay clip of {name}, {pictures} pictures of {width} x {height}: {cpu['ours']:.2f} s of the processor")
    for way in ("same pictures", "same size", "as it is"):
        print(f"  speed beside ffmpeg, {way}: {cpu[way] / cpu['ours']:.2f} by the processor, "
              f"{wall[way] / wall['ours']:.2f} by the wall")
    return cpu["same pictures"] / cpu["ours"]


def main():
    if shutil.which("ffmpeg") is None:
        sys.exit("bench: there is no ffmpeg; apt-get install ffmpeg")
    FOLDER.mkdir(parents=True, exist_ok=True)
    worst = min(measure(name) for name in ("serve-back", "serve-side"))
    print(f"  {'at least' if worst >= LEAST else 'LESS THAN'} {LEAST}: {worst:.2f}")


main()
