#!/usr/bin/python3
"""Runs the suites and counts. Usage: tests/run.py [--only WORD] [CMOCKA-PROGRAM ...]

cmocka programs first, then every tests/*/test_*.py and demo-clips/test_*.py. The program under test
is $SERVEPLUMB, its build folder $SP_BUILD."""
import argparse
import os
import pathlib
import re
import subprocess
import sys
import time
import unittest


class Totals:
    def __init__(self):
        self.passed = self.failed = 0
        self.skipped = []
        self.broken = []


def run_program(path, totals):
    """One cmocka program, whose TAP lines are counted; a crash is one more failure."""
    environment = dict(os.environ, CMOCKA_MESSAGE_OUTPUT="TAP")
    done = subprocess.run([path], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment,
                          errors="replace", stdin=subprocess.DEVNULL, check=False)
    # cmocka writes a skipped test as "not ok N # SKIP name".
    good = len(re.findall(r"^ok \d", done.stdout, re.M))
    bad = len(re.findall(r"^not ok \d+ - ", done.stdout, re.M))
    reasons = re.findall(r"^skipped: (.*)$", done.stdout, re.M)
    for name in re.findall(r"^(?:not )?ok \d+ # SKIP (.*)$", done.stdout, re.M):
        totals.skipped.append(f"{path}: {name}{f': {reasons.pop(0)}' if reasons else ''}")
    if done.returncode != 0 and bad == 0:
        bad = 1
    if good + bad == 0:
        bad = 1
    totals.passed += good
    totals.failed += bad
    print(f"{'FAILED' if bad else 'ok    '} {path} ({good} passed{f', {bad} failed' if bad else ''})", flush=True)
    if bad:
        totals.broken.append(path)
        print(done.stdout, flush=True)


def run_python(path, totals):
    started = time.monotonic()
    sys.path.insert(0, str(path.parent))
    suite = unittest.defaultTestLoader.loadTestsFromName(path.stem)
    result = unittest.TextTestRunner(stream=open(os.devnull, "w"), verbosity=0).run(suite)
    sys.path.pop(0)
    sys.modules.pop(path.stem, None)
    faults = result.failures + result.errors
    good = result.testsRun - len(faults) - len(result.skipped)
    totals.passed += good
    totals.failed += len(faults) + len(result.unexpectedSuccesses)
    totals.skipped += [f"{test}: {why}" for test, why in result.skipped]
    mark = "FAILED" if faults else "ok    "
    print(f"{mark} {path} ({good} passed{f', {len(faults)} failed' if faults else ''}, "
          f"{time.monotonic() - started:.0f} s)", flush=True)
    if faults:
        totals.broken.append(str(path))
    for test, trace in faults:
        print(f"--- {test}\n{trace}", flush=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", default="", help="run suites whose path holds this word")
    parser.add_argument("programs", nargs="*")
    arguments = parser.parse_args()
    os.environ["SERVEPLUMB"] = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
    os.environ["SP_BUILD"] = os.path.abspath(os.environ.get("SP_BUILD", "build/plain"))
    totals = Totals()
    for program in arguments.programs:
        if arguments.only in program:
            run_program(program, totals)
    suites = sorted(pathlib.Path("tests").glob("*/test_*.py")) + sorted(pathlib.Path("demo-clips").glob("test_*.py"))
    for path in suites:
        if arguments.only in str(path):
            run_python(path, totals)
    for line in totals.skipped:
        print(f"skipped: {line}")
    if totals.broken:
        print("failed: " + ", ".join(totals.broken))
    print(f"{totals.passed} passed, {totals.failed} failed, {len(totals.skipped)} skipped")
    sys.exit(1 if totals.failed or totals.passed == 0 else 0)


main()
