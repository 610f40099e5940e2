"""Real camera clips, where they are there: opened, marked at the moments they show, scaled, measured,
a still written. The clips are not part of the project: ../shared/clips, else these tests are skipped."""
import csv
import json
import math
import os
import pathlib
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
CLIPS = pathlib.Path("../shared/clips").resolve()
# The joint labels name sides of the picture; the player faces the camera, so they are swapped.
JOINTS = {"head": "nose", "lsho": "right_shoulder", "rsho": "left_shoulder", "lelb": "right_elbow",
          "relb": "left_elbow", "lwri": "right_wrist", "rwri": "left_wrist", "lhip": "right_hip",
          "rhip": "left_hip", "lkne": "right_knee", "rkne": "left_knee", "lank": "right_ankle",
          "rank": "left_ankle"}
LABEL_ROW_OF_FRAME_0 = 6


def run(*words):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, check=True,
                          stdin=subprocess.DEVNULL).stdout


@unittest.skipUnless(CLIPS.is_dir(), "the real clips are not here: ../shared/clips")
class RealClips(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-real-"))

    def tearDown(self):
        shutil.rmtree(self.folder)

    def review(self, name, **members):
        clip = self.folder / name
        shutil.copy(CLIPS / name, clip)
        path = self.folder / "of.review.json"
        run("new", clip, "-o", path, "--view", members.pop("seen_from", "side"))
        document = json.loads(path.read_text())
        document.update(members)
        path.write_text(json.dumps(document))
        run("validate", path)
        return path

    def still(self, review, frame):
        picture = self.folder / "still.png"
        run("still", review, "--frame", frame, "-o", picture)
        head = picture.read_bytes()[:24]
        self.assertEqual(head[:8], b"\x89PNG\r\n\x1a\n")
        return int.from_bytes(head[16:20], "big"), int.from_bytes(head[20:24], "big")

    def test_the_front_serve_is_measured_at_its_moments(self):
        with open(CLIPS / "serve_front_joints.csv", encoding="utf-8") as file:
            labels = {int(row["frame1"]) - LABEL_ROW_OF_FRAME_0: row for row in csv.DictReader(file)}
        frames = {"release": 7, "trophy": 20, "drop": 31, "contact": 37}
        points = {frame: {ours: [float(labels[frame][f"{theirs}_x"]), float(labels[frame][f"{theirs}_y"])]
                          for theirs, ours in JOINTS.items()} for frame in frames.values()}
        review = self.review(
            "serve_front_270p25.mp4", seen_from="front",
            moments=[{"name": name, "frame": frame} for name, frame in frames.items()],
            marks=[{"frame": frame, "points": {name: {"at": at, "by": "tap"} for name, at in named.items()}}
                   for frame, named in points.items()],
            # A judgement of the tester, for the chain only: the half baseline as the picture shows it.
            scales=[{"id": "baseline", "method": "line", "frame": 0, "a": [100, 240], "b": [330, 232],
                     "distance_m": 4.1148, "sd_px": 2}], scale="baseline")
        measures = {(m["id"], m["moment"]): m for m in json.loads(run("measure", review, "--json"))["measures"]}
        # Frame times at 25 frames/s: drop to contact is 6 frames.
        self.assertAlmostEqual(measures["drop_to_contact", ""]["value"], 6 / 25, delta=0.021)
        elbow, hand = points[31]["right_elbow"], points[31]["right_wrist"]
        m_per_px = 4.1148 / math.hypot(230, 8)
        self.assertAlmostEqual(measures["hand_elbow_gap", "drop"]["value"], (elbow[1] - hand[1]) * m_per_px, 6)
        self.assertIn("wrist", measures["hand_elbow_gap", "drop"]["note"])
        # The front view hides the swing's main direction, and 25 frames/s could not carry it either.
        for speed in ("racquet_head_speed", "ball_speed_off"):
            self.assertEqual(measures[speed, "contact"]["status"], "not_from_this_view")
        for moment in frames.values():
            width, height = self.still(review, moment)
            self.assertGreaterEqual(min(width, height), 1080)

    def test_the_mirrored_phone_clip_is_upright_with_its_gap(self):
        """Its display matrix flips left and right (-1 0 / 0 1): no turn, though some tools say 180."""
        facts = json.loads(run("facts", CLIPS / "phone_rot180_vfr_720p.mp4", "--json"))
        self.assertEqual((facts["rotation_deg"], facts["mirrored"]), (0, True))
        self.assertEqual(facts["frames"], 182)
        self.assertTrue(facts["variable_rate"])
        self.assertAlmostEqual(facts["step_max_s"], 0.127, places=3)
        review = self.review("phone_rot180_vfr_720p.mp4", moments=[{"name": "release", "frame": 60}])
        self.assertGreater(self.still(review, 60)[0], 1278)

    def test_the_portrait_clip_keeps_its_gap_and_range(self):
        facts = json.loads(run("facts", CLIPS / "phone_portrait_vfr_gap_400x710.mp4", "--json"))
        self.assertEqual((facts["width"], facts["height"], facts["frames"]), (400, 710, 149))
        self.assertTrue(facts["full_range"])
        self.assertAlmostEqual(facts["step_max_s"], 0.067, places=3)
        marks = [{"frame": n, "points": {"ball": {"at": [200.5 + n, 300.25], "by": "tap"}}} for n in (3, 40)]
        review = self.review("phone_portrait_vfr_gap_400x710.mp4", marks=marks)
        self.assertGreaterEqual(self.still(review, 40)[0], 1080)

    def test_the_turned_clip_is_upright(self):
        facts = json.loads(run("facts", CLIPS / "rot90_480x270.mp4", "--json"))
        self.assertEqual((facts["width"], facts["height"]), (270, 480))
        self.assertEqual(facts["frames"], 17)
        width, height = self.still(self.review("rot90_480x270.mp4"), 16)
        self.assertLess(width, height)


if __name__ == "__main__":
    unittest.main()
