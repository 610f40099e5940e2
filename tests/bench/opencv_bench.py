#!/usr/bin/python3
"""The same ways through OpenCV's VideoCapture, as a line of JSON. It always converts to BGR.
Usage: opencv_bench.py WAY CLIP THREADS"""
import hashlib
import json
import os
import sys
import time

VISITS = 12
BACK_STEPS, BACK_STEPS_OF_PEERS = 40, 10


def target(i, frames):
    return ((i * 2654435761 + 1013904223) % 2**32) * frames >> 32


def cpu_seconds():
    return time.process_time()


def seek(capture, n):
    capture.set(cv2.CAP_PROP_POS_FRAMES, n)
    return capture.read()


def digest(picture):
    return hashlib.md5(picture.tobytes()).hexdigest()


def straight(path):
    """Read from start to end: what its own pictures are."""
    capture = cv2.VideoCapture(path, cv2.CAP_FFMPEG)
    found = []
    while (read := capture.read())[0]:
        found.append(digest(read[1]))
    return found


def forward(path, capture, frames):
    wall, cpu, count = time.monotonic(), cpu_seconds(), 0
    while capture.read()[0]:
        count += 1
    return {"frames": count, "wall": time.monotonic() - wall, "cpu": cpu_seconds() - cpu}


def timed(capture, numbers):
    walls, cpus = [], []
    for n in numbers:
        wall, cpu = time.monotonic(), cpu_seconds()
        seek(capture, n)
        walls.append(time.monotonic() - wall)
        cpus.append(cpu_seconds() - cpu)
    return walls, cpus


def at_random(path, capture, frames):
    walls, cpus = timed(capture, [target(i, frames) for i in range(VISITS)])
    return {"walls": walls, "cpus": cpus}


def back_steps(path, capture, frames):
    middle = frames * 5 // 8
    seek(capture, middle)
    walls, cpus = timed(capture, range(middle - 1, max(middle - BACK_STEPS_OF_PEERS - 1, -1), -1))
    times = BACK_STEPS / BACK_STEPS_OF_PEERS
    return {"frames": BACK_STEPS, "wall": times * sum(walls), "cpu": times * sum(cpus)}


def exact(path, capture, frames):
    """How many of the frames named are those of its own straight reading."""
    own = straight(path)
    middle = frames * 5 // 8
    numbers = [target(i, frames) for i in range(VISITS)]
    numbers += range(middle, max(middle - VISITS // 2, -1), -1)
    good = 0
    for n in numbers:
        had, picture = seek(capture, n)
        good += had and n < len(own) and digest(picture) == own[n]
    return {"good": good, "of": len(numbers), "straight": len(own)}


WAYS = {"forward": forward, "random": at_random, "back-steps": back_steps, "exact": exact}
way, clip, threads = sys.argv[1:4]
# Where OpenCV takes the number of threads of its FFmpeg from.
os.environ["OPENCV_FFMPEG_CAPTURE_OPTIONS"] = f"threads;{threads}"
import cv2  # noqa: E402, after its environment

source = cv2.VideoCapture(clip, cv2.CAP_FFMPEG)
source.set(cv2.CAP_PROP_ORIENTATION_AUTO, 0)
# The number of frames that the judge counted: its own would be wrong where rates vary.
print(json.dumps(WAYS[way](clip, source, int(sys.argv[4]))))
