#include "clip/remote.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/index_bytes.h"
#include "clip/process.h"
#include "clip/refusal.h"
#include "clip/told.h"

/* Beside the pictures that are kept: those on their way, those that others are predicted from,
 * those that somebody holds. Only what is touched takes memory. */
static const size_t arena_beside = (size_t)2 << 30;
/* A decoder says something at each picture; silence of this long is the end of it. */
enum { SILENCE_S = 60, SILENCE_OPENING_S = 600, LOOK_UP_MS = 200 };
/* Whoever goes forward frame by frame is sent the next ones without asking for each. */
enum { IN_ORDER_FROM = 2, AHEAD = 16, TAKEN_AT_ONCE = 2 };

struct sp_remote {
    sp_process process;
    sp_arena_view *view;
    bool shut_in;
    bool sending;  /* pictures, on the way that was asked for */
    int asked_for; /* the frame that was wanted last */
    int in_order;  /* how often it was the one after the one before */
    int taken;     /* pictures, that were not told of yet */
    int64_t words; /* that came since it was asked last */
};

void sp_remote_close(sp_remote *remote) {
    if (remote == NULL) return;
    sp_process_end(&remote->process);
    sp_arena_view_unref(remote->view);
    free(remote);
}

/* --- getting ready --- */

/* Opening a long clip takes its time. SP_TALK_SILENCE: given up. */
static sp_talk_status hear_in_time(int socket, const sp_clip_options *options, sp_tell *said,
                                   sp_files *files) {
    for (int waited = 0; waited < SILENCE_OPENING_S * 1000; waited += LOOK_UP_MS) {
        const sp_talk_status status = sp_talk_receive(socket, said, sizeof *said, files, true);
        if (status != SP_TALK_SILENCE) return status;
        if (options->gives_up != NULL && options->gives_up(options->whom)) return SP_TALK_SILENCE;
    }
    return SP_TALK_OVER;
}

/* The first word comes before it has read anything of a clip: the file it brings is good. */
static bool get_ready(sp_remote *remote, size_t bytes, const sp_clip_options *options) {
    sp_tell said;
    sp_files files = {.count = 0};
    if (!sp_process_start(&remote->process, bytes)) return false;
    sp_talk_set_patience(remote->process.socket, LOOK_UP_MS);
    if (hear_in_time(remote->process.socket, options, &said, &files) == SP_TALK_HEARD &&
        said.kind == SP_TELL_READY && files.count == 1)
        remote->view = sp_arena_view_new(files.list[0], bytes);
    remote->shut_in = remote->view != NULL && said.serial == 1;
    sp_files_close(&files);
    return remote->view != NULL;
}

bool sp_remote_is_shut_in(const sp_remote *remote) { return remote->shut_in; }

sp_remote *sp_remote_new(const sp_clip_options *options) {
    const size_t budget = options->cache_bytes;
    const size_t bytes = (budget + budget / 4 + arena_beside) >> 21 << 21;
    sp_remote *remote = calloc(1, sizeof *remote);
    if (remote == NULL) return NULL;
    remote->process = (sp_process){-1, -1};
    if (get_ready(remote, bytes, options)) return remote;
    sp_remote_close(remote);
    return NULL;
}

/* --- opening --- */

static bool fail_gone(const char *path, sp_error *error) {
    return sp_fail(error, SP_ERROR_DECODER,
                   "the decoder of '%s' ended while the clip was opened, as a damaged or hostile "
                   "clip can make it; copy the clip again, or export it anew",
                   path);
}

static bool ask_to_open(sp_remote *remote, int file, const char *path, int threads,
                        const sp_index *kept) {
    sp_ask asked = {.kind = SP_ASK_OPEN, .threads = threads};
    sp_files files = {.list = {file, -1}, .count = 1};
    char *bytes = NULL;
    if (kept->count > 0) {
        const size_t length = (size_t)kept->count * SP_INDEX_RECORD_BYTES;
        bytes = malloc(length);
        if (bytes != NULL) sp_index_pack(kept, bytes);
        files.list[1] = bytes != NULL ? sp_talk_file(bytes, length) : -1;
        asked.count = kept->count;
        asked.guessed = kept->guessed;
        if (files.list[1] >= 0) files.count = 2;
    }
    free(bytes);
    char told[SP_TALK_PATH] = "";
    snprintf(told, sizeof told, "%s", path);
    const int socket = remote->process.socket;
    const bool good = sp_talk_send(socket, &asked, sizeof asked, &files) &&
                      sp_talk_send(socket, told, sizeof told, NULL);
    if (files.count > 1) close(files.list[1]);
    return good;
}

static bool read_index(sp_index *index, const sp_told_clip *told, const sp_files *files) {
    if (files->count != 1 || told->count < 1 || told->count > SP_CLIP_FRAMES_MAX) return false;
    const size_t length = (size_t)told->count * SP_INDEX_RECORD_BYTES;
    char *bytes = sp_talk_bytes(files->list[0], length);
    const sp_index_bytes packed = {bytes, length};
    const bool good =
        bytes != NULL && sp_index_unpack(index, &packed, told->count, told->guessed != 0);
    free(bytes);
    return good;
}

static void keep_built(const sp_tell *said, const sp_files *files, int file,
                       const sp_keeper *keeper) {
    const sp_reader reader = {.file = file};
    sp_index index = {0};
    if (read_index(&index, &said->clip, files)) keeper->keep(keeper->context, &index, &reader);
    sp_index_clear(&index);
}

static bool take_index(sp_footage *footage, const sp_tell *said, const sp_files *files,
                       sp_index *kept) {
    if (said->clip.count != 0 || kept->count == 0)
        return read_index(&footage->index, &said->clip, files);
    footage->index = *kept;
    *kept = (sp_index){0};
    return true;
}

static bool take_opened(sp_footage *footage, const sp_tell *said, const sp_files *files,
                        sp_index *kept) {
    if (!take_index(footage, said, files, kept)) return false;
    const AVRational base = {said->clip.base_num, said->clip.base_den};
    footage->run.index = &footage->index;
    return base.num > 0 && base.den > 0 && sp_footage_set_times(footage, base) &&
           sp_told_facts(&said->clip.facts, footage->index.frames, footage->times, &footage->facts);
}

/* Until the clip is open or refused. False with an error that is NONE when the process has ended.
 */
static bool hear_opening(sp_footage *footage, int file, const sp_clip_options *options,
                         const sp_keeper *keeper, sp_index *kept, sp_error *error) {
    const int socket = footage->run.remote->process.socket;
    for (bool built = false;; built = true) {
        sp_tell said;
        sp_files files = {.count = 0};
        const sp_talk_status status = hear_in_time(socket, options, &said, &files);
        if (status == SP_TALK_SILENCE)
            sp_fail(error, SP_ERROR_CANCELLED, "opening '%s' was given up", footage->path);
        if (status != SP_TALK_HEARD) return false;
        bool good = true;
        if (built && said.kind == SP_TELL_BUILT) said.kind = -1; /* once is all it can be */
        if (said.kind == SP_TELL_BUILT) keep_built(&said, &files, file, keeper);
        if (said.kind == SP_TELL_OPENED) good = take_opened(footage, &said, &files, kept);
        if (said.kind == SP_TELL_FAILED) sp_told_error(&said.error, error);
        sp_files_close(&files);
        if (said.kind == SP_TELL_OPENED) return good;
        if (said.kind != SP_TELL_BUILT) return false;
    }
}

static bool open_all(sp_footage *footage, int file, const sp_clip_options *options,
                     const sp_keeper *keeper, sp_error *error) {
    const sp_reader reader = {.file = file};
    sp_index kept = {0};
    footage->run.picture = av_frame_alloc();
    if (footage->run.picture == NULL) return sp_refuse_memory(footage->path, error);
    keeper->find(keeper->context, &kept, &reader);
    sp_error refused = {0};
    const bool asked =
        ask_to_open(footage->run.remote, file, footage->path, options->threads, &kept);
    const bool opened = asked && hear_opening(footage, file, options, keeper, &kept, &refused);
    sp_index_clear(&kept);
    if (opened) {
        footage->run.remote->sending = true;
        footage->first = sp_remote_picture(&footage->run, 0);
        if (footage->first >= 0) return true;
    }
    if (refused.code == SP_ERROR_NONE) return fail_gone(footage->path, error);
    if (error != NULL) *error = refused;
    return false;
}

bool sp_remote_open(sp_footage *footage, sp_remote *remote, int file, const char *path,
                    const sp_clip_options *options, const sp_keeper *keeper, sp_error *error) {
    *footage = (sp_footage){.path = strdup(path),
                            .reader.file = -1,
                            .run = {.remote = remote, .start = -1, .last = -1}};
    const bool good = footage->path != NULL ? open_all(footage, file, options, keeper, error)
                                            : sp_refuse_memory(path, error);
    close(file);
    if (!good) sp_footage_close(footage);
    return good;
}

/* --- a run --- */

static bool lose(sp_run *run) {
    sp_process_end(&run->remote->process);
    run->remote->sending = false;
    run->gone = true;
    return false;
}

static bool ask(sp_run *run, sp_ask_kind kind, int number) {
    const sp_ask asked = {
        .kind = (int32_t)kind, .number = number, .only_clean = run->index->only_clean};
    if (run->gone) return false;
    if (kind != SP_ASK_MORE) run->remote->words = 0;
    return sp_talk_send(run->remote->process.socket, &asked, sizeof asked, NULL) || lose(run);
}

/* Each packet has a picture or two and an error to be told of; more on one way is idle talk. */
static bool talks_too_much(const sp_run *run) {
    return ++run->remote->words > 4 * (int64_t)run->index->count + 64;
}

/* False when it has been silent for too long, or nobody waits any more. */
static bool hear_word(const sp_run *run, sp_tell *said) {
    sp_talk_status status = SP_TALK_SILENCE;
    for (int waited = 0; status == SP_TALK_SILENCE && waited < SILENCE_S * 1000;
         waited += LOOK_UP_MS) {
        if (run->left != NULL && atomic_load(run->left)) return false;
        status = sp_talk_receive(run->remote->process.socket, said, sizeof *said, NULL, true);
    }
    return status == SP_TALK_HEARD;
}

/* The next word but errors, which are noted. False when there will be none any more. */
static bool hear(sp_run *run, sp_tell *said) {
    while (!run->gone) {
        if (!hear_word(run, said) || talks_too_much(run) || !sp_told_run_state(&said->run, run))
            return lose(run);
        if (said->kind != SP_TELL_ERROR) return true;
        if (said->serial < 0 || said->serial >= run->index->count) return lose(run);
        sp_index_set_error(run->index, said->serial);
    }
    return false;
}

bool sp_remote_begin(sp_run *run, int start) {
    sp_tell said;
    sp_remote_give_up(run);
    if (!ask(run, SP_ASK_BEGIN, start) || !hear(run, &said)) return false;
    if (said.kind != SP_TELL_BEGUN) return lose(run);
    return !run->astray;
}

void sp_remote_take_care(sp_run *run) {
    sp_tell said;
    sp_remote_give_up(run);
    if (ask(run, SP_ASK_CARE, 0) && hear(run, &said) && said.kind != SP_TELL_BEGUN) lose(run);
    run->careful = true;
}

/* The next word on the way: whether it brought a picture. */
static bool hear_picture(sp_run *run, sp_tell *said) {
    if (!hear(run, said)) return false;
    const bool picture = said->kind == SP_TELL_PICTURE;
    if (!picture && said->kind != SP_TELL_PASSED && said->kind != SP_TELL_END) return lose(run);
    if (said->kind == SP_TELL_END || said->ended != 0) run->remote->sending = false;
    if (!picture) return false;
    const bool known = said->serial >= 0 && said->serial < run->index->count;
    return (known && sp_told_picture_take(&said->picture, run->remote->view, run->picture)) ||
           lose(run);
}

static void note_order(sp_remote *remote, int n) {
    if (n == remote->asked_for) return;
    remote->in_order = n == remote->asked_for + 1 ? remote->in_order + 1 : 0;
    remote->asked_for = n;
}

static bool ask_for_pictures(sp_run *run, int n) {
    sp_remote *remote = run->remote;
    const int ahead = remote->in_order >= IN_ORDER_FROM ? n + AHEAD : n;
    const int last = run->index->frames - 1;
    remote->taken = 0;
    return remote->sending = ask(run, SP_ASK_PICTURES, ahead < last ? ahead : last);
}

static void take_one(sp_run *run) {
    sp_remote *remote = run->remote;
    if (!remote->sending || ++remote->taken < TAKEN_AT_ONCE) return;
    ask(run, SP_ASK_MORE, remote->taken);
    remote->taken = 0;
}

int sp_remote_picture(sp_run *run, int n) {
    note_order(run->remote, n);
    if (!run->remote->sending && !ask_for_pictures(run, n)) return -1;
    while (run->remote->sending) {
        sp_tell said;
        if (!hear_picture(run, &said)) continue;
        take_one(run);
        return said.serial;
    }
    return -1;
}

void sp_remote_give_up(sp_run *run) {
    if (!run->remote->sending || !ask(run, SP_ASK_STOP, 0)) return;
    while (run->remote->sending) {
        sp_tell said;
        hear_picture(run, &said);
        av_frame_unref(run->picture);
    }
}
