/* Marks over many frames, and the spans between moments. */
#include <math.h>

#include "readout/notes.h"

/* Below this the racquet turns more than 20 degrees a frame and two frames' error in the time of
 * contact is worth a tenth of its speed: no interval would be honest. 0.5 % for clocks. */
static const double RATE_MIN = 99.5;
/* One frame fewer than four still determines a quadratic. */
enum { CONTACT_FRAMES_MIN = 4, SEARCH_FRAMES_MIN = 5, SEARCH_FRAMES_MAX = 64 };
enum { HEAD_FRAMES_MIN = 4 };
enum { TOSS_FRAMES_MIN = 4 };
/* The ball stays on the strings for about 5 ms (from memory). */
static const double TOUCH_S = 0.005;
/* Farther from contact drag and fall bend the path (1 m of 40 m/s is 25 ms). */
static const double BALL_OFF_S = 0.100;
enum { BALL_OFF_FRAMES_MIN = 2, BALL_OFF_FRAMES_MAX = 5 };

/* --- spans ----------------------------------------------------------------------------------- */
static bool prepare_span(sp_door *door, sp_plan *plan, sp_measure *measure, sp_known_moment from,
                         sp_known_moment to) {
    if (door->moments[from] < 0) return sp_note_moment_missing(measure, sp_known_moments[from]);
    if (door->moments[to] < 0) return sp_note_moment_missing(measure, sp_known_moments[to]);
    if (door->moments[to] < door->moments[from])
        return sp_note_absent(measure, SP_STATUS_NEEDS_MOMENT,
                              "The %s is named before the %s: check the two frames.",
                              sp_known_moments[to], sp_known_moments[from]);
    plan->from = from;
    plan->to = to;
    return true;
}

bool sp_prepare_release_to_trophy(sp_door *door, sp_plan *plan, sp_measure *measure) {
    return prepare_span(door, plan, measure, SP_AT_RELEASE, SP_AT_TROPHY);
}

bool sp_prepare_trophy_to_drop(sp_door *door, sp_plan *plan, sp_measure *measure) {
    return prepare_span(door, plan, measure, SP_AT_TROPHY, SP_AT_DROP);
}

bool sp_prepare_drop_to_contact(sp_door *door, sp_plan *plan, sp_measure *measure) {
    return prepare_span(door, plan, measure, SP_AT_DROP, SP_AT_CONTACT);
}

/* --- every marked frame of a span ------------------------------------------------------------ */
static size_t count_marked(const sp_door *door, sp_point_name name, int first, int last) {
    size_t count = 0;
    for (size_t i = 0; i < sp_review_marked_count(door->review); i++) {
        const int frame = sp_review_marked_frame(door->review, i);
        if (frame >= first && frame <= last && sp_door_marked(door, frame, name)) count++;
    }
    return count;
}

/* Of more marks than a path holds, evenly fewer; the first and the last are kept. */
static void take_marked(sp_door *door, sp_point_name name, int first, int last, sp_plan *plan) {
    const size_t count = count_marked(door, name, first, last);
    const size_t keep = count < SP_PATH_MAX ? count : SP_PATH_MAX;
    size_t seen = 0;
    plan->path_count = 0;
    for (size_t i = 0; i < sp_review_marked_count(door->review); i++) {
        const int frame = sp_review_marked_frame(door->review, i);
        if (frame < first || frame > last || !sp_door_marked(door, frame, name)) continue;
        const size_t wanted = keep == 1 ? 0 : plan->path_count * (count - 1) / (keep - 1);
        if (seen++ == wanted) plan->path[plan->path_count++] = sp_door_slot(door, frame, name);
    }
}

/* --- head ------------------------------------------------------------------------------------ */
static int frame_at(const sp_door *door, int from, int step, double away_s) {
    const double start_s = sp_door_time(door, from);
    int frame = from;
    while (frame + step >= 0 && frame + step < door->times.count &&
           fabs(sp_door_time(door, frame + step) - start_s) <= away_s + 1e-9)
        frame += step;
    return frame;
}

bool sp_prepare_head(sp_door *door, sp_plan *plan, sp_measure *measure) {
    static const sp_point_name spots[] = {SP_POINT_RIGHT_EAR, SP_POINT_LEFT_EAR, SP_POINT_NOSE,
                                          SP_POINT_RIGHT_EYE, SP_POINT_LEFT_EYE};
    measure->frame = door->moments[SP_AT_CONTACT];
    if (measure->frame < 0) return sp_note_moment_missing(measure, measure->kind->moment);
    const int first = frame_at(door, measure->frame, -1, SP_HEAD_BEFORE_S);
    const int last = frame_at(door, measure->frame, 1, SP_HEAD_AFTER_S);
    const int span = last - first + 1;
    const size_t least = span < HEAD_FRAMES_MIN ? (size_t)span : HEAD_FRAMES_MIN;
    for (size_t i = 0; i < sizeof spots / sizeof spots[0] && least >= 3; i++) {
        if (!sp_door_marked(door, first, spots[i]) || !sp_door_marked(door, last, spots[i]) ||
            count_marked(door, spots[i], first, last) < least)
            continue;
        take_marked(door, spots[i], first, last, plan);
        sp_note_add(measure, "By the %s, frames %d to %d.", sp_door_title(door, spots[i]), first,
                    last);
        return true;
    }
    if (least < 3)
        return sp_note_absent(measure, SP_STATUS_TOO_COARSE,
                              "Too few frames about contact: film at 30 frames/s or more.");
    return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                          "Mark one point of the head (an ear, the nose) on frames %d and %d and "
                          "on at least two between.",
                          first, last);
}

/* --- toss ------------------------------------------------------------------------------------ */
bool sp_prepare_toss(sp_door *door, sp_plan *plan, sp_measure *measure) {
    const int first = door->moments[SP_AT_RELEASE], last = door->moments[SP_AT_CONTACT];
    measure->frame = sp_door_moment(door, measure->kind->moment);
    if (!prepare_span(door, plan, measure, SP_AT_RELEASE, SP_AT_CONTACT)) return false;
    if (!sp_door_marked(door, first, SP_POINT_BALL) || !sp_door_marked(door, last, SP_POINT_BALL) ||
        count_marked(door, SP_POINT_BALL, first, last) < TOSS_FRAMES_MIN)
        return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                              "Mark the ball on frames %d (release) and %d (contact) and on at "
                              "least two between.",
                              first, last);
    take_marked(door, SP_POINT_BALL, first, last, plan);
    return true;
}

/* --- up to contact --------------------------------------------------------------------------- */

/* How many frames up to and with contact hold the point without a gap, not before the drop. */
static int run_up_to_contact(const sp_door *door, sp_point_name name) {
    const int contact = door->moments[SP_AT_CONTACT], drop = door->moments[SP_AT_DROP];
    int first = contact - SEARCH_FRAMES_MAX + 1;
    if (drop >= 0 && drop <= contact && drop > first) first = drop;
    int run = 0;
    while (contact - run >= first && contact - run >= 0 &&
           sp_door_marked(door, contact - run, name))
        run++;
    return run;
}

/* The hand or, where it has the longer run, the wrist. */
static sp_point_name followed(const sp_door *door, sp_point_name name, int *run) {
    *run = run_up_to_contact(door, name);
    if (name != SP_POINT_RIGHT_HAND) return name;
    const int wrist = run_up_to_contact(door, SP_POINT_RIGHT_WRIST);
    if (*run >= SEARCH_FRAMES_MIN || wrist <= *run) return name;
    *run = wrist;
    return SP_POINT_RIGHT_WRIST;
}

static void take_run(sp_door *door, sp_point_name name, int run, sp_plan *plan) {
    plan->path_count = 0;
    for (int frame = door->moments[SP_AT_CONTACT] - run + 1; plan->path_count < (size_t)run;
         frame++)
        plan->path[plan->path_count++] = sp_door_slot(door, frame, name);
}

/* Below RATE_MIN the plan is turned to the floor that the last two frames give. */
static bool take_floor(sp_door *door, sp_point_name name, int run, sp_plan *plan,
                       sp_measure *measure) {
    measure->status = SP_STATUS_TOO_COARSE;
    sp_note_add(measure,
                "%.0f real frames/s are too few: the racquet turns too far between two frames. "
                "Film at 120 or more.",
                sp_door_rate(door, measure->frame));
    if (run < 2) {
        sp_note_add(measure, "For a floor mark the %s on frames %d and %d.",
                    sp_door_title(door, name), measure->frame - 1, measure->frame);
        return false;
    }
    take_run(door, name, 2, plan);
    plan->evaluate = sp_find_last_two_speed;
    return true;
}

static bool start_at_contact(sp_door *door, sp_measure *measure, sp_point_name *name, int *run) {
    measure->frame = door->moments[SP_AT_CONTACT];
    if (measure->frame < 0) return sp_note_moment_missing(measure, measure->kind->moment);
    *name = followed(door, measure->kind->points[0], run);
    if (*name != measure->kind->points[0])
        sp_note_add(measure, "The wrist stands for the hand, which is not marked.");
    return true;
}

static bool run_is_short(const sp_door *door, sp_measure *measure, sp_point_name name, int run,
                         int wanted) {
    return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                          "Mark the %s on each of the frames %d to %d; without a gap up to contact "
                          "it is marked on %d.",
                          sp_door_title(door, name), measure->frame - wanted + 1, measure->frame,
                          run);
}

bool sp_prepare_contact(sp_door *door, sp_plan *plan, sp_measure *measure) {
    sp_point_name name = SP_POINT_COUNT;
    int run = 0;
    if (!start_at_contact(door, measure, &name, &run)) return false;
    const double rate = sp_door_rate(door, measure->frame);
    if (rate < RATE_MIN) return take_floor(door, name, run, plan, measure);
    const int most = (int)sp_contact_frames(rate);
    if (run < CONTACT_FRAMES_MIN) return run_is_short(door, measure, name, run, most);
    take_run(door, name, run < most ? run : most, plan);
    return true;
}

/* What the plan gives at the taps themselves, in pixels. */
static double at_best(const sp_door *door, const sp_plan *plan, const sp_window *window) {
    sp_sample path[SP_PATH_MAX];
    for (size_t i = 0; i < plan->path_count; i++) {
        const sp_slot *slot = &door->slots[plan->path[i]];
        path[i] = (sp_sample){sp_door_slot_time(door, slot), slot->at};
    }
    const sp_slot *last = &door->slots[plan->path[plan->path_count - 1]];
    const double half_s = sp_door_time(door, last->frame + 0.5) - sp_door_time(door, last->frame);
    sp_path_fits fits = {.has_parabola = false, .has_strike = false};
    const sp_evidence evidence = {.path = path,
                                  .path_count = plan->path_count,
                                  .fits = &fits,
                                  .noise = last->sd_px,
                                  .best = true,
                                  .window = window,
                                  .to_s = sp_door_slot_time(door, last) + half_s};
    return plan->evaluate(&evidence);
}

/* Where the taps have the highest speed is settled here, once: were it looked for again in each
 * draw, the luckiest of many noisy speeds would always win. Only where a window has frames on both
 * sides: at an end a fit is three to four times noisier. */
static double choose_window(const sp_door *door, sp_plan *plan, size_t width) {
    double highest = -1;
    for (size_t i = width / 2; i + (width - width / 2) <= plan->path_count; i++) {
        const sp_window window = {.first = i - width / 2, .count = width, .middle = i};
        const double speed = at_best(door, plan, &window);
        if (isnan(speed)) return -1;
        if (!(speed > highest)) continue;
        highest = speed;
        plan->window = window;
    }
    return highest;
}

/* Tip and hand may be at their fastest as the ball is met. */
static void choose_contact(sp_door *door, sp_point_name name, int frames, double highest,
                           sp_plan *plan) {
    sp_plan at_contact = *plan;
    at_contact.evaluate =
        name == SP_POINT_RACQUET_TIP ? sp_find_highest_to_contact : sp_find_hand_to_contact;
    take_run(door, name, frames, &at_contact);
    if (at_best(door, &at_contact, NULL) > highest) *plan = at_contact;
}

bool sp_prepare_up_to_contact(sp_door *door, sp_plan *plan, sp_measure *measure) {
    sp_point_name name = SP_POINT_COUNT;
    int run = 0;
    if (!start_at_contact(door, measure, &name, &run)) return false;
    const double rate = sp_door_rate(door, measure->frame);
    if (rate < RATE_MIN) return take_floor(door, name, run, plan, measure);
    if (run < SEARCH_FRAMES_MIN) return run_is_short(door, measure, name, run, SEARCH_FRAMES_MIN);
    const bool elbow = name == SP_POINT_RIGHT_ELBOW;
    const int most = (int)(elbow ? sp_elbow_frames(rate) : sp_contact_frames(rate));
    const int width = run < most ? run : most;
    take_run(door, name, run, plan);
    if (door->out_of_memory) return true;
    const double highest = choose_window(door, plan, (size_t)width);
    if (highest < 0)
        return sp_note_absent(measure, SP_STATUS_TOO_COARSE,
                              "With this rolling shutter the frames' times overlap for so fast a "
                              "point.");
    if (!elbow) choose_contact(door, name, width, highest, plan);
    return true;
}

/* --- ball ------------------------------------------------------------------------------------ */

/* The first frame on which the ball has surely left the strings: the touch came before the frame
 * after contact. */
static int first_free(const sp_door *door) {
    const int next = door->moments[SP_AT_CONTACT] + 1;
    int frame = next;
    while (frame < door->times.count &&
           sp_door_time(door, frame) < sp_door_time(door, next) + TOUCH_S)
        frame++;
    return frame;
}

bool sp_prepare_ball_off(sp_door *door, sp_plan *plan, sp_measure *measure) {
    measure->frame = door->moments[SP_AT_CONTACT];
    if (measure->frame < 0) return sp_note_moment_missing(measure, measure->kind->moment);
    const int first = first_free(door);
    int last = frame_at(door, measure->frame, 1, BALL_OFF_S);
    if (last < first + 1) last = first + 1;
    plan->path_count = 0;
    for (int frame = first; frame <= last && plan->path_count < BALL_OFF_FRAMES_MAX; frame++)
        if (sp_door_marked(door, frame, SP_POINT_BALL))
            plan->path[plan->path_count++] = sp_door_slot(door, frame, SP_POINT_BALL);
    if (sp_door_marked(door, measure->frame, SP_POINT_BALL))
        door->ball_met = sp_door_slot(door, measure->frame, SP_POINT_BALL);
    if (plan->path_count >= BALL_OFF_FRAMES_MIN) return true;
    return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                          "Mark the ball on two or more of the frames %d to %d, after it has left "
                          "the strings.",
                          first, last);
}
