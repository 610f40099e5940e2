/* Marks on one frame. */
#include <stdio.h>
#include <string.h>

#include "readout/notes.h"

/* Where the hand is not marked the wrist serves; the hand lies on the racquet's line and so serves
 * for the butt. The name itself when it is marked, SP_POINT_COUNT when nothing is. */
static sp_point_name stand_in(const sp_door *door, int frame, sp_point_name name) {
    if (sp_door_marked(door, frame, name)) return name;
    switch (name) {
    case SP_POINT_RIGHT_HAND: return stand_in(door, frame, SP_POINT_RIGHT_WRIST);
    case SP_POINT_LEFT_HAND: return stand_in(door, frame, SP_POINT_LEFT_WRIST);
    case SP_POINT_RACQUET_BUTT: return stand_in(door, frame, SP_POINT_RIGHT_HAND);
    default: return SP_POINT_COUNT;
    }
}

static void add_missing(const sp_door *door, sp_point_name name, char *list, size_t size) {
    const size_t used = strlen(list);
    snprintf(list + used, size - used, "%s%s%s", used == 0 ? "" : ", ", sp_door_title(door, name),
             name == SP_POINT_RIGHT_HAND || name == SP_POINT_LEFT_HAND ? " (or wrist)"
             : name == SP_POINT_RACQUET_BUTT                           ? " (or hand)"
                                                                       : "");
}

static void note_stand_in(sp_measure *measure, sp_point_name asked, sp_point_name found) {
    if (asked == found) return;
    if (asked == SP_POINT_RACQUET_BUTT) {
        sp_note_add(measure, "The %s stands for the butt: some degrees less sure.",
                    found == SP_POINT_RIGHT_HAND ? "hand" : "wrist");
    } else {
        sp_note_add(measure, "The wrist stands for the hand, which is not marked.");
    }
}

/* `frame` is that of `moment`, which the words name. */
static bool take_points(sp_door *door, int frame, const char *moment, sp_plan *plan,
                        sp_measure *measure) {
    const sp_measure_kind *kind = measure->kind;
    char missing[200] = "";
    plan->at_count = kind->point_count;
    for (int i = 0; i < kind->point_count; i++) {
        const sp_point_name found = stand_in(door, frame, kind->points[i]);
        if (found == SP_POINT_COUNT) {
            add_missing(door, kind->points[i], missing, sizeof missing);
        } else {
            note_stand_in(measure, kind->points[i], found);
            plan->at[i] = sp_door_slot(door, frame, found);
        }
    }
    if (missing[0] == '\0') return true;
    return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS, "Not marked on frame %d (%s): %s.",
                          frame, moment, missing);
}

bool sp_prepare_frame(sp_door *door, sp_plan *plan, sp_measure *measure) {
    measure->frame = sp_door_moment(door, measure->kind->moment);
    if (measure->frame < 0) return sp_note_moment_missing(measure, measure->kind->moment);
    return take_points(door, measure->frame, measure->kind->moment, plan, measure);
}

/* At contact the feet may be off the ground; at trophy they stand. */
static bool take_ground(sp_door *door, sp_plan *plan, sp_measure *measure) {
    const int stand = door->moments[SP_AT_TROPHY];
    if (stand < 0) return sp_note_moment_missing(measure, sp_known_moments[SP_AT_TROPHY]);
    if (!sp_door_marked(door, stand, SP_POINT_LEFT_TOE))
        return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                              "Not marked on frame %d (trophy): %s, where the front foot stands.",
                              stand, sp_door_title(door, SP_POINT_LEFT_TOE));
    plan->ground = sp_door_slot(door, stand, SP_POINT_LEFT_TOE);
    return true;
}

bool sp_prepare_grounded(sp_door *door, sp_plan *plan, sp_measure *measure) {
    return sp_prepare_frame(door, plan, measure) && take_ground(door, plan, measure);
}

bool sp_prepare_toss_landing(sp_door *door, sp_plan *plan, sp_measure *measure) {
    return sp_prepare_toss(door, plan, measure) && take_ground(door, plan, measure);
}

bool sp_prepare_stature(sp_door *door, sp_plan *plan, sp_measure *measure) {
    if (!sp_prepare_grounded(door, plan, measure)) return false;
    if (sp_review_get_player(door->review)->stature_m > 0) return true;
    return sp_note_absent(measure, SP_STATUS_NEEDS_SCALE, "Enter the player's stature first.");
}

static void add_forearm(sp_door *door, int frame, sp_point_name hand, sp_plan *plan) {
    if (plan->path_count + 2 > SP_PATH_MAX) return;
    if (!sp_door_marked(door, frame, SP_POINT_RIGHT_ELBOW)) return;
    if (!sp_door_marked(door, frame, hand)) return;
    plan->path[plan->path_count++] = sp_door_slot(door, frame, SP_POINT_RIGHT_ELBOW);
    plan->path[plan->path_count++] = sp_door_slot(door, frame, hand);
}

/* The forearm is as long as it was ever seen: at the drop it often points at the camera, so one
 * more frame is asked for. The same point of the hand on all. */
bool sp_prepare_forearm(sp_door *door, sp_plan *plan, sp_measure *measure) {
    if (!sp_prepare_frame(door, plan, measure)) return false;
    const sp_point_name hand =
        door->slots == NULL ? SP_POINT_RIGHT_HAND : door->slots[plan->at[1]].name;
    for (size_t i = 0; i < sp_review_moment_count(door->review); i++) {
        const int frame = sp_review_moment_at(door->review, i)->frame;
        if (frame != measure->frame) add_forearm(door, frame, hand, plan);
    }
    if (plan->path_count == 0)
        return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                              "Mark %s and %s on the frame of one more moment, where the forearm "
                              "is seen in full length.",
                              sp_door_title(door, SP_POINT_RIGHT_ELBOW), sp_door_title(door, hand));
    sp_note_add(measure, "Against the longest forearm seen on %zu frames.",
                plan->path_count / 2 + 1);
    return true;
}

static bool all_marked(const sp_door *door, int frame, const sp_measure_kind *kind) {
    for (int i = 0; i < kind->point_count; i++)
        if (!sp_door_marked(door, frame, kind->points[i])) return false;
    return true;
}

/* The moment's frame where it has the points, else the first that has. */
bool sp_prepare_any_frame(sp_door *door, sp_plan *plan, sp_measure *measure) {
    const int asked = sp_door_moment(door, measure->kind->moment);
    int found = asked >= 0 && all_marked(door, asked, measure->kind) ? asked : -1;
    for (size_t i = 0; found < 0 && i < sp_review_marked_count(door->review); i++) {
        const int frame = sp_review_marked_frame(door->review, i);
        if (all_marked(door, frame, measure->kind)) found = frame;
    }
    if (found < 0)
        return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                              "Mark %s and %s on one frame where the racquet is sharp.",
                              sp_door_title(door, measure->kind->points[0]),
                              sp_door_title(door, measure->kind->points[1]));
    measure->frame = found;
    if (found != asked) sp_note_add(measure, "On frame %d.", found);
    return take_points(door, found, measure->kind->moment, plan, measure);
}

/* The ball as it is met and as it touches down. */
bool sp_prepare_flight(sp_door *door, sp_plan *plan, sp_measure *measure) {
    const int met = door->moments[SP_AT_CONTACT], down = door->moments[SP_AT_BOUNCE];
    measure->frame = met;
    if (!door->on_court)
        return sp_note_absent(measure, SP_STATUS_NEEDS_SCALE,
                              "Needs a scale by court landmarks in use; a line's scale cannot "
                              "carry it, because the ball flies away from its plane.");
    if (met < 0) return sp_note_moment_missing(measure, sp_known_moments[SP_AT_CONTACT]);
    if (down <= met) return sp_note_moment_missing(measure, sp_known_moments[SP_AT_BOUNCE]);
    if (!sp_door_marked(door, met, SP_POINT_BALL) || !sp_door_marked(door, down, SP_POINT_BALL))
        return sp_note_absent(measure, SP_STATUS_NEEDS_POINTS,
                              "Mark the ball on frames %d (contact) and %d (bounce).", met, down);
    plan->at[0] = sp_door_slot(door, met, SP_POINT_BALL);
    plan->at[1] = sp_door_slot(door, down, SP_POINT_BALL);
    plan->at_count = 2;
    plan->from = SP_AT_CONTACT;
    plan->to = SP_AT_BOUNCE;
    plan->flies = true;
    return true;
}
