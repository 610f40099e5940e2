#include "readout/door.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const sp_known_moments[SP_AT_COUNT] = {"release", "trophy", "drop", "contact",
                                                   "bounce"};

/* After it, u runs toward the net in a side view, and else toward the hitting side of a
 * right-hander: a left-hander is one in the mirror, and from the front everyone is turned. */
static bool is_mirrored(const sp_review *review, sp_view view, sp_hand hand) {
    switch (view) {
    case SP_VIEW_SIDE: return sp_review_get_net(review) == SP_NET_LEFT;
    case SP_VIEW_FRONT: return hand == SP_HAND_RIGHT;
    case SP_VIEW_BACK:
    case SP_VIEW_OBLIQUE: break;
    }
    return hand == SP_HAND_LEFT;
}

/* What tells a moment, the first that is marked: the ball that leaves the hand or is met, the
 * racquet's lowest point, the arm at its trophy. */
static double row_of(const sp_door *door, sp_known_moment moment) {
    static const sp_point_name tell[SP_AT_COUNT][3] = {
        {SP_POINT_BALL, SP_POINT_LEFT_HAND, SP_POINT_LEFT_WRIST},
        {SP_POINT_RIGHT_ELBOW, SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_HAND},
        {SP_POINT_RACQUET_TIP, SP_POINT_RIGHT_HAND, SP_POINT_RIGHT_WRIST},
        {SP_POINT_BALL, SP_POINT_RACQUET_TIP, SP_POINT_RIGHT_HAND},
        {SP_POINT_BALL, SP_POINT_BALL, SP_POINT_BALL}};
    for (int i = 0; i < 3 && door->moments[moment] >= 0; i++) {
        sp_mark mark;
        if (sp_review_mark(door->review, door->moments[moment],
                           sp_point_for_hand(tell[moment][i], door->hand), &mark))
            return mark.at.y / door->clip->height;
    }
    return 0.5;
}

void sp_door_open(sp_door *door, const sp_review *review, sp_frame_times times) {
    *door = (sp_door){.review = review, .clip = sp_review_get_clip(review), .times = times};
    door->view = sp_review_get_view(review);
    door->hand = sp_review_get_player(review)->hand;
    door->mirrored = is_mirrored(review, door->view, door->hand);
    for (int i = 0; i < SP_AT_COUNT; i++)
        door->moments[i] = sp_review_moment_frame(review, sp_known_moments[i]);
    for (int i = 0; i < SP_AT_COUNT; i++) door->moment_rows[i] = row_of(door, (sp_known_moment)i);
    door->ball_met = -1;
}

void sp_door_close(sp_door *door) {
    free(door->slots);
    door->slots = NULL;
}

bool sp_door_marked(const sp_door *door, int frame, sp_point_name name) {
    return sp_review_mark(door->review, frame, sp_point_for_hand(name, door->hand), NULL);
}

sp_point sp_door_mirror(const sp_door *door, sp_point at) {
    return door->mirrored ? (sp_point){door->clip->width - at.x, at.y} : at;
}

static bool make_room(sp_door *door) {
    if (door->slot_count < door->slot_room) return true;
    const size_t room = door->slot_room == 0 ? 128 : 2 * door->slot_room;
    sp_slot *slots = realloc(door->slots, room * sizeof *slots);
    if (slots == NULL) {
        door->out_of_memory = true;
        return false;
    }
    door->slots = slots;
    door->slot_room = room;
    return true;
}

int sp_door_slot(sp_door *door, int frame, sp_point_name name) {
    for (size_t i = 0; i < door->slot_count; i++)
        if (door->slots[i].frame == frame && door->slots[i].name == name) return (int)i;
    if (!make_room(door)) return 0;
    sp_mark mark = {.sd_px = 0};
    sp_review_mark(door->review, frame, sp_point_for_hand(name, door->hand), &mark);
    door->slots[door->slot_count] = (sp_slot){.frame = frame,
                                              .name = name,
                                              .at = sp_door_mirror(door, mark.at),
                                              .sd_px = mark.sd_px,
                                              .carried = mark.by == SP_BY_CARRY,
                                              .frame_s = sp_door_time(door, frame),
                                              .row = mark.at.y / door->clip->height};
    return (int)door->slot_count++;
}

double sp_door_slot_time(const sp_door *door, const sp_slot *slot) {
    return slot->frame_s + slot->row * door->clip->row_time_s;
}

double sp_door_time(const sp_door *door, double frame) {
    const int last = door->times.count - 1;
    if (last < 1) return 0;
    int before = (int)floor(frame);
    if (before < 0) before = 0;
    if (before > last - 1) before = last - 1;
    const double from = door->times.seconds[before], to = door->times.seconds[before + 1];
    return (from + (frame - before) * (to - from)) / door->clip->slowdown;
}

/* Over the four frames before it, or after it at the clip's start. */
double sp_door_rate(const sp_door *door, int frame) {
    const int from = frame > 4 ? frame - 4 : 0;
    const int to = from + 4 < door->times.count ? from + 4 : door->times.count - 1;
    const double span = sp_door_time(door, to) - sp_door_time(door, from);
    return span > 0 ? (to - from) / span : 0;
}

int sp_door_moment(const sp_door *door, const char *name) {
    return sp_review_moment_frame(door->review, name);
}

const char *sp_door_title(const sp_door *door, sp_point_name name) {
    return sp_point_title(sp_point_for_hand(name, door->hand));
}
