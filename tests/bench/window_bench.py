"""How long the window takes, on a screen of its own of 1920 x 1080, with SDL's software renderer."""
import json
import os
import pathlib
import subprocess

POINTS = {"right_shoulder": (900, 420), "right_elbow": (980, 380), "right_hand": (1010, 300),
          "racquet_butt": (1012, 290), "racquet_tip": (1080, 170), "left_shoulder": (860, 430),
          "right_hip": (880, 620), "left_hip": (850, 622), "right_knee": (900, 760), "right_ankle": (905, 900),
          "left_knee": (840, 765), "left_ankle": (820, 905), "ball": (1090, 120), "right_ear": (880, 350)}
MOMENTS = {"release": 20, "trophy": 50, "drop": 70, "contact": 80}


def review_of(clip, program):
    """A review with all points on its moments, and the racquet's tip on the frames between."""
    path = clip.with_suffix(".review.json")
    path.unlink(missing_ok=True)
    subprocess.run([program, "new", str(clip), "--stature", "1.83"], check=True, capture_output=True)
    document = json.loads(path.read_text())
    document["moments"] = [{"name": name, "frame": frame} for name, frame in MOMENTS.items()]
    document["marks"] = []
    for frame in range(60, 90):
        points = POINTS if frame in MOMENTS.values() else {"racquet_tip": POINTS["racquet_tip"]}
        marked = {name: {"at": [x + 2.5 * (frame - 70), y], "by": "tap"} for name, (x, y) in points.items()}
        document["marks"].append({"frame": frame, "points": marked})
    document["scales"] = [{"id": "line", "method": "line", "frame": 0, "a": [300.5, 950.5], "b": [1500.5, 955.5],
                           "distance_m": 8.23}]
    document["scale"] = "line"
    path.write_text(json.dumps(document))
    return path


def measure(bench, review, home):
    read, write = os.pipe()
    server = subprocess.Popen(["Xvfb", "-displayfd", str(write), "-screen", "0", "1920x1080x24", "-nolisten", "tcp"],
                              pass_fds=[write], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL)
    os.close(write)
    with os.fdopen(read) as lines:
        number = lines.readline().strip()
    environment = dict(os.environ, DISPLAY=f":{number}", SDL_VIDEODRIVER="x11", SDL_RENDER_DRIVER="software",
                       SDL_AUDIODRIVER="dummy")
    environment.update({f"XDG_{name}_HOME": str(home) for name in ("CONFIG", "STATE", "CACHE")})
    try:
        done = subprocess.run([bench, review], env=environment, check=True, capture_output=True, text=True)
    finally:
        server.terminate()
        server.wait()
    return json.loads(done.stdout)


def report(bench, program, clip, home):
    taken = measure(bench, review_of(pathlib.Path(clip), program), home)
    width, height = taken["size"]
    print(f"\nThe window, {width} x {height}, software renderer: ms of the wall (and of the processor), median, p95")
    for what, words in (("step", "from a key to the call that presents, frame at hand"),
                        ("marked", "the same among frames with points and numbers"),
                        ("pan", "dragging the picture, presented"), ("zoom", "zooming, presented")):
        wall, wall_high, own, own_high = taken[what]
        print(f"{words:55}{wall:7.2f} ({own:.2f}) {wall_high:9.2f} ({own_high:.2f})")
    print(f"nothing moves, 10 s: {100 * taken['idle']:.2f} % of a processor")
