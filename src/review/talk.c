#include "review/talk.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/check.h"
#include "review/utf8.h"

#define REVIEW_END ".review.json"

static bool no_memory(sp_error *error) {
    return sp_fail(error, SP_ERROR_MEMORY, "no memory for the talk-through");
}

void sp_kept_action_free(void *item) {
    sp_kept_action *action = item;
    if (action == NULL) return;
    sp_kept_ink_free(action->ink);
    free(action->kept);
    free(action);
}

void sp_kept_take_free(void *item) {
    sp_kept_take *take = item;
    if (take == NULL) return;
    sp_list_clear(&take->actions, sp_kept_action_free);
    free(take->kept);
    free(take);
}

sp_kept_action *sp_kept_action_new(const sp_talk_action *action) {
    sp_kept_action *item = calloc(1, sizeof *item);
    if (item == NULL) return NULL;
    item->action = *action;
    if (action->kind != SP_TALK_INK) return item;
    item->ink = sp_kept_ink_new(&action->ink, NULL);
    if (item->ink == NULL) {
        free(item);
        return NULL;
    }
    item->action.ink = item->ink->ink;
    return item;
}

sp_talk *sp_talk_new(const sp_review_clip *clip, sp_error *error) {
    sp_talk *talk = calloc(1, sizeof *talk);
    if (talk == NULL) {
        no_memory(error);
        return NULL;
    }
    talk->clip = *clip;
    return talk;
}

void sp_talk_free(sp_talk *talk) {
    if (talk == NULL) return;
    sp_list_clear(&talk->takes, sp_kept_take_free);
    for (size_t i = 0; i < talk->before_count; i++) free(talk->before[i].items);
    free(talk->before);
    free(talk->pieces.items);
    free(talk->kept);
    free(talk);
}

/* --- names ----------------------------------------------------------------------------------- */

static int stem_length(const char *review_path) {
    const size_t length = strlen(review_path), end = strlen(REVIEW_END);
    const bool usual = length > end && strcmp(review_path + length - end, REVIEW_END) == 0;
    return (int)(usual ? length - end : length);
}

bool sp_talk_path_beside(const char *review_path, char *path, size_t size) {
    const int count = snprintf(path, size, "%.*s.talk.json", stem_length(review_path), review_path);
    return count >= 0 && (size_t)count < size;
}

bool sp_talk_voice_name(const char *review_path, int number, char *name, size_t size) {
    const char *slash = strrchr(review_path, '/');
    const char *bare = slash == NULL ? review_path : slash + 1;
    const int count = snprintf(name, size, "%.*s.talk-%d.wav", stem_length(bare), bare, number);
    return count >= 0 && (size_t)count < size;
}

/* --- getters --------------------------------------------------------------------------------- */

static const sp_kept_take *take_of(const sp_talk *talk, size_t take) {
    assert(take < talk->takes.count);
    return talk->takes.items[take];
}

size_t sp_talk_take_count(const sp_talk *talk) { return talk->takes.count; }

const sp_talk_take *sp_talk_take_at(const sp_talk *talk, size_t take) {
    return &take_of(talk, take)->take;
}

const sp_talk_action *sp_talk_action_at(const sp_talk *talk, size_t take, size_t index) {
    const sp_kept_take *of = take_of(talk, take);
    assert(index < of->actions.count);
    return &((const sp_kept_action *)of->actions.items[index])->action;
}

size_t sp_talk_piece_count(const sp_talk *talk) { return talk->pieces.count; }

const sp_talk_piece *sp_talk_piece_at(const sp_talk *talk, size_t index) {
    assert(index < talk->pieces.count);
    return &talk->pieces.items[index];
}

double sp_talk_length_s(const sp_talk *talk) {
    double length = 0;
    for (size_t i = 0; i < talk->pieces.count; i++)
        length += talk->pieces.items[i].to_s - talk->pieces.items[i].from_s;
    return length;
}

/* --- what is allowed ------------------------------------------------------------------------- */

static bool check_range(double value, double low, double high, const char *member,
                        const sp_place *at, sp_error *error) {
    if (value >= low && value <= high) return true;
    return sp_fail_at(at, member, error, "expected a number from %g to %g, not %g", low, high,
                      value);
}

bool sp_check_voice(const char *voice, const sp_place *at, sp_error *error) {
    const bool bare =
        voice[0] != '.' && strchr(voice, '/') == NULL && sp_utf8_is_plain(voice, false);
    return bare || sp_fail_at(at, "voice", error,
                              "expected the bare name of a file that lies beside this one");
}

static bool check_view(const sp_review_clip *clip, const sp_talk_action *action, const sp_place *at,
                       sp_error *error) {
    return check_range(action->zoom, 0.01, SP_TALK_ZOOM_MAX, "zoom", at, error) &&
           check_range(action->middle.x, -clip->width, 2.0 * clip->width, "middle", at, error) &&
           check_range(action->middle.y, -clip->height, 2.0 * clip->height, "middle", at, error);
}

bool sp_check_talk_action(const sp_review_clip *clip, const sp_talk_action *action,
                          const sp_place *at, sp_error *error) {
    if (!check_range(action->at_s, 0, SP_TALK_LENGTH_MAX, "at_s", at, error)) return false;
    switch (action->kind) {
    case SP_TALK_FRAME: return sp_check_frame(clip, action->frame, at, error);
    case SP_TALK_PLAY:
        return sp_check_frame(clip, action->frame, at, error) &&
               check_range(action->pace, 0.001, 100, "pace", at, error);
    case SP_TALK_VIEW: return check_view(clip, action, at, error);
    case SP_TALK_INK:
        return sp_check_ink(clip, &action->ink, at, error) &&
               check_range(action->took_s, 0, SP_TALK_LENGTH_MAX, "took_s", at, error);
    case SP_TALK_RUB: return check_range(action->mark, 0, 1e6, "mark", at, error);
    case SP_TALK_MEASURE:
    case SP_TALK_OVERLAY: break;
    }
    return true;
}

/* --- recording ------------------------------------------------------------------------------- */

bool sp_talk_begin_take(sp_talk *talk, const char *voice, sp_error *error) {
    const sp_place here = {.name = ""};
    sp_kept_take *take = calloc(1, sizeof *take);
    if (take == NULL) return no_memory(error);
    bool good = sp_check_voice(voice, &here, error);
    if (good && !sp_text_copy(take->take.voice, sizeof take->take.voice, voice))
        good = sp_fail(error, SP_ERROR_LIMIT,
                       "the name '%.80s...' is too long; shorten that of "
                       "the review",
                       voice);
    if (good && talk->takes.count >= SP_TALK_TAKES_MAX)
        good = sp_fail(error, SP_ERROR_LIMIT, "a talk-through holds at most %zu takes",
                       SP_TALK_TAKES_MAX);
    if (good && sp_list_insert(&talk->takes, talk->takes.count, take)) return true;
    sp_kept_take_free(take);
    return good ? no_memory(error) : false;
}

bool sp_talk_add(sp_talk *talk, const sp_talk_action *action, sp_error *error) {
    assert(talk->takes.count > 0);
    sp_kept_take *take = talk->takes.items[talk->takes.count - 1];
    const sp_place here = {.name = ""}, place = {.up = &here, .name = "action"};
    sp_talk_action set = *action;
    if (take->actions.count > 0) {
        const sp_kept_action *last = take->actions.items[take->actions.count - 1];
        set.at_s = fmax(set.at_s, last->action.at_s);
    }
    if (!sp_check_talk_action(&talk->clip, &set, &place, error)) return false;
    if (take->actions.count >= SP_TALK_ACTIONS_MAX)
        return sp_fail(error, SP_ERROR_LIMIT, "a take holds at most %zu actions; begin another",
                       SP_TALK_ACTIONS_MAX);
    sp_kept_action *item = sp_kept_action_new(&set);
    if (item == NULL || !sp_list_insert(&take->actions, take->actions.count, item)) {
        sp_kept_action_free(item);
        return no_memory(error);
    }
    take->take.count = take->actions.count;
    return true;
}

void sp_talk_set_length(sp_talk *talk, double length_s) {
    assert(talk->takes.count > 0);
    sp_kept_take *take = talk->takes.items[talk->takes.count - 1];
    take->take.length_s = fmax(0, fmin(length_s, SP_TALK_LENGTH_MAX));
}
