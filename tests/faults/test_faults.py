"""Each command with one call of its own failing: memory, open, create, write, fsync, rename. Always one clear
line and exit 1, or the whole result; never a half-written file, never a lost one.

FAULTS=all tries every call; else some are taken, growing apart."""
import os
import pathlib
import shutil
import subprocess
import tempfile
import unittest

PROGRAM = os.environ["SERVEPLUMB"]
PLAIN = os.path.basename(os.environ["SP_BUILD"]) == "plain"
EVERY = os.environ.get("FAULTS") == "all"
CLIPS = ["serve-side.mp4", "serve.mp4"]
FILES = ["open", "create", "write", "fsync", "rename"]
# What a command is asked, and the file it writes.
COMMANDS = {
    "facts": (["facts", "serve.mp4", "--json"], None),
    "new": (["new", "serve.mp4", "-o", "out.review.json"], "out.review.json"),
    "validate": (["validate", "serve.review.json"], None),
    "measure": (["measure", "serve.review.json", "--json"], None),
    "check": (["check", "serve.review.json", "--json"], None),
    "compare": (["compare", "serve.review.json", "other.review.json"], None),
    "still": (["still", "serve.review.json", "--moment", "drop", "-o", "out.png"], "out.png"),
    "pdf": (["still", "serve.review.json", "--moment", "drop", "-o", "out.pdf"], "out.pdf"),
    "clip": (["clip", "serve.review.json", "--from", "180", "--to", "186", "--slow", "1", "--hold", "0",
              "-o", "out.mp4"], "out.mp4"),
    "report": (["report", "serve.review.json", "--no-clip", "-o", "out.html"], "out.html"),
    "export": (["export", "serve.review.json", "--csv", "out.csv"], "out.csv"),
    "import": (["import", "serve.review.json", "--csv", "points.csv", "-o", "out.review.json"], "out.review.json"),
}


def setUpModule():
    global FOLDER, HOME, LIBRARY
    if not PLAIN:
        raise unittest.SkipTest("the faults are loaded before the C library, where the sanitizers are")
    FOLDER = tempfile.TemporaryDirectory()
    HOME = pathlib.Path(FOLDER.name)
    LIBRARY = HOME / "faults.so"
    subprocess.run(["gcc", "-std=c11", "-D_GNU_SOURCE", "-Wall", "-Wextra", "-Werror", "-O1", "-shared", "-fPIC",
                    "tests/faults/faults.c", "-o", LIBRARY, "-ldl"], check=True)


def tearDownModule():
    FOLDER.cleanup()


class Desk:
    """A folder with a clip, a review and what the command needs."""

    def __init__(self):
        self.folder = tempfile.TemporaryDirectory(dir=HOME)
        self.path = pathlib.Path(self.folder.name)
        self.work = self.path / "work"
        self.work.mkdir()
        shutil.copy("build/demo/serve-side.mp4", self.work / "serve-side.mp4")
        os.link(self.work / "serve-side.mp4", self.work / "serve.mp4")
        for name in ("serve", "other"):
            shutil.copy("build/demo/serve-side.review.json", self.work / f"{name}.review.json")
        self.run(["export", "serve.review.json", "--csv", "points.csv"])
        self.before = self.contents()

    def contents(self):
        return {path.name: path.read_bytes() for path in self.work.iterdir() if path.name not in CLIPS}

    def run(self, words, fault=None):
        environment = dict(os.environ, XDG_CACHE_HOME=str(self.path / "cache"),
                           XDG_CONFIG_HOME=str(self.path / "config"), LC_ALL="C.UTF-8")
        told = self.path / "told"
        if fault:
            environment.update(LD_PRELOAD=str(LIBRARY), SP_FAULT=fault, SP_FAULT_TOLD=str(told))
        done = subprocess.run([PROGRAM, *words], cwd=self.work, env=environment, capture_output=True, check=False,
                              timeout=120)
        fired = told.is_dir()
        if fired:
            told.rmdir()
        return done, fired

    def forget(self, name):
        if name:
            (self.work / name).unlink(missing_ok=True)


def numbers():
    """Which calls fail: the first ones, then each time twice as far on."""
    n = 1
    while True:
        yield n
        n += 1 if EVERY else n


class Faults(unittest.TestCase):
    def judge(self, desk, name, fault, done, whole):
        words, target = COMMANDS[name]
        what = f"{' '.join(words)} with {fault}: exit {done.returncode}: {done.stderr.decode()}"
        after = desk.contents()
        made = after.pop(target, None) if target else None
        after.pop("serve.review.json.lock", None)
        self.assertEqual(after, desk.before, what)
        if done.returncode == 0:
            self.assertEqual(done.stdout, whole, what)
            if target:
                self.assertIsNotNone(made, what)
        else:
            self.assertEqual(done.returncode, 1, what)
            self.assertEqual(done.stderr.count(b"\n"), 1, what)
            self.assertTrue(done.stderr.startswith(b"serveplumb: "), what)
            self.assertIsNone(made, what)

    def try_command(self, name, kinds):
        words, target = COMMANDS[name]
        desk = Desk()
        done, _ = desk.run(words)
        self.assertEqual(done.returncode, 0, done.stderr)
        whole = done.stdout
        desk.forget(target)
        for kind in kinds:
            for n in numbers():
                done, fired = desk.run(words, f"{kind}:{n}")
                if not fired:
                    desk.forget(target)
                    break
                with self.subTest(command=name, kind=kind, n=n):
                    self.judge(desk, name, f"{kind}:{n}", done, whole)
                desk.forget(target)
                if not EVERY and kind == "memory" and n > 30:
                    break

    def test_every_command_when_a_file_cannot_be_opened_written_or_put_in_its_place(self):
        for name in COMMANDS:
            self.try_command(name, FILES)

    def test_every_command_without_memory(self):
        for name in COMMANDS:
            self.try_command(name, ["memory"])


if __name__ == "__main__":
    unittest.main()
