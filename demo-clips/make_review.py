#!/usr/bin/env python3
"""Writes the review that a patient coach would make of a demo clip: taps are the truth with seeded
Gaussian noise. Invented demo data. Needs the standard library only, and nothing of the program."""

import argparse
import hashlib
import json
import math
import os
import random
import sys

MOMENTS = ("release", "trophy", "drop", "contact", "bounce", "finish")
HEAD = ("nose", "left_ear", "right_ear")

# Distances a coach can tap, the best first: two landmarks, metres (ITF Rules of Tennis, Rule 1;
# 1 ft = 0.3048 m), the name, and the direction in which the line runs.
LINES = (
    ("tape", "tape_rear", "tape_front", None, "two tape marks by the feet", "net"),
    ("centre", "near_centre_mark", "near_t", 18 * 0.3048, "centre mark to the T", "net"),
    ("baseline", "near_centre_mark", "near_right_singles_corner", 13.5 * 0.3048,
     "baseline, centre mark to singles sideline", "across"),
    ("baseline", "near_centre_mark", "near_left_singles_corner", 13.5 * 0.3048,
     "baseline, centre mark to singles sideline", "across"),
    ("alley", "near_right_singles_corner", "near_right_doubles_corner", 4.5 * 0.3048,
     "baseline, singles to doubles sideline", "across"),
)


class Taps:
    """Noisy taps on the frames of one truth; the same seed gives the same taps."""

    def __init__(self, truth, sd, seed):
        self.truth, self.sd, self.random = truth, sd, random.Random(seed)
        self.marks = {}

    def tap(self, at):
        return [round(v + self.random.gauss(0.0, self.sd), 2) for v in at]

    def mark(self, frame, names):
        clip = self.truth["clip"]
        if not 0 <= frame < clip["frames"]:
            return
        points = self.truth["frames"][frame]["points"]
        on_frame = self.marks.setdefault(frame, {})
        for name in names:
            at = points[name].get("at")
            inside = at and 0 <= at[0] <= clip["width"] and 0 <= at[1] <= clip["height"]
            if inside and name not in on_frame:
                on_frame[name] = {"at": self.tap(at), "sd_px": self.sd, "by": "tap"}

    def as_list(self):
        return [{"frame": f, "points": p} for f, p in sorted(self.marks.items()) if p]


def mark_frames(truth, taps):
    """All points at the moments; from the drop to contact those that move; the ball in flight."""
    moments = {name: truth["moments"][name]["frame"] for name in truth["moments"]}
    rate, side = truth["clip"]["rate_captured"], truth["scenario"]["hand"]
    every_point = list(truth["frames"][0]["points"])
    for name in MOMENTS:
        if name in moments:
            taps.mark(moments[name], every_point)
    for frame in range(moments["drop"], moments["contact"] + 1):
        taps.mark(frame, ("racquet_tip", side + "_hand", side + "_elbow", *HEAD))
    step = max(1, round(rate / 60))
    for frame in range(moments["contact"] - round(0.10 * rate),
                       moments["contact"] + round(0.05 * rate) + 1, step):
        taps.mark(frame, HEAD)
    for frame in range(moments["release"] + step, moments["contact"], step):
        taps.mark(frame, ("ball",))
    for frame in range(moments["contact"] + 1, moments["contact"] + 9):
        taps.mark(frame, ("ball",))


def line_scale(truth, taps):
    """The first line that can be tapped whole and is seen from the side, not along its length."""
    places = {mark["name"]: mark for mark in truth["court"]}
    along = {"side": "net", "back": "across", "front": "across"}.get(truth["scenario"]["view"])
    for scale_id, a, b, distance, name, runs in LINES:
        if along not in (None, runs) or a not in places or b not in places:
            continue
        if not (places[a]["inside"] and places[b]["inside"]):
            continue
        if distance is None:
            distance = math.dist(places[a]["world"], places[b]["world"])
        return {"id": scale_id, "method": "line", "frame": 0, "a": taps.tap(places[a]["at"]),
                "b": taps.tap(places[b]["at"]), "distance_m": round(distance, 4),
                "distance_name": name, "sd_px": taps.sd}
    return None


def court_scale(truth, taps):
    """Every landmark in the picture, when enough of them lie on the ground and off one line."""
    inside = [mark for mark in truth["court"] if mark["inside"] and not mark["name"].startswith("tape")]
    ground = [mark["world"] for mark in inside if mark["world"][2] == 0]
    if len(ground) < 5 or len({at[0] for at in ground}) < 2 or len({at[1] for at in ground}) < 2:
        return None
    return {"id": "court", "method": "court", "frame": 0, "sd_px": taps.sd,
            "landmarks": [{"name": mark["name"], "at": taps.tap(mark["at"])} for mark in inside]}


def toss_scale(truth):
    moments = truth["moments"]
    if "release" not in moments or moments["contact"]["frame"] - moments["release"]["frame"] < 6:
        return None
    return {"id": "toss", "method": "toss", "from_frame": moments["release"]["frame"],
            "to_frame": moments["contact"]["frame"]}


def net_side(truth):
    camera = truth["camera"]
    ahead = [l - p for l, p in zip(camera["look"], camera["position"])]
    if truth["scenario"]["view"] == "side":
        return "right" if ahead[0] < 0 else "left"
    return "away" if ahead[1] > 0 else "toward"


def file_hash(path):
    digest = hashlib.sha256()
    with open(path, "rb") as clip:
        for block in iter(lambda: clip.read(1 << 20), b""):
            digest.update(block)
    return digest.hexdigest()


def make_review(truth, clip_path, sd, seed, reviewed):
    taps = Taps(truth, sd, seed)
    clip, scenario = truth["clip"], truth["scenario"]
    scale = line_scale(truth, taps)
    mark_frames(truth, taps)
    scales = [s for s in (scale, court_scale(truth, taps), toss_scale(truth)) if s]
    moments = sorted((truth["moments"][name]["frame"], name) for name in truth["moments"])
    review = {
        "format": "serveplumb-review",
        "version": 1,
        "clip": {"file": os.path.basename(clip_path), "sha256": file_hash(clip_path),
                 "frames": clip["frames"], "width": clip["width"], "height": clip["height"],
                 "slowdown": clip["slowdown"], "row_time_s": truth["camera"]["row_time_s"],
                 "exposure_s": scenario["exposure_s"]},
        "player": {"name": "Demo player (invented)", "hand": scenario["hand"],
                   "stature_m": scenario["stature_m"], "racquet_m": scenario["racquet_m"],
                   "shoulder": "healthy"},
        "view": scenario["view"],
        "net": net_side(truth),
        "points_sd_px": sd,
        "plumb": {"method": "image", "angle_deg": 0.0},
        "scales": scales,
        "moments": [{"name": name, "frame": frame} for frame, name in moments],
        "marks": taps.as_list(),
        "speeds": [],
        "ink": [],
        "notes": [],
        "reviewed": reviewed,
    }
    if scales:
        review["scale"] = scales[0]["id"]
    return review


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("clip", help="NAME.mp4, with NAME.truth.json beside it")
    parser.add_argument("-o", "--output", help="default: NAME.review.json")
    parser.add_argument("--sd", type=float, default=1.0, help="of one coordinate of a tap, px (1.0)")
    parser.add_argument("--seed", type=int, default=20270314)
    parser.add_argument("--date", default="2027-03-14", help="of the invented review")
    options = parser.parse_args()
    stem = os.path.splitext(options.clip)[0]
    try:
        with open(stem + ".truth.json", encoding="utf-8") as file:
            truth = json.load(file)
        review = make_review(truth, options.clip, options.sd, options.seed, options.date)
    except OSError as error:
        sys.exit(f"{error.filename}: {error.strerror}. Make the clip and its truth first.")
    with open(options.output or stem + ".review.json", "w", encoding="utf-8") as file:
        json.dump(review, file, indent=1)
        file.write("\n")


if __name__ == "__main__":
    main()
