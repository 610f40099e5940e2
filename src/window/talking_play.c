/* The talk-through played back in the window, and cut. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "deliver/talk_voice.h"
#include "serveplumb/talk_clip.h"
#include "window/actions.h"
#include "window/state.h"

#define PLAY_MS 15

bool talking_find(window *w, sp_error *error) {
    talking *t = &w->talking;
    if (t->talk != NULL) return true;
    if (!sp_talk_path_beside(w->session.review_path, t->path, sizeof t->path))
        return sp_fail(error, SP_ERROR_LIMIT, "the path of the talk-through would be too long");
    const sp_review_clip *clip = sp_review_get_clip(w->session.review);
    t->talk =
        access(t->path, F_OK) == 0 ? sp_talk_read(t->path, clip, error) : sp_talk_new(clip, error);
    t->part_s = -1;
    t->head_s = 0;
    return t->talk != NULL;
}

bool talking_store(window *w) {
    sp_error error = {0};
    if (sp_talk_write(w->talking.talk, w->talking.path, &error)) return true;
    message_problem(w, &error);
    return false;
}

/* --- what is seen ---------------------------------------------------------------------------- */

static int measure_index(const window *w, const sp_talk_state *state) {
    const sp_readout *readout = w->session.readout;
    const sp_measure *found = sp_readout_find(readout, state->measure, state->moment);
    for (size_t i = 0; found != NULL && i < sp_readout_count(readout); i++)
        if (sp_readout_at(readout, i) == found) return (int)i;
    return -1;
}

static void place_view(window *w, const sp_talk_state *state) {
    const SDL_Rect c = w->layout.canvas;
    const sp_clip_facts *f = w->session.facts;
    placement p = placement_fit(c, w->layout.density, f->width, f->height);
    p.zoom *= state->zoom;
    p.x = c.x + c.w / 2.0 - state->middle.x * p.zoom;
    p.y = c.y + c.h / 2.0 - state->middle.y * p.zoom;
    const sp_point whole = {f->width / 2.0, f->height / 2.0};
    p.fitted = state->zoom == 1 && sp_point_distance(state->middle, whole) < 1;
    w->placement = p;
}

void talking_show_head(window *w) {
    sp_talk_state state;
    if (!sp_talk_state_at(w->talking.talk, w->talking.head_s, &state)) return;
    place_view(w, &state);
    w->plain = !state.overlay;
    w->sheet.measure = measure_index(w, &state);
    frames_go(w, sp_talk_state_frame(&state, w->session.times,
                                     sp_review_get_clip(w->session.review)->slowdown));
    window_touch(w, PART_PICTURE | PART_OVERLAY | PART_SHEET);
}

/* --- playing --------------------------------------------------------------------------------- */

static bool open_loud(talking *t) {
    if (t->loud != 0) return true;
    if (SDL_WasInit(SDL_INIT_AUDIO) == 0 && SDL_InitSubSystem(SDL_INIT_AUDIO) != 0) return false;
    const SDL_AudioSpec wanted = {
        .freq = SP_VOICE_RATE, .format = AUDIO_F32SYS, .channels = 1, .samples = 512};
    t->loud = SDL_OpenAudioDevice(NULL, 0, &wanted, NULL, 0);
    return t->loud != 0;
}

/* From the head to the end, at most ten minutes of it. */
static void queue_voice(talking *t, double length_s) {
    sp_talk_voice voice;
    bool any = false;
    const double left = fmin(600, length_s - t->head_s);
    const size_t count = (size_t)fmax(0, left * SP_VOICE_RATE);
    float *samples = calloc(count + 1, sizeof *samples);
    if (samples != NULL && sp_talk_voice_open(&voice, t->talk, t->path, &any, NULL) && any &&
        open_loud(t) &&
        sp_talk_voice_copy(&voice, llround(t->head_s * SP_VOICE_RATE), count, samples, NULL)) {
        SDL_QueueAudio(t->loud, samples, (Uint32)(count * sizeof *samples));
        SDL_PauseAudioDevice(t->loud, 0);
    }
    if (samples != NULL) sp_talk_voice_close(&voice);
    free(samples);
}

void talking_play_stop(window *w) {
    talking *t = &w->talking;
    if (t->now != TALKING_PLAYED) return;
    t->now = TALKING_NOT;
    if (t->loud != 0) {
        SDL_PauseAudioDevice(t->loud, 1);
        SDL_ClearQueuedAudio(t->loud);
    }
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

static bool ready(window *w) {
    sp_error error = {0};
    if (!window_is_open(w) || talking_is_on(w)) return false;
    if (!talking_find(w, &error)) {
        message_problem(w, &error);
        return false;
    }
    if (talking_length_s(w) > 0) return true;
    message_say(w, "Nothing is recorded yet: R records.");
    return false;
}

void act_talk_play(window *w, int unused) {
    (void)unused;
    talking *t = &w->talking;
    if (t->now == TALKING_PLAYED) {
        talking_play_stop(w);
        return;
    }
    if (!ready(w)) return;
    play_stop(w);
    if (t->head_s >= talking_length_s(w) - 0.05) t->head_s = 0;
    queue_voice(t, talking_length_s(w));
    t->played_s = microphone_now_s() - t->head_s;
    t->now = TALKING_PLAYED;
    talking_show_head(w);
}

int talking_play_update(window *w) {
    talking *t = &w->talking;
    const double length = talking_length_s(w);
    t->head_s = fmin(length, microphone_now_s() - t->played_s);
    talking_show_head(w);
    if (t->head_s < length) return PLAY_MS;
    talking_play_stop(w);
    return -1;
}

void act_talk_step(window *w, int seconds) {
    if (!ready(w)) return;
    talking_play_stop(w);
    talking *t = &w->talking;
    t->head_s = fmax(0, fmin(t->head_s + seconds, talking_length_s(w)));
    talking_show_head(w);
}

/* --- cutting --------------------------------------------------------------------------------- */

void act_talk_part(window *w, int unused) {
    (void)unused;
    if (!ready(w)) return;
    w->talking.part_s = w->talking.head_s;
    message_say(w, "The part begins at %.1f s. Go to its end, then take it out or record it again.",
                w->talking.part_s);
    window_touch(w, PART_SHEET);
}

void act_talk_cut(window *w, int unused) {
    (void)unused;
    talking *t = &w->talking;
    if (!ready(w)) return;
    talking_play_stop(w);
    const double from = t->part_s, to = t->head_s;
    if (from < 0 || to <= from) {
        message_say(w, "Say first which part: go to its start, then 'a part begins here', then go "
                       "to its end.");
        return;
    }
    sp_error error = {0};
    if (!sp_talk_cut(t->talk, from, to, &error)) {
        message_problem(w, &error);
        return;
    }
    t->head_s = from;
    t->part_s = -1;
    if (talking_store(w)) message_say(w, "%.1f s are taken out; the takes stay.", to - from);
    talking_show_head(w);
}

void act_talk_undo(window *w, int unused) {
    (void)unused;
    talking *t = &w->talking;
    if (!ready(w)) return;
    talking_play_stop(w);
    if (!sp_talk_undo(t->talk)) {
        message_say(w, "There is no cut to undo.");
        return;
    }
    t->head_s = fmin(t->head_s, talking_length_s(w));
    t->part_s = -1;
    if (talking_store(w)) message_say(w, "It is %.1f s long again.", talking_length_s(w));
    window_touch(w, PART_SHEET);
}
