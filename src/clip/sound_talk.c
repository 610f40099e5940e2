#include "clip/sound_talk.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/refusal.h"
#include "clip/talk.h"
#include "clip/told.h"

enum { PIECE = 2048, CHANNELS_MAX = 2 };
enum { SILENCE_OPENING_S = 600, SILENCE_S = 60, LOOK_UP_MS = 200 };
/* No place of a sample is farther from frame 0: see sp_sound_at. */
static const int64_t farthest = (int64_t)5e16;

typedef enum { ASK_START, ASK_NEXT, ASK_GO } ask_kind;

typedef struct {
    int32_t kind;
    double start_s;
    sp_sound_anchor anchor; /* of ASK_GO */
} question;

typedef struct {
    int32_t good; /* it was done; a piece of sound came */
    int32_t channels, gaps, corrections, errors;
    int32_t count;
    int64_t at;
    sp_sound_anchor anchor;
    sp_error error;
    float samples[PIECE * CHANNELS_MAX];
} reply;

/* --- our side --- */

bool sp_sound_talk_start(sp_sound_stream *stream) {
    sp_tell ready;
    sp_files files = {.count = 0};
    if (!sp_process_start(&stream->process, 2 * SP_ARENA_HEAD)) return false;
    sp_talk_set_patience(stream->process.socket, LOOK_UP_MS);
    const bool good = sp_talk_receive(stream->process.socket, &ready, sizeof ready, &files, true) ==
                          SP_TALK_HEARD &&
                      ready.kind == SP_TELL_READY;
    sp_files_close(&files);
    if (!good) sp_process_end(&stream->process);
    return good;
}

static bool lose(sp_sound_stream *stream, sp_error *error) {
    sp_process_end(&stream->process);
    stream->ended = stream->gone = true;
    return sp_fail(error, SP_ERROR_DECODER,
                   "the decoder of the sound of '%s' has ended, as a damaged or hostile clip can "
                   "make it; the pictures can be reviewed without",
                   stream->reader.path);
}

static bool is_sane(const sp_sound_stream *stream, const reply *said) {
    return (said->channels == 1 || said->channels == 2) &&
           (stream->channels == 0 || said->channels == stream->channels) && said->count >= 0 &&
           said->count <= PIECE && said->at > -farthest && said->at < farthest &&
           said->errors >= 0 && said->gaps >= 0 && said->corrections >= 0;
}

/* False when it has ended, was silent for too long, or nobody waits any more. */
static bool hear(const sp_sound_stream *stream, const question *asked, reply *said) {
    const int longest_ms = 1000 * (asked->kind == ASK_START ? SILENCE_OPENING_S : SILENCE_S);
    sp_talk_status status = SP_TALK_SILENCE;
    for (int waited = 0; status == SP_TALK_SILENCE && waited < longest_ms; waited += LOOK_UP_MS) {
        if (stream->left != NULL && atomic_load(stream->left)) return false;
        status = sp_talk_receive(stream->process.socket, said, sizeof *said, NULL, true);
    }
    return status == SP_TALK_HEARD;
}

/* False when it was not done, with the error that was told; or the process has ended. */
static bool ask(sp_sound_stream *stream, const question *asked, reply *said, sp_error *error) {
    if (stream->gone || !sp_talk_send(stream->process.socket, asked, sizeof *asked, NULL) ||
        !hear(stream, asked, said))
        return lose(stream, error);
    if (said->good == 0) {
        if (error != NULL) sp_told_error(&said->error, error);
        return false;
    }
    if (!is_sane(stream, said)) return lose(stream, error);
    stream->channels = said->channels;
    stream->clock.gaps = said->gaps;
    stream->clock.corrections = said->corrections;
    stream->errors = said->errors;
    stream->anchor = said->anchor;
    return true;
}

static reply *make_room(sp_sound_stream *stream) {
    if (stream->reply == NULL) stream->reply = malloc(sizeof(reply));
    return stream->reply;
}

bool sp_sound_talk_open(sp_sound_stream *stream, int file, const char *path, double start_s,
                        sp_error *error) {
    const sp_ask opening = {.kind = SP_ASK_SOUND};
    const sp_files files = {.list = {file}, .count = 1};
    char told[SP_TALK_PATH] = "";
    snprintf(told, sizeof told, "%s", path);
    stream->reader.path = strdup(path);
    reply *said = make_room(stream);
    const bool asked = stream->reader.path != NULL && said != NULL &&
                       sp_talk_send(stream->process.socket, &opening, sizeof opening, &files) &&
                       sp_talk_send(stream->process.socket, told, sizeof told, NULL);
    close(file);
    if (stream->reader.path == NULL || said == NULL) return sp_refuse_memory(path, error);
    const question start = {.kind = ASK_START, .start_s = start_s};
    return asked ? ask(stream, &start, said, error) : lose(stream, error);
}

bool sp_sound_talk_next(sp_sound_stream *stream, sp_sound_block *block) {
    reply *said = make_room(stream);
    const question next = {.kind = ASK_NEXT};
    if (stream->ended || said == NULL) return false;
    if (!ask(stream, &next, said, NULL)) {
        stream->ended = true;
        return false;
    }
    if (said->count == 0) return lose(stream, NULL); /* it might go on like this for ever */
    for (int i = 0; i < said->count * said->channels; i++)
        if (!isfinite(said->samples[i])) said->samples[i] = 0;
    *block = (sp_sound_block){said->at, said->samples, said->count};
    return true;
}

bool sp_sound_talk_go(sp_sound_stream *stream, const sp_sound_anchor *anchor, sp_error *error) {
    reply *said = make_room(stream);
    const question go = {.kind = ASK_GO, .anchor = *anchor};
    if (said == NULL) return sp_refuse_memory(stream->reader.path, error);
    stream->ended = !ask(stream, &go, said, error);
    return !stream->ended;
}

/* --- the other side --- */

typedef struct {
    sp_sound_stream stream;
    sp_sound_block rest; /* of the block given last, not sent yet */
} speaker;

static bool next_piece(speaker *s, reply *said) {
    while (s->rest.count == 0)
        if (!sp_stream_next(&s->stream, &s->rest)) return false;
    const int count = s->rest.count < PIECE ? s->rest.count : PIECE;
    const size_t values = (size_t)count * (size_t)s->stream.channels;
    memcpy(said->samples, s->rest.samples, values * sizeof *said->samples);
    said->at = s->rest.at;
    said->count = count;
    s->rest.at += count;
    s->rest.samples += values;
    s->rest.count -= count;
    return true;
}

static void answer(speaker *s, const question *asked, reply *said) {
    said->count = 0;
    said->at = 0;
    said->error = (sp_error){0};
    if (asked->kind == ASK_NEXT) {
        said->good = next_piece(s, said);
    } else {
        s->rest = (sp_sound_block){0};
        said->good = sp_stream_go(&s->stream, &asked->anchor, &said->error);
    }
    said->channels = s->stream.channels;
    said->gaps = s->stream.clock.gaps;
    said->corrections = s->stream.clock.corrections;
    said->errors = s->stream.errors;
    said->anchor = s->stream.anchor;
}

void sp_sound_talk_serve(int socket, int file, const char *path) {
    speaker s = {.rest = {0}};
    question asked;
    static reply said; /* the process serves one sound */
    if (sp_talk_receive(socket, &asked, sizeof asked, NULL, true) != SP_TALK_HEARD ||
        asked.kind != ASK_START)
        return;
    said.good = sp_stream_open_file(&s.stream, file, path, asked.start_s, &said.error);
    said.channels = s.stream.channels;
    while (sp_talk_send(socket, &said, sizeof said, NULL) && said.channels > 0 &&
           sp_talk_receive(socket, &asked, sizeof asked, NULL, true) == SP_TALK_HEARD)
        answer(&s, &asked, &said);
}
