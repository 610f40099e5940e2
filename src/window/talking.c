#include "window/talking.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "window/actions.h"
#include "window/state.h"

#define LOOK_MS 25
#define PAINT_MS 120
#define STORE_MS 4000
#define GONE_S 2.0 /* a microphone that gives nothing for so long is not there */
#define VIEW_S 0.02

bool talking_is_on(const window *w) {
    return w->talking.now == TALKING_ON || w->talking.now == TALKING_PAUSED;
}

double talking_length_s(const window *w) {
    return w->talking.talk == NULL ? 0 : sp_talk_length_s(w->talking.talk);
}

/* --- the time of the take -------------------------------------------------------------------- */

/* Where there is no microphone. */
static double wall_s(const talking *t) {
    return t->gathered_s + (t->now == TALKING_ON ? microphone_now_s() - t->since_s : 0);
}

static double length_s(const window *w) {
    const talking *t = &w->talking;
    if (t->writer == NULL) return wall_s(t);
    return (double)sp_voice_added(t->writer) / SP_VOICE_RATE;
}

static double take_s(window *w) {
    talking *t = &w->talking;
    if (t->writer != NULL && t->now == TALKING_PAUSED) return length_s(w);
    if (t->writer != NULL) return microphone_at(&t->microphone, microphone_now_s());
    return wall_s(t);
}

/* --- noticing -------------------------------------------------------------------------------- */

static void note(window *w, sp_talk_action done) {
    sp_error error = {0};
    done.at_s = fmax(0, done.at_s);
    if (!sp_talk_add(w->talking.talk, &done, &error)) message_problem(w, &error);
}

static void note_frames(window *w, double at) {
    noticed *seen = &w->talking.seen;
    const play *p = &w->play;
    if (p->on && (!seen->play_on || seen->play_since != p->since || !seen->any)) {
        const double late = (double)(SDL_GetTicks64() - p->since) / 1000;
        const int from = session_frame_at(&w->session, p->from_s + 1e-9);
        note(w, (sp_talk_action){.at_s = at - late,
                                 .kind = SP_TALK_PLAY,
                                 .frame = from,
                                 .pace = play_factor(p->speed)});
    } else if (!p->on && (seen->play_on || seen->frame != w->frames.asked || !seen->any)) {
        note(w, (sp_talk_action){.at_s = at, .kind = SP_TALK_FRAME, .frame = w->frames.asked});
    }
    seen->play_on = p->on;
    seen->play_since = p->since;
    seen->frame = w->frames.asked;
}

static void note_view(window *w, double at) {
    noticed *seen = &w->talking.seen;
    const SDL_Rect c = w->layout.canvas;
    const sp_clip_facts *f = w->session.facts;
    const placement fit = placement_fit(c, w->layout.density, f->width, f->height);
    const sp_point center = {c.x + c.w / 2.0, c.y + c.h / 2.0};
    sp_point middle = window_to_upright(w, center);
    const double zoom = fmax(0.01, fmin(w->placement.zoom / fit.zoom, SP_TALK_ZOOM_MAX));
    middle.x = fmax(-f->width, fmin(middle.x, 2.0 * f->width));
    middle.y = fmax(-f->height, fmin(middle.y, 2.0 * f->height));
    const bool same = seen->any && fabs(zoom / seen->zoom - 1) < 1e-6 &&
                      sp_point_distance(middle, seen->middle) < 1e-3;
    if (same || (seen->any && at - seen->view_s < VIEW_S)) return;
    note(w, (sp_talk_action){.at_s = at, .kind = SP_TALK_VIEW, .middle = middle, .zoom = zoom});
    seen->zoom = zoom;
    seen->middle = middle;
    seen->view_s = at;
}

static void note_sheet(window *w, double at) {
    noticed *seen = &w->talking.seen;
    if (!seen->any || seen->plain != w->plain)
        note(w, (sp_talk_action){.at_s = at, .kind = SP_TALK_OVERLAY, .shown = !w->plain});
    seen->plain = w->plain;
    const int measure = w->sheet.measure;
    if (measure == (seen->any ? seen->measure : -1)) return;
    sp_talk_action of = {.at_s = at, .kind = SP_TALK_MEASURE};
    if (measure >= 0) {
        const sp_measure *m = sp_readout_at(w->session.readout, (size_t)measure);
        sp_text_copy(of.measure, sizeof of.measure, m->kind->id);
        sp_text_copy(of.moment, sizeof of.moment, m->kind->moment);
    }
    note(w, of);
    seen->measure = measure;
}

static void notice(window *w) {
    const double at = take_s(w);
    note_frames(w, at);
    note_view(w, at);
    note_sheet(w, at);
    w->talking.seen.any = true;
}

/* --- ink ------------------------------------------------------------------------------------- */

void talking_pen_down(window *w) {
    if (w->talking.now == TALKING_ON) w->talking.pen_s = take_s(w);
}

bool talking_takes_ink(window *w, const sp_ink *ink) {
    talking *t = &w->talking;
    if (!talking_is_on(w)) return false;
    const double now = take_s(w);
    const double began = t->now == TALKING_ON ? fmin(t->pen_s, now) : now;
    notice(w);
    note(w,
         (sp_talk_action){.at_s = began, .kind = SP_TALK_INK, .ink = *ink, .took_s = now - began});
    if (t->mark_count == SP_TALK_MARKS_MAX) {
        memmove(t->marks, t->marks + 1, (SP_TALK_MARKS_MAX - 1) * sizeof t->marks[0]);
        t->mark_count--;
    }
    t->marks[t->mark_count++] = t->marks_begun++;
    window_touch(w, PART_OVERLAY);
    return true;
}

static const sp_ink *mark_of_take(const window *w, int mark) {
    const sp_talk *talk = w->talking.talk;
    const size_t take = sp_talk_take_count(talk) - 1;
    for (size_t i = 0; i < sp_talk_take_at(talk, take)->count; i++) {
        const sp_talk_action *a = sp_talk_action_at(talk, take, i);
        if (a->kind == SP_TALK_INK && mark-- == 0) return &a->ink;
    }
    return NULL;
}

static void rub_out(window *w, int i) {
    talking *t = &w->talking;
    note(w, (sp_talk_action){.at_s = take_s(w), .kind = SP_TALK_RUB, .mark = t->marks[i]});
    t->mark_count--;
    memmove(t->marks + i, t->marks + i + 1, (size_t)(t->mark_count - i) * sizeof t->marks[0]);
    window_touch(w, PART_OVERLAY);
}

bool talking_rubs(window *w, sp_point at, double reach) {
    talking *t = &w->talking;
    if (!talking_is_on(w)) return false;
    for (int i = t->mark_count; i-- > 0;) {
        const sp_ink *ink = mark_of_take(w, t->marks[i]);
        if (ink == NULL || !sp_ink_is_on(ink, w->frames.number) || sp_ink_distance(ink, at) > reach)
            continue;
        rub_out(w, i);
        break;
    }
    return true; /* the review's own ink is left alone */
}

bool talking_undoes(window *w) {
    talking *t = &w->talking;
    if (!talking_is_on(w) || t->marks_begun == 0) return false;
    if (t->mark_count > 0)
        rub_out(w, t->mark_count - 1);
    else
        message_say(w, "All that was drawn in this take is undone.");
    return true;
}

size_t talking_inks(const window *w, sp_overlay_ink inks[SP_TALK_MARKS_MAX]) {
    const talking *t = &w->talking;
    sp_talk_state state;
    size_t count = 0;
    if (talking_is_on(w)) {
        for (int i = 0; i < t->mark_count; i++)
            inks[count++] = (sp_overlay_ink){.ink = mark_of_take(w, t->marks[i]), .share = 1};
    } else if (t->now == TALKING_PLAYED && sp_talk_state_at(t->talk, t->head_s, &state)) {
        for (; count < state.mark_count; count++)
            inks[count] =
                (sp_overlay_ink){.ink = state.marks[count].ink, .share = state.marks[count].share};
    }
    return count;
}

/* --- recording ------------------------------------------------------------------------------- */

/* The whole with this take in its place; on disk before the take is ended, should it never be. */
static void store_so_far(window *w) {
    talking *t = &w->talking;
    sp_talk_set_length(t->talk, length_s(w));
    const size_t take = sp_talk_take_count(t->talk) - 1;
    if (!sp_talk_put(t->talk, take, t->put_from_s, t->put_to_s, NULL)) return;
    talking_store(w);
    sp_talk_undo(t->talk);
    t->saved_ms = SDL_GetTicks64();
}

static bool fetch_voice(window *w, sp_error *error) {
    talking *t = &w->talking;
    float samples[4096];
    size_t count;
    if (t->writer == NULL) return true;
    while ((count = microphone_take(&t->microphone, samples, 4096)) > 0)
        if (!sp_voice_add(t->writer, samples, count, error)) return false;
    return true;
}

static void end_take(window *w) {
    talking *t = &w->talking;
    sp_error error = {0};
    notice(w);
    if (t->writer != NULL) microphone_listen(&t->microphone, false);
    bool good = fetch_voice(w, &error);
    const double length = length_s(w);
    sp_talk_set_length(t->talk, length);
    if (t->writer != NULL) good = sp_voice_close(t->writer, good ? &error : NULL) && good;
    t->writer = NULL;
    microphone_close(&t->microphone);
    t->now = TALKING_NOT;
    t->mark_count = 0;
    const size_t take = sp_talk_take_count(t->talk) - 1;
    if (sp_talk_put(t->talk, take, t->put_from_s, t->put_to_s, good ? &error : NULL))
        t->head_s = t->put_from_s + length;
    t->part_s = -1;
    if (talking_store(w) && good)
        message_say(w, "Recorded %.1f s; the talk-through is %.1f s long.", length,
                    talking_length_s(w));
    if (!good) message_problem(w, &error);
    window_touch(w, PART_SHEET | PART_OVERLAY);
}

static void lose_microphone(window *w, const char *why) {
    const double kept = length_s(w);
    end_take(w);
    sp_error problem = {0};
    sp_fail(&problem, SP_ERROR_FILE,
            "%s What was recorded until then, %.1f s, is kept in %s; plug it in and record on.",
            why, kept, session_name(w->talking.path));
    message_problem(w, &problem);
}

void talking_gone(window *w, SDL_AudioDeviceID device) {
    if (talking_is_on(w) && w->talking.writer != NULL && w->talking.microphone.device == device)
        lose_microphone(w, "The microphone was taken away.");
}

static bool begin_voice(window *w, char name[SP_REVIEW_NAME_MAX], sp_error *error) {
    talking *t = &w->talking;
    char path[PATH_MAX];
    name[0] = '\0';
    if (t->without) return true;
    if (!microphone_open(&t->microphone, t->chosen, error)) return false;
    const int folder = (int)(session_name(t->path) - t->path);
    for (int number = (int)sp_talk_take_count(t->talk) + 1;; number++) {
        if (!sp_talk_voice_name(w->session.review_path, number, name, SP_REVIEW_NAME_MAX) ||
            snprintf(path, sizeof path, "%.*s%s", folder, t->path, name) >= (int)sizeof path)
            return sp_fail(error, SP_ERROR_LIMIT, "the name of the review is too long; shorten it");
        if (access(path, F_OK) != 0) break; /* a voice is never written over */
    }
    t->writer = sp_voice_create(path, error);
    return t->writer != NULL;
}

static void listen(window *w, bool on) {
    talking *t = &w->talking;
    const double now = microphone_now_s();
    if (!on) t->gathered_s += now - t->since_s;
    t->since_s = now;
    t->now = on ? TALKING_ON : TALKING_PAUSED;
    if (t->writer != NULL) microphone_listen(&t->microphone, on);
    t->seen.any = t->seen.any && !on; /* what changed in a pause is there at once */
    window_touch(w, PART_SHEET);
}

static void begin_take(window *w, double from_s, double to_s) {
    talking *t = &w->talking;
    sp_error error = {0};
    char voice[SP_REVIEW_NAME_MAX];
    if (!talking_find(w, &error) || !begin_voice(w, voice, &error) ||
        !sp_talk_begin_take(t->talk, voice, &error)) {
        microphone_close(&t->microphone);
        message_problem(w, &error);
        return;
    }
    t->put_from_s = from_s;
    t->put_to_s = to_s;
    t->gathered_s = 0;
    t->seen = (noticed){.measure = -1};
    t->mark_count = t->marks_begun = 0;
    t->saved_ms = SDL_GetTicks64();
    listen(w, true);
    notice(w);
    message_dismiss(w);
}

void act_talk_record(window *w, int unused) {
    (void)unused;
    if (talking_is_on(w)) {
        if (w->talking.now == TALKING_ON) notice(w);
        listen(w, w->talking.now == TALKING_PAUSED);
        return;
    }
    if (!edit_allowed(w)) return;
    talking_play_stop(w);
    sp_error error = {0};
    if (!talking_find(w, &error)) {
        message_problem(w, &error);
        return;
    }
    begin_take(w, talking_length_s(w), INFINITY);
}

void act_talk_end(window *w, int unused) {
    (void)unused;
    if (talking_is_on(w))
        end_take(w);
    else
        message_say(w, "Nothing is being recorded.");
}

void act_talk_again(window *w, int unused) {
    (void)unused;
    talking *t = &w->talking;
    if (talking_is_on(w) || !edit_allowed(w)) return;
    talking_play_stop(w);
    if (t->part_s < 0 || t->head_s <= t->part_s) {
        message_say(w, "Say first which part: go to its start, then 'a part begins here', then go "
                       "to its end.");
        return;
    }
    const double end = t->head_s;
    t->head_s = t->part_s;
    talking_show_head(w);
    begin_take(w, t->part_s, end);
}

void act_talk_microphone(window *w, int unused) {
    (void)unused;
    talking *t = &w->talking;
    if (talking_is_on(w)) return;
    int index = 0;
    const char *name;
    if (!t->without && t->chosen[0] != '\0')
        while ((name = microphone_name(index++)) != NULL && strcmp(name, t->chosen) != 0) {
        }
    name = t->without ? NULL : microphone_name(index);
    const bool usual = t->without; /* after none comes the system's own choice again */
    t->without = !usual && name == NULL;
    sp_text_copy(t->chosen, sizeof t->chosen, usual || name == NULL ? "" : name);
    choices_save(w);
    window_touch(w, PART_SHEET);
}

int talking_update(window *w) {
    talking *t = &w->talking;
    sp_error error = {0};
    if (t->now == TALKING_PLAYED) return talking_play_update(w);
    if (t->now != TALKING_ON) return -1;
    notice(w);
    if (t->writer != NULL) t->level = fmaxf(microphone_peak(&t->microphone), 0.8f * t->level);
    if (!fetch_voice(w, &error)) {
        end_take(w);
        message_problem(w, &error);
        return -1;
    }
    if (t->writer != NULL && microphone_silent_s(&t->microphone) > GONE_S) {
        lose_microphone(w, "The microphone gives nothing any more.");
        return -1;
    }
    const uint64_t now = SDL_GetTicks64();
    if (now - t->painted_ms > PAINT_MS) {
        window_touch(w, PART_SHEET);
        t->painted_ms = now;
    }
    if (now - t->saved_ms > STORE_MS) store_so_far(w);
    return LOOK_MS;
}

void talking_words(const window *w, char *title, size_t title_size, char *hint, size_t hint_size) {
    const bool on = w->talking.now == TALKING_ON;
    snprintf(title, title_size, on ? "Recording: %.0f s" : "Paused at %.0f s", floor(length_s(w)));
    snprintf(hint, hint_size,
             "%s Speak, go through the clip, play, zoom, draw (I), choose a measure. %s, Shift R "
             "ends.",
             w->talking.writer == NULL ? "Without voice." : "", on ? "R pauses" : "R goes on");
    if (hint[0] == ' ') memmove(hint, hint + 1, strlen(hint));
}

void talking_leave(window *w) {
    talking *t = &w->talking;
    if (talking_is_on(w)) end_take(w);
    talking_play_stop(w);
    sp_talk_free(t->talk);
    t->talk = NULL;
    t->path[0] = '\0';
    t->head_s = 0;
    t->part_s = -1;
}

void talking_close(window *w) {
    talking_leave(w);
    if (w->talking.loud != 0) SDL_CloseAudioDevice(w->talking.loud);
    w->talking.loud = 0;
}
