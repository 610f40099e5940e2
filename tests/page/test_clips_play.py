"""Each kind of clip that leaves the house plays in a headless Chromium, with its length and sound."""
import json
import os
import pathlib
import shutil
import struct
import subprocess
import sys
import tempfile
import unittest
import wave

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import browser  # noqa: E402

PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
DEMO = pathlib.Path("build/demo")


def make(*words):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=300,
                          stdin=subprocess.DEVNULL, check=False)
    assert done.returncode == 0, done.stderr


@unittest.skipUnless(browser.program(), "there is no chromium here: apt-get install chromium")
@unittest.skipUnless((DEMO / "serve-side.review.json").exists(), "no demo data: make demo-data")
class Clips(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-plays-"))
        for ending in (".mp4", ".review.json"):
            shutil.copy(DEMO / f"serve-side{ending}", self.folder)
        self.review = self.folder / "serve-side.review.json"
        self.browser = browser.Browser()

    def tearDown(self):
        self.browser.close()
        shutil.rmtree(self.folder)

    def speak(self):
        with wave.open(str(self.folder / "serve-side.talk-1.wav"), "wb") as voice:
            voice.setnchannels(1)
            voice.setsampwidth(2)
            voice.setframerate(48000)
            voice.writeframes(b"".join(struct.pack("<h", 9000 if i // 60 % 2 else -9000) for i in range(96000)))
        sha = json.loads(self.review.read_text())["clip"]["sha256"]
        actions = [{"at_s": 0, "do": "frame", "frame": 190}, {"at_s": 1, "do": "view", "middle": [300, 600], "zoom": 2}]
        (self.folder / "serve-side.talk.json").write_text(json.dumps({
            "format": "serveplumb-talk", "version": 1, "clip_sha256": sha,
            "takes": [{"voice": "serve-side.talk-1.wav", "length_s": 2, "actions": actions}],
            "pieces": [{"take": 0, "from_s": 0, "to_s": 2}]}))

    def test_they_play_to_where_they_should(self):
        self.speak()
        span = ("--from", 240, "--to", 250, "--hold", 0.5)
        make("clip", self.review, "-o", self.folder / "slow.mp4", *span)
        make("clip", self.review, "-o", self.folder / "real.mp4", "--slow", 1, "--hold", 0)
        make("talk", self.review, "-o", self.folder / "talk.mp4")
        make("talk", self.review, "-o", self.folder / "talk.webm")
        sounds = {"slow.mp4": False, "real.mp4": True, "talk.mp4": True, "talk.webm": True}
        page = self.folder / "player.html"
        page.write_text("".join(f"<video id='{name}' src='{name}' preload='auto'></video>" for name in sounds))
        self.browser.open(page, 1280)
        for name, sound in sounds.items():
            told = self.browser.ask(f"""(async () => {{ const v = document.getElementById('{name}'); v.muted = true;
                await v.play(); const ends = new Promise(done => v.onended = done);
                v.playbackRate = 4; await Promise.race([ends, new Promise(done => setTimeout(done, 20000))]);
                return [v.ended, v.duration, v.videoWidth, v.error === null, v.webkitAudioDecodedByteCount]; }})()""")
            self.assertTrue(told[0] and told[3], (name, told))
            length = float(subprocess.run(["ffprobe", "-v", "error", "-show_entries", "format=duration", "-of",
                                           "csv=p=0", self.folder / name], capture_output=True, text=True,
                                          check=True).stdout)
            self.assertAlmostEqual(told[1], length, delta=0.05)
            self.assertEqual(told[2], 720)
            self.assertEqual(told[4] > 0, sound, (name, told))


if __name__ == "__main__":
    unittest.main()
