"""Runs of the generator that the tests share; the same options are run once."""

import functools
import hashlib
import json
import os
import pathlib
import subprocess
import tempfile
import unittest

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
GENERATE = HERE.parent / "build" / "demo" / "generate"
FOLDER = tempfile.TemporaryDirectory()


def require_generator():
    if not GENERATE.exists():
        raise unittest.SkipTest(f"{GENERATE} is not built: make demo-data")


def run(*options):
    return subprocess.run([GENERATE, *options], capture_output=True, text=True, check=False)


@functools.lru_cache(None)
def made(*options):
    """The truth of a run, and the path of its clip."""
    stem = os.path.join(FOLDER.name, hashlib.md5(repr(options).encode()).hexdigest())
    done = run(*options, stem)
    if done.returncode:
        raise AssertionError(done.stderr)
    with open(stem + ".truth.json", encoding="utf-8") as file:
        return json.load(file), stem + ".mp4"


def truth(*options):
    return made("--truth-only", *options)[0]


def path(t, name):
    return np.array([f["points"][name]["world"] for f in t["frames"]])
