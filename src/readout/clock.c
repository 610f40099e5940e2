/* The toss as a test of the clip's clock: a ball in flight falls with 9.8 m/s^2 when scale and
 * slowdown are right. */
#include <math.h>
#include <stdio.h>

#include "readout/scales.h"

/* Rates that cameras have (frames/s): a clip may be stamped with one and shot with another. */
static const double RATES[] = {24, 25, 30, 48, 50, 60, 100, 120, 200, 240};
#define RATE_COUNT (sizeof RATES / sizeof RATES[0])
/* A rate named in words is this near to what was found (relative). */
static const double SAME_RATE = 0.03;
/* The ball against the plane through the feet, see scales.c; metres. */
static const double BALL_OFF_BESIDE_M = 0.3, BALL_OFF_ALONG_M = 0.5;

/* Frames a second by the clip's own clock. */
static double clip_rate(const sp_door *door) {
    const int last = door->times.count - 1;
    const double span = last < 1 ? 0 : door->times.seconds[last] - door->times.seconds[0];
    return span > 0 ? last / span : 0;
}

/* The frames that a scale by the toss names, else from release to contact. */
static bool flight_frames(const sp_door *door, int *first, int *last) {
    *first = door->moments[SP_AT_RELEASE];
    *last = door->moments[SP_AT_CONTACT];
    for (size_t i = 0; i < sp_review_scale_count(door->review); i++) {
        const sp_scale_entry *entry = sp_review_scale_at(door->review, i);
        if (entry->method != SP_SCALE_TOSS) continue;
        *first = entry->from_frame;
        *last = entry->to_frame;
    }
    return *first >= 0 && *last > *first;
}

static bool by_court(const sp_door *door, const sp_found_scale *court, sp_sample *samples,
                     size_t count, const sp_toss_options *options, sp_slowdown_ideas ideas,
                     sp_slowdown_check *check) {
    const sp_stand *stand = &court->stand;
    for (size_t i = 0; i < count; i++) samples[i].at = sp_door_mirror(door, samples[i].at);
    sp_point foot;
    if (!sp_plane_to_picture(&stand->plane, (sp_point){0, 0}, &foot, NULL)) return false;
    const sp_toss_place place = {.pose = &stand->pose,
                                 .foot_px = foot,
                                 .foot_sd_px = door->slots[stand->feet[0]].sd_px,
                                 .direction = stand->plane.direction,
                                 .depth_sd_m = door->view == SP_VIEW_SIDE ? BALL_OFF_BESIDE_M
                                                                          : BALL_OFF_ALONG_M};
    sp_toss_gravity gravity;
    if (!sp_toss_fit_plane(samples, count, &place, options, &gravity, NULL)) return false;
    sp_toss_check_gravity(&gravity, door->clip->slowdown, ideas, check);
    return true;
}

/* Against the court where there is one, else against the line in use. */
bool sp_clock_check(sp_door *door, const sp_scales *scales, sp_slowdown_check *check) {
    sp_sample samples[SP_PATH_MAX];
    int first, last;
    const double own = clip_rate(door);
    if (!flight_frames(door, &first, &last) || !(own > 0)) return false;
    const size_t count = sp_toss_samples(door, first, last, samples);
    double slowdowns[RATE_COUNT];
    for (size_t i = 0; i < RATE_COUNT; i++) slowdowns[i] = RATES[i] / own;
    const sp_slowdown_ideas ideas = {slowdowns, RATE_COUNT};
    const sp_toss_options options = {.sd_px = sp_review_get_points_sd(door->review)};
    const sp_found_scale *court = sp_scales_of(scales, SP_SCALE_COURT);
    const sp_found_scale *line = sp_scales_of(scales, SP_SCALE_LINE);
    if (court != NULL) return by_court(door, court, samples, count, &options, ideas, check);
    return line != NULL && sp_toss_check_scale(samples, count, &options,
                                               (sp_known_scale){line->m_per_px, line->relative_sd},
                                               door->clip->slowdown, ideas, check, NULL);
}

static const char *rate_words(double rate, double own, char *text, size_t size) {
    text[0] = '\0';
    for (size_t i = 0; i < RATE_COUNT; i++)
        if (fabs(rate / RATES[i] - 1) < SAME_RATE && fabs(RATES[i] / own - 1) > SAME_RATE)
            snprintf(text, size, ", as of a clip stamped %.0f frames/s but shot at %.0f", own,
                     RATES[i]);
    return text;
}

void sp_clock_words(const sp_door *door, const sp_slowdown_check *check, char *text, size_t size) {
    const sp_interval *found = &check->slowdown;
    const double own = clip_rate(door);
    /* Speeds grow with the slowdown that is stated. */
    const double off = 100 * (1 / check->factor.value - 1);
    char rates[96];
    snprintf(text, size,
             "The tossed ball falls with %.1f m/s² by this scale and slowdown; 9.8 is true. The "
             "clock would be right with a slowdown of %.3g (%.3g to %.3g), not %g%s: every speed "
             "is then %.0f %% too %s. Set the slowdown, or check the scale.",
             SP_GRAVITY / (check->factor.value * check->factor.value), found->value, found->low,
             found->high, check->stated, rate_words(found->value * own, own, rates, sizeof rates),
             fabs(off), off > 0 ? "high" : "low");
}
