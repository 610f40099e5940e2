#include "deliver/talk_voice.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Over this many samples a piece comes in and goes out: a hard edge would be heard as a click. */
#define EDGE 96

static bool open_one(sp_talk_voice *voice, size_t take, const char *talk_path, sp_error *error) {
    const char *name = sp_talk_take_at(voice->talk, take)->voice;
    if (name[0] == '\0' || voice->voices[take] != NULL) return true;
    const char *slash = strrchr(talk_path, '/');
    const int folder = slash == NULL ? 0 : (int)(slash + 1 - talk_path);
    char path[PATH_MAX];
    if (snprintf(path, sizeof path, "%.*s%s", folder, talk_path, name) >= (int)sizeof path)
        return sp_fail(error, SP_ERROR_LIMIT, "the path of the voice '%s' is too long", name);
    voice->voices[take] = sp_voice_open(path, error);
    return voice->voices[take] != NULL;
}

bool sp_talk_voice_open(sp_talk_voice *voice, const sp_talk *talk, const char *talk_path, bool *any,
                        sp_error *error) {
    *voice = (sp_talk_voice){.talk = talk,
                             .voices = calloc(sp_talk_take_count(talk) + 1, sizeof(sp_voice *))};
    *any = false;
    if (voice->voices == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to read the voice");
    for (size_t i = 0; i < sp_talk_piece_count(talk); i++) {
        const size_t take = sp_talk_piece_at(talk, i)->take;
        if (!open_one(voice, take, talk_path, error)) return false;
        *any = *any || voice->voices[take] != NULL;
    }
    return true;
}

void sp_talk_voice_close(sp_talk_voice *voice) {
    for (size_t i = 0; voice->voices != NULL && i < sp_talk_take_count(voice->talk); i++)
        sp_voice_free(voice->voices[i]);
    free(voice->voices);
    *voice = (sp_talk_voice){0};
}

/* A recording is not to be faded where it simply goes on. */
static void soften(float *samples, size_t count, int64_t at, int64_t length) {
    for (size_t i = 0; i < count; i++) {
        const int64_t in = at + (int64_t)i, out = length - 1 - in;
        const int64_t nearest = in < out ? in : out;
        if (nearest < EDGE) samples[i] *= (float)(nearest + 1) / (EDGE + 1);
    }
}

bool sp_talk_voice_copy(sp_talk_voice *voice, int64_t from, size_t count, float *samples,
                        sp_error *error) {
    for (size_t i = 0; i < count; i++) samples[i] = 0.0f;
    const int64_t end = from + (int64_t)count;
    double start_s = 0.0;
    for (size_t i = 0; i < sp_talk_piece_count(voice->talk); i++) {
        const sp_talk_piece *piece = sp_talk_piece_at(voice->talk, i);
        const int64_t start = llround(start_s * SP_VOICE_RATE);
        start_s += piece->to_s - piece->from_s;
        const int64_t stop = llround(start_s * SP_VOICE_RATE);
        const int64_t low = start > from ? start : from, high = stop < end ? stop : end;
        if (high <= low || voice->voices[piece->take] == NULL) continue;
        float *to = samples + (low - from);
        const int64_t first = llround(piece->from_s * SP_VOICE_RATE) + low - start;
        if (!sp_voice_copy(voice->voices[piece->take], first, (size_t)(high - low), to, error))
            return false;
        soften(to, (size_t)(high - low), low - start, stop - start);
    }
    return true;
}
