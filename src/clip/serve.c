#include "clip/serve.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <libavutil/imgutils.h>

#include "clip/footage.h"
#include "clip/guard.h"
#include "clip/index_bytes.h"
#include "clip/sound_talk.h"
#include "clip/talk.h"

/* Pictures that may be on their way, so that neither side waits for the other at each: fewer of
 * large ones, which take memory beside the budget. */
enum { ON_THE_WAY_MAX = 6, ON_THE_WAY_MIN = 2 };
static const size_t on_the_way_bytes = (size_t)24 << 20;

typedef struct {
    int socket;
    sp_arena arena;
    sp_pool *pool;
    sp_footage footage;
    sp_ask asked;    /* SP_ASK_OPEN */
    int kept;        /* the file of its kept index, -1: none */
    int kept_frames; /* that it told, -1: it was not used */
    int errors;      /* of the index, that were told */
    bool *is_told;   /* by packet */
    int on_the_way;  /* pictures that were told and not taken yet */
    int most;        /* of them */
    bool over;       /* the other side has ended */
} server;

/* --- saying --- */

static sp_told_run told_run(const sp_run *run) {
    return (sp_told_run){.start = run->start,
                         .next = run->next,
                         .last = run->last,
                         .done = run->done,
                         .astray = run->astray,
                         .misled = run->misled,
                         .troubled = run->troubled};
}

static void tell(server *s, sp_tell *what, int file) {
    const sp_files files = {.list = {file}, .count = file >= 0};
    what->run = told_run(&s->footage.run);
    if (!sp_talk_send(s->socket, what, sizeof *what, &files)) s->over = true;
    if (file >= 0) close(file);
}

static void tell_plainly(server *s, sp_tell_kind kind, int serial, bool ended) {
    sp_tell said = {.kind = (int32_t)kind, .serial = serial, .ended = ended};
    tell(s, &said, -1);
}

/* What the run has found since it was told last lies between its start and where it is. */
static void tell_errors(server *s) {
    const sp_index *index = &s->footage.index;
    const sp_run *run = &s->footage.run;
    if (index->errors == s->errors || s->is_told == NULL) return;
    s->errors = index->errors;
    for (int i = run->start > 0 ? run->start : 0; i < run->next && i < index->count; i++) {
        if (!index->packets[i].error || s->is_told[i]) continue;
        s->is_told[i] = true;
        tell_plainly(s, SP_TELL_ERROR, i, false);
    }
}

static int file_of(const sp_index *index) {
    char *bytes = malloc((size_t)index->count * SP_INDEX_RECORD_BYTES);
    if (bytes == NULL) return -1;
    sp_index_pack(index, bytes);
    const int file = sp_talk_file(bytes, (size_t)index->count * SP_INDEX_RECORD_BYTES);
    free(bytes);
    return file;
}

/* --- pictures --- */

/* A copy into the arena of what a decoder has laid elsewhere. */
static bool move_in(server *s, AVFrame *picture) {
    AVFrame *copy = av_frame_alloc();
    const enum AVPixelFormat format = (enum AVPixelFormat)picture->format;
    const int bytes = av_image_get_buffer_size(format, picture->width, picture->height, 64);
    bool good = copy != NULL && bytes > 0;
    if (good) {
        copy->format = picture->format;
        copy->width = picture->width;
        copy->height = picture->height;
        copy->buf[0] = sp_pool_get(s->pool, (size_t)bytes);
        good = copy->buf[0] != NULL &&
               av_image_fill_arrays(copy->data, copy->linesize, copy->buf[0]->data, format,
                                    picture->width, picture->height, 64) >= 0 &&
               av_frame_copy(copy, picture) >= 0 && av_frame_copy_props(copy, picture) >= 0;
    }
    if (good) {
        av_frame_unref(picture);
        av_frame_move_ref(picture, copy);
    }
    av_frame_free(&copy);
    return good;
}

static void describe(const AVFrame *picture, const uint8_t *start, sp_told_picture *told) {
    told->width = picture->width;
    told->height = picture->height;
    told->format = picture->format;
    told->matrix = (int32_t)picture->colorspace;
    told->transfer = (int32_t)picture->color_trc;
    told->primaries = (int32_t)picture->color_primaries;
    told->range = (int32_t)picture->color_range;
    told->chroma = (int32_t)picture->chroma_location;
    for (int i = 0; i < SP_TALK_PLANES; i++) {
        told->strides[i] = picture->linesize[i];
        told->offsets[i] = picture->data[i] != NULL ? (uint64_t)(picture->data[i] - start) : 0;
    }
}

/* False when there is no room for it. */
static bool lend(server *s, sp_told_picture *told) {
    AVFrame *picture = s->footage.run.picture;
    if (picture->buf[1] != NULL || !sp_pool_lend(s->pool, picture->buf[0], &told->place))
        if (!move_in(s, picture) || !sp_pool_lend(s->pool, picture->buf[0], &told->place))
            return false;
    describe(picture, s->arena.memory + told->place.offset, told);
    av_frame_unref(picture);
    return true;
}

static void tell_picture(server *s, int serial, bool ended) {
    sp_tell said = {.kind = SP_TELL_PICTURE, .serial = serial, .ended = ended};
    if (lend(s, &said.picture)) {
        tell(s, &said, -1);
        s->on_the_way++;
        const int most = (int)(on_the_way_bytes / said.picture.place.bytes);
        s->most = most > ON_THE_WAY_MAX   ? ON_THE_WAY_MAX
                  : most < ON_THE_WAY_MIN ? ON_THE_WAY_MIN
                                          : most;
    } else {
        tell_plainly(s, SP_TELL_PASSED, serial, ended);
    }
}

/* Hears what comes while pictures go out; true when no more are wanted. */
static bool is_told_to_stop(server *s) {
    for (;;) {
        const bool wait = s->on_the_way >= s->most;
        sp_ask asked;
        const sp_talk_status status = sp_talk_receive(s->socket, &asked, sizeof asked, NULL, wait);
        if (status == SP_TALK_SILENCE) return false;
        if (status == SP_TALK_OVER) s->over = true;
        if (s->over || asked.kind != SP_ASK_MORE) return true;
        s->on_the_way -= asked.number;
    }
}

static bool is_wanted(const sp_footage *footage, int serial) {
    return footage->index.packets[serial].number >= 0 && sp_run_is_exact(&footage->run, serial);
}

static void send_pictures(server *s, int n) {
    sp_run *run = &s->footage.run;
    s->on_the_way = 0;
    s->most = ON_THE_WAY_MAX;
    while (!s->over) {
        const int serial = sp_run_picture(run, n);
        tell_errors(s);
        if (serial < 0) break;
        const bool reached = s->footage.index.packets[serial].number == n;
        if (is_wanted(&s->footage, serial)) {
            const bool ended = reached || run->misled || run->troubled;
            tell_picture(s, serial, ended);
            if (ended) return;
        } else {
            const bool ended = run->misled || run->troubled;
            tell_plainly(s, SP_TELL_PASSED, serial, ended);
            if (ended) return;
        }
        if (is_told_to_stop(s)) break;
    }
    tell_plainly(s, SP_TELL_END, -1, true);
}

/* --- opening --- */

static bool find_kept(void *context, sp_index *index, const sp_reader *reader) {
    server *s = context;
    (void)reader;
    if (s->kept < 0 || s->asked.count < 1 || s->asked.count > SP_CLIP_FRAMES_MAX) return false;
    const size_t length = (size_t)s->asked.count * SP_INDEX_RECORD_BYTES;
    char *bytes = sp_talk_bytes(s->kept, length);
    const sp_index_bytes packed = {bytes, length};
    const bool good =
        bytes != NULL && sp_index_unpack(index, &packed, s->asked.count, s->asked.guessed != 0);
    free(bytes);
    if (good) s->kept_frames = index->frames;
    return good;
}

static void tell_index(server *s, sp_tell *said, const sp_index *index) {
    said->clip.count = index->count;
    said->clip.guessed = index->guessed;
    const int file = file_of(index);
    if (file < 0) s->over = true; /* no memory: as if it had died */
    tell(s, said, file);
}

static void keep(void *context, const sp_index *index, const sp_reader *reader) {
    server *s = context;
    (void)reader;
    s->kept_frames = -1;
    sp_tell said = {.kind = SP_TELL_BUILT};
    tell_index(s, &said, index);
}

static void tell_opened(server *s) {
    const sp_footage *footage = &s->footage;
    const AVRational base = footage->reader.stream->time_base;
    sp_tell said = {.kind = SP_TELL_OPENED};
    said.clip.facts = footage->facts;
    said.clip.base_num = base.num;
    said.clip.base_den = base.den;
    s->errors = footage->index.errors;
    s->is_told = calloc((size_t)footage->index.count, sizeof *s->is_told);
    for (int i = 0; s->is_told != NULL && i < footage->index.count; i++)
        s->is_told[i] = footage->index.packets[i].error;
    if (footage->index.frames == s->kept_frames) {
        tell(s, &said, -1); /* the kept index holds: count 0 */
    } else {
        tell_index(s, &said, &footage->index);
    }
    tell_picture(s, footage->first, true);
}

static bool open_clip(server *s, const char *path, const sp_files *files) {
    s->kept = files->count > 1 ? files->list[1] : -1;
    const sp_keeper keeper = {find_kept, keep, s};
    sp_tell said = {.kind = SP_TELL_FAILED};
    const bool good = sp_footage_open(&s->footage, files->list[0], path, s->asked.threads, s->pool,
                                      &keeper, &said.error);
    if (s->kept >= 0) close(s->kept);
    if (good) {
        tell_opened(s);
    } else {
        tell(s, &said, -1);
    }
    return good;
}

/* --- */

static void serve_ask(server *s, const sp_ask *asked) {
    sp_run *run = &s->footage.run;
    const int n = asked->number;
    if (asked->kind == SP_ASK_BEGIN && n >= 0 && n < s->footage.index.count) {
        s->footage.index.only_clean = asked->only_clean != 0;
        sp_run_begin(run, n);
        tell_plainly(s, SP_TELL_BEGUN, -1, false);
    } else if (asked->kind == SP_ASK_CARE) {
        sp_run_take_care(run);
        tell_plainly(s, SP_TELL_BEGUN, -1, false);
    } else if (asked->kind == SP_ASK_PICTURES && n >= 0 && n < s->footage.index.frames) {
        send_pictures(s, n);
    }
}

static void serve_asks(server *s) {
    sp_ask asked;
    while (!s->over &&
           sp_talk_receive(s->socket, &asked, sizeof asked, NULL, true) == SP_TALK_HEARD)
        serve_ask(s, &asked);
}

void sp_serve(int socket, int arena, size_t arena_bytes) {
    server s = {.socket = socket, .kept = -1, .kept_frames = -1, .footage.reader.file = -1};
    if (arena < 0 || !sp_arena_map(&s.arena, arena, arena_bytes, true)) return;
    s.pool = sp_pool_new(&s.arena);
    const bool shut_in = sp_guard_process().network; /* nor can it open a file then */
    sp_tell ready = {.kind = SP_TELL_READY, .serial = shut_in};
    tell(&s, &ready, arena);
    char path[SP_TALK_PATH];
    sp_files files;
    if (s.over || s.pool == NULL ||
        sp_talk_receive(socket, &s.asked, sizeof s.asked, &files, true) != SP_TALK_HEARD ||
        sp_talk_receive(socket, path, sizeof path, NULL, true) != SP_TALK_HEARD || files.count < 1)
        return;
    path[sizeof path - 1] = '\0';
    if (s.asked.kind == SP_ASK_SOUND) sp_sound_talk_serve(socket, files.list[0], path);
    if (s.asked.kind == SP_ASK_OPEN && open_clip(&s, path, &files)) serve_asks(&s);
}
