/* The request for the next clip: what it should show, where the phone stands, how it is set. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/check_findings.h"
#include "readout/check_smear.h"
#include "readout/notes.h"
#include "readout/readout.h"

/* A racquet head at contact where none was measured: below the 42 m/s of high-performance players
 * (Br J Sports Med 2007, 41(11):739-744). */
static const double HEAD_SPEED = 35;
/* A player, the toss above them and some air fill the picture's height. */
static const double SCENE_M = 4.5;
/* The shutter that a phone left to itself takes in poor light at 120 frames/s. */
static const int SLOW_SHUTTER = 120;
static const int RATE = 240;
#define TITLES_MAX 6

/* Where the phone stands; distances after the clearances that the ITF recommends (6.40 m behind a
 * baseline, 3.66 m beside a sideline; 5.48 and 3.05 m for clubs). */
static const struct {
    const char *where, *lines;
    double near_m, far_m;
} PLACES[] = {
    [SP_VIEW_SIDE] = {"beside the court, level with the baseline, on the side of your hitting "
                      "arm",
                      "the baseline with its centre mark and its near corner, the sideline nearest "
                      "to the phone and, if it fits, the service line",
                      6, 10},
    [SP_VIEW_BACK] =
        {"behind you, in the line in which you serve",
         "the baseline with its centre mark and both corners, the sidelines and, if it "
         "fits, the service line",
         5, 6},
    [SP_VIEW_FRONT] = {"in the court ahead of you, a step beside the way of the ball and behind "
                       "something that stops it",
                       "the baseline with its centre mark and both corners, and the sidelines", 8,
                       10},
};
#define PLACE_COUNT (sizeof PLACES / sizeof PLACES[0])

/* What a clip from `view` could show of a finding that this clip does not. */
static int gain_from(const sp_finding *finding, sp_view view) {
    if (finding->group != SP_FINDINGS_UNSEEN) return 0;
    return (finding->check->views & SP_VIEW_BIT(view)) != 0 ? finding->check->weight + 1 : 0;
}

static int gain(const sp_findings *findings, sp_view view) {
    int sum = 0;
    for (size_t i = 0; i < findings->count; i++)
        sum += gain_from(sp_findings_at(findings, i), view);
    return sum;
}

/* The heaviest titles, then how many more there are. */
static void put_wishes(sp_text *text, const sp_findings *findings, sp_view view) {
    int told = 0, more = 0;
    for (int weight = SP_CHECK_WEIGHT_MAX; weight >= 0; weight--)
        for (size_t i = 0; i < findings->count; i++) {
            const sp_finding *finding = sp_findings_at(findings, i);
            if (finding->check->weight != weight || gain_from(finding, view) == 0) continue;
            if (told == TITLES_MAX) {
                more++;
                continue;
            }
            sp_text_format(text, "\n- %s", finding->check->title);
            told++;
        }
    if (more > 0) sp_text_format(text, "\n- and %d more", more);
}

static void put_length(sp_text *text, double metres, sp_units units) {
    if (units == SP_UNITS_IMPERIAL)
        sp_text_format(text, metres < 0.3 ? "%.1f in" : "%.0f in", metres / 0.0254);
    else
        sp_text_format(text, metres < 0.1 ? "%.1f cm" : "%.0f cm", metres * 100);
}

static void put_place(sp_text *text, sp_view view, sp_hand hand, sp_units units) {
    const bool imperial = units == SP_UNITS_IMPERIAL;
    const double unit_m = imperial ? 0.3048 : 1;
    sp_text_format(text, "\n\nPlace: %s", PLACES[view].where);
    if (view == SP_VIEW_SIDE)
        sp_text_format(text, " (your %s as you face the net)",
                       hand == SP_HAND_LEFT ? "left" : "right");
    sp_text_format(text,
                   ", %.0f to %.0f %s from you. The lens at chest height (%s), the phone upright "
                   "and level, on a tripod or leaning firmly, not in the hand. With the main lens, "
                   "not the wide one, your feet and the highest point of the toss both in the "
                   "picture.",
                   PLACES[view].near_m / unit_m, PLACES[view].far_m / unit_m, imperial ? "ft" : "m",
                   imperial ? "4 to 5 ft" : "1.2 to 1.5 m");
}

static double head_speed(const sp_readout *readout) {
    const sp_measure *measure = sp_readout_find(readout, "racquet_head_speed", "contact");
    return measure != NULL && sp_measure_has_number(measure) ? measure->value.value : HEAD_SPEED;
}

static double m_per_px(const sp_review *review, const sp_readout *readout) {
    const sp_scale_reading scale = sp_readout_scale(readout);
    return scale.id[0] != '\0' ? scale.m_per_px.value
                               : SCENE_M / sp_review_get_clip(review)->height;
}

static void put_settings(sp_text *text, const sp_review *review, const sp_readout *readout,
                         sp_units units) {
    const sp_smear smear = sp_smear_for(head_speed(readout), m_per_px(review, readout));
    const bool imperial = units == SP_UNITS_IMPERIAL;
    const double speed = smear.speed_m_per_s * (imperial ? 1 / 0.44704 : 3.6);
    sp_text_format(text,
                   "\n\nSettings: 120 frames a second at least, better %d, and a shutter of 1/%d s "
                   "or shorter, which wants daylight. Why: at %.0f %s the racquet head moves ",
                   RATE, smear.shutter, speed, imperial ? "mph" : "km/h");
    put_length(text, smear.speed_m_per_s / RATE, units);
    sp_text_format(text, " from one frame of %d to the next, and smears over ", RATE);
    put_length(text, smear.smear_m, units);
    sp_text_format(text, " (about %.0f pixels) while a shutter of 1/%d s is open, but over ",
                   smear.smear_px, smear.shutter);
    put_length(text, sp_smear_m(smear.speed_m_per_s, 1.0 / SLOW_SHUTTER), units);
    sp_text_format(text,
                   " at 1/%d s. Please send the clip as the phone made it, not through an "
                   "app that makes it smaller.",
                   SLOW_SHUTTER);
}

char *sp_next_clip_detach(const sp_findings *findings, const sp_review *review,
                          const sp_readout *readout, sp_units units, sp_view *view) {
    *view = sp_review_get_view(review);
    int most = 0;
    for (unsigned v = 0; v < PLACE_COUNT; v++)
        if (gain(findings, (sp_view)v) > most) {
            most = gain(findings, (sp_view)v);
            *view = (sp_view)v;
        }
    if (most == 0) return calloc(1, 1);
    sp_text text = {0};
    sp_text_format(&text, "Please film one more serve, %s. The last clip could not show:",
                   sp_seen_from(*view));
    put_wishes(&text, findings, *view);
    put_place(&text, *view, sp_review_get_player(review)->hand, units);
    put_settings(&text, review, readout, units);
    sp_text_format(&text, "\n\nLines: let the picture hold %s, so that lengths can be measured.",
                   PLACES[*view].lines);
    return sp_text_detach(&text);
}
