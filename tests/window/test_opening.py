"""A clip whose decoder stands still while it is opened: the window says what it is doing, goes on
painting, and Escape gives the clip up."""
import os
import pathlib
import shutil
import signal
import tempfile
import threading
import time
import unittest

from desk import MISSING, Screen, Window, make_clip, until


def children(process):
    try:
        return [int(word) for word in pathlib.Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:
        return []


class Stopper:
    """Stops each decoder of the program as it comes."""

    def __init__(self, program):
        self.program, self.over, self.stopped = program, False, []
        self.thread = threading.Thread(target=self.watch)
        self.thread.start()

    def watch(self):
        while not self.over:
            for source in children(self.program):
                for decoder in children(source):
                    if decoder not in self.stopped:
                        os.kill(decoder, signal.SIGSTOP)
                        self.stopped.append(decoder)

    def end(self):
        self.over = True
        self.thread.join()


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}")
class OpeningTest(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="serveplumb-opening-"))
        make_clip(self.folder / "serve.mp4")
        self.screen = Screen()
        self.window = self.stopper = None

    def tearDown(self):
        if self.stopper is not None:
            self.stopper.end()
        if self.window is not None:
            self.window.stop()
        self.screen.close()
        shutil.rmtree(self.folder)

    def test_a_clip_that_does_not_open_is_given_up_and_opens_the_next_time(self):
        self.window = window = Window(self.screen, self.folder)
        before = self.screen.picture()
        self.stopper = Stopper(window.process.pid)
        window.keys("Return")
        until(lambda: self.stopper.stopped, "a decoder")
        until(lambda: (self.screen.picture() != before).any(axis=2).sum() > 2000, "what is said of it")
        time.sleep(0.5)
        self.assertNotIn("serve.mp4", window.name())
        self.stopper.end()
        window.keys("Escape")
        window.line("ctrl+o", str(self.folder / "serve.mp4"))
        until(lambda: self.screen.find("red"), "its picture")
        self.assertIn("serve.mp4", window.name())


if __name__ == "__main__":
    unittest.main()
