/* Any bytes as a clip: refused with a message, or opened, and then its facts hold together and its
 * frames and its sound can be had in any order, or are said to be damaged, also from the service
 * that decodes ahead, and from a process of its own. For libFuzzer, and for replay.c. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "serveplumb/clip.h"
#include "serveplumb/frame_service.h"
#include "serveplumb/sound.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(bool holds, const char *what) {
    if (holds) return;
    fprintf(stderr, "clip_fuzz: does not hold: %s\n", what);
    abort();
}

static void require_message(const sp_error *error) {
    require(error->code != SP_ERROR_NONE, "a failure has a code");
    require(error->code != SP_ERROR_DECODER, "a clip does not end the process that decodes it");
    require(error->message[0] != '\0', "a failure has a message");
    for (const char *c = error->message; *c != '\0'; c++)
        require((unsigned char)*c >= 0x20, "a message is one line without control characters");
}

static void check_facts(const sp_clip *clip) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    const double *times = sp_clip_times(clip);
    require(facts->frames > 0, "a clip has a frame");
    require(facts->width > 0 && facts->height > 0, "a clip has a size");
    require(facts->width <= SP_PICTURE_SIDE_MAX && facts->height <= SP_PICTURE_SIDE_MAX,
            "a clip fits a picture");
    require(isfinite(facts->duration_s) && facts->duration_s >= 0, "a clip has a length");
    require(isfinite(facts->start_s), "a clip has a start");
    require(times[0] == 0, "frame 0 is at 0 s");
    for (int n = 1; n < facts->frames; n++)
        require(times[n] >= times[n - 1], "times do not go back");
}

static void check_picture(const sp_frame *frame, int width, int height) {
    sp_picture picture;
    sp_error error = {0};
    require(sp_picture_init(&picture, width, height, &error), "a small picture has memory");
    if (!sp_frame_to_picture(frame, &picture, &error)) require_message(&error);
    sp_picture_clear(&picture);
}

static void look(sp_clip *clip, int n, bool closely) {
    sp_error error = {0};
    sp_frame *frame = sp_clip_frame(clip, n, &error);
    if (frame == NULL) {
        require_message(&error);
        require(error.code != SP_ERROR_END || n >= sp_clip_get_facts(clip)->frames,
                "a clip has the frames that it counts");
        return;
    }
    require(sp_frame_number(frame) == n, "the frame given is the frame named");
    sp_frame_planes planes;
    if (sp_frame_get_planes(frame, &planes))
        require(planes.data[0] != NULL && planes.data[1] != NULL, "planes have pixels");
    char hex[33];
    if (closely && !sp_frame_md5(frame, hex, &error)) require_message(&error);
    if (closely) check_picture(frame, 40 + n % 7, 30 + n % 5);
    sp_frame_unref(frame);
}

static void check_frames(sp_clip *clip, uint32_t bits) {
    enum { FORWARD = 7, BACKWARD = 4, RANDOM = 4 };
    const int count = sp_clip_get_facts(clip)->frames;
    for (int n = 0; n < count && n < FORWARD; n++) look(clip, n, n % 3 == 0);
    for (int n = count - 1; n >= 0 && n > count - 1 - BACKWARD; n--) look(clip, n, n % 3 == 0);
    for (int i = 0; i < RANDOM; i++) {
        bits = bits * 1664525u + 1013904223u;
        look(clip, (int)(bits >> 8) % count, i == 0);
    }
    look(clip, count, false);
}

static void check_sound(const char *path, const sp_clip_facts *facts, uint32_t bits) {
    enum { COUNT = 2048, PARTS = 64, ONSETS = 8 };
    static float samples[COUNT * 2];
    static sp_sound_peak peaks[PARTS];
    static sp_onset onsets[ONSETS];
    const sp_sound_options options = {.budget_bytes = bits % 2 == 0 ? 1 << 18 : 0};
    sp_error error = {0};
    sp_sound *sound = sp_sound_open(path, facts, &options, &error);
    if (sound == NULL) {
        require_message(&error);
        return;
    }
    const sp_sound_facts *heard = sp_sound_get_facts(sound);
    require(heard->channels == 1 || heard->channels == 2, "sound has one channel or two");
    require(heard->first <= heard->end, "sound does not end before it begins");
    const int64_t places[] = {heard->first - 100, heard->end - 900, heard->end / 2, 0};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        if (!sp_sound_copy(sound, places[i], COUNT, samples, &error)) require_message(&error);
    const double end_s = (double)heard->end / SP_SOUND_RATE, to_s = end_s < 20 ? end_s : 20;
    if (to_s > 0 && !sp_sound_peaks(sound, 0, to_s, PARTS, peaks, &error)) require_message(&error);
    size_t count = 0;
    if (to_s > 0 && !sp_sound_onsets(sound, 0, to_s, onsets, ONSETS, &count, &error))
        require_message(&error);
    for (size_t i = 0; i < count; i++)
        require(isfinite(onsets[i].time_s) && onsets[i].strength_db > 0, "an onset has a time");
    sp_sound_close(sound);
}

static void check_served(sp_frame *frame, int n, const sp_error *error) {
    if (frame == NULL) {
        if (error->code != SP_ERROR_NONE) require_message(error);
        return;
    }
    require(sp_frame_number(frame) == n, "the frame served is the frame named");
    check_picture(frame, 33, 21);
    sp_frame_unref(frame);
}

/* Somebody who goes to and fro, waits for some frames and leaves in the middle of the work. */
static void check_service(sp_clip *clip, uint32_t bits) {
    const sp_frame_service_options options = {.no_reduced = bits % 4 == 0};
    const int count = sp_clip_get_facts(clip)->frames;
    sp_error error = {0};
    sp_frame_service *service = sp_frame_service_open(clip, &options, &error);
    if (service == NULL) {
        require_message(&error);
        return;
    }
    for (int i = 0; i < 6; i++) {
        bits = bits * 1664525u + 1013904223u;
        const int n = (int)(bits >> 8) % count;
        error = (sp_error){0};
        if (i % 2 == 0) {
            check_served(sp_frame_service_wait(service, n, &error), n, &error);
        } else {
            sp_frame_service_request(service, n, bits % 3 == 0 ? -30 : 30);
            check_served(sp_frame_service_get(service, n, &error), n, &error);
        }
    }
    sp_frame_service_close(service);
}

static void check_clip(const char *path, uint32_t bits) {
    const sp_clip_options options = {.cache_bytes = (size_t)1 << 22,
                                     .threads = 1 + (int)(bits % 2),
                                     .in_this_process = bits % 5 != 0};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, &options, &error);
    if (clip == NULL) {
        require_message(&error);
        return;
    }
    check_facts(clip);
    check_frames(clip, bits);
    check_sound(path, sp_clip_get_facts(clip), bits >> 1);
    if (bits % 3 == 0) {
        check_service(clip, bits);
    } else {
        sp_clip_close(clip);
    }
}

/* A file that lies in memory only. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    uint32_t bits = 2166136261u; /* FNV-1a: what is visited depends on every byte */
    for (size_t i = 0; i < size; i++) bits = (bits ^ data[i]) * 16777619u;
    sp_decoders_start(); /* once */
    const int file = memfd_create("clip", MFD_CLOEXEC);
    require(file >= 0, "a file in memory can be had");
    for (size_t done = 0; done < size;) {
        const ssize_t wrote = write(file, data + done, size - done);
        require(wrote > 0, "a file in memory can be written");
        done += (size_t)wrote;
    }
    char path[64];
    snprintf(path, sizeof path, "/proc/self/fd/%d", file);
    check_clip(path, bits);
    close(file);
    return 0;
}
