"""Awkward clips, made with the ffmpeg command: name -> the commands that make it.

Each command is a list of arguments before the output's name; {name} stands for a clip made before.
JOIN instead of a command: the bytes of two clips, one after the other. FIELDS: see fields.py.
"""

JOIN, FIELDS = "join", "fields"

# Noise, so that no two frames are alike and decoding from a wrong start shows at once.
MOTION = "testsrc2=size={size}:rate={rate}:duration={seconds},noise=alls=24:allf=t:all_seed=11"


def motion(size="176x144", rate="30", seconds="3", more=""):
    source = MOTION.format(size=size, rate=rate, seconds=seconds) + ("," + more if more else "")
    return ["-f", "lavfi", "-i", source]


def x264(params, *more):
    return ["-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p", "-threads", "1",
            "-x264-params", params, *more]


def x265(params, *more):
    return ["-c:v", "libx265", "-preset", "ultrafast", "-x265-params", f"log-level=none:{params}",
            "-threads", "1", *more]


TONE = ["-f", "lavfi", "-i", "sine=frequency=441:duration=3"]
OPEN_GOP = x264("open-gop=1:keyint=19:min-keyint=5:bframes=3:b-adapt=0:scenecut=0")
CLOSED = x264("keyint=23:bframes=3:b-adapt=0:scenecut=0")

CLIPS = {
    # H.264
    "b_frames.mp4": motion() + TONE + CLOSED + ["-c:a", "aac"],
    "open_gop.mp4": motion() + OPEN_GOP,
    "open_gop.mkv": ["-i", "{open_gop.mp4}", "-c", "copy"],
    "open_gop.ts": motion() + OPEN_GOP,
    "open_gop_one_header.ts": ["-i", "{open_gop.mp4}", "-c", "copy"],
    "long_gop.mp4": motion(seconds="4.5") + x264("keyint=600:bframes=5:b-pyramid=normal:ref=5"),
    "intra_refresh.mp4": motion() + x264("intra-refresh=1:keyint=17:bframes=0:scenecut=0"),
    "intra_refresh.ts": ["-i", "{intra_refresh.mp4}", "-c", "copy"],
    "ten_bit.mp4": motion() + x264("keyint=31:bframes=2", "-pix_fmt", "yuv420p10le"),
    "full_range.mp4": motion(more="scale=out_range=full") + x264(
        "keyint=25", "-pix_fmt", "yuvj420p", "-color_range", "pc"),
    "interlaced.ts": motion(more="interlace") + x264(
        "keyint=15:bframes=2", "-flags", "+ildct+ilme"),
    "rates_240.mp4": motion(rate="240", seconds="0.6") + CLOSED,
    "no_pts.avi": motion() + x264("keyint=21:bframes=2:b-adapt=0"),
    # the same packets in other timings
    "edit_list.mp4": ["-ss", "0.93", "-i", "{b_frames.mp4}", "-map", "0:v", "-c", "copy"],
    "edit_list_with_sound.mov": ["-ss", "1.21", "-i", "{b_frames.mp4}", "-c", "copy"],
    "edit_list_open_gop.mp4": ["-ss", "1.37", "-i", "{open_gop.mp4}", "-c", "copy"],
    "late_first.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-output_ts_offset", "1.7"],
    "late_first.mkv": ["-i", "{b_frames.mp4}", "-c", "copy", "-output_ts_offset", "4.3"],
    "negative_offsets.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-movflags",
                             "negative_cts_offsets"],
    "fragments.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-movflags",
                      "frag_keyframe+empty_moov+default_base_moof"],
    "fragments_by_frame.mp4": ["-i", "{open_gop.mp4}", "-c", "copy", "-movflags",
                               "frag_every_frame+empty_moov"],
    "table_first.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-movflags", "faststart"],
    "with_sound.ts": ["-i", "{b_frames.mp4}", "-c", "copy"],
    "no_cues.mkv": ["-i", "{b_frames.mp4}", "-map", "0:v", "-c", "copy", "-live", "1"],
    "variable.mp4": motion(more="select='not(eq(mod(n,7),3))*not(between(n,40,52))'") + CLOSED + [
        "-fps_mode", "vfr", "-video_track_timescale", "90000"],
    "variable.mkv": ["-i", "{variable.mp4}", "-c", "copy"],
    "doubled_times.mkv": ["-i", "{intra_refresh.mp4}", "-c", "copy", "-bsf:v",
                          "setts=pts=PTS+mod(N\\,2)*33"],
    "contradicting_times.mkv": ["-i", "{intra_refresh.mp4}", "-c", "copy", "-bsf:v",
                                "setts=pts=PTS+mod(N\\,2)*512"],
    "cut_in_a_group.ts": ["-i", "{open_gop.ts}", "-c", "copy", "-copyinkf", "-ss", "0.9"],
    "two_recordings.ts": [JOIN, "{open_gop.ts}", "{other.ts}"],
    "size_changes.ts": [JOIN, "{open_gop.ts}", "{larger.ts}"],
    "larger.ts": motion(size="208x160", seconds="1.5") + x264("keyint=15:bframes=2"),
    "other.ts": motion(seconds="1.5") + x264("keyint=15:bframes=2"),
    # 2.2 s before its clock of 33 bits begins anew; and five seconds of it left out
    "wraps.ts": ["-i", "{b_frames.mp4}", "-map", "0:v", "-c", "copy", "-output_ts_offset", "95441.5"],
    "wraps_open_gop.ts": ["-i", "{open_gop.mp4}", "-c", "copy", "-output_ts_offset", "95441.5"],
    "gap.ts": ["-i", "{b_frames.mp4}", "-map", "0:v", "-c", "copy", "-bsf:v",
               "setts=pts=PTS+gte(N\\,46)*450000:dts=DTS+gte(N\\,46)*450000"],
    # a field a packet
    "fields.h264": [FIELDS],
    "fields.ts": ["-r", "50", "-i", "{fields.h264}", "-c", "copy"],
    "fields.mkv": ["-r", "50", "-i", "{fields.h264}", "-c", "copy"],
    "fields.mp4": ["-r", "50", "-i", "{fields.h264}", "-c", "copy"],
    # HEVC
    "hevc_open.mp4": motion() + x265("keyint=18:min-keyint=18:bframes=4:b-adapt=0:open-gop=1",
                                     "-pix_fmt", "yuv420p", "-tag:v", "hvc1"),
    "hevc_ten_bit.mp4": motion() + x265("keyint=22:bframes=3", "-pix_fmt", "yuv420p10le"),
    "hevc_open.mkv": ["-i", "{hevc_open.mp4}", "-c", "copy"],
    "hevc_open.ts": ["-i", "{hevc_open.mp4}", "-c", "copy"],
    "hevc_begins_open.mp4": ["-ss", "1.3", "-i", "{hevc_open.mp4}", "-c", "copy"],
    "hevc_begins_open.ts": ["-ss", "1.3", "-i", "{hevc_open.ts}", "-c", "copy"],
    # others
    "vp9.webm": motion() + ["-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8",
                            "-g", "28", "-b:v", "200k"],
    "vp9_alt_ref.webm": motion() + ["-c:v", "libvpx-vp9", "-cpu-used", "5", "-g", "40",
                                    "-auto-alt-ref", "1", "-lag-in-frames", "20", "-b:v", "150k"],
    "vp8_alt_ref.webm": motion() + ["-c:v", "libvpx", "-cpu-used", "5", "-auto-alt-ref", "1",
                                    "-lag-in-frames", "16", "-g", "30", "-b:v", "150k"],
    "av1.mp4": motion(seconds="2") + ["-c:v", "libsvtav1", "-preset", "12", "-g", "16"],
    "motion_jpeg.avi": motion() + ["-c:v", "mjpeg", "-q:v", "5"],
    "motion_jpeg_422.mov": motion(size="162x118") + ["-c:v", "mjpeg", "-pix_fmt", "yuvj422p"],
    "skipped.avi": motion(more="select='lt(mod(n,5),3)'") + ["-c:v", "mjpeg", "-fps_mode", "vfr"],
    "mpeg4.avi": motion() + ["-c:v", "mpeg4", "-g", "20", "-q:v", "6"],
    "mpeg4_b_frames.avi": motion() + ["-c:v", "mpeg4", "-bf", "2", "-g", "20", "-q:v", "6"],
    "mpeg4_packed.avi": motion() + ["-c:v", "libxvid", "-bf", "2", "-g", "20", "-q:v", "6"],
    "mpeg4_b_frames.mp4": ["-i", "{mpeg4_b_frames.avi}", "-c", "copy"],
    "mpeg2.ts": motion() + ["-c:v", "mpeg2video", "-bf", "2", "-g", "18", "-q:v", "6"],
    "prores.mov": motion(seconds="1") + ["-c:v", "prores_ks", "-pix_fmt", "yuv422p10le"],
    "alpha.mov": motion(seconds="1", more="format=yuva444p10le,geq=lum='lum(X,Y)':cb='cb(X,Y)':"
                        "cr='cr(X,Y)':a='4*X'") + ["-c:v", "prores_ks", "-pix_fmt", "yuva444p10le"],
    "alpha_rgb.mov": motion(size="123x87", seconds="1") + ["-c:v", "png", "-pix_fmt", "rgba"],
    "palette.mov": motion(size="123x87", seconds="1") + ["-c:v", "png", "-pix_fmt", "pal8"],
    # so large that their indexes are kept from the second visit on
    "large.mp4": motion(size="352x288") + x264("keyint=23:bframes=3:crf=6"),
    "large_open_gop.mp4": motion(size="352x288") + x264(
        "open-gop=1:keyint=19:min-keyint=5:bframes=3:b-adapt=0:scenecut=0:crf=6"),
    "large_open_gop.ts": ["-i", "{large_open_gop.mp4}", "-c", "copy"],
    "large_no_cues.mkv": ["-i", "{large_open_gop.mp4}", "-c", "copy", "-live", "1"],
    "large_no_pts.avi": ["-i", "{large.mp4}", "-c", "copy"],
    # orientation and shape
    "turned_90.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-metadata:s:v:0", "rotate=90"],
    "turned_180.mp4": ["-i", "{b_frames.mp4}", "-c", "copy", "-metadata:s:v:0", "rotate=180"],
    "turned_270.mov": ["-i", "{b_frames.mp4}", "-c", "copy", "-metadata:s:v:0", "rotate=270"],
    "wide_pixels.mp4": motion(more="setsar=4/3") + CLOSED,
    "odd_size.mkv": motion(size="177x143") + x264("keyint=19", "-pix_fmt", "yuv444p"),
}
