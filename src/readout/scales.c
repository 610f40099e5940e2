#include "readout/scales.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "serveplumb/court.h"

/* A phone held by hand against the picture's edge; common practice, no source. */
static const double PICTURE_PLUMB_SD_DEG = 1.0;
/* A distance that is not in the court table: half a percent, a hand's breadth on 15 m. Assumed. */
static const double OWN_DISTANCE_SD = 0.005;
/* A distance by a court name is that of the table when it was rounded to the centimetre. */
static const double ROUNDING_M = 0.006;
/* The ball against the body, along the line of sight, relative to the camera's distance: 0.3 m at
 * 10 m from the side, at 6 m from behind and from the front. */
static const double BALL_DEPTH_SD = 0.03, BALL_DEPTH_SD_ALONG = 0.05;
/* A camera that looks up or down by p sees the fall shorter by cos p: 5 degrees are 0.4 %, 8 are
 * 1 %. Assumed. */
static const double PITCH_SD = 0.005;

static bool beside(const sp_door *door) { return door->view == SP_VIEW_SIDE; }

/* --- line ------------------------------------------------------------------------------------ */
static double distance_sd_m(const sp_scale_entry *entry) {
    const sp_court_distance *known = sp_court_distance_find(entry->distance_name);
    if (known != NULL && fabs(known->distance_m - entry->distance_m) <= ROUNDING_M)
        return known->sd_m;
    return OWN_DISTANCE_SD * entry->distance_m;
}

static bool find_line(sp_door *door, sp_found_scale *found, sp_error *error) {
    const sp_scale_entry *entry = found->entry;
    found->line = (sp_line){
        .a = sp_door_mirror(door, entry->a),
        .b = sp_door_mirror(door, entry->b),
        .sd_px = entry->sd_px > 0 ? entry->sd_px : sp_review_get_points_sd(door->review),
        .distance_m = entry->distance_m,
        .distance_sd_m = distance_sd_m(entry),
        .depth_sd = beside(door) ? SP_SCALE_DEPTH_SD : SP_SCALE_DEPTH_SD_ALONG,
    };
    sp_scale scale;
    if (!sp_scale_from_line(found->line.a, found->line.b, found->line.sd_px, entry->distance_m,
                            found->line.distance_sd_m, &scale))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the two taps coincide; tap them anew");
    scale.depth_sd = found->line.depth_sd;
    found->m_per_px = scale.m_per_px;
    found->relative_sd = sp_scale_relative_sd(&scale);
    return true;
}

/* --- court ----------------------------------------------------------------------------------- */
static bool find_court(sp_door *door, sp_found_scale *found, sp_error *error) {
    if (!sp_stand_find(door, found->entry, &found->stand, error)) return false;
    found->m_per_px = found->stand.m_per_px;
    found->relative_sd = sp_stand_spread_of(&found->stand, door).scale_sd;
    if (found->stand.pose.doubt[0] != '\0')
        sp_text_copy(found->words, sizeof found->words, found->stand.pose.doubt);
    else if (found->stand.pose.surplus < 3)
        snprintf(found->words, sizeof found->words,
                 "%zu landmarks leave nothing to check them by: tap one or two more",
                 found->entry->landmark_count);
    return true;
}

/* --- toss ------------------------------------------------------------------------------------ */
size_t sp_toss_samples(sp_door *door, int first, int last, sp_sample samples[SP_PATH_MAX]) {
    size_t count = 0;
    for (size_t i = 0; i < sp_review_marked_count(door->review) && count < SP_PATH_MAX; i++) {
        const int frame = sp_review_marked_frame(door->review, i);
        if (frame < first || frame > last || !sp_door_marked(door, frame, SP_POINT_BALL)) continue;
        const int index = sp_door_slot(door, frame, SP_POINT_BALL);
        if (door->out_of_memory) return 0;
        const sp_slot *slot = &door->slots[index];
        samples[count++] = (sp_sample){sp_door_slot_time(door, slot), slot->at};
    }
    return count;
}

static bool find_toss(sp_door *door, sp_found_scale *found, sp_error *error) {
    sp_sample samples[SP_PATH_MAX];
    const size_t count =
        sp_toss_samples(door, found->entry->from_frame, found->entry->to_frame, samples);
    const sp_toss_options options = {.sd_px = sp_review_get_points_sd(door->review)};
    sp_toss *toss = &found->toss;
    if (!sp_toss_fit(samples, count, &options, toss, error)) return false;
    const double depth_sd = beside(door) ? BALL_DEPTH_SD : BALL_DEPTH_SD_ALONG;
    found->m_per_px = toss->m_per_px.value;
    found->relative_sd = hypot(hypot(toss->noise_sd, hypot(toss->drag_sd, toss->gravity_sd)),
                               hypot(PITCH_SD, depth_sd));
    sp_text_copy(found->words, sizeof found->words, toss->doubt);
    return true;
}

/* --- all ------------------------------------------------------------------------------------- */
static void find_one(sp_door *door, const sp_scale_entry *entry, sp_found_scale *found) {
    sp_error fault = {0};
    found->entry = entry;
    switch (entry->method) {
    case SP_SCALE_LINE: found->good = find_line(door, found, &fault); break;
    case SP_SCALE_COURT: found->good = find_court(door, found, &fault); break;
    case SP_SCALE_TOSS: found->good = find_toss(door, found, &fault); break;
    }
    found->good = found->good && isfinite(found->m_per_px) && isfinite(found->relative_sd);
    if (found->good) return;
    found->m_per_px = found->relative_sd = NAN;
    sp_text_copy(found->words, sizeof found->words, fault.message);
}

bool sp_scales_evaluate(sp_door *door, sp_scales *scales, sp_error *error) {
    *scales = (sp_scales){.count = sp_review_scale_count(door->review)};
    scales->found = calloc(scales->count + 1, sizeof *scales->found);
    if (scales->found == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the readout");
    const sp_scale_entry *active = sp_review_active_scale(door->review);
    for (size_t i = 0; i < scales->count; i++) {
        sp_found_scale *found = &scales->found[i];
        find_one(door, sp_review_scale_at(door->review, i), found);
        if (found->entry != active) continue;
        scales->active = found;
        if (found->good) scales->used = found;
    }
    door->scaled = scales->used != NULL;
    door->on_court = door->scaled && scales->used->entry->method == SP_SCALE_COURT;
    return true;
}

void sp_scales_free(sp_scales *scales) { free(scales->found); }

const sp_found_scale *sp_scales_of(const sp_scales *scales, sp_scale_method method) {
    if (scales->used != NULL && scales->used->entry->method == method) return scales->used;
    for (size_t i = 0; i < scales->count; i++)
        if (scales->found[i].good && scales->found[i].entry->method == method)
            return &scales->found[i];
    return NULL;
}

/* --- plumb ----------------------------------------------------------------------------------- */
static sp_plumb mirrored(const sp_door *door, sp_plumb plumb) {
    if (door->mirrored) plumb.angle_deg = -plumb.angle_deg;
    return plumb;
}

static sp_plumb by_court(const sp_found_scale *court, const sp_door *door) {
    const sp_stand_spread spread = sp_stand_spread_of(&court->stand, door);
    return mirrored(door, (sp_plumb){spread.plumb_deg, spread.plumb_sd_deg});
}

/* The toss in use knows it better than the hand that held the phone. */
static bool wants_toss(const sp_scales *scales, sp_plumb_method method) {
    return method == SP_PLUMB_TOSS || (method == SP_PLUMB_IMAGE && scales->used != NULL &&
                                       scales->used->entry->method == SP_SCALE_TOSS);
}

sp_plumb sp_scales_plumb(const sp_scales *scales, const sp_door *door, char *words, size_t size) {
    const sp_plumb_entry *entry = sp_review_get_plumb(door->review);
    const double sd_px = sp_review_get_points_sd(door->review);
    const sp_point a = sp_door_mirror(door, entry->a), b = sp_door_mirror(door, entry->b);
    const sp_found_scale *court = sp_scales_of(scales, SP_SCALE_COURT);
    const sp_found_scale *toss = sp_scales_of(scales, SP_SCALE_TOSS);
    sp_plumb plumb;
    words[0] = '\0';
    if (entry->method == SP_PLUMB_LEVEL && sp_plumb_from_level(a, b, sd_px, &plumb)) return plumb;
    if (entry->method == SP_PLUMB_HANG && sp_plumb_from_hang(a, b, sd_px, &plumb)) return plumb;
    if (entry->method == SP_PLUMB_COURT && court != NULL) return by_court(court, door);
    if (wants_toss(scales, entry->method) && toss != NULL) return toss->toss.plumb;
    if (entry->method == SP_PLUMB_COURT || entry->method == SP_PLUMB_TOSS)
        snprintf(words, size,
                 "The plumb by %s cannot be had: the angle that the review holds is taken, as "
                 "surely as a phone is held upright.",
                 entry->method == SP_PLUMB_COURT ? "the court" : "the toss");
    return mirrored(door, (sp_plumb){entry->angle_deg, PICTURE_PLUMB_SD_DEG});
}
