"""A talk-through recorded with real key and mouse events, and rendered."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import time
import unittest
import wave

import desk
from desk import until


@unittest.skipIf(desk.MISSING, f"without {', '.join(desk.MISSING)}")
class TalkingTest(unittest.TestCase):
    def setUp(self):
        self.screen = desk.Screen()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-talking-"))
        desk.make_clip(self.folder / "serve.mp4")
        self.path = self.folder / "serve.talk.json"
        self.window = desk.Window(self.screen, self.folder / "serve.mp4")
        self.window.keys("Return", "2")  # a review, by a moment on frame 0
        until((self.folder / "serve.review.json").exists, "the review")

    def tearDown(self):
        self.window.stop()
        self.screen.close()
        shutil.rmtree(self.folder)

    def length(self):
        if not self.path.exists():
            return 0
        return sum(piece["to_s"] - piece["from_s"] for piece in json.loads(self.path.read_text())["pieces"])

    def test_what_is_done_while_speaking_is_recorded_cut_and_rendered(self):
        window = self.window
        window.keys("r")
        until(lambda: list(self.folder.glob("*.wav")), "the voice's file")
        window.keys("Right", "Right", "Right")
        window.keys("i", "i")
        red, blue = self.screen.find("red"), self.screen.find("blue")
        window.drag(red, blue)
        window.keys("plus", "r", "r", "o")
        until(lambda: (self.folder / "serve.talk-1.wav").stat().st_size > 48000 * 2 * 1.6, "a second and more of voice")
        window.keys("shift+r")
        until(self.length, "the take")
        document = json.loads(self.path.read_text())
        take = document["takes"][0]
        done = [action["do"] for action in take["actions"]]
        for kind in ("frame", "ink", "view", "overlay"):
            self.assertIn(kind, done)
        self.assertEqual([a["frame"] for a in take["actions"] if a["do"] == "frame"][-1], 3)
        with wave.open(str(self.folder / take["voice"])) as voice:
            self.assertEqual((voice.getnchannels(), voice.getsampwidth(), voice.getframerate()), (1, 2, 48000))
            self.assertAlmostEqual(voice.getnframes() / 48000, take["length_s"], places=6)
        self.assertEqual(json.loads((self.folder / "serve.review.json").read_text()).get("ink", []), [])
        before = self.length()
        window.keys(*["bracketleft"] * 9, "shift+p", "bracketright", "ctrl+Delete")  # the first second
        until(lambda: abs(before - 1 - self.length()) < 1e-6, "a second taken out")
        window.keys(*["bracketleft"] * 9, "ctrl+space")
        time.sleep(0.3)
        window.keys("ctrl+space")
        code, said = window.close()
        self.assertEqual((code, said), (0, ""))
        out = self.folder / "out.mp4"
        made = subprocess.run([desk.PROGRAM, "talk", self.folder / "serve.review.json", "-o", out],
                              capture_output=True, text=True, check=False)
        self.assertEqual((made.returncode, made.stderr), (0, ""))
        self.assertIn("with the voice", made.stdout)
        facts = json.loads(subprocess.run(["ffprobe", "-v", "error", "-of", "json", "-show_entries",
                                           "stream=codec_name:format=duration", out], capture_output=True, text=True,
                                          check=True).stdout)
        self.assertEqual([stream["codec_name"] for stream in facts["streams"]], ["h264", "aac"])
        self.assertAlmostEqual(float(facts["format"]["duration"]), self.length(), delta=0.06)


if __name__ == "__main__":
    unittest.main()
