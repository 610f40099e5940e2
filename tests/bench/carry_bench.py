#!/usr/bin/python3
"""How fast a point is carried on one core, beside OpenCV's calcOpticalFlowPyrLK on the same frames in memory, both
from both ends of each gap. Usage: carry_bench.py PROGRAM FOLDER (the built carry_bench; room for 0.3 GiB)"""
import json
import pathlib
import statistics
import subprocess
import sys
import time

import cv2
import numpy

DEMO = pathlib.Path("build/demo/serve-back")
POINTS = ("racquet_tip", "right_hand", "right_shoulder", "nose")
STEP, RUNS = 8, 3


def opencv(frames, taps):
    begun = time.process_time()
    for a, b in zip(sorted(taps), sorted(taps)[1:]):
        for start, end, way in ((a, b, 1), (b, a, -1)):
            at = numpy.array([[taps[start]]], numpy.float32) - 0.5
            for n in range(start + way, end + way, way):
                at, _, _ = cv2.calcOpticalFlowPyrLK(frames[n - way], frames[n], at, None)
    return time.process_time() - begun


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    cv2.setNumThreads(1)
    truth = json.loads(DEMO.with_suffix(".truth.json").read_text())
    clip, rate = truth["clip"], truth["clip"]["rate_captured"]
    path = folder / "carry.gray"
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", "-i", DEMO.with_suffix(".mp4"), "-pix_fmt", "gray",
                    "-f", "rawvideo", path], check=True)
    frames = numpy.memmap(path, numpy.uint8, "r", shape=(clip["frames"], clip["height"], clip["width"]))
    first, last = truth["moments"]["trophy"]["frame"], truth["moments"]["contact"]["frame"]
    ours, theirs = [], []
    for point in POINTS * RUNS:
        taps = {n: truth["frames"][n]["points"][point]["at"] for n in {*range(first, last, STEP), last}}
        told = "\n".join(f"{n} {at[0]} {at[1]}" for n, at in sorted(taps.items()))
        done = subprocess.run([program, path, str(clip["width"]), str(clip["height"]), str(clip["frames"])],
                              input=told, capture_output=True, text=True, check=True)
        ours.append((last - first) / json.loads(done.stdout)["cpu"])
        theirs.append((last - first) / opencv(frames, taps))
    path.unlink()
    own, peer = statistics.median(ours), statistics.median(theirs)
    print(f"Carrying a point at {clip['width']}x{clip['height']} on one core, without decoding: {own:.0f} frames/s, "
          f"{own / rate:.1f} times the clip's {rate:g}/s; {own / peer:.1f} times OpenCV's tracker ({peer:.0f} "
          "frames/s, both ends of each gap, no deviations)")


main()
