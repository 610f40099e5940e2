"""Each command where something fails under it: one call of its own (memory, open, create, write, fsync, rename),
a full disk, a folder that is read only, an output that takes nothing. Always one clear line and exit 1, or the
whole result; never a half-written file, never a lost one.

FAULTS=all lets every call fail in turn; else some are taken, growing apart."""
import ctypes
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.environ["SERVEPLUMB"]
PLAIN = os.path.basename(os.environ["SP_BUILD"]) == "plain"
EVERY = os.environ.get("FAULTS") == "all"
FILES = ["open", "create", "write", "fsync", "rename"]
# What a command is asked, and the file it writes or changes.
COMMANDS = {
    "facts": (["facts", "serve.mp4", "--json"], None),
    "frames": (["frames", "short.mp4", "--hash", "--order", "backward"], None),
    "new": (["new", "serve.mp4", "-o", "out.review.json"], "out.review.json"),
    "validate": (["validate", "serve.review.json"], None),
    "measure": (["measure", "serve.review.json", "--json"], None),
    "measure many": (["measure", "serve.review.json", "other.review.json", "--csv", "-j", "1"], None),
    "check": (["check", "serve.review.json", "--json"], None),
    "repeat": (["repeat", "serve.review.json", "other.review.json", "--json"], None),
    "repeat begin": (["repeat", "serve.review.json", "--begin"], "serve.again.review.json"),
    "repeat write": (["repeat", "serve.review.json", "other.review.json", "--write"], "serve.review.json"),
    "carry": (["carry", "serve.review.json", "--point", "racquet_tip", "--from", "183", "--to", "186"],
              "serve.review.json"),
    "compare": (["compare", "serve.review.json", "other.review.json", "--json"], None),
    "still": (["still", "serve.review.json", "--moment", "drop", "-o", "out.png"], "out.png"),
    "still row": (["still", "serve.review.json", "--row", "trophy,drop,contact", "-o", "out.png"], "out.png"),
    "pdf": (["still", "serve.review.json", "--moment", "drop", "-o", "out.pdf"], "out.pdf"),
    "clip": (["clip", "serve.review.json", "--from", "180", "--to", "186", "--slow", "1", "--hold", "0",
              "-o", "out.mp4"], "out.mp4"),
    "pair": (["clip", "serve.review.json", "--beside", "other.review.json", "--slow", "1", "--hold", "0",
              "-o", "out.mp4"], "out.mp4"),
    "talk": (["talk", "short.review.json", "-o", "out.mp4"], "out.mp4"),
    "talk cut": (["talk", "short.review.json", "--cut", "0.05,0.09"], "short.talk.json"),
    "report": (["report", "serve.review.json", "--no-clip", "-o", "out.html"], "out.html"),
    "progress": (["progress", ".", "-j", "1", "--no-pictures", "-o", "out.html"], "out.html"),
    "speeds": (["speeds", "speeds.csv", "--json"], None),
    "speeds add": (["speeds", "speeds.csv", "--add", "2027-03-16 104.7 km/h gun"], "speeds.csv"),
    "export": (["export", "serve.review.json", "--csv", "out.csv"], "out.csv"),
    "export coco": (["export", "serve.review.json", "--coco", "out.json"], "out.json"),
    "import": (["import", "serve.review.json", "--csv", "points.csv", "-o", "out.review.json"], "out.review.json"),
    "import coco": (["import", "serve.review.json", "--coco", "points.json", "-o", "out.review.json"],
                    "out.review.json"),
}
# Long to run and of the same code as another: only where all are asked for.
LONG = {"pair", "still row", "progress", "talk", "carry", "report", "measure many", "repeat write", "export coco"}
# The coder's threads share out its work as they come; a PDF holds the time. How a whole one ends:
ENDS = {"out.mp4": None, "out.pdf": b"%%EOF\n"}
# What a person may do again is told of each file on a line; the rest of the result is whole.
MANY = {"measure many", "progress"}
LOCKS = {"serve.review.json.lock", "other.review.json.lock", "short.review.json.lock"}


def commands():
    return [name for name in COMMANDS if EVERY or name not in LONG]


def setUpModule():
    global FOLDER, HOME, LIBRARY, STOCK
    if not PLAIN:
        raise unittest.SkipTest("the faults are loaded before the C library, where the sanitizers are")
    FOLDER = tempfile.TemporaryDirectory()
    HOME = pathlib.Path(FOLDER.name)
    LIBRARY = HOME / "faults.so"
    subprocess.run(["gcc", "-std=c11", "-D_GNU_SOURCE", "-Wall", "-Wextra", "-Werror", "-O1", "-shared", "-fPIC",
                    "tests/faults/faults.c", "-o", LIBRARY, "-ldl"], check=True)
    STOCK = HOME / "stock"
    STOCK.mkdir()
    stock(STOCK)


def tearDownModule():
    FOLDER.cleanup()


def stock(folder):
    """Clips, reviews, a talk-through, points and speeds: what the commands are tried on."""
    def make(*words):
        subprocess.run([PROGRAM, *words], cwd=folder, capture_output=True, check=True)
    shutil.copy("build/demo/serve-side.mp4", folder / "serve-side.mp4")
    os.link(folder / "serve-side.mp4", folder / "serve.mp4")
    review = json.loads(pathlib.Path("build/demo/serve-side.review.json").read_text())
    # A short one is read in few calls, so that each of them can be tried.
    review["marks"] = [mark for mark in review["marks"] if mark["frame"] in (190, 246, 276) or 271 < mark["frame"] < 276]
    del review["scales"][1:]
    (folder / "serve.review.json").write_text(json.dumps(dict(review, reviewed="2027-03-14")))
    for i, mark in enumerate(review["marks"]):
        for j, point in enumerate(mark["points"].values()):
            point["at"][0] += (37 * (i + 3 * j) % 11 - 5) / 4
    (folder / "other.review.json").write_text(json.dumps(dict(review, reviewed="2027-05-02")))
    subprocess.run(["ffmpeg", "-v", "error", "-nostdin", "-f", "lavfi", "-i", "testsrc2=s=96x128:r=30:d=0.4",
                    "-c:v", "libx264", "-g", "6", folder / "short.mp4"], check=True)
    make("new", "short.mp4", "-o", "short.review.json")
    sha = json.loads((folder / "short.review.json").read_text())["clip"]["sha256"]
    take = {"length_s": 0.2, "actions": [{"at_s": 0, "do": "frame", "frame": 3}, {"at_s": 0.1, "do": "frame",
                                                                                "frame": 7}]}
    (folder / "short.talk.json").write_text(json.dumps(
        {"format": "serveplumb-talk", "version": 1, "clip_sha256": sha, "takes": [take],
         "pieces": [{"take": 0, "from_s": 0, "to_s": 0.2}]}))
    make("export", "serve.review.json", "--csv", "points.csv")
    make("export", "serve.review.json", "--coco", "points.json")
    (folder / "speeds.csv").write_text("date,speed km/h,device\n2027-03-14,101.7,gun\n2027-03-14,98.25,gun\n")


class Desk:
    """A folder of its own with a copy of the stock; clips are linked, for no command may write to them."""

    def __init__(self, work=None):
        self.folder = tempfile.TemporaryDirectory(dir=HOME)
        self.path = pathlib.Path(self.folder.name)
        self.work = work or self.path / "work"
        self.work.mkdir(exist_ok=True)
        for path in STOCK.iterdir():
            if path.suffix == ".mp4":
                (self.work / path.name).symlink_to(path)
            else:
                shutil.copy(path, self.work / path.name)
        self.before = self.contents()

    def contents(self):
        return {path.name: path.read_bytes() for path in self.work.iterdir()
                if not path.is_symlink() and path.name not in LOCKS | {"filler"}}

    def run(self, words, fault=None, stdout=subprocess.PIPE):
        environment = dict(os.environ, XDG_CACHE_HOME=str(self.path / "cache"),
                           XDG_CONFIG_HOME=str(self.path / "config"), LC_ALL="C.UTF-8")
        told = self.path / "told"
        if fault:
            environment.update(LD_PRELOAD=str(LIBRARY), SP_FAULT=fault, SP_FAULT_TOLD=str(told))
        done = subprocess.run([PROGRAM, *words], cwd=self.work, env=environment, stdout=stdout,
                              stderr=subprocess.PIPE, check=False, timeout=120)
        fired = told.is_dir()
        if fired:
            told.rmdir()
        return done, fired

    def restore(self, name):
        if name in self.before:
            (self.work / name).write_bytes(self.before[name])
        elif name:
            (self.work / name).unlink(missing_ok=True)


def numbers():
    """Which calls fail: the first ones, then each time twice as far on."""
    n = 1
    while True:
        yield n
        n += 1 if EVERY else n


class Faults(unittest.TestCase):
    def whole(self, desk, name):
        """What the command says and writes when nothing fails."""
        words, target = COMMANDS[name]
        done, _ = desk.run(words)
        self.assertEqual(done.returncode, 0, f"{name}: {done.stderr}")
        made = desk.contents().get(target)
        desk.restore(target)
        return done.stdout, made, done.stderr.decode().splitlines()

    def is_ended(self, made, end):
        if end is not None:
            return made.endswith(end)
        done = subprocess.run(["ffprobe", "-v", "error", "-count_packets", "-show_entries", "stream=nb_read_packets",
                               "-of", "csv=p=0", "-"], input=made, capture_output=True, check=False)
        return done.returncode == 0 and int(done.stdout.split()[0]) > 0 and done.stderr == b""

    def judge(self, desk, name, trouble, done, whole):
        words, target = COMMANDS[name]
        what = f"{' '.join(words)} with {trouble}: exit {done.returncode}: {done.stderr.decode()}"
        after = desk.contents()
        made, before = after.pop(target, None), dict(desk.before)
        older = before.pop(target, None)
        self.assertEqual(after, before, what)
        is_whole = made == whole[1] or made is not None and target in ENDS and self.is_ended(made, ENDS[target])
        if done.returncode == 0:
            if done.stdout is not None:
                self.assertEqual(done.stdout, whole[0], what)
            self.assertTrue(target is None or is_whole, what)
        else:
            self.assertEqual(done.returncode, 1, what)
            lines = [line for line in done.stderr.decode().splitlines() if line not in whole[2]]
            self.assertTrue(len(lines) == 1 or name in MANY and len(lines) > 0, what)
            self.assertTrue(all(line.startswith("serveplumb: ") for line in lines), what)
            # What went wrong after the file was written may leave it; half of one, never.
            self.assertTrue(made == older or is_whole or name in MANY, what)

    def try_command(self, name, kinds):
        words, target = COMMANDS[name]
        desk = Desk()
        whole = self.whole(desk, name)
        for kind in kinds:
            for n in numbers():
                done, fired = desk.run(words, f"{kind}:{n}")
                if fired:
                    with self.subTest(command=name, kind=kind, n=n):
                        self.judge(desk, name, f"{kind}:{n}", done, whole)
                desk.restore(target)
                if not fired or (not EVERY and kind == "memory" and n > 30):
                    break

    def test_when_a_file_cannot_be_opened_written_or_put_in_its_place(self):
        for name in commands():
            self.try_command(name, FILES)

    def test_without_memory(self):
        for name in commands():
            self.try_command(name, ["memory"])

    def test_when_the_output_takes_nothing(self):
        desk = Desk()
        for name in commands():
            words, target = COMMANDS[name]
            whole = self.whole(desk, name)
            with open("/dev/full", "wb") as full, self.subTest(command=name):
                done, _ = desk.run(words, stdout=full)
                self.judge(desk, name, "no room for its output", done, whole)
                self.assertTrue(done.returncode == 1 or whole[0] == b"", name)
            desk.restore(target)


CLONE_NEWNS = 0x00020000


class Disk(Faults):
    """A disk of its own in memory, which nobody else sees."""

    @classmethod
    def setUpClass(cls):
        library = ctypes.CDLL(None, use_errno=True)
        cls.place = HOME / "disk"
        cls.place.mkdir()
        if library.unshare(CLONE_NEWNS) != 0 or cls.mount("--make-rprivate", "/") != 0:
            raise unittest.SkipTest("needs the right to mount a small disk")
        if cls.mount("-t", "tmpfs", "-o", "size=8m", "none", cls.place) != 0:
            raise unittest.SkipTest("needs the right to mount a small disk")

    @classmethod
    def tearDownClass(cls):
        subprocess.run(["umount", cls.place], check=True)

    @staticmethod
    def mount(*words):
        return subprocess.run(["mount", *words], stderr=subprocess.DEVNULL, check=False).returncode

    def fill(self, free):
        filler = self.place / "filler"
        filler.unlink(missing_ok=True)
        with open(filler, "wb", buffering=0) as file:
            try:
                while file.write(bytes(4096)):
                    pass
            except OSError:
                pass
            file.truncate(max(0, file.tell() - free))

    test_when_a_file_cannot_be_opened_written_or_put_in_its_place = None
    test_without_memory = None
    test_when_the_output_takes_nothing = None

    def desk(self):
        for path in self.place.iterdir():
            path.unlink()
        return Desk(self.place)

    def test_when_the_disk_is_full(self):
        desk = self.desk()
        for name in commands():
            words, target = COMMANDS[name]
            whole = self.whole(desk, name)
            for free in (0, 4096, 20480, 65536) if EVERY else (0, 20480):
                self.fill(free)
                with self.subTest(command=name, free=free):
                    done, _ = desk.run(words)
                    self.judge(desk, name, f"{free} bytes free", done, whole)
                (self.place / "filler").unlink()
                desk.restore(target)

    def test_when_the_folder_is_read_only(self):
        desk = self.desk()
        for name in commands():
            words, target = COMMANDS[name]
            whole = self.whole(desk, name)
            self.assertEqual(self.mount("-o", "remount,ro", self.place), 0)
            try:
                with self.subTest(command=name):
                    done, _ = desk.run(words)
                    self.judge(desk, name, "a read-only folder", done, whole)
                    self.assertEqual(done.returncode, 1 if target else 0, name)
            finally:
                self.assertEqual(self.mount("-o", "remount,rw", self.place), 0)
            desk.restore(target)


if __name__ == "__main__":
    unittest.main()
