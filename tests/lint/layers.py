#!/usr/bin/python3
"""Checks the includes against the table of who may know whom (DEVELOPERS.md, 'The house')."""
import pathlib
import re
import sys

LAYERS = {
    "base": [],
    "geometry": ["base"],
    "kinematics": ["base", "geometry"],
    "review": ["base", "geometry"],
    "readout": ["base", "geometry", "kinematics", "review"],
    "clip": ["base"],
    "carry": ["base", "geometry"],
    "draw": ["base", "geometry", "review", "readout"],
    "deliver": ["base", "geometry", "review", "readout", "clip", "carry", "draw"],
    "cli": ["base", "geometry", "kinematics", "review", "readout", "clip", "carry", "draw", "deliver"],
    "window": ["base", "geometry", "kinematics", "review", "readout", "clip", "carry", "draw", "deliver"],
}
LIBRARIES = {
    "gsl/": ["geometry", "kinematics"],
    "cJSON.h": ["review", "readout"],
    "cjson/": ["review", "readout"],
    "libav": ["clip"],
    "libsw": ["clip"],
    "cairo": ["draw"],
    "pango": ["draw"],
    "SDL": ["window"],
}
# Which folder a public header belongs to.
OWNER = {
    "error": "base",
    "picture": "base",
    "interval": "base",
    "point": "geometry",
    "plumb": "geometry",
    "court": "geometry",
    "scale": "geometry",
    "landmark": "geometry",
    "pose": "geometry",
    "plane": "geometry",
    "carry": "carry",
    "review_carry": "deliver",
    "angle": "kinematics",
    "motion": "kinematics",
    "draws": "kinematics",
    "toss": "kinematics",
    "smoothing": "kinematics",
    "flight": "kinematics",
    "statistics": "kinematics",
    "stroke": "geometry",
    "body": "review",
    "ink": "review",
    "talk": "review",
    "review": "review",
    "preferences": "review",
    "speeds": "review",
    "readout": "readout",
    "curve": "readout",
    "repeat": "readout",
    "check": "readout",
    "compare": "readout",
    "speed_days": "readout",
    "clip": "clip",
    "frame_service": "clip",
    "sound": "clip",
    "encoder": "clip",
    "voice": "clip",
    "paint": "draw",
    "png": "draw",
    "pdf": "draw",
    "theme": "draw",
    "overlay": "draw",
    "strip": "draw",
    "still": "deliver",
    "review_clip": "deliver",
    "panels": "deliver",
    "history": "deliver",
    "last_time": "deliver",
    "history_page": "deliver",
    "pair_clip": "deliver",
    "reel": "deliver",
    "talk_clip": "deliver",
    "page": "deliver",
    "page_make": "deliver",
    "marks_exchange": "deliver",
    "cli": "cli",
    "window": "window",
}
INCLUDE = re.compile(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]')


def faults_of(path, folder):
    may = LAYERS[folder] + [folder]
    for number, line in enumerate(path.read_text().splitlines(), 1):
        match = INCLUDE.match(line)
        if not match:
            continue
        kind, name = match.groups()
        where = f"{path}:{number}"
        if kind == "<":
            for library, owners in LIBRARIES.items():
                if name.startswith(library) and folder not in owners:
                    yield f"{where}: {folder}/ may not include <{name}>: it belongs to {', '.join(owners)}/"
        elif name.startswith("serveplumb/"):
            owner = OWNER.get(name[len("serveplumb/"):-2])
            if owner is None:
                yield f"{where}: '{name}' is in no row of OWNER in {sys.argv[0]}"
            elif owner not in may:
                yield f"{where}: {folder}/ may not know {owner}/ ('{name}')"
        elif "/" not in name:
            yield f"{where}: write \"{folder}/{name}\", so that the folder is seen"
        elif name.split("/")[0] not in may:
            yield f"{where}: {folder}/ may not know {name.split('/')[0]}/ ('{name}')"


def main():
    faults = []
    for path in sorted(pathlib.Path("src").glob("*/*.[ch]")):
        folder = path.parts[1]
        if folder not in LAYERS:
            faults.append(f"{path}: the folder '{folder}' is in no row of LAYERS in {sys.argv[0]}")
            continue
        faults += faults_of(path, folder)
    for path in sorted(pathlib.Path("include/serveplumb").glob("*.h")):
        owner = OWNER.get(path.stem)
        if owner is None:
            faults.append(f"{path}: in no row of OWNER in {sys.argv[0]}")
        else:
            faults += faults_of(path, owner)
    print("\n".join(faults), file=sys.stderr)
    sys.exit(1 if faults else 0)


main()
