#!/usr/bin/python3
"""Runs the suites and counts. Usage: tests/run.py [--only WORD] [CMOCKA-PROGRAM ...]

Every tests/*/test_*.py, demo-clips/test_*.py and cmocka program, as many beside each other as there are
cores. The program under test is $SERVEPLUMB, its build folder $SP_BUILD."""
import argparse
import concurrent.futures
import json
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

    def add(self, path, outcome):
        self.passed += outcome["passed"]
        self.failed += outcome["failed"]
        self.skipped += outcome["skipped"]
        if outcome["failed"]:
            self.broken.append(path)
        mark = "FAILED" if outcome["failed"] else "ok    "
        failed = f", {outcome['failed']} failed" if outcome["failed"] else ""
        print(f"{mark} {path} ({outcome['passed']} passed{failed}, {outcome['seconds']:.0f} s)", flush=True)
        if outcome["failed"]:
            print(outcome["text"], flush=True)


def run_program(path):
    """One cmocka program, whose TAP lines are counted; a crash is one more failure."""
    environment = dict(os.environ, CMOCKA_MESSAGE_OUTPUT="TAP")
    done = subprocess.run([path], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=environment,
                          errors="replace", stdin=subprocess.DEVNULL, check=False)
    # cmocka writes a skipped test as "not ok N # SKIP name".
    good = len(re.findall(r"^ok \d", done.stdout, re.M))
    bad = len(re.findall(r"^not ok \d+ - ", done.stdout, re.M))
    reasons = re.findall(r"^skipped: (.*)$", done.stdout, re.M)
    skipped = [f"{path}: {name}{f': {reasons.pop(0)}' if reasons else ''}"
               for name in re.findall(r"^(?:not )?ok \d+ # SKIP (.*)$", done.stdout, re.M)]
    if (done.returncode != 0 and bad == 0) or good + bad == 0:
        bad = 1
    return {"passed": good, "failed": bad, "skipped": skipped, "text": done.stdout}


def run_suite(path):
    """One Python suite in an interpreter of its own, which answers on its last line."""
    done = subprocess.run([sys.executable, __file__, "--suite", path], stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, errors="replace", stdin=subprocess.DEVNULL, check=False)
    text, _, answer = done.stdout.rstrip("\n").rpartition("\n")
    try:
        return dict(json.loads(answer), text=text)
    except ValueError:
        return {"passed": 0, "failed": 1, "skipped": [], "text": done.stdout}


def answer_suite(path):
    path = pathlib.Path(path)
    sys.path.insert(0, str(path.parent))
    suite = unittest.defaultTestLoader.loadTestsFromName(path.stem)
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        result = unittest.TextTestRunner(stream=nowhere, verbosity=0).run(suite)
    faults = result.failures + result.errors
    for test, trace in faults:
        print(f"--- {test}\n{trace}", flush=True)
    good = max(0, result.testsRun - len(faults) - len(result.skipped) - len(result.unexpectedSuccesses))
    print(json.dumps({"passed": good, "failed": len(faults) + len(result.unexpectedSuccesses),
                      "skipped": [f"{test}: {why}" for test, why in result.skipped]}), flush=True)


def timed(run, path):
    started = time.monotonic()
    return dict(run(path), seconds=time.monotonic() - started)


def run_all(programs, suites, jobs):
    """The suites first, for they take longest; told in the order in which they end."""
    totals = Totals()
    with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
        begun = {pool.submit(timed, run_suite, path): path for path in suites}
        begun.update({pool.submit(timed, run_program, path): path for path in programs})
        for ended in concurrent.futures.as_completed(begun):
            totals.add(begun[ended], ended.result())
    return totals


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", default="", help="run suites whose path holds this word")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="how many run beside each other")
    parser.add_argument("--suite", help="run this one Python suite here")
    parser.add_argument("programs", nargs="*")
    arguments = parser.parse_args()
    os.environ["SERVEPLUMB"] = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
    os.environ["SP_BUILD"] = os.path.abspath(os.environ.get("SP_BUILD", "build/plain"))
    if arguments.suite:
        answer_suite(arguments.suite)
        return
    suites = sorted(pathlib.Path("tests").glob("*/test_*.py")) + sorted(pathlib.Path("demo-clips").glob("test_*.py"))
    totals = run_all([path for path in arguments.programs if arguments.only in path],
                     [str(path) for path in suites if arguments.only in str(path)], arguments.jobs)
    for line in totals.skipped:
        print(f"skipped: {line}")
    if totals.broken:
        print("failed: " + ", ".join(totals.broken))
    print(f"{totals.passed} passed, {totals.failed} failed, {len(totals.skipped)} skipped")
    sys.exit(1 if totals.failed or totals.passed == 0 else 0)


main()
