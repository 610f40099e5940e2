"""A point carried between two taps with real key and mouse events, seen on the picture and the strip, and corrected
where it is least sure."""
import json
import math
import pathlib
import shutil
import subprocess
import tempfile
import time
import unittest

import desk
from desk import until

FIRST, LAST = 4, 22
ACCENT = (0x9D, 0xBD, 0xFF)
TIP = (0xCC, 0x79, 0xA7)


def square_at(frame):
    """Its middle; FFmpeg counts the square's frames from 1, and places it on whole pixels."""
    return (13 + 5 * (frame + 1), 3 + int(70 + 0.22 * (frame + 1 - 12) ** 2))


def make_clip(path):
    graph = ("color=black:size=320x180:rate=30:duration=1.1,format=rgb24[ground];"
             "color=magenta:size=6x6:rate=30:duration=1.1,format=rgb24[square];"
             "[ground][square]overlay=x='10+5*n':y='70+0.22*(n-12)*(n-12)':format=rgb,format=yuv444p[out]")
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-filter_complex", graph, "-map", "[out]", "-c:v", "libx264", "-qp",
                    "0", "-preset", "ultrafast", "-bf", "2", str(path)], check=True, stdin=subprocess.DEVNULL)


@unittest.skipIf(desk.MISSING, f"without {', '.join(desk.MISSING)}")
class CarryingTest(unittest.TestCase):
    def setUp(self):
        self.screen = desk.Screen()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-carrying-"))
        make_clip(self.folder / "serve.mp4")
        self.review = self.folder / "serve.review.json"
        self.window = desk.Window(self.screen, self.folder / "serve.mp4")

    def tearDown(self):
        self.window.stop()
        self.screen.close()
        shutil.rmtree(self.folder)

    def tips(self):
        if not self.review.exists():
            return {}
        return {m["frame"]: m["points"]["racquet_tip"] for m in json.loads(self.review.read_text())["marks"]
                if "racquet_tip" in m["points"]}

    def still(self):
        """What is shown, when it no longer changes and the loupe is away."""
        self.window.move(desk.AWAY)
        last = [None]

        def same():
            now = self.screen.picture()
            equal, last[0] = last[0] is not None and (now == last[0]).all(), now
            time.sleep(0.05)
            return equal

        until(same, "a picture that stands still")
        return last[0]

    def tap_on(self, frame, before):
        """Gives where on the screen it is."""
        self.window.keys(*["Right"] * (frame - before))
        self.still()
        at = until(lambda: self.screen.find("magenta"), "the square")
        self.window.tap(at)
        until(lambda: self.tips().get(frame), f"the tip on frame {frame}")
        return at

    def carry(self):
        """Two taps, and Shift E between them."""
        self.window.keys("Return", "e")
        self.window.keys("Return")
        first, last = self.tap_on(FIRST, 0), self.tap_on(LAST, FIRST + 1)
        self.scale = (last[0] - first[0]) / (square_at(LAST)[0] - square_at(FIRST)[0])
        self.corner = [first[k] - self.scale * square_at(FIRST)[k] for k in (0, 1)]
        self.window.keys(*["Left"] * 5, "shift+e")
        return until(lambda: len(self.tips()) == LAST - FIRST + 1 and self.tips(), "the carried places")

    def on_screen(self, at):
        return tuple(c + self.scale * v for c, v in zip(self.corner, at))

    def fullness(self, at):
        """How much of the box about the marker there is filled by its hue: a disc 0.79, a diamond 0.5."""
        x, y = map(int, self.on_screen(at))
        near = abs(self.still()[y - 8:y + 8, x - 8:x + 8] - desk.numpy.array(TIP)).max(axis=2) < 40
        rows, columns = desk.numpy.nonzero(near)
        return len(rows) / ((rows.max() - rows.min() + 1) * (columns.max() - columns.min() + 1))

    def bars(self):
        """Pixels of the accent's hue at the foot of the strip, by column."""
        return (abs(self.still()[762:775] - desk.numpy.array(ACCENT)).max(axis=2) < 40).sum(axis=0)

    def test_two_taps_are_carried_and_one_more_where_it_is_least_sure_improves_its_neighbours(self):
        tips = self.carry()
        carried = [n for n in tips if n not in (FIRST, LAST)]
        self.assertEqual({tips[n]["by"] for n in carried}, {"carry"})
        for frame in carried:
            off = math.dist(tips[frame]["at"], square_at(frame))
            self.assertLess(off, 1.0, f"frame {frame}: {tips[frame]}")
        worst = max(carried, key=lambda n: tips[n]["sd_px"])
        self.assertGreater(tips[worst]["sd_px"], 1.4 * tips[FIRST + 1]["sd_px"])
        # Seen on the picture: a diamond where it was carried, a disc where it was tapped.
        here = LAST + 1 - 5
        self.assertLess(self.fullness(tips[here]["at"]), 0.65)
        self.window.keys("ctrl+e")
        self.still()
        bars = self.bars()
        self.window.keys(*["Right"] * (LAST - worst))
        self.assertGreater(self.fullness(tips[LAST]["at"]), 0.65)
        # And on the strip, where a line tells the frame in view: high bars beside the least sure place, low ones
        # beside the tap.
        line = int(bars.argmax())
        step = (int(self.bars().argmax()) - line) / (LAST - worst)
        height = {n: bars[line + round((n - worst) * step) - 2:][:5].max() for n in (worst - 1, worst + 1, LAST - 1)}
        self.assertGreater(min(height[worst - 1], height[worst + 1]), height[LAST - 1] + 1, height)
        self.window.keys("ctrl+e")
        self.still()
        self.window.tap(self.on_screen(square_at(worst)))
        better = until(lambda: self.tips()[worst]["by"] == "tap" and self.tips()[worst + 1] != tips[worst + 1]
                       and self.tips(), "neighbours that follow the tap")
        for frame in (worst - 1, worst + 1):
            self.assertEqual(better[frame]["by"], "carry")
            self.assertLess(better[frame]["sd_px"], 0.6 * tips[frame]["sd_px"])
            self.assertLess(math.dist(better[frame]["at"], square_at(frame)), 1.0)
        code, said = self.window.close()
        self.assertEqual((code, said), (0, ""))

    def test_all_gaps_of_a_point_are_carried_at_once(self):
        self.window.keys("Return", "e")
        self.window.keys("Return")
        for frame, before in ((FIRST, 0), (12, FIRST + 1), (LAST, 13)):
            self.tap_on(frame, before)
        self.window.keys("ctrl+shift+e")
        tips = until(lambda: len(self.tips()) == LAST - FIRST + 1 and self.tips(), "the places in both gaps")
        self.assertEqual([n for n, mark in sorted(tips.items()) if mark["by"] == "tap"], [FIRST, 12, LAST])
        for frame, mark in tips.items():
            self.assertLess(math.dist(mark["at"], square_at(frame)), 1.0, f"frame {frame}: {mark}")


if __name__ == "__main__":
    unittest.main()
