"""Small clips of many containers and coders, made by the ffmpeg command: what mutation starts from.

Usage: tests/fuzz/corpus.py FOLDER"""
import pathlib
import subprocess
import sys

PICTURE = ["-f", "lavfi", "-i", "testsrc2=s=64x48:r=25:d=0.6"]
SOUND = ["-f", "lavfi", "-i", "aevalsrc='0.4*sin(2000*t)+0.3*random(0)':s=48000:d=0.6"]
X264 = "-c:v libx264 -preset veryfast -threads 1 -bf 2 -g 6"
X265 = "-c:v libx265 -preset ultrafast -x265-params log-level=none:pools=none:keyint=6:bframes=2"

# name: words for ffmpeg; "mute" leaves the sound out.
CLIPS = {
    "h264_aac.mp4": f"{X264} -c:a aac",
    "h264_fragments.mp4": f"{X264} -c:a aac -movflags frag_keyframe+empty_moov",
    "h264_interlaced.mov": f"{X264} -flags +ildct+ilme -c:a pcm_s16le",
    "h264_open_groups.mkv": f"{X264} -x264-params open-gop=1:log-level=none -c:a libopus",
    "h264_refresh.mp4": "-c:v libx264 -preset veryfast -threads 1 -x264-params intra-refresh=1 -g 6 -c:a aac",
    "h264_444.mkv": f"{X264} -pix_fmt yuv444p -c:a flac",
    "h264_aac.ts": f"{X264} -c:a aac",
    "hevc_hlg.mov": f"{X265} -pix_fmt yuv420p10le -color_trc arib-std-b67 -color_primaries bt2020"
                    " -colorspace bt2020nc -tag:v hvc1 -c:a pcm_s24le",
    "hevc_ac3.mkv": f"{X265} -pix_fmt yuv420p -c:a ac3",
    "hevc.ts": f"{X265} -pix_fmt yuv420p -c:a mp2",
    "vp9_opus.webm": "-c:v libvpx-vp9 -deadline realtime -cpu-used 8 -g 6 -c:a libopus",
    "vp8_vorbis.webm": "-c:v libvpx -deadline realtime -g 6 -c:a libvorbis",
    "av1_opus.mp4": "-c:v libaom-av1 -cpu-used 8 -usage realtime -g 6 -c:a libopus",
    "mpeg4_mp3.avi": "-c:v mpeg4 -bf 2 -g 6 -c:a libmp3lame",
    "mjpeg_pcm.avi": "-c:v mjpeg -pix_fmt yuvj420p -c:a pcm_u8",
    "mpeg2_mp2.ts": "-c:v mpeg2video -bf 2 -g 6 -c:a mp2",
    "ffv1_flac.mkv": "-c:v ffv1 -c:a flac",
    "prores.mov": "-c:v prores_ks -profile:v 0 -c:a pcm_s16be",
    "alpha.mov": "-c:v qtrle -pix_fmt argb mute",
}


def make(folder):
    """Those that are missing; gives their paths."""
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, words in CLIPS.items():
        path = folder / name
        paths.append(path)
        if path.exists():
            continue
        mute = words.endswith(" mute")
        made = path.with_name("making-" + name)
        command = ["ffmpeg", "-nostdin", "-v", "error", "-y", "-bitexact", *PICTURE, *([] if mute else SOUND),
                   *words.removesuffix(" mute").split(), made]
        subprocess.run(command, check=True, stdin=subprocess.DEVNULL)
        made.rename(path)
    return paths


if __name__ == "__main__":
    for clip in make(sys.argv[1]):
        print(clip)
