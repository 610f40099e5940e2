#!/usr/bin/python3
"""How many lines of each folder the suites have run, from gcov's notes. Usage: lines.py BUILD

Fails where a folder of numbers has fewer than 90 %."""
import collections
import json
import pathlib
import subprocess
import sys

WANTED = {"geometry": 90, "kinematics": 90, "review": 90, "readout": 90}


def main():
    build = pathlib.Path(sys.argv[1]).resolve()
    run, there = collections.Counter(), collections.Counter()
    worst = []
    for notes in sorted((build / "src").rglob("*.gcda")):
        told = subprocess.run(["gcov", "--json-format", "--stdout", notes], capture_output=True, check=True).stdout
        for line in told.splitlines():
            for file in json.loads(line)["files"]:
                path = pathlib.PurePath(file["file"])
                if path.parts[0] != "src" or path.suffix != ".c":
                    continue
                counts = {}
                for entry in file["lines"]:
                    number = entry["line_number"]
                    counts[number] = max(counts.get(number, 0), entry["count"])
                done = sum(count > 0 for count in counts.values())
                run[path.parts[1]] += done
                there[path.parts[1]] += len(counts)
                worst.append((done / max(1, len(counts)), len(counts) - done, str(path)))
    low = False
    for folder in sorted(there):
        share = 100 * run[folder] / there[folder]
        wanted = WANTED.get(folder)
        low = low or (wanted is not None and share < wanted)
        print(f"{folder:12} {run[folder]:6} of {there[folder]:6} lines  {share:5.1f} %"
              + (f"  (wanted {wanted} %)" if wanted else ""))
    print("least run:", ", ".join(f"{path} {100 * share:.0f} %" for share, _, path in sorted(worst)[:8]))
    sys.exit(1 if low or not there else 0)


main()
