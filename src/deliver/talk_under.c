#include "deliver/talk_under.h"

#include <math.h>
#include <string.h>

#include "serveplumb/review_clip.h"

/* Over this many samples it comes in; over a block it goes out. A hard edge would be a click. */
#define EDGE 96
/* Nearer than this to where it has got to it plays on: times of actions are a window's. */
static const double SAME_S = 0.03;

bool sp_talk_under_open(sp_talk_under *under, const sp_talk *talk, sp_clip *clip,
                        const char *clip_path, double slowdown, double level, sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    *under = (sp_talk_under){.talk = talk,
                             .times = sp_clip_frame_times(clip),
                             .end_s = facts->duration_s,
                             .slowdown = slowdown,
                             .level = (float)level,
                             .number = -1};
    under->sound = sp_sound_open(clip_path, facts, NULL, error);
    return under->sound != NULL;
}

void sp_talk_under_close(sp_talk_under *under) {
    sp_stretch_free(under->playing);
    sp_sound_close(under->sound);
    *under = (sp_talk_under){.number = -1};
}

/* Takes the next step of what is playing into the block, all channels in one. */
static bool take_step(sp_talk_under *under, sp_error *error) {
    const int channels = sp_sound_get_facts(under->sound)->channels;
    float samples[2 * SP_STRETCH_STEP];
    if (!sp_stretch_next(under->playing, samples, error)) return false;
    for (int i = 0; i < SP_STRETCH_STEP; i++) {
        float sum = 0;
        for (int c = 0; c < channels; c++) sum += samples[i * channels + c];
        under->block[i] = under->level * sum / (float)channels;
    }
    return true;
}

/* What was playing is heard for one block more, ever quieter. */
static bool fade_out(sp_talk_under *under, sp_error *error) {
    if (under->playing == NULL) return true;
    const bool good = take_step(under, error);
    for (int i = 0; i < SP_STRETCH_STEP; i++)
        under->block[i] *= (float)(SP_STRETCH_STEP - i) / (SP_STRETCH_STEP + 1);
    sp_stretch_free(under->playing);
    under->playing = NULL;
    return good;
}

static bool begin(sp_talk_under *under, double clip_s, double speed, sp_error *error) {
    float before[SP_STRETCH_STEP];
    memcpy(before, under->block, sizeof before);
    under->playing = sp_stretch_new(under->sound, sp_sound_at(clip_s), speed);
    under->speed = speed;
    if (under->playing == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory for the clip's sound");
    if (!take_step(under, error)) return false;
    for (int i = 0; i < SP_STRETCH_STEP; i++) {
        const float share = i < EDGE ? (float)(i + 1) / (EDGE + 1) : 1;
        under->block[i] = before[i] + share * under->block[i];
    }
    return true;
}

/* A block of the whole, from how the clip plays at its start. */
static bool fill_block(sp_talk_under *under, int64_t number, sp_error *error) {
    sp_talk_state state;
    const double at_s = (double)number * SP_STRETCH_STEP / SP_SOUND_RATE;
    memset(under->block, 0, sizeof under->block);
    under->number = number;
    if (!sp_talk_state_at(under->talk, at_s, &state)) return fade_out(under, error);
    const double speed = state.pace * under->slowdown;
    const double clip_s = under->times.seconds[state.frame] + state.played_s * under->slowdown;
    const bool heard = speed > 0 && speed < 1 + 1e-6 && clip_s < under->end_s;
    const bool on = under->playing != NULL && heard && fabs(speed - under->speed) < 1e-6 &&
                    fabs((double)sp_stretch_at(under->playing) / SP_SOUND_RATE - clip_s) < SAME_S;
    if (on) return take_step(under, error);
    return fade_out(under, error) && (!heard || begin(under, clip_s, fmin(1, speed), error));
}

bool sp_talk_under_add(sp_talk_under *under, int64_t from, size_t count, float *samples,
                       sp_error *error) {
    if (under->sound == NULL) return true;
    for (size_t i = 0; i < count; i++) {
        const int64_t at = from + (int64_t)i;
        if (at / SP_STRETCH_STEP != under->number &&
            !fill_block(under, at / SP_STRETCH_STEP, error))
            return false;
        samples[i] = fmaxf(-1, fminf(1, samples[i] + under->block[at % SP_STRETCH_STEP]));
    }
    return true;
}
