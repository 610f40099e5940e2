"""The sound of the stroke, from outside: a key goes to the frame before it, the next time to the next."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import time
import unittest

from desk import MISSING, Screen, Window, make_clip, until


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class ListenTest(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-listen-"))
        silent, self.clip = self.folder / "silent.mov", self.folder / "serve.mov"
        make_clip(silent)
        # The louder click begins 0.71 s in, on frame 21 of 30 a second; the other on frame 9.
        clicks = ("0.8*sin(9000*t)*lt(abs(t-0.715)\\,0.005)+0.3*sin(9000*t)*lt(abs(t-0.325)\\,0.005)"
                  "+0.002*sin(800*t)")
        subprocess.run(["ffmpeg", "-v", "error", "-i", silent, "-f", "lavfi", "-i", f"aevalsrc='{clicks}':s=48000:d=1.1",
                        "-c:v", "copy", "-c:a", "pcm_s16le", self.clip], check=True, stdin=subprocess.DEVNULL)
        self.screen = Screen()
        self.window = Window(self.screen, self.clip)

    def tearDown(self):
        self.window.stop()
        self.screen.close()
        shutil.rmtree(self.folder)

    def moments(self):
        review = self.clip.with_suffix(".review.json")
        document = json.loads(review.read_text()) if review.exists() else {}
        return {m["name"]: m["frame"] for m in document.get("moments", [])}

    def test_the_sharpest_sound_is_offered_and_then_the_next(self):
        window = self.window
        window.move((5, 795))
        at_first = until(lambda: self.screen.find("magenta"), "frame 0")

        def gone():  # the sound may still be being read: the key does nothing then
            window.keys("j")
            end = time.monotonic() + 3
            while time.monotonic() < end:
                if self.screen.find("magenta") != at_first:
                    return True
            return False
        until(gone, "the frame of a sound")
        window.keys("4")
        until(lambda: self.moments() == {"contact": 21}, "the contact on the frame of the louder click")
        window.keys("j", "3")
        until(lambda: self.moments() == {"contact": 21, "drop": 9}, "the other click on its frame")


if __name__ == "__main__":
    unittest.main()
