#include "serveplumb/clip.h"

#include <assert.h>
#include <stdlib.h>

#include "clip/access.h"
#include "clip/facts.h"
#include "clip/kept_index.h"
#include "clip/refusal.h"
#include "clip/run.h"

static const size_t cache_bytes_default = (size_t)512 << 20;

struct sp_clip {
    sp_reader reader;
    sp_index index;
    sp_run run;
    sp_cache cache;
    sp_converter *converter;
    sp_clip_facts facts;
    double *times;
    sp_stop stop; /* of the visit under way */
    bool stopped; /* it was */
    sp_watcher watcher;
    bool passing;    /* nothing is kept */
    int errors_told; /* to the frames in the cache */
    int reach;       /* packets that the last run began earlier than it had to, going backward */
};

/* Wraps the picture that the run gave last; NULL without memory. */
static sp_frame *wrap(sp_clip *clip, int serial) {
    sp_frame *frame =
        sp_frame_new(clip->run.picture, clip->index.packets[serial].number, clip->converter);
    if (frame == NULL) return NULL;
    atomic_store(&frame->damaged, sp_index_is_damaged(&clip->index, serial));
    if (!clip->passing) sp_cache_put(&clip->cache, frame);
    if (clip->watcher.sees != NULL) clip->watcher.sees(clip->watcher.context, frame);
    return frame;
}

static bool is_wanted(const sp_clip *clip, int serial) {
    const AVFrame *picture = clip->run.picture;
    return clip->index.packets[serial].number >= 0 && sp_run_is_exact(&clip->run, serial) &&
           picture->width <= SP_CLIP_SIDE_MAX && picture->height <= SP_CLIP_SIDE_MAX;
}

static bool is_stopped(sp_clip *clip) {
    if (clip->stop.asks != NULL && clip->stop.asks(clip->stop.context)) clip->stopped = true;
    return clip->stopped;
}

/* Goes on with the run until frame n comes, and keeps what comes on the way. */
static sp_frame *collect(sp_clip *clip, int n) {
    const int limit = clip->index.serials[n] + sp_run_delay(&clip->run);
    for (int serial; (serial = sp_run_picture(&clip->run, limit)) >= 0;) {
        sp_frame *frame = is_wanted(clip, serial) ? wrap(clip, serial) : NULL;
        if (frame != NULL && frame->number == n) return frame;
        sp_frame_unref(frame);
        if (clip->run.misled || clip->run.troubled || is_stopped(clip)) return NULL;
    }
    return NULL;
}

/* Going backward, each run ends where the one before began: the first frame after it is there. */
static bool is_backward(sp_clip *clip, int n) {
    return n + 1 < clip->facts.frames && sp_cache_has(&clip->cache, n + 1);
}

/* Going backward, each run has a price: the decoder begins anew, and after a recovery point a whole
 * group is decoded in vain. So each time it begins farther back, up to half of what can be kept. */
static int longer_reach(sp_clip *clip, int n) {
    enum { FIRST = 8, ENOUGH = 64 };
    if (!is_backward(clip, n)) return 0;
    const int serial = clip->index.serials[n], start = sp_index_start(&clip->index, serial);
    const bool clean = clip->index.packets[start].key != SP_KEY_WARM;
    const int half = sp_cache_capacity(&clip->cache) / 2;
    const int most = clean && half > ENOUGH ? ENOUGH : half;
    const int reach = clip->reach > 0 ? 2 * clip->reach : FIRST;
    return reach < most ? reach : most;
}

static int start_of(const sp_clip *clip, int n, int reach) {
    const int serial = clip->index.serials[n];
    int start = sp_index_start(&clip->index, serial);
    while (start > 0) {
        const int earlier = sp_index_start(&clip->index, start - 1);
        if (serial - earlier >= reach) break;
        start = earlier;
    }
    return start;
}

static sp_frame *attempt(sp_clip *clip, int n) {
    int start = sp_index_start(&clip->index, clip->index.serials[n]);
    if (sp_run_reaches(&clip->run, n, start)) {
        sp_frame *frame = collect(clip, n);
        if (frame != NULL || clip->run.misled || clip->run.troubled || clip->stopped) return frame;
    }
    clip->reach = longer_reach(clip, n);
    start = start_of(clip, n, clip->reach);
    return sp_run_begin(&clip->run, start) ? collect(clip, n) : NULL;
}

/* The first error in a clip changes how it is decoded from then on, each way once: in one thread,
 * and no longer from recovery points. What was decoded before is given up. */
static bool learn_from_errors(sp_clip *clip) {
    const bool troubled = clip->run.troubled && !clip->run.careful;
    const bool misled = clip->run.misled && !clip->index.only_clean;
    if (!troubled && !misled) return false;
    if (troubled) sp_run_take_care(&clip->run);
    if (misled) clip->index.only_clean = true;
    sp_cache_empty(&clip->cache);
    return true;
}

static sp_frame *decode(sp_clip *clip, int n) {
    sp_frame *frame = attempt(clip, n);
    while (!clip->stopped && learn_from_errors(clip)) {
        sp_frame_unref(frame);
        frame = attempt(clip, n);
    }
    return frame;
}

static sp_frame *fail_lost(sp_clip *clip, int n, sp_error *error) {
    sp_fail(error, SP_ERROR_DAMAGED,
            "frame %d of '%s' cannot be decoded: the clip is damaged there; step past it, or copy "
            "the clip again",
            n, clip->reader.path);
    return NULL;
}

sp_frame *sp_clip_fail_end(const sp_clip *clip, sp_error *error) {
    sp_fail(error, SP_ERROR_END, "'%s' ends with frame %d", clip->reader.path,
            clip->facts.frames - 1);
    return NULL;
}

/* Why the visit that just ended gave nothing. */
static sp_frame *fail_visit(sp_clip *clip, int n, sp_error *error) {
    if (clip->stopped) {
        sp_fail(error, SP_ERROR_CANCELLED, "frame %d of '%s' was given up for a newer request", n,
                clip->reader.path);
        return NULL;
    }
    if (clip->run.astray) {
        sp_fail(error, SP_ERROR_FILE,
                "'%s' has changed or can no longer be read; close it and open it again",
                clip->reader.path);
        return NULL;
    }
    clip->index.packets[clip->index.serials[n]].lost = true;
    sp_index_set_error(&clip->index, clip->index.serials[n]);
    return fail_lost(clip, n, error);
}

/* Errors that were met after a frame had come tell on it, too. */
static void tell_errors(sp_clip *clip) {
    if (clip->errors_told == clip->index.errors) return;
    clip->errors_told = clip->index.errors;
    int count = 0;
    sp_frame **frames = sp_cache_list(&clip->cache, &count);
    for (int i = 0; i < count; i++) {
        if (sp_index_is_damaged(&clip->index, clip->index.serials[frames[i]->number]))
            atomic_store(&frames[i]->damaged, true);
        sp_frame_unref(frames[i]);
    }
    free(frames);
}

sp_frame *sp_clip_frame_unless(sp_clip *clip, int n, sp_stop stop, sp_error *error) {
    assert(n >= 0);
    if (n >= clip->facts.frames) return sp_clip_fail_end(clip, error);
    if (sp_clip_has_lost(clip, n)) return fail_lost(clip, n, error);
    sp_frame *frame = sp_cache_get(&clip->cache, n);
    if (frame != NULL) return frame;
    clip->stop = stop;
    clip->stopped = false;
    frame = decode(clip, n);
    if (frame == NULL) fail_visit(clip, n, error);
    clip->stop = (sp_stop){0};
    clip->stopped = false;
    tell_errors(clip);
    return frame;
}

sp_frame *sp_clip_frame(sp_clip *clip, int n, sp_error *error) {
    if (n < clip->facts.frames) sp_cache_step(&clip->cache, n);
    return sp_clip_frame_unless(clip, n, (sp_stop){0}, error);
}

void sp_clip_watch(sp_clip *clip, sp_watcher watcher) { clip->watcher = watcher; }

void sp_clip_set_passing(sp_clip *clip, bool passing) { clip->passing = passing; }

sp_cache *sp_clip_cache(sp_clip *clip) { return &clip->cache; }

int sp_clip_group_begin(const sp_clip *clip, int n, int *packets) {
    const int serial = clip->index.serials[n];
    const int start = sp_index_start(&clip->index, serial);
    const int number = clip->index.packets[start].number;
    *packets = serial - start + 1;
    return number >= 0 && number < n ? number : n;
}

int sp_clip_refill_begin(sp_clip *clip, int n) {
    const int start = start_of(clip, n, longer_reach(clip, n));
    const int number = clip->index.packets[start].number;
    return number >= 0 && number < n ? number : n;
}

bool sp_clip_has_lost(const sp_clip *clip, int n) {
    return clip->index.packets[clip->index.serials[n]].lost;
}

/* The first picture that comes. What was to be displayed before it was cut off with the pictures
 * that it is predicted from, unless the clip does begin with a key: then its data are damaged. */
static bool open_first(sp_clip *clip, sp_error *error) {
    const sp_packet *packets = clip->index.packets;
    if (!sp_run_begin(&clip->run, 0))
        return sp_refuse_undecodable(clip->reader.path, clip->reader.stream->codecpar, error);
    int serial = -1;
    do {
        serial = sp_run_picture(&clip->run, clip->index.count);
    } while (serial >= 0 && packets[serial].number < 0);
    if (serial < 0)
        return sp_refuse_undecodable(clip->reader.path, clip->reader.stream->codecpar, error);
    int first = 0;
    while (first < packets[serial].number && sp_index_is_cut(&clip->index, first)) first++;
    sp_index_hide_head(&clip->index, first);
    clip->run.last -= first;
    return true;
}

static bool open_run(sp_clip *clip, int threads, sp_error *error) {
    return sp_run_init(&clip->run, &clip->reader, &clip->index, threads, error) &&
           open_first(clip, error);
}

/* A kept index that does not lead to a picture is not that of this clip. */
static bool open_kept(sp_clip *clip, int threads) {
    if (!sp_kept_index_pays(&clip->reader) || !sp_kept_index_read(&clip->index, &clip->reader))
        return false;
    if (open_run(clip, threads, NULL)) return true;
    sp_run_clear(&clip->run);
    sp_index_clear(&clip->index);
    sp_kept_index_delete(&clip->reader);
    return false;
}

static bool open_anew(sp_clip *clip, int threads, sp_error *error) {
    if (!sp_reader_rewind(&clip->reader, error) ||
        !sp_index_build(&clip->index, &clip->reader, error))
        return false;
    if (sp_kept_index_pays(&clip->reader)) sp_kept_index_write(&clip->index, &clip->reader);
    return open_run(clip, threads, error);
}

static bool open_all(sp_clip *clip, const sp_clip_options *options, sp_error *error) {
    const char *path = clip->reader.path;
    const size_t budget = options->cache_bytes > 0 ? options->cache_bytes : cache_bytes_default;
    if (!open_kept(clip, options->threads) && !open_anew(clip, options->threads, error))
        return false;
    const AVFrame *picture = clip->run.picture;
    if (!sp_facts_read(&clip->facts, &clip->reader, &clip->index, picture, error)) return false;
    clip->converter = sp_converter_new(clip->facts.rotation_deg, clip->facts.mirrored);
    clip->times = sp_facts_times(&clip->reader, &clip->index);
    if (clip->converter == NULL || clip->times == NULL || !sp_cache_init(&clip->cache, budget))
        return sp_refuse_memory(path, error);
    sp_facts_set_times(&clip->facts, &clip->reader, &clip->index, clip->times);
    sp_frame_unref(wrap(clip, (int)picture->pts));
    return true;
}

sp_clip *sp_clip_open(const char *path, const sp_clip_options *options, sp_error *error) {
    static const sp_clip_options defaults = {0};
    sp_clip *clip = calloc(1, sizeof *clip);
    if (clip == NULL) {
        sp_refuse_memory(path, error);
        return NULL;
    }
    if (sp_reader_open(&clip->reader, path, error) &&
        open_all(clip, options != NULL ? options : &defaults, error))
        return clip;
    sp_clip_close(clip);
    return NULL;
}

void sp_clip_close(sp_clip *clip) {
    if (clip == NULL) return;
    sp_cache_clear(&clip->cache);
    sp_run_clear(&clip->run);
    sp_index_clear(&clip->index);
    sp_reader_close(&clip->reader);
    sp_converter_unref(clip->converter);
    free(clip->times);
    free(clip);
}

const sp_clip_facts *sp_clip_get_facts(const sp_clip *clip) { return &clip->facts; }

const double *sp_clip_times(const sp_clip *clip) { return clip->times; }
