"""The talk-through from outside: its render is decoded, and voice and actions are measured in it."""
import array
import json
import os
import pathlib
import resource
import shutil
import signal
import subprocess
import tempfile
import time
import unittest
import wave

try:
    import jsonschema
except ImportError:
    jsonschema = None

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = os.path.abspath(os.environ.get("SERVEPLUMB", "build/plain/serveplumb"))
RATE, FRAMES = 30, 45
VOICE_RATE = 48000


def run(*words, **options):
    return subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, errors="replace",
                          timeout=300, stdin=subprocess.DEVNULL, check=False, **options)


def film(path):
    """Each frame is a grey of its own: 24 + 4 times its number."""
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", "-f", "lavfi", "-i",
                    f"color=c=black:size=360x480:rate={RATE}:duration={FRAMES / RATE},format=yuv420p,"
                    "geq=lum='24+4*N':cb=128:cr=128", "-colorspace", "bt709", "-c:v", "libx264", "-qp", "8",
                    str(path)], check=True)


def speak(path, seconds, clicks):
    """Silence with clicks of 1 ms."""
    samples = array.array("h", bytes(2 * int(seconds * VOICE_RATE)))
    for click in clicks:
        first = round(click * VOICE_RATE)
        for i in range(48):
            samples[first + i] = 29000 if i % 8 < 4 else -29000
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(VOICE_RATE)
        file.writeframes(samples.tobytes())


def clicks_in(path):
    """When the sound of a clip begins sharply, s."""
    done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(path), "-map", "a", "-ac", "1", "-ar",
                           str(VOICE_RATE), "-f", "s16le", "-"], capture_output=True, check=True)
    samples, found = array.array("h", done.stdout), []
    for i, value in enumerate(samples):
        if abs(value) > 6000 and (not found or i / VOICE_RATE - found[-1] > 0.1):
            found.append(i / VOICE_RATE)
    return found


def pictures_in(path):
    """The time of each picture, and its grey: which frame of the clip it shows."""
    times = subprocess.run(["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "frame=pts_time",
                            "-of", "csv=p=0", str(path)], capture_output=True, text=True, check=True).stdout
    done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(path), "-vsync", "passthrough", "-map", "v",
                           "-vf", "extractplanes=y,crop=2:2:360:200", "-f", "rawvideo", "-"], capture_output=True,
                          check=True).stdout
    greys = [done[i] for i in range(0, len(done), 4)]
    moments = [float(line.strip(",")) for line in times.split()]
    assert len(greys) == len(moments), (len(greys), len(moments))
    return [(at, round((grey - 24) / 4)) for at, grey in zip(moments, greys)]


class Talk(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.source = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-talk-"))
        film(cls.source / "serve.mp4")
        done = run("new", cls.source / "serve.mp4")
        assert done.returncode == 0, done.stderr

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.source)

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-talk-"))
        for path in self.source.iterdir():
            shutil.copy(path, self.folder / path.name)
        self.review = self.folder / "serve.review.json"
        self.path = self.folder / "serve.talk.json"
        self.out = self.folder / "out.mp4"

    def tearDown(self):
        self.folder.chmod(0o700)
        shutil.rmtree(self.folder)

    def write(self, actions, seconds=4.2, clicks=(1.2345,), pieces=None, voice="serve.talk-1.wav"):
        take = {"length_s": seconds, "actions": actions}
        if voice:
            take["voice"] = voice
            speak(self.folder / voice, seconds, clicks)
        sha = json.loads(self.review.read_text())["clip"]["sha256"]
        document = {"format": "serveplumb-talk", "version": 1, "clip_sha256": sha, "takes": [take],
                    "pieces": pieces or [{"take": 0, "from_s": 0, "to_s": seconds}]}
        self.path.write_text(json.dumps(document))

    def render(self, *more):
        done = run("talk", self.review, "-o", self.out, *more)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        return done.stdout

    def test_a_click_in_the_voice_and_its_action_are_within_a_frame(self):
        clicks = [0.4217, 1.2345, 2.7891, 3.9013]
        jumps = [3, 31, 12, 40]
        self.write([{"at_s": 0, "do": "frame", "frame": 20}]
                   + [{"at_s": at, "do": "frame", "frame": n} for at, n in zip(clicks, jumps)], clicks=clicks)
        self.render()
        heard, seen = clicks_in(self.out), pictures_in(self.out)
        self.assertEqual(len(heard), 4, heard)
        for click, sound, frame in zip(clicks, heard, jumps):
            shown = min(at for at, n in seen if n == frame)
            self.assertLess(abs(sound - click), 0.002, "the voice")
            self.assertLess(abs(shown - sound), 1 / RATE, f"frame {frame} at {shown}, its click at {sound}")

    def test_playing_shows_each_frame_at_its_time_and_standing_stays(self):
        self.write([{"at_s": 0, "do": "frame", "frame": 5}, {"at_s": 1, "do": "play", "frame": 5, "pace": 0.25},
                    {"at_s": 3, "do": "frame", "frame": 9}])
        self.render()
        for at, frame in pictures_in(self.out):
            wanted = 5 if at < 1 else 9 if at >= 3 else 5 + (at - 1) * 0.25 * RATE
            self.assertLessEqual(abs(frame - wanted), 1.05, f"at {at}")

    def test_a_cut_takes_out_voice_and_pictures_alike(self):
        self.write([{"at_s": 0, "do": "frame", "frame": 2}, {"at_s": 2.5, "do": "frame", "frame": 33}],
                   clicks=(0.5, 1.7, 2.5))
        done = run("talk", self.review, "--cut", "1.2,2.1")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("3.30 s", done.stdout)
        self.render()
        heard, seen = clicks_in(self.out), pictures_in(self.out)
        self.assertEqual(len(heard), 2, heard)
        self.assertLess(abs(heard[1] - 1.6), 0.002)
        self.assertLess(abs(min(at for at, n in seen if n == 33) - heard[1]), 1 / RATE)

    def give_sound(self, clicks):
        """The clip with clicks of its own; the review is one of that clip."""
        speak(self.folder / "own.wav", FRAMES / RATE, clicks)
        subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-y", "-i", str(self.source / "serve.mp4"), "-i",
                        str(self.folder / "own.wav"), "-c:v", "copy", "-c:a", "aac", "-b:a", "192k",
                        str(self.folder / "serve.mp4")], check=True)
        self.review.unlink()
        self.assertEqual(run("new", self.folder / "serve.mp4").returncode, 0)

    def loudest(self, from_s, to_s):
        done = subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-i", str(self.out), "-map", "a", "-ac", "1",
                               "-ar", str(VOICE_RATE), "-f", "s16le", "-"], capture_output=True, check=True)
        samples = array.array("h", done.stdout)[round(from_s * VOICE_RATE):round(to_s * VOICE_RATE)]
        at = max(range(len(samples)), key=lambda i: abs(samples[i]))
        return from_s + at / VOICE_RATE, abs(samples[at])

    def test_the_clips_own_sound_lies_under_the_voice_where_it_is_asked_for(self):
        self.give_sound((0.5, 1.1))
        self.write([{"at_s": 0, "do": "frame", "frame": 0}, {"at_s": 1, "do": "play", "frame": 6, "pace": 1},
                    {"at_s": 1.7, "do": "frame", "frame": 12}, {"at_s": 2.4, "do": "play", "frame": 12, "pace": 0.5}],
                   clicks=(0.3, 3.9))
        self.render()
        self.assertEqual(len(clicks_in(self.out)), 2, "off unless asked for")
        self.assertLess(self.loudest(1, 2)[1], 200)
        self.assertIn("with the clip's own sound", self.render("--clip-sound"))
        at, loud = self.loudest(1, 1.7)
        self.assertLess(abs(at - 1.3), 0.004, "frame 6 is at 0.2 s of the clip")
        self.assertTrue(0.6 * 29000 / 4 < loud < 1.4 * 29000 / 4, loud)
        self.assertLess(self.loudest(1.72, 2.38)[1], 200, "silent while the clip stands")
        at, loud = self.loudest(2.45, 3.5)  # 0.1 s from frame 12 on, at half the speed
        self.assertLess(abs(at - 2.6), 0.03)
        self.assertGreater(loud, 2000)
        voice = clicks_in(self.out)
        self.assertLess(abs(voice[0] - 0.3), 0.002)
        self.assertGreater(self.loudest(3.8, 4.0)[1], 20000, "the voice stays as loud as it was")

    def test_a_clip_without_sound_says_so_when_it_is_asked_for(self):
        self.write([{"at_s": 0, "do": "frame", "frame": 2}])
        done = run("talk", self.review, "-o", self.out, "--clip-sound")
        self.assertEqual((done.returncode, done.stderr.count("\n")), (1, 1), done.stderr)
        self.assertIn("sound", done.stderr)
        self.assertFalse(self.out.exists())

    def test_it_works_without_a_voice(self):
        self.write([{"at_s": 0, "do": "frame", "frame": 2}], voice=None, seconds=1.5)
        self.assertIn("without voice", self.render())
        streams = subprocess.run(["ffprobe", "-v", "error", "-show_entries", "stream=codec_name,duration", "-of",
                                  "csv=p=0", str(self.out)], capture_output=True, text=True, check=True).stdout
        self.assertEqual(streams.split(), ["h264,1.500000"])

    def test_what_is_missing_or_wrong_is_told_in_one_line(self):
        done = run("talk", self.review, "-o", self.out)
        self.assertEqual(done.returncode, 1)
        self.assertIn("serve.talk.json", done.stderr)
        self.write([{"at_s": 0, "do": "frame", "frame": FRAMES}])
        self.assertIn("takes[0].actions[0].frame: expected", run("talk", self.review, "-o", self.out).stderr)
        self.write([{"at_s": 0, "do": "frame", "frame": 0}])
        for word, says in (("1", "expected two times"), ("x,2", "expected two times"), ("9,10", "4.20 s long")):
            self.assertIn(says, run("talk", self.review, "--cut", word).stderr)
        (self.folder / "serve.talk-1.wav").unlink()
        done = run("talk", self.review, "-o", self.out)
        self.assertIn("serve.talk-1.wav", done.stderr)
        self.assertEqual(done.stderr.count("\n"), 1)
        self.assertFalse(self.out.exists())

    def test_an_interrupt_or_a_full_disk_leaves_nothing(self):
        self.write([{"at_s": 0, "do": "play", "frame": 0, "pace": 0.01}], seconds=120)
        names = sorted(os.listdir(self.folder))
        process = subprocess.Popen([PROGRAM, "talk", self.review, "-o", self.out], stdin=subprocess.DEVNULL,
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        while process.poll() is None and sorted(os.listdir(self.folder)) == names:
            time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        self.assertIn("given up: nothing was written", process.communicate(timeout=60)[1])
        self.assertEqual(sorted(os.listdir(self.folder)), names)

        def small():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))

        self.write([{"at_s": 0, "do": "frame", "frame": 2}], seconds=1.5)
        done = run("talk", self.review, "-o", self.out, preexec_fn=small)
        self.assertEqual(done.returncode, 1)
        self.assertIn("cannot write", done.stderr)
        self.assertEqual(sorted(os.listdir(self.folder)), names)

    @unittest.skipIf(jsonschema is None, "without python3-jsonschema")
    def test_the_schema_takes_what_is_taken(self):
        schema = json.loads((ROOT / "assets" / "talk.schema.json").read_text("utf-8"))
        jsonschema.Draft202012Validator.check_schema(schema)
        validator = jsonschema.Draft202012Validator(schema)
        ink = {"kind": "line", "hue": "ball", "from_frame": 3, "points": [[1, 2], [3.5, 4]]}
        good = [{"at_s": 0, "do": "frame", "frame": 3}, {"at_s": 0.5, "do": "play", "frame": 3, "pace": 0.125},
                {"at_s": 0.75, "do": "view", "middle": [100.5, 90], "zoom": 2}, {"at_s": 1, "do": "ink", "ink": ink,
                 "took_s": 0.25}, {"at_s": 1.5, "do": "rub", "mark": 0}, {"at_s": 2, "do": "overlay", "shown": False},
                {"at_s": 2, "do": "measure", "measure": "elbow_angle", "moment": "drop"}]
        self.write(good)
        self.assertTrue(validator.is_valid(json.loads(self.path.read_text())))
        self.assertEqual(run("talk", self.review, "--cut", "3,3.5").returncode, 0)  # read, and written anew
        self.assertTrue(validator.is_valid(json.loads(self.path.read_text())))
        for i, action in enumerate(good):
            for member in action:
                self.write([{name: value for name, value in action.items() if name != member}])
                self.assertFalse(validator.is_valid(json.loads(self.path.read_text())), (i, member))
                self.assertEqual(run("talk", self.review).returncode, 1, (i, member))


if __name__ == "__main__":
    unittest.main()
