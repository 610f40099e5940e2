#include "readout/readout.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/notes.h"
#include "readout/trial.h"

bool sp_measure_has_number(const sp_measure *measure) {
    return measure->status == SP_STATUS_OK || measure->status == SP_STATUS_PROJECTED;
}

/* What is under way while a readout is made. */
typedef struct {
    sp_door door;
    sp_scales scales;
    sp_plan *plans;
    size_t *measure_of; /* of each plan */
    size_t plan_count;
    sp_trial trial;
    char plumb_words[320];
    sp_interval *intervals;
} work;

/* --- which measures can be had --------------------------------------------------------------- */
static bool note_scale_missing(const sp_scales *scales, sp_measure *measure) {
    if (scales->active != NULL)
        return sp_note_absent(measure, SP_STATUS_NEEDS_SCALE,
                              "The scale '%.40s' cannot be used: %s.", scales->active->entry->id,
                              scales->active->words);
    return sp_note_absent(measure, SP_STATUS_NEEDS_SCALE,
                          "Set a scale: tap the ends of a known length at the player's distance.");
}

/* Too coarse keeps its plan for the floor in its note, which needs a scale too. */
static bool scale_suffices(const work *w, sp_measure *measure) {
    if (!measure->kind->needs_scale || w->door.scaled) return true;
    if (measure->status != SP_STATUS_TOO_COARSE) note_scale_missing(&w->scales, measure);
    return false;
}

/* The plan of the measure a quotient asks for; false: it cannot be had, for the reason copied. */
static bool plan_part(const work *w, const sp_readout *readout, const char *id, const char *moment,
                      size_t *part, sp_measure *measure) {
    const sp_measure *of = sp_readout_find(readout, id, moment);
    if (measure->frame < 0) measure->frame = of->frame;
    for (*part = 0; *part < w->plan_count; (*part)++)
        if (&readout->measures[w->measure_of[*part]] == of && sp_measure_has_number(of))
            return true;
    measure->status = of->status;
    sp_text_copy(measure->note, sizeof measure->note, of->note);
    return false;
}

static bool plan_quotient(const work *w, const sp_readout *readout, sp_plan *plan,
                          sp_measure *measure) {
    const sp_quotient *quotient = sp_quotient_of(measure->kind);
    plan->divides = true;
    return plan_part(w, readout, quotient->dividend, quotient->dividend_at, &plan->of[0],
                     measure) &&
           plan_part(w, readout, quotient->divisor, quotient->divisor_at, &plan->of[1], measure);
}

static bool plan_measure(work *w, const sp_readout *readout, const sp_row *row, sp_plan *plan,
                         sp_measure *measure) {
    *plan = (sp_plan){.row = row, .evaluate = row->evaluate, .ground = -1};
    *measure = (sp_measure){.kind = &row->kind, .frame = -1, .value = {NAN, NAN, NAN}};
    if ((row->kind.views & SP_VIEW_BIT(w->door.view)) == 0) {
        measure->frame = sp_door_moment(&w->door, row->kind.moment);
        return sp_note_wrong_view(measure, w->door.view);
    }
    measure->status = row->seen == SP_SEEN_WHOLE ? SP_STATUS_OK : SP_STATUS_PROJECTED;
    if (row->prepare == NULL) return plan_quotient(w, readout, plan, measure);
    return row->prepare(&w->door, plan, measure) && scale_suffices(w, measure);
}

static void plan_all(work *w, sp_readout *readout) {
    for (size_t i = 0; i < readout->count; i++) {
        w->measure_of[w->plan_count] = i;
        if (plan_measure(w, readout, sp_row_at(i), &w->plans[w->plan_count], &readout->measures[i]))
            w->plan_count++;
    }
}

/* --- their numbers --------------------------------------------------------------------------- */

/* A floor by the lower end of the mean speed between two frames: the racquet still gains speed up
 * to contact, and the picture hides some of it. */
static void note_floor(sp_measure *measure, sp_interval speed) {
    if (isnan(speed.low)) return;
    sp_note_add(measure,
                "By the two frames up to contact it is at least %.0f m/s (%.0f km/h, %.0f mph).",
                floor(speed.low), floor(speed.low * 3.6), floor(speed.low / 0.44704));
}

/* Noise lengthens a way: that of the taps, and in each draw once more. So the draws' interval is
 * laid about the value. What moved by no more than noise may not have moved at all: then the whole
 * 5 % lie at the upper end, which a normal's 95 % reaches at 1.645 deviations instead of 1.96. */
static void lay_about_value(sp_interval *interval) {
    const double half = (interval->high - interval->low) / 2;
    const double share = half < interval->value ? 1 : 1.645 / 1.96;
    interval->low = fmax(0, interval->value - half);
    interval->high = interval->value + share * half;
}

/* A distance between taps is never below 0, so that noise alone looks like one. */
static void keep_noise_out(const sp_plan *plan, sp_interval *interval) {
    if (plan->evaluate == sp_find_travel) lay_about_value(interval);
    if (plan->evaluate == sp_find_distance)
        interval->low = fmax(0, fmin(interval->low, 2 * interval->value - interval->high));
}

static void note_tap_missed(const sp_door *door, sp_measure *measure) {
    double gap_s;
    const int frame = sp_tap_before_contact(door->review, door->times, &gap_s);
    if (frame >= 0)
        sp_note_add(measure,
                    "The last %.0f ms up to contact were carried, so it may be off by a tenth: tap "
                    "the racquet tip on frame %d too.",
                    1000 * gap_s, frame);
}

/* Points that were carried stand in the interval by their own deviations; the words say so too. */
static void note_carried(const sp_door *door, const sp_plan *plan, sp_measure *measure) {
    int carried = 0, all = plan->at_count + (int)plan->path_count;
    for (int i = 0; i < plan->at_count; i++) carried += door->slots[plan->at[i]].carried;
    for (size_t i = 0; i < plan->path_count; i++) carried += door->slots[plan->path[i]].carried;
    if (carried > 0)
        sp_note_add(measure, "%d of its %d points were carried along, not tapped.", carried, all);
    if (plan->evaluate == sp_find_speed_at_contact || plan->evaluate == sp_find_tip_speed)
        note_tap_missed(door, measure);
}

/* The fastest of its points over the picture. */
static void note_shutter(const sp_trial *trial, const sp_plan *plan, sp_measure *measure) {
    double fastest = 0, sd_px = 0;
    for (int i = 0; i < plan->at_count + (int)plan->path_count; i++) {
        const int slot = i < plan->at_count ? plan->at[i] : plan->path[i - plan->at_count];
        const double px_per_s = sp_point_length(trial->way[slot]);
        if (!(px_per_s > fastest)) continue;
        fastest = px_per_s;
        sd_px = trial->door->slots[slot].sd_px;
    }
    if (fastest > 0) sp_shutter_note(&trial->shutter, fastest, sd_px, measure);
}

static void take_interval(const sp_trial *trial, const sp_plan *plan, sp_interval interval,
                          sp_measure *measure) {
    if (measure->status == SP_STATUS_TOO_COARSE) {
        note_floor(measure, interval);
        return;
    }
    if (isnan(interval.value)) {
        sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                       plan->row->prepare == sp_prepare_toss
                           ? "The marked ball does not rise and fall between release and contact: "
                             "check its points and the two frames."
                           : "The marked points do not determine it: some coincide, or their order "
                             "is not that of a serve. Check them.");
        return;
    }
    keep_noise_out(plan, &interval);
    measure->value = interval;
    sp_note_hidden(measure, plan->row->seen);
    note_carried(trial->door, plan, measure);
    note_shutter(trial, plan, measure);
}

static bool evaluate(work *w, const sp_readout_options *options, sp_error *error) {
    w->trial.door = &w->door;
    w->trial.plans = w->plans;
    w->trial.plan_count = w->plan_count;
    w->trial.scales = &w->scales;
    w->trial.plumb = sp_scales_plumb(&w->scales, &w->door, w->plumb_words, sizeof w->plumb_words);
    w->trial.seen = calloc(w->door.slot_count + 1, sizeof *w->trial.seen);
    w->trial.flat = calloc(w->door.slot_count + 1, sizeof *w->trial.flat);
    w->trial.deep = calloc(w->door.slot_count + 1, sizeof *w->trial.deep);
    w->trial.off = calloc(w->door.slot_count + 1, sizeof *w->trial.off);
    w->trial.way = calloc(w->door.slot_count + 1, sizeof *w->trial.way);
    if (w->trial.seen == NULL || w->trial.flat == NULL || w->trial.deep == NULL ||
        w->trial.off == NULL || w->trial.way == NULL || w->door.out_of_memory)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the readout");
    sp_trial_begin(&w->trial);
    return sp_draws_run(
        sp_trial_run, &w->trial, w->plan_count + 1, options == NULL ? 0 : options->draws,
        options == NULL || options->seed == 0 ? SP_DRAWS_SEED : options->seed, w->intervals, error);
}

/* What is doubtful in the scale in use, in the plumb, and in the clip's clock. */
static void caution_of_scale(work *w, sp_readout *readout) {
    char text[sizeof readout->cautions[0]];
    sp_slowdown_check check;
    if (sp_clock_check(&w->door, &w->scales, &check) && !check.stated_compatible) {
        sp_clock_words(&w->door, &check, text, sizeof text);
        sp_cautions_add(readout, SP_CAUTION_OF_MEASURING, text);
    }
    const sp_found_scale *active = w->scales.active;
    if (active != NULL && active->words[0] != '\0') {
        snprintf(text, sizeof text, "Scale '%.40s'%s: %s.", active->entry->id,
                 active->good ? "" : " cannot be used", active->words);
        sp_cautions_add(readout, SP_CAUTION_OF_MEASURING, text);
    }
    if (w->plumb_words[0] != '\0')
        sp_cautions_add(readout, SP_CAUTION_OF_MEASURING, w->plumb_words);
}

static bool take_all(work *w, sp_readout *readout, sp_error *error) {
    for (size_t i = 0; i < w->plan_count; i++)
        take_interval(&w->trial, &w->plans[i], w->intervals[i],
                      &readout->measures[w->measure_of[i]]);
    readout->scale.m_per_px = (sp_interval){NAN, NAN, NAN};
    if (w->door.scaled) {
        sp_text_copy(readout->scale.id, sizeof readout->scale.id, w->scales.used->entry->id);
        readout->scale.m_per_px = w->intervals[w->plan_count];
        readout->by_court = w->door.on_court;
        if (readout->by_court) readout->to_camera = sp_stand_way(&w->scales.used->stand.plane);
    }
    caution_of_scale(w, readout);
    return sp_cautions_fill(readout, w->door.review, error) &&
           sp_scales_report(&w->scales, readout, error);
}

/* --- in and out ------------------------------------------------------------------------------ */
static bool times_fit(const sp_review *review, sp_frame_times times, sp_error *error) {
    const int frames = sp_review_get_clip(review)->frames;
    if (times.count == frames && times.seconds != NULL) return true;
    return sp_fail(error, SP_ERROR_MISMATCH,
                   "the clip has %d frames, its review was made for %d; open the clip that the "
                   "review names",
                   times.count, frames);
}

static bool work_new(work *w, const sp_review *review, sp_frame_times times) {
    const size_t room = sp_catalogue_count() + 1;
    *w = (work){.plans = calloc(room, sizeof *w->plans),
                .measure_of = calloc(room, sizeof *w->measure_of),
                .intervals = calloc(room + 1, sizeof *w->intervals)};
    sp_door_open(&w->door, review, times);
    return w->plans != NULL && w->measure_of != NULL && w->intervals != NULL;
}

static void work_free(work *w) {
    sp_door_close(&w->door);
    sp_scales_free(&w->scales);
    free(w->trial.off);
    free(w->trial.seen);
    free(w->trial.deep);
    free(w->trial.way);
    free(w->trial.flat);
    free(w->intervals);
    free(w->measure_of);
    free(w->plans);
}

sp_readout *sp_readout_empty(void) {
    sp_readout *readout = calloc(1, sizeof *readout);
    if (readout == NULL) return NULL;
    readout->count = sp_catalogue_count();
    readout->measures = calloc(readout->count, sizeof *readout->measures);
    if (readout->measures != NULL) return readout;
    free(readout);
    return NULL;
}

sp_readout *sp_readout_new(const sp_review *review, sp_frame_times times,
                           const sp_readout_options *options, sp_error *error) {
    if (!times_fit(review, times, error)) return NULL;
    sp_readout *readout = sp_readout_empty();
    work w;
    bool done = false;
    if (!work_new(&w, review, times) || readout == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory left for the readout");
    } else if (sp_scales_evaluate(&w.door, &w.scales, error)) {
        plan_all(&w, readout);
        done = evaluate(&w, options, error) && take_all(&w, readout, error);
    }
    work_free(&w);
    if (done) return readout;
    sp_readout_free(readout);
    return NULL;
}

void sp_readout_free(sp_readout *readout) {
    if (readout == NULL) return;
    free(readout->findings);
    free(readout->measures);
    free(readout);
}

size_t sp_readout_count(const sp_readout *readout) { return readout->count; }

const sp_measure *sp_readout_at(const sp_readout *readout, size_t index) {
    assert(index < readout->count);
    return &readout->measures[index];
}

const sp_measure *sp_readout_find(const sp_readout *readout, const char *id, const char *moment) {
    for (size_t i = 0; i < readout->count; i++) {
        const sp_measure_kind *kind = readout->measures[i].kind;
        if (strcmp(kind->id, id) == 0 && (moment == NULL || strcmp(kind->moment, moment) == 0))
            return &readout->measures[i];
    }
    return NULL;
}

sp_scale_reading sp_readout_scale(const sp_readout *readout) { return readout->scale; }

size_t sp_readout_caution_count(const sp_readout *readout) { return readout->caution_count; }

const char *sp_readout_caution_at(const sp_readout *readout, size_t index) {
    assert(index < readout->caution_count);
    return readout->cautions[index];
}

sp_caution_of sp_readout_caution_of(const sp_readout *readout, size_t index) {
    assert(index < readout->caution_count);
    return readout->cautions_of[index];
}
