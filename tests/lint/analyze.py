#!/usr/bin/python3
"""gcc -fanalyzer over the whole library. Usage: analyze.py COMPILER-WORDS... (the flags of the build)

GCC 12's analyzer loses what a loop has filled and what a table holds; what it then says wrongly is listed
here with the reason why it cannot be. Anything else fails."""
import concurrent.futures
import os
import pathlib
import re
import subprocess
import sys

KNOWN = {
    ("carry/smoother.c", "use-of-uninitialized-value"): "filled by the loop before over the same indices",
    ("carry/backdrop.c", "use-of-uninitialized-value"): "filled by the loop before over the same indices",
    ("carry/reel.c", "malloc-leak"): "kept in the slot, which the reel owns",
    ("kinematics/smoothing.c", "use-of-uninitialized-value"): "the padded copy is filled before the passes",
    ("readout/paths.c", "use-of-uninitialized-value"): "filled up to the count that is read",
    ("readout/readout.c", "null-dereference"): "every kind of the catalogue has its row",
    ("readout/check_edit.c", "null-dereference"): "the check was found in the same list",
    ("draw/paint_text.c", "malloc-leak"): "kept in the layout's entry",
    ("window/search.c", "malloc-leak"): "handed to the caller in the list of names",
    ("cli/paths.c", "malloc-leak"): "kept in the list, which the caller empties",
    ("clip/talk.c", "null-dereference"): "the space is that of one header, so there is a first one",
    ("deliver/history.c", "null-dereference"): "the first item makes room before it is put down",
    ("deliver/history_views.c", "malloc-leak"): "kept in the view, of which each is filled once",
    ("window/court.c", "null-dereference"): "the court's lines name landmarks that are there",
}


def analyze(words, source):
    done = subprocess.run([*words, "-O1", "-fanalyzer", "-c", "-o", os.devnull, source], capture_output=True,
                          text=True, check=False)
    found = re.findall(r"^(src/\S+?):\d+:\d+: warning: (.*) \[(?:-Wanalyzer-([a-z-]+))\]$",
                       re.sub(r" \[CWE-\d+\]", "", done.stderr), re.M)
    if done.returncode != 0:
        return [(str(source), done.stderr, "")]
    return [one for one in found if (one[0].removeprefix("src/"), one[2]) not in KNOWN]


def main():
    sources = sorted(str(path) for path in pathlib.Path("src").rglob("*.c"))
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        faults = sum(pool.map(lambda source: analyze(sys.argv[1:], source), sources), [])
    for place, words, kind in faults:
        print(f"{place}: {words} ({kind})")
    print(f"analyzer: {len(sources)} files, {len(faults)} faults")
    sys.exit(1 if faults else 0)


main()
