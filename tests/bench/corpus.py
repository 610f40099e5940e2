"""The clips of the bench, made with the ffmpeg command. Flat motion with a little noise, at the
bit rates of phones: what decodes in them is ordinary, what is awkward is their order and times."""

NAMES = ("h264_60.mp4", "h264_12.mp4", "h264_250.mp4", "open_gop.mkv", "hevc_60.mp4",
         "vp9_tiles.webm", "variable.mp4", "no_times.avi", "open_gop.ts", "motion_jpeg.avi",
         "uhd_300.mp4")


def motion(size, rate, seconds, noise=3, more=""):
    return ["-f", "lavfi", "-i", f"testsrc2=size={size}:rate={rate}:duration={seconds},"
            f"noise=alls={noise}:allf=t:all_seed=11" + more]


def x264(params, *more):
    return ["-c:v", "libx264", "-preset", "superfast", "-crf", "26", "-pix_fmt", "yuv420p",
            "-x264-params", params, *more]


OPEN = x264("open-gop=1:keyint=48:min-keyint=20:bframes=3:b-adapt=0:scenecut=0")

CLIPS = {
    "h264_60.mp4": motion("1920x1080", 60, 5) + x264("keyint=60:bframes=2:scenecut=0"),
    "h264_12.mp4": motion("1920x1080", 30, 8) + x264("keyint=12:bframes=2:scenecut=0"),
    "h264_250.mp4": motion("1280x720", 60, 9) + x264("keyint=250:bframes=3:scenecut=0"),
    "open_gop.mkv": motion("1280x720", 30, 12) + OPEN,
    "open_gop.ts": motion("1280x720", 30, 12) + OPEN,
    "hevc_60.mp4": motion("1920x1080", 30, 6) + [
        "-c:v", "libx265", "-preset", "ultrafast", "-crf", "28", "-pix_fmt", "yuv420p",
        "-x265-params", "log-level=none:keyint=60:bframes=3:wpp=1", "-tag:v", "hvc1"],
    "vp9_tiles.webm": motion("1280x720", 30, 6, noise=1) + [
        "-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-g", "60", "-b:v", "4M",
        "-tile-columns", "2", "-row-mt", "1"],
    "variable.mp4": motion("1280x720", 60, 7, more=",select='not(eq(mod(n,7),3))'") + x264(
        "keyint=60:bframes=2:scenecut=0", "-fps_mode", "vfr", "-video_track_timescale", "90000"),
    "no_times.avi": motion("1280x720", 30, 10) + x264("keyint=60:bframes=2:b-adapt=0:scenecut=0"),
    "motion_jpeg.avi": motion("1280x720", 30, 8) + ["-c:v", "mjpeg", "-q:v", "4"],
    "uhd_300.mp4": motion("3840x2160", 30, 10, noise=2) + x264("keyint=300:bframes=2:scenecut=0"),
}
# An hour of 1080p, of which only the packets matter: a minute, sixty times.
HOUR_PART = ["-f", "lavfi", "-i", "testsrc2=size=1920x1080:rate=30:duration=20"] + x264(
    "keyint=60:bframes=2:scenecut=0", "-crf", "36")
HOUR_LOOPS = 180
# Frames from key to key; the frames of intra-coded clips do not depend on each other.
GROUPS = {"h264_60.mp4": 60, "h264_12.mp4": 12, "h264_250.mp4": 250, "open_gop.mkv": 48,
          "open_gop.ts": 48, "hevc_60.mp4": 60, "vp9_tiles.webm": 60, "variable.mp4": 60,
          "no_times.avi": 60, "motion_jpeg.avi": 1, "uhd_300.mp4": 300}
FULL_HD = ("h264_60.mp4", "h264_12.mp4", "hevc_60.mp4")
LARGE = FULL_HD + ("uhd_300.mp4",)
