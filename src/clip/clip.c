#include "serveplumb/clip.h"

#include <assert.h>
#include <stdlib.h>
#include <unistd.h>

#include "clip/access.h"
#include "clip/footage.h"
#include "clip/kept_index.h"
#include "clip/process.h"
#include "clip/refusal.h"
#include "clip/remote.h"
#include "clip/source.h"

static const size_t cache_bytes_default = (size_t)512 << 20;

struct sp_clip {
    sp_clip_options options;
    sp_footage footage;
    sp_cache cache;
    sp_converter *converter;
    sp_stop stop; /* of the visit under way */
    bool stopped; /* it was */
    sp_watcher watcher;
    bool passing;    /* nothing is kept */
    int errors_told; /* to the frames in the cache */
    int reach;       /* packets that the last run began earlier than it had to, going backward */
};

/* Wraps the picture that the run gave last; NULL without memory. */
static sp_frame *wrap(sp_clip *clip, int serial) {
    sp_frame *frame = sp_frame_new(clip->footage.run.picture,
                                   clip->footage.index.packets[serial].number, clip->converter);
    if (frame == NULL) return NULL;
    atomic_store(&frame->damaged, sp_index_is_damaged(&clip->footage.index, serial));
    if (!clip->passing) sp_cache_put(&clip->cache, frame);
    if (clip->watcher.sees != NULL) clip->watcher.sees(clip->watcher.context, frame);
    return frame;
}

static bool is_wanted(const sp_clip *clip, int serial) {
    const AVFrame *picture = clip->footage.run.picture;
    return clip->footage.index.packets[serial].number >= 0 &&
           sp_run_is_exact(&clip->footage.run, serial) && picture->width <= SP_CLIP_SIDE_MAX &&
           picture->height <= SP_CLIP_SIDE_MAX;
}

static bool is_stopped(sp_clip *clip) {
    if (clip->stop.asks != NULL && clip->stop.asks(clip->stop.context)) clip->stopped = true;
    return clip->stopped;
}

/* Goes on with the run until frame n comes, and keeps what comes on the way. */
static sp_frame *collect(sp_clip *clip, int n) {
    for (int serial; (serial = sp_run_picture(&clip->footage.run, n)) >= 0;) {
        sp_frame *frame = is_wanted(clip, serial) ? wrap(clip, serial) : NULL;
        if (frame != NULL && frame->number == n) return frame;
        sp_frame_unref(frame);
        if (clip->footage.run.misled || clip->footage.run.troubled || is_stopped(clip)) break;
    }
    sp_run_give_up(&clip->footage.run);
    return NULL;
}

/* Going backward, each run ends where the one before began: the first frame after it is there. */
static bool is_backward(sp_clip *clip, int n) {
    return n + 1 < clip->footage.facts.frames && sp_cache_has(&clip->cache, n + 1);
}

/* Going backward, each run has a price: the decoder begins anew, and after a recovery point a whole
 * group is decoded in vain. So each time it begins farther back, up to half of what can be kept. */
static int longer_reach(sp_clip *clip, int n) {
    enum { FIRST = 8, ENOUGH = 64 };
    if (!is_backward(clip, n)) return 0;
    const int serial = clip->footage.index.serials[n],
              start = sp_index_start(&clip->footage.index, serial);
    const bool clean = clip->footage.index.packets[start].key != SP_KEY_WARM;
    const int half = sp_cache_capacity(&clip->cache) / 2;
    const int most = clean && half > ENOUGH ? ENOUGH : half;
    const int reach = clip->reach > 0 ? 2 * clip->reach : FIRST;
    return reach < most ? reach : most;
}

static int start_of(const sp_clip *clip, int n, int reach) {
    const int serial = clip->footage.index.serials[n];
    int start = sp_index_start(&clip->footage.index, serial);
    while (start > 0) {
        const int earlier = sp_index_start(&clip->footage.index, start - 1);
        if (serial - earlier >= reach) break;
        start = earlier;
    }
    return start;
}

static sp_frame *attempt(sp_clip *clip, int n) {
    int start = sp_index_start(&clip->footage.index, clip->footage.index.serials[n]);
    if (sp_run_reaches(&clip->footage.run, n, start)) {
        sp_frame *frame = collect(clip, n);
        if (frame != NULL || clip->footage.run.misled || clip->footage.run.troubled ||
            clip->stopped)
            return frame;
    }
    clip->reach = longer_reach(clip, n);
    start = start_of(clip, n, clip->reach);
    return sp_run_begin(&clip->footage.run, start) ? collect(clip, n) : NULL;
}

/* The first error in a clip changes how it is decoded from then on, each way once: in one thread,
 * and no longer from recovery points. What was decoded before is given up. */
static bool learn_from_errors(sp_clip *clip) {
    const bool troubled = clip->footage.run.troubled && !clip->footage.run.careful;
    const bool misled = clip->footage.run.misled && !clip->footage.index.only_clean;
    if (!troubled && !misled) return false;
    if (troubled) sp_run_take_care(&clip->footage.run);
    if (misled) clip->footage.index.only_clean = true;
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
            n, clip->footage.path);
    return NULL;
}

sp_frame *sp_clip_fail_end(const sp_clip *clip, sp_error *error) {
    sp_fail(error, SP_ERROR_END, "'%s' ends with frame %d", clip->footage.path,
            clip->footage.facts.frames - 1);
    return NULL;
}

static sp_frame *fail_gone(const sp_clip *clip, sp_error *error) {
    sp_fail(
        error, SP_ERROR_DECODER,
        "the decoder of '%s' has ended, as a damaged or hostile clip can make it; the review is "
        "kept: open the clip again",
        clip->footage.path);
    return NULL;
}

/* Why the visit that just ended gave nothing. */
static sp_frame *fail_visit(sp_clip *clip, int n, sp_error *error) {
    if (clip->stopped) {
        sp_fail(error, SP_ERROR_CANCELLED, "frame %d of '%s' was given up for a newer request", n,
                clip->footage.path);
        return NULL;
    }
    if (clip->footage.run.gone) return fail_gone(clip, error);
    if (clip->footage.run.astray) {
        sp_fail(error, SP_ERROR_FILE,
                "'%s' has changed or can no longer be read; close it and open it again",
                clip->footage.path);
        return NULL;
    }
    clip->footage.index.packets[clip->footage.index.serials[n]].lost = true;
    sp_index_set_error(&clip->footage.index, clip->footage.index.serials[n]);
    return fail_lost(clip, n, error);
}

/* Errors that were met after a frame had come tell on it, too. */
static void tell_errors(sp_clip *clip) {
    if (clip->errors_told == clip->footage.index.errors) return;
    clip->errors_told = clip->footage.index.errors;
    int count = 0;
    sp_frame **frames = sp_cache_list(&clip->cache, &count);
    for (int i = 0; i < count; i++) {
        if (sp_index_is_damaged(&clip->footage.index,
                                clip->footage.index.serials[frames[i]->number]))
            atomic_store(&frames[i]->damaged, true);
        sp_frame_unref(frames[i]);
    }
    free(frames);
}

sp_frame *sp_clip_frame_unless(sp_clip *clip, int n, sp_stop stop, sp_error *error) {
    assert(n >= 0);
    if (n >= clip->footage.facts.frames) return sp_clip_fail_end(clip, error);
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
    if (n < clip->footage.facts.frames) sp_cache_step(&clip->cache, n);
    return sp_clip_frame_unless(clip, n, (sp_stop){0}, error);
}

bool sp_clip_is_gone(const sp_clip *clip) { return clip->footage.run.gone; }

void sp_clip_watch(sp_clip *clip, sp_watcher watcher) { clip->watcher = watcher; }

void sp_clip_heed(sp_clip *clip, const atomic_bool *left) { clip->footage.run.left = left; }

void sp_clip_set_passing(sp_clip *clip, bool passing) { clip->passing = passing; }

sp_cache *sp_clip_cache(sp_clip *clip) { return &clip->cache; }

int sp_clip_group_begin(const sp_clip *clip, int n, int *packets) {
    const int serial = clip->footage.index.serials[n];
    const int start = sp_index_start(&clip->footage.index, serial);
    const int number = clip->footage.index.packets[start].number;
    *packets = serial - start + 1;
    return number >= 0 && number < n ? number : n;
}

int sp_clip_refill_begin(sp_clip *clip, int n) {
    const int start = start_of(clip, n, longer_reach(clip, n));
    const int number = clip->footage.index.packets[start].number;
    return number >= 0 && number < n ? number : n;
}

bool sp_clip_has_lost(const sp_clip *clip, int n) {
    return clip->footage.index.packets[clip->footage.index.serials[n]].lost;
}

/* --- opening --- */

static bool find_kept(void *context, sp_index *index, const sp_reader *reader) {
    (void)context;
    return sp_kept_index_pays(reader) && sp_kept_index_read(index, reader);
}

static void keep(void *context, const sp_index *index, const sp_reader *reader) {
    (void)context;
    if (sp_kept_index_pays(reader)) sp_kept_index_write(index, reader);
}

static bool open_footage(sp_footage *footage, const char *path, const sp_clip_options *options,
                         sp_error *error) {
    static const sp_keeper keeper = {find_kept, keep, NULL};
    const int file = sp_source_open(path, error);
    if (file < 0) return false;
    sp_remote *remote = options->in_this_process ? NULL : sp_remote_new(options);
    if (remote == NULL && options->gives_up != NULL && options->gives_up(options->whom)) {
        close(file);
        return sp_fail(error, SP_ERROR_CANCELLED, "opening '%s' was given up", path);
    }
    if (remote != NULL) return sp_remote_open(footage, remote, file, path, options, &keeper, error);
    return sp_footage_open(footage, file, path, options->threads, NULL, &keeper, error);
}

/* Not all of the budget is kept: the decoder has pictures of its own, and some are on their way. */
static void leave_room(sp_clip *clip, size_t frame_bytes) {
    enum { PICTURES = 12 };
    const size_t budget = clip->options.cache_bytes;
    size_t room = budget / 8 > PICTURES * frame_bytes ? budget / 8 : PICTURES * frame_bytes;
    if (room > budget / 2) room = budget / 2;
    sp_cache_set_budget(&clip->cache, budget - room);
}

static bool open_all(sp_clip *clip, const char *path, sp_error *error) {
    if (!open_footage(&clip->footage, path, &clip->options, error)) return false;
    const sp_clip_facts *facts = &clip->footage.facts;
    clip->converter = sp_converter_new(facts->rotation_deg, facts->mirrored);
    if (clip->converter == NULL || !sp_cache_init(&clip->cache, clip->options.cache_bytes))
        return sp_refuse_memory(path, error);
    sp_frame *first = wrap(clip, clip->footage.first);
    if (first != NULL) leave_room(clip, sp_frame_bytes(first));
    sp_frame_unref(first);
    return true;
}

sp_clip *sp_clip_open(const char *path, const sp_clip_options *options, sp_error *error) {
    sp_clip *clip = calloc(1, sizeof *clip);
    if (clip == NULL) {
        sp_refuse_memory(path, error);
        return NULL;
    }
    clip->footage.reader.file = -1;
    if (options != NULL) clip->options = *options;
    if (clip->options.cache_bytes == 0) clip->options.cache_bytes = cache_bytes_default;
    if (open_all(clip, path, error)) return clip;
    sp_clip_close(clip);
    return NULL;
}

bool sp_clip_reopen(sp_clip *clip, sp_error *error) {
    if (clip->footage.run.remote == NULL) return true;
    sp_footage fresh;
    if (!open_footage(&fresh, clip->footage.path, &clip->options, error)) return false;
    const bool same = sp_footage_equals(&clip->footage, &fresh);
    if (same) sp_footage_renew(&clip->footage, &fresh);
    sp_footage_close(&fresh);
    return same || sp_fail(error, SP_ERROR_FILE,
                           "'%s' is another clip than it was; close it and open it anew",
                           clip->footage.path);
}

void sp_clip_close(sp_clip *clip) {
    if (clip == NULL) return;
    sp_cache_clear(&clip->cache);
    sp_footage_close(&clip->footage);
    sp_converter_unref(clip->converter);
    free(clip);
}

bool sp_clip_is_unguarded(const sp_clip *clip) {
    const sp_remote *remote = clip->footage.run.remote;
    if (!sp_process_is_wanted() || clip->options.in_this_process) return false;
    return remote == NULL || !sp_remote_is_shut_in(remote);
}

const sp_clip_facts *sp_clip_get_facts(const sp_clip *clip) { return &clip->footage.facts; }

const double *sp_clip_times(const sp_clip *clip) { return clip->footage.times; }
