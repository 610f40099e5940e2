"""What leaves the house from the sheet, by keys alone: it appears beside the review, or nothing does."""
import csv
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import time
import unittest

import desk
from desk import until

# Rows of "Hand over" below its heading, as the sheet has them.
STILLS, ROW, CLIP, PAGE, POINTS, TAKE, LAST = 2, 3, 5, 6, 7, 8, 10


@unittest.skipIf(desk.MISSING, f"without {', '.join(desk.MISSING)}")
class SendingTest(unittest.TestCase):
    def setUp(self):
        self.screen = desk.Screen()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-sending-"))
        self.review = self.folder / "serve.review.json"

    def tearDown(self):
        self.window.stop()
        self.screen.close()
        self.folder.chmod(0o700)
        shutil.rmtree(self.folder)

    def open(self, *more, **options):
        desk.make_clip(self.folder / "serve.mp4", *more, **options)
        self.window = desk.Window(self.screen, self.folder / "serve.mp4")
        self.window.keys("Return", "Right", "Right", "Right", "2", "Right", "Right", "Right", "4", "Escape", "Escape")
        until(lambda: self.review.exists() and len(json.loads(self.review.read_text())["moments"]) == 2, "two moments")

    def settle(self):
        """Rows are walked as they were last painted: until nothing changes any more."""
        last = [None]

        def still():
            now = self.screen.picture()[:, 960:]
            same, last[0] = last[0] is not None and (now == last[0]).all(), now
            time.sleep(0.1)
            return same

        until(still, "a sheet that stands still")

    def unfold(self):
        self.settle()
        self.window.keys("Up", "Return")  # its heading is the last row
        self.settle()

    def choose(self, row):
        """A row of the section whose heading has the focus; the heading has it again afterwards."""
        self.window.keys(*["Down"] * row)
        self.settle()
        self.window.keys("Return")

    def back(self, row):
        self.settle()
        self.window.keys(*["Up"] * row)

    def name(self, word):
        return self.folder / f"serve-{word}"

    def test_clip_page_row_and_points_lie_beside_the_review(self):
        self.open()
        self.unfold()
        for row, word in ((CLIP, "clip.mp4"), (ROW, "row.png"), (POINTS, "points.csv"), (PAGE, "page.html"),
                          (STILLS, "contact.png")):
            self.choose(row)
            until(self.name(word).exists, word)
            self.back(row)
        facts = subprocess.run(["ffprobe", "-v", "error", "-show_entries", "stream=codec_name", "-of", "csv=p=0",
                                self.name("clip.mp4")], capture_output=True, text=True, check=True).stdout
        self.assertEqual(facts.split(), ["h264"])
        self.assertIn("Content-Security-Policy", self.name("page.html").read_text())
        self.assertEqual(next(csv.reader([self.name("points.csv").read_text()]))[:2], ["frame", "clip_s"])
        self.assertEqual(json.loads(self.name("points.coco.json").read_text())["images"], [])
        self.assertEqual(self.name("row.png").read_bytes()[:4], b"\x89PNG")

    def test_points_are_taken_in_and_taken_back_as_one(self):
        self.open()
        points = self.folder / "p.csv"
        points.write_text("frame,point,x_px,y_px\n3,left_hip,100.5,90.25\n3,right_hip,120,91\n6,ball,50,20\n")
        self.unfold()
        self.window.keys(*["Down"] * TAKE)
        self.settle()
        self.window.line("Return", str(points))
        marks = lambda: sum(len(m["points"]) for m in json.loads(self.review.read_text())["marks"])
        until(lambda: marks() == 3, "three points")
        self.window.keys("ctrl+z")
        until(lambda: marks() == 0, "none")
        points.write_text("frame,point,x_px,y_px\n3,left_hip,100.5,90.25\n3,left_wing,120,91\n")
        self.window.line("Return", str(points))
        time.sleep(0.3)
        self.assertEqual(marks(), 0)

    def test_long_work_is_given_up_without_a_half_file(self):
        self.open(turn="scale=1280:720,tpad=stop_mode=clone:stop_duration=8")
        self.window.keys("shift+2", "shift+4")  # without moments the whole clip goes out
        until(lambda: json.loads(self.review.read_text())["moments"] == [], "no moments")
        before = sorted(os.listdir(self.folder))
        self.unfold()
        self.choose(CLIP)
        until(lambda: sorted(os.listdir(self.folder)) != before, "a file that is being written")
        time.sleep(0.3)  # "give it up" is there now, the first row of the section
        self.window.keys(*["Up"] * (CLIP + 1), "Down", "Return")
        until(lambda: sorted(os.listdir(self.folder)) == before, "nothing half")
        self.settle()
        self.window.keys(*["Up"] * (LAST - CLIP + 1))  # the row in focus is gone: the last one comes first
        self.settle()
        self.window.keys("Return")
        until(lambda: sorted(os.listdir(self.folder)) != before, "a file that is being written")
        self.assertEqual(self.window.close(), (0, ""))  # which gives up, too
        self.assertEqual(sorted(os.listdir(self.folder)), before)


if __name__ == "__main__":
    unittest.main()
