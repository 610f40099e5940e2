#include <limits.h>

#include "base/file.h"
#include "review/document.h"
#include "review/ink.h"
#include "review/json.h"
#include "review/words.h"

static void put_point(sp_text *text, const char *name, sp_point point) {
    sp_json_open(text, name, '[');
    sp_json_number(text, NULL, point.x);
    sp_json_number(text, NULL, point.y);
    sp_json_close(text, ']');
}

static void put_word(sp_text *text, const char *name, const sp_words *words, unsigned index) {
    sp_json_string(text, name, sp_words_at(words, index));
}

/* A value that is left out while it is unknown. */
static void put_known(sp_text *text, const char *name, double value) {
    if (value != 0) sp_json_number(text, name, value);
}

static void put_clip(sp_text *text, const sp_review *review) {
    const sp_review_clip *clip = &review->clip;
    sp_json_open(text, "clip", '{');
    sp_json_string(text, "file", clip->file);
    sp_json_string(text, "sha256", clip->sha256);
    sp_json_number(text, "frames", clip->frames);
    sp_json_number(text, "width", clip->width);
    sp_json_number(text, "height", clip->height);
    sp_json_number(text, "slowdown", clip->slowdown);
    sp_json_number(text, "row_time_s", clip->row_time_s);
    put_known(text, "exposure_s", clip->exposure_s);
    sp_json_members(text, review->clip_kept);
    sp_json_close(text, '}');
}

static void put_player(sp_text *text, const sp_review *review) {
    const sp_player *player = &review->player;
    sp_json_open(text, "player", '{');
    sp_json_string(text, "name", player->name);
    put_word(text, "hand", &sp_words_hand, player->hand);
    put_known(text, "stature_m", player->stature_m);
    put_known(text, "racquet_m", player->racquet_m);
    put_word(text, "shoulder", &sp_words_shoulder, player->shoulder);
    sp_json_members(text, review->player_kept);
    sp_json_close(text, '}');
}

static void put_plumb(sp_text *text, const sp_review *review) {
    const sp_plumb_entry *plumb = &review->plumb;
    sp_json_open(text, "plumb", '{');
    put_word(text, "method", &sp_words_plumb, plumb->method);
    sp_json_number(text, "angle_deg", plumb->angle_deg);
    if (sp_plumb_has_taps(plumb->method)) {
        sp_json_number(text, "frame", plumb->frame);
        put_point(text, "a", plumb->a);
        put_point(text, "b", plumb->b);
    }
    sp_json_members(text, review->plumb_kept);
    sp_json_close(text, '}');
}

static void put_line(sp_text *text, const sp_scale_entry *entry) {
    sp_json_number(text, "frame", entry->frame);
    put_point(text, "a", entry->a);
    put_point(text, "b", entry->b);
    sp_json_number(text, "distance_m", entry->distance_m);
    sp_json_string(text, "distance_name", entry->distance_name);
    put_known(text, "sd_px", entry->sd_px);
}

static void put_court(sp_text *text, const sp_kept_scale *scale) {
    const sp_scale_entry *entry = &scale->entry;
    sp_json_number(text, "frame", entry->frame);
    sp_json_open(text, "landmarks", '[');
    for (size_t i = 0; i < entry->landmark_count; i++) {
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "name", entry->landmarks[i].landmark->id);
        put_point(text, "at", entry->landmarks[i].at);
        put_known(text, "sd_px", entry->landmarks[i].sd_px);
        sp_json_members(text, scale->landmark_kept[i]);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
    put_known(text, "sd_px", entry->sd_px);
}

static void put_toss(sp_text *text, const sp_scale_entry *entry) {
    sp_json_number(text, "from_frame", entry->from_frame);
    sp_json_number(text, "to_frame", entry->to_frame);
}

static void put_scale(sp_text *text, const sp_kept_scale *scale) {
    const sp_scale_entry *entry = &scale->entry;
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "id", entry->id);
    put_word(text, "method", &sp_words_scale, entry->method);
    switch (entry->method) {
    case SP_SCALE_LINE: put_line(text, entry); break;
    case SP_SCALE_COURT: put_court(text, scale); break;
    case SP_SCALE_TOSS: put_toss(text, entry); break;
    }
    sp_json_members(text, scale->kept);
    sp_json_close(text, '}');
}

static void put_scales(sp_text *text, const sp_review *review) {
    sp_json_open(text, "scales", '[');
    for (size_t i = 0; i < review->scales.count; i++) put_scale(text, review->scales.items[i]);
    sp_json_close(text, ']');
    if (review->active[0] != '\0') sp_json_string(text, "scale", review->active);
}

static void put_moments(sp_text *text, const sp_review *review) {
    sp_json_open(text, "moments", '[');
    for (size_t i = 0; i < review->moments.count; i++) {
        const sp_kept_moment *item = review->moments.items[i];
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "name", item->moment.name);
        sp_json_number(text, "frame", item->moment.frame);
        sp_json_members(text, item->kept);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
}

static void put_mark(sp_text *text, const sp_marked_point *point) {
    sp_json_open(text, sp_point_id(point->name), '{');
    put_point(text, "at", point->mark.at);
    put_known(text, "sd_px", point->mark.sd_px);
    put_word(text, "by", &sp_words_by, point->mark.by);
    sp_json_members(text, point->kept);
    sp_json_close(text, '}');
}

static void put_frame(sp_text *text, const sp_marked_frame *marked, const sp_kept_frame *kept) {
    sp_json_open(text, NULL, '{');
    sp_json_number(text, "frame", marked->frame);
    sp_json_open(text, "points", '{');
    for (size_t i = 0; i < marked->count; i++) put_mark(text, &marked->points[i]);
    sp_json_members(text, kept->points_kept);
    sp_json_close(text, '}');
    sp_json_members(text, kept->kept);
    sp_json_close(text, '}');
}

/* Frames with points and frames of which something unknown is kept, in one order. */
static void put_marks(sp_text *text, const sp_review *review) {
    const sp_marks *marks = &review->marks;
    size_t m = 0, k = 0;
    sp_json_open(text, "marks", '[');
    while (m < marks->frames.count || k < marks->kept_count) {
        const int marked = m < marks->frames.count ? sp_marks_frame(marks, m)->frame : INT_MAX;
        const int kept = k < marks->kept_count ? marks->kept[k].frame : INT_MAX;
        const int frame = marked < kept ? marked : kept;
        const sp_marked_frame no_points = {.frame = frame};
        const sp_kept_frame nothing_kept = {.frame = frame};
        put_frame(text, marked == frame ? sp_marks_frame(marks, m++) : &no_points,
                  kept == frame ? &marks->kept[k++] : &nothing_kept);
    }
    sp_json_close(text, ']');
}

static void put_notes(sp_text *text, const sp_review *review) {
    sp_json_open(text, "notes", '[');
    for (size_t i = 0; i < review->notes.count; i++) {
        const sp_kept_note *item = review->notes.items[i];
        sp_json_open(text, NULL, '{');
        if (item->note.frame != -1) sp_json_number(text, "frame", item->note.frame);
        sp_json_string(text, "text", item->note.text);
        sp_json_members(text, item->kept);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
}

/* Both lists are left out while they are empty. */
static void put_judgements(sp_text *text, const sp_review *review) {
    if (review->judgements.count == 0) return;
    sp_json_open(text, "judgements", '[');
    for (size_t i = 0; i < review->judgements.count; i++) {
        const sp_kept_judgement *item = review->judgements.items[i];
        const sp_judgement *judgement = &item->judgement;
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "check", judgement->check);
        put_word(text, "verdict", &sp_words_verdict, judgement->verdict);
        if (judgement->frame != -1) sp_json_number(text, "frame", judgement->frame);
        if (judgement->text != NULL) sp_json_string(text, "text", judgement->text);
        sp_json_members(text, item->kept);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
}

static void put_findings(sp_text *text, const sp_review *review) {
    if (review->findings.count == 0) return;
    sp_json_open(text, "findings", '[');
    for (size_t i = 0; i < review->findings.count; i++) {
        const sp_kept_finding *item = review->findings.items[i];
        const sp_finding_entry *entry = &item->entry;
        sp_json_open(text, NULL, '{');
        sp_json_string(text, "check", entry->check);
        put_known(text, "order", entry->order);
        if (entry->text != NULL) sp_json_string(text, "text", entry->text);
        if (entry->seen[0] != '\0') sp_json_string(text, "seen", entry->seen);
        sp_json_members(text, item->kept);
        sp_json_close(text, '}');
    }
    sp_json_close(text, ']');
}

static void put_inks(sp_text *text, const sp_review *review) {
    if (review->inks.count == 0) return;
    sp_json_open(text, "ink", '[');
    for (size_t i = 0; i < review->inks.count; i++) {
        const sp_kept_ink *item = review->inks.items[i];
        sp_ink_put(text, NULL, &item->ink, item->kept);
    }
    sp_json_close(text, ']');
}

static void put_review(sp_text *text, const sp_review *review) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "format", SP_REVIEW_FORMAT);
    sp_json_number(text, "version", SP_REVIEW_VERSION);
    put_clip(text, review);
    put_player(text, review);
    put_word(text, "view", &sp_words_view, review->view);
    put_word(text, "net", &sp_words_net, review->net);
    sp_json_number(text, "points_sd_px", review->points_sd_px);
    put_plumb(text, review);
    put_scales(text, review);
    put_moments(text, review);
    put_marks(text, review);
    if (review->speeds != NULL) sp_json_raw(text, "speeds", review->speeds);
    put_inks(text, review);
    put_notes(text, review);
    put_judgements(text, review);
    put_findings(text, review);
    if (review->reviewed[0] != '\0') sp_json_string(text, "reviewed", review->reviewed);
    sp_json_members(text, review->kept);
    sp_json_close(text, '}');
}

/* Laid out to be read where that fits the limit of a file; fails rather than write what the reader
 * would refuse. */
static bool put_text(sp_text *text, const sp_review *review, sp_error *error) {
    sp_text compact = {0};
    size_t values = 0;
    put_review(&compact, review);
    if (!compact.failed) sp_json_layout(text, compact.bytes, &values);
    if (!compact.failed && text->length > SP_JSON_BYTES_MAX) {
        sp_text_clear(text);
        *text = compact;
        compact = (sp_text){0};
    }
    const bool failed = text->failed || compact.failed;
    sp_text_clear(&compact);
    if (failed) return sp_fail(error, SP_ERROR_MEMORY, "no memory to write the review");
    if (text->length <= SP_JSON_BYTES_MAX && values <= SP_JSON_VALUES_MAX) return true;
    return sp_fail(error, SP_ERROR_LIMIT,
                   "the review has grown too large for a file; remove points that are not needed");
}

char *sp_review_detach_text(const sp_review *review, sp_error *error) {
    sp_text text = {0};
    char *detached = NULL;
    if (put_text(&text, review, error)) {
        detached = sp_text_detach(&text);
        if (detached == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory to write the review");
    }
    sp_text_clear(&text);
    return detached;
}

bool sp_review_write(const sp_review *review, const char *path, sp_error *error) {
    sp_text text = {0};
    const bool good = put_text(&text, review, error) &&
                      sp_file_write(path, sp_text_get(&text), text.length, error);
    sp_text_clear(&text);
    return good;
}
