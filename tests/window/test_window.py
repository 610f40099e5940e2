"""The window from outside: real key and mouse events, judged by the review on disk and by what is
on the screen. Needs Xvfb, xdotool and ImageMagick; skipped, saying so, where they are missing."""
import json
import os
import pathlib
import shutil
import stat
import subprocess
import time
import unittest

from desk import AWAY, BLUE, GREEN, MISSING, RED, STEP, Desk, Window, make_clip, middle, until


@unittest.skipIf(MISSING, f"without {', '.join(MISSING)}; install xvfb, xdotool, imagemagick, ffmpeg and python3-numpy")
class WindowTest(Desk, unittest.TestCase):
    def place(self, color):
        """Where a square is, with the loupe out of the way and everything standing still."""
        self.window.move(AWAY)
        last = [None]

        def still():
            now = self.screen.find(color)
            same, last[0] = now is not None and now == last[0], now
            time.sleep(0.05)
            return same

        until(still, f"the {color} square")
        return last[0]

    def assert_near(self, at, expected, tolerance=0.6):
        """A tap names a whole pixel of the screen, here about a third of one of the clip."""
        for got, wanted in zip(at, expected):
            self.assertLessEqual(abs(got - wanted), tolerance, f"got {at}, expected {expected}")

    def trophy_on_frame_7(self):
        window = self.open()
        window.keys("Return", *["Right"] * 7, "2")
        until(lambda: self.moments() == {"trophy": 7}, "the trophy on frame 7")
        return window

    def test_a_key_names_the_frame_in_view_and_undo_takes_it_back(self):
        window = self.open()
        window.keys("Return", *["Right"] * 9, "1", "shift+Right", "2", "Left", "Left", "3")
        until(lambda: self.moments() == {"release": 9, "trophy": 19, "drop": 17}, "three moments")
        window.keys("ctrl+z")
        until(lambda: self.moments() == {"release": 9, "trophy": 19}, "undo")
        window.keys("ctrl+z", "ctrl+z")
        until(lambda: self.moments() == {}, "undo of all")
        window.keys("ctrl+y", "ctrl+shift+z")
        until(lambda: self.moments() == {"release": 9, "trophy": 19}, "redo")
        window.keys("shift+2")
        until(lambda: self.moments() == {"release": 9}, "the name taken off")
        self.assertEqual(window.close()[0], 0)

    def test_the_picture_is_that_of_the_frame_named(self):
        window = self.open()
        window.keys("Return", "F")
        red, blue = self.place("red"), self.place("blue")
        zoom = (blue[0] - red[0]) / (BLUE[0] - RED[0])
        for keys, frame in ((["End"], 32), (["Left", "Left", "Left"], 29), (["shift+Left"], 19),
                            (["Home", "Right"], 1), (["g"], 23)):
            if keys == ["g"]:
                window.line("g", "23")
            else:
                window.keys(*keys)
            expected = red[0] + (10 + STEP * frame - RED[0]) * zoom

            def there():
                at = self.screen.find("magenta")
                return at is not None and abs(at[0] - expected) < zoom
            until(there, f"the picture of frame {frame}")

    def test_taps_land_where_they_are_seen(self):
        window = self.trophy_on_frame_7()
        for color, corner, name in (("red", RED, "right_shoulder"), ("lime", GREEN, "right_elbow"),
                                    ("blue", BLUE, "hand_heel")):
            window.tap(self.place(color))
            at = until(lambda: self.mark(7, name), name)
            self.assert_near(at, middle(corner))

    def test_a_nearer_picture_gives_a_finer_tap(self):
        window = self.trophy_on_frame_7()
        window.move(self.place("blue"))
        self.screen.do("click", "--repeat", 8, 4)
        time.sleep(0.3)
        window.tap(self.place("blue"))
        self.assert_near(until(lambda: self.mark(7, "right_shoulder"), "the tap"), middle(BLUE), 0.2)

    def test_keys_nudge_by_a_pixel_and_by_a_tenth(self):
        window = self.trophy_on_frame_7()
        window.tap(self.place("red"))
        x, y = until(lambda: self.mark(7, "right_shoulder"), "the tap")
        window.keys("alt+Right", "alt+Right", "alt+Up", "alt+shift+Left")

        def moved():
            at = self.mark(7, "right_shoulder")
            return abs(at[0] - (x + 1.9)) < 1e-9 and abs(at[1] - (y - 1)) < 1e-9
        until(moved, "four nudges")

    def test_a_point_is_dragged_deleted_and_brought_back(self):
        window = self.trophy_on_frame_7()
        red, green = self.place("red"), self.place("lime")
        window.tap(red)
        until(lambda: self.mark(7, "right_shoulder"), "the tap")
        window.drag(red, green)
        until(lambda: self.mark(7, "right_shoulder")[0] > 200, "the drag")
        self.assert_near(self.mark(7, "right_shoulder"), middle(GREEN), 1.0)
        window.keys("Delete")
        until(lambda: self.mark(7, "right_shoulder") is None, "the point gone")
        window.keys("ctrl+z")
        until(lambda: self.mark(7, "right_shoulder"), "the point back")

    def test_a_point_is_placed_by_keys_alone(self):
        window = self.trophy_on_frame_7()
        window.move(AWAY)
        window.keys("ctrl+Left", "ctrl+Left", "ctrl+shift+Down", "Return")
        x, y = until(lambda: self.mark(7, "right_shoulder"), "the point at the cross")
        self.assertNotEqual((x, y), (0, 0))
        window.keys("ctrl+Right", "Return")
        at = until(lambda: self.mark(7, "right_elbow"), "the next point at the cross")
        self.assertAlmostEqual(at[0], x + 1)

    def test_a_point_that_is_not_seen_is_left_out(self):
        window = self.trophy_on_frame_7()
        window.keys("x")
        window.tap(self.place("lime"))
        until(lambda: self.mark(7, "right_elbow"), "the second point")
        self.assertIsNone(self.mark(7, "right_shoulder"))

    def test_two_taps_and_a_court_distance_set_the_scale(self):
        window = self.open()
        window.keys("Return", "c", "Down", "Return")
        red, blue = self.place("red"), self.place("blue")
        window.tap(red)
        window.tap(blue)
        scale = self.until(lambda d: d.get("scales") and d["scales"][0], "the scale")
        self.assertEqual(scale["method"], "line")
        self.assertAlmostEqual(scale["distance_m"], 18 * 0.3048)  # half of 36 ft, ITF Rule 1
        self.assert_near(scale["a"], middle(RED))
        self.assert_near(scale["b"], middle(BLUE))
        self.assertEqual(self.document()["scale"], scale["id"])
        window.keys("ctrl+z")
        self.until(lambda d: not d["scales"], "undo of the scale in one step")

    def test_two_taps_on_something_upright_set_the_plumb(self):
        window = self.open()
        window.keys("Return", "p", "Down", "Return")
        window.tap(self.place("red"))
        window.tap(self.place("blue"))
        plumb = self.until(lambda d: d.get("plumb", {}).get("method") == "hang" and d["plumb"], "the plumb")
        # atan2(63 - 147, 139 - 41): up leans left, toward the red square above
        self.assertAlmostEqual(plumb["angle_deg"], -40.60, delta=0.5)

    def test_one_point_is_tapped_frame_after_frame(self):
        window = self.open()
        window.keys("Return", "e")
        window.keys("Return")
        for frame in range(3):
            window.tap(self.place("magenta"))
            at = until(lambda: self.mark(frame, "racquet_tip"), f"the tip on frame {frame}")
            self.assert_near(at, (13 + STEP * frame, 113), 1.0)
            window.move(AWAY)

    def test_hand_view_stature_and_slowdown_are_set_by_keys(self):
        window = self.open()
        window.keys("h", "v", "shift+s", "shift+s")
        window.line("t", "6 ft 1")
        window.line("d", "8")
        self.until(lambda d: d.get("clip", {}).get("slowdown") == 8, "the slowdown")
        document = self.document()
        self.assertEqual(document["player"]["hand"], "left")
        self.assertEqual(document["player"]["shoulder"], "past_trouble")
        self.assertEqual((document["view"], document["net"]), ("back", "away"))
        self.assertAlmostEqual(document["player"]["stature_m"], 73 * 0.0254)

    def test_a_wrong_line_is_refused_in_words_and_edits_nothing(self):
        window = self.open()
        window.keys("1")
        until(lambda: self.moments() == {"release": 0}, "a review")
        window.line("t", "tall")
        window.keys("Escape", "2")
        until(lambda: self.moments() == {"release": 0, "trophy": 0}, "the next edit")
        self.assertNotIn("stature_m", self.document()["player"])

    def test_the_still_lies_beside_the_review(self):
        window = self.trophy_on_frame_7()
        window.keys("s", "Right", "s")
        for word in ("trophy", "frame8"):
            path = self.folder / f"serve-{word}.png"
            until(path.exists, path.name)
            self.assertEqual(path.read_bytes()[:8], b"\x89PNG\r\n\x1a\n")

    def test_a_review_opens_its_clip_again_with_all_that_was_tapped(self):
        window = self.trophy_on_frame_7()
        window.tap(self.place("red"))
        first = until(lambda: self.mark(7, "right_shoulder"), "the tap")
        self.assertEqual(window.close(), (0, ""))
        window = self.open(self.review)
        until(lambda: "serve.mp4" in window.name(), "the clip")
        window.keys("Next", "Tab", "alt+Down")
        until(lambda: self.mark(7, "right_shoulder") == (first[0], first[1] + 1), "one nudge more")

    def test_a_turned_clip_is_shown_upright_and_tapped_upright(self):
        stored = self.folder / "stored.mp4"
        make_clip(stored, turn="transpose=clock")  # 180 x 320 as stored
        subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", stored, "-c", "copy", "-metadata:s:v",
                        "rotate=90", self.clip], check=True, stdin=subprocess.DEVNULL)
        window = self.trophy_on_frame_7()
        for color, corner, name in (("red", RED, "right_shoulder"), ("blue", BLUE, "right_elbow")):
            window.tap(self.place(color))
            self.assert_near(until(lambda: self.mark(7, name), name), middle(corner))

    def preferences(self):
        path = self.screen.home / "config" / "serveplumb" / "preferences.json"
        return json.loads(path.read_text()) if path.exists() else {}

    def test_what_is_preferred_is_there_again_for_the_next_clip(self):
        window = self.open()
        window.keys("b", "u", "ctrl+p", "Down", "Down", "Down", "Return", "Down", "Return", "Escape")
        until(lambda: self.preferences().get("view") == "back", "the preferences on disk")
        self.assertEqual({k: v for k, v in self.preferences().items() if k in ("theme", "units", "hand", "view")},
                         {"theme": "light", "units": "imperial", "hand": "left", "view": "back"})
        self.assertEqual(window.close()[0], 0)
        window = self.open()
        window.keys("1")
        self.until(lambda d: d.get("moments"), "an edit")
        document = self.document()
        self.assertEqual((document["player"]["hand"], document["view"], document["net"]), ("left", "back", "away"))
        # the light sheet
        self.assertGreater(self.screen.picture()[400, 1265].min(), 200)

    def test_a_folder_is_a_list_of_its_clips(self):
        shutil.copy(self.clip, self.folder / "second.mov")
        (self.folder / "notes.txt").write_text("no clip")
        window = self.open(self.folder)
        window.keys("Return")
        until(lambda: "second.mov" in window.name(), "the first of the alphabet")
        window.keys("Return", "1")
        until((self.folder / "second.review.json").exists, "its review")
        window.keys("ctrl+d", "Down", "Return")
        until(lambda: "serve.mp4" in window.name(), "the other clip")

    def test_folders_are_gone_through_to_a_clip(self):
        (self.folder / "season").mkdir()
        shutil.copy(self.clip, self.folder / "season" / "second.mov")
        window = self.open()
        window.keys("ctrl+shift+o", "Return", "Return")  # the folder, the clip in it
        until(lambda: "second.mov" in window.name(), "the clip in the folder")
        window.keys("ctrl+shift+o", "Up", "Return", "Down", "Return")  # the folder above, its clip
        until(lambda: "serve.mp4" in window.name(), "the clip in the folder above")

    def test_a_recent_clip_is_opened_from_the_list(self):
        window = self.open()
        window.keys("3", "ctrl+q")
        window.process.communicate(timeout=20)
        pictures = list((self.screen.home / "cache" / "serveplumb").glob("*.ppm"))
        self.assertEqual([p.read_bytes()[:2] for p in pictures], [b"P6"])
        self.window = window = Window(self.screen)
        window.keys("Down", "Return")
        until(lambda: "serve.mp4" in window.name(), "the clip")

    def test_a_renamed_clip_is_found_by_its_content_and_linked(self):
        window = self.trophy_on_frame_7()
        window.close()
        renamed = self.folder / "anna.mp4"
        self.clip.rename(renamed)
        for what in (self.review, renamed):
            window = self.open(what)
            until(lambda: "anna.mp4" in window.name(), "the clip under its new name")
            window.keys("Next", "ctrl+q")
            window.process.communicate(timeout=20)
            self.assertEqual(self.document()["clip"]["file"], "serve.mp4")
        window = self.open(self.review)
        window.keys("Return")
        self.until(lambda d: d["clip"]["file"] == "anna.mp4", "the link")
        self.assertEqual(self.moments(), {"trophy": 7})
        self.assertFalse((self.folder / "anna.review.json").exists())

    def test_a_wrong_file_is_refused_in_words(self):
        wrong = self.folder / "notes.mp4"
        wrong.write_text("no clip at all")
        window = self.open(wrong)
        status, said = window.close()
        self.assertEqual(status, 1)
        self.assertEqual(len(said.splitlines()), 1, said)
        self.assertTrue(said.startswith("serveplumb: "), said)
        self.assertIn("notes.mp4", said)

    def test_a_wrong_file_leaves_what_is_open(self):
        wrong = self.folder / "notes.mp4"
        wrong.write_text("no clip at all")
        window = self.trophy_on_frame_7()
        window.line("ctrl+o", str(wrong))
        window.keys("3")
        until(lambda: self.moments() == {"trophy": 7, "drop": 7}, "an edit after the refusal")
        self.assertIn("serve.mp4", window.name())

    def test_no_argument_waits_for_a_clip(self):
        window = Window(self.screen)
        self.window = window
        window.line("ctrl+o", str(self.clip))
        until(lambda: "serve.mp4" in window.name(), "the clip")
        window.keys("1")
        until(lambda: self.moments() == {"release": 0}, "an edit")

    def test_another_clip_under_an_old_review_is_not_edited(self):
        window = self.trophy_on_frame_7()
        window.close()
        before = self.review.read_bytes()
        with open(self.clip, "ab") as clip:  # decodes as before, but is another file
            clip.write(b"\0\0\0\x08free")
        window = self.open()
        window.keys("3", "s")
        until((self.folder / "serve-frame0.png").exists, "the still, which is allowed")
        self.assertEqual(self.review.read_bytes(), before)
        self.assertEqual(window.close()[0], 0)

    @unittest.skipIf(os.geteuid() == 0, "root may write anywhere; run as another user to test this")
    def test_a_folder_that_cannot_be_written_keeps_the_edits_in_the_window(self):
        window = self.open()
        self.folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
        window.keys("1", "ctrl+q")
        time.sleep(1)
        self.assertIsNone(window.process.poll(), "closed in spite of edits that are not on disk")
        self.folder.chmod(0o700)
        window.keys("Right", "2")
        until(lambda: self.moments() == {"release": 0, "trophy": 1}, "both edits on disk")
        self.assertEqual(window.close()[0], 0)

    def test_an_idle_window_takes_no_processor_time(self):
        window = self.trophy_on_frame_7()
        window.move(AWAY)
        time.sleep(1)

        def ticks():
            fields = pathlib.Path(f"/proc/{window.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
            return int(fields[11]) + int(fields[12])
        before = ticks()
        time.sleep(2)
        self.assertLessEqual(ticks() - before, 4, "hundredths of a second in two seconds")


if __name__ == "__main__":
    unittest.main()
