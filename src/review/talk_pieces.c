/* What is played of a talk-through: pieces of its takes, in order. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "review/talk.h"

/* Shorter than a picture: what is left of a cut is not kept. */
#define PIECE_LEAST_S 0.02

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory for the talk-through; nothing was cut");
}

static void add(sp_pieces *pieces, size_t take, double from_s, double to_s) {
    if (to_s - from_s < PIECE_LEAST_S) return;
    pieces->items[pieces->count++] = (sp_talk_piece){take, from_s, to_s};
}

/* Of a piece that begins at `start_s` of the whole, what lies from `low_s` to `high_s` of it. */
static void add_part(sp_pieces *pieces, const sp_talk_piece *piece, double start_s, double low_s,
                     double high_s) {
    const double from = piece->from_s + fmax(0, low_s - start_s);
    const double to = fmin(piece->to_s, piece->from_s + high_s - start_s);
    add(pieces, piece->take, from, to);
}

static bool remember(sp_talk *talk, const sp_pieces *fresh, sp_error *error) {
    sp_pieces *before =
        sp_room_for(talk->before, &talk->before_room, talk->before_count + 1, sizeof *talk->before);
    if (before == NULL) {
        free(fresh->items);
        return no_memory(error);
    }
    talk->before = before;
    talk->before[talk->before_count++] = talk->pieces;
    talk->pieces = *fresh;
    return true;
}

/* `take` SIZE_MAX: nothing comes in. */
static bool exchange(sp_talk *talk, size_t take, double from_s, double to_s, sp_error *error) {
    sp_pieces fresh = {.items = calloc(2 * talk->pieces.count + 2, sizeof(sp_talk_piece))};
    if (fresh.items == NULL) return no_memory(error);
    double start = 0;
    for (size_t i = 0; i < talk->pieces.count; i++) {
        const sp_talk_piece *piece = &talk->pieces.items[i];
        add_part(&fresh, piece, start, 0, from_s);
        start += piece->to_s - piece->from_s;
    }
    if (take != SIZE_MAX) add(&fresh, take, 0, sp_talk_take_at(talk, take)->length_s);
    start = 0;
    for (size_t i = 0; i < talk->pieces.count; i++) {
        const sp_talk_piece *piece = &talk->pieces.items[i];
        add_part(&fresh, piece, start, to_s, INFINITY);
        start += piece->to_s - piece->from_s;
    }
    return remember(talk, &fresh, error);
}

bool sp_talk_put(sp_talk *talk, size_t take, double from_s, double to_s, sp_error *error) {
    return exchange(talk, take, fmax(0, from_s), fmax(from_s, to_s), error);
}

bool sp_talk_cut(sp_talk *talk, double from_s, double to_s, sp_error *error) {
    const double length = sp_talk_length_s(talk);
    if (!(from_s >= 0 && to_s > from_s && from_s < length))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "nothing lies from %.2f s to %.2f s: the talk-through is %.2f s long",
                       from_s, to_s, length);
    return exchange(talk, SIZE_MAX, from_s, to_s, error);
}

bool sp_talk_undo(sp_talk *talk) {
    if (talk->before_count == 0) return false;
    free(talk->pieces.items);
    talk->pieces = talk->before[--talk->before_count];
    return true;
}

/* --- what is seen ---------------------------------------------------------------------------- */

/* The piece at a time of the whole, and where in its take that is. */
static void locate(const sp_talk *talk, double time_s, sp_talk_state *state) {
    double start = 0;
    for (size_t i = 0; i < talk->pieces.count; i++) {
        const sp_talk_piece *piece = &talk->pieces.items[i];
        const double length = piece->to_s - piece->from_s;
        const bool last = i + 1 == talk->pieces.count;
        state->piece = i;
        state->take = piece->take;
        if (time_s < start + length || last) {
            state->take_s = piece->from_s + fmax(0, fmin(time_s - start, length));
            return;
        }
        start += length;
    }
}

static void take_off(sp_talk_state *state, const sp_ink *ink) {
    size_t left = 0;
    for (size_t i = 0; i < state->mark_count; i++)
        if (state->marks[i].ink != ink) state->marks[left++] = state->marks[i];
    state->mark_count = left;
}

static const sp_ink *mark_of(const sp_kept_take *take, int mark) {
    for (size_t i = 0; i < take->actions.count; i++) {
        const sp_kept_action *item = take->actions.items[i];
        if (item->action.kind == SP_TALK_INK && mark-- == 0) return &item->action.ink;
    }
    return NULL;
}

static void put_mark(sp_talk_state *state, const sp_talk_action *a) {
    if (state->mark_count == SP_TALK_MARKS_MAX) return;
    const double since = state->take_s - a->at_s;
    state->marks[state->mark_count].ink = &a->ink;
    state->marks[state->mark_count++].share = a->took_s > 0 ? fmin(1, since / a->took_s) : 1;
}

static void follow(const sp_kept_take *take, const sp_talk_action *a, sp_talk_state *state) {
    switch (a->kind) {
    case SP_TALK_FRAME:
        state->frame = a->frame;
        state->played_s = state->pace = 0;
        break;
    case SP_TALK_PLAY:
        state->frame = a->frame;
        state->played_s = (state->take_s - a->at_s) * a->pace;
        state->pace = a->pace;
        break;
    case SP_TALK_VIEW:
        state->middle = a->middle;
        state->zoom = a->zoom;
        break;
    case SP_TALK_INK: put_mark(state, a); break;
    case SP_TALK_RUB: take_off(state, mark_of(take, a->mark)); break;
    case SP_TALK_MEASURE:
        state->measure = a->measure;
        state->moment = a->moment;
        break;
    case SP_TALK_OVERLAY: state->overlay = a->shown; break;
    }
}

bool sp_talk_state_at(const sp_talk *talk, double time_s, sp_talk_state *state) {
    *state = (sp_talk_state){.middle = {talk->clip.width / 2.0, talk->clip.height / 2.0},
                             .zoom = 1,
                             .overlay = true,
                             .measure = "",
                             .moment = ""};
    if (talk->pieces.count == 0) return false;
    locate(talk, time_s, state);
    const sp_kept_take *take = talk->takes.items[state->take];
    for (size_t i = 0; i < take->actions.count; i++) {
        const sp_kept_action *item = take->actions.items[i];
        if (item->action.at_s > state->take_s + 1e-9) break;
        follow(take, &item->action, state);
    }
    return true;
}
