#include "readout/shutter.h"

#include <math.h>

#include "readout/notes.h"

/* The shortest that phones take by day, and the longest by lamps, which flicker with the mains
 * (common practice, no source); never longer than from a frame to the next. */
static const double SHORTEST_S = 1.0 / 4000, LONGEST_S = 1.0 / 50;
/* Marks farther away say little of how a point moves now. */
enum { FRAMES_AWAY_MAX = 3 };
static const double AWAY_MAX_S = 0.06;
/* From one side alone even one frame may be too far: a racquet gains its speed in 50 ms. */
static const double ONE_SIDE_MAX_S = 0.015;
/* Beside this share of the tap's own deviation a smear is worth a sentence: it adds an eighth. */
static const double COUNTS = 0.5;

sp_shutter sp_shutter_of(const sp_door *door) {
    const double said = door->clip->exposure_s;
    if (said > 0) return (sp_shutter){true, said, said};
    const double rate = sp_door_rate(door, door->moments[SP_AT_CONTACT]);
    const double most = rate * LONGEST_S > 1 ? 1 / rate : LONGEST_S;
    return (sp_shutter){false, fmin(SHORTEST_S, most), most};
}

double sp_shutter_draw(const sp_shutter *shutter, sp_random *random) {
    return exp(sp_random_uniform(random, log(shutter->least_s), log(shutter->most_s)));
}

/* The touch changes every way at once. */
static bool across_touch(const sp_door *door, int frame, int other) {
    const int contact = door->moments[SP_AT_CONTACT];
    return contact >= 0 && (frame <= contact) != (other <= contact);
}

static bool mark_beside(const sp_door *door, int frame, sp_point_name name, int step, int *other,
                        sp_mark *mark) {
    for (int k = 1; k <= FRAMES_AWAY_MAX; k++) {
        *other = frame + k * step;
        if (*other < 0 || *other >= door->times.count || across_touch(door, frame, *other) ||
            fabs(sp_door_time(door, *other) - sp_door_time(door, frame)) > AWAY_MAX_S)
            return false;
        if (sp_review_mark(door->review, *other, sp_point_for_hand(name, door->hand), mark))
            return true;
    }
    return false;
}

/* `sure`: by both sides, or by one that is near. */
static bool way_of(const sp_door *door, int frame, sp_point_name name, sp_point *way, bool *sure) {
    sp_mark from, to;
    int first = frame, last = frame;
    const bool here =
        sp_review_mark(door->review, frame, sp_point_for_hand(name, door->hand), &from);
    to = from;
    if (!here) return false;
    const bool before = mark_beside(door, frame, name, -1, &first, &from);
    const bool after = mark_beside(door, frame, name, 1, &last, &to);
    if (!before) first = frame;
    if (!after) last = frame;
    const double span_s = sp_door_time(door, last) - sp_door_time(door, first);
    if (!(span_s > 0)) return false;
    *sure = (before && after) || span_s <= ONE_SIDE_MAX_S;
    *way = sp_point_times(sp_point_subtract(to.at, from.at), 1 / span_s);
    if (door->mirrored) way->x = -way->x;
    return true;
}

/* --- where one frame alone is marked --------------------------------------------------------- */

/* m/s to the hitting side, to the net, and up: root mean squares over the simulated serves of
 * demo-clips, at contact also over the 40 ms before it, of which its frame may be one; assumed. */
static const struct {
    sp_known_moment at;
    sp_point_name name;
    double beside, ahead, up;
} USUAL[] = {
    {SP_AT_RELEASE, SP_POINT_BALL, -0.9, 0.7, 5.1},
    {SP_AT_TROPHY, SP_POINT_RACQUET_TIP, 3, 11.5, 0.6},
    {SP_AT_TROPHY, SP_POINT_RACQUET_BUTT, 1.9, 1.7, 3.2},
    {SP_AT_TROPHY, SP_POINT_HAND_HEEL, 1.9, 1.9, 3.1},
    {SP_AT_TROPHY, SP_POINT_RIGHT_HAND, 1.9, 2.8, 2.7},
    {SP_AT_TROPHY, SP_POINT_RIGHT_WRIST, 1.9, 2.8, 2.7},
    {SP_AT_TROPHY, SP_POINT_RIGHT_ELBOW, 0.8, -0.7, 1.5},
    {SP_AT_TROPHY, SP_POINT_LEFT_HAND, -0.7, 0.9, -0.1},
    {SP_AT_TROPHY, SP_POINT_LEFT_WRIST, -0.7, 0.9, -0.1},
    {SP_AT_DROP, SP_POINT_RACQUET_TIP, 8.9, 2.1, 0.2},
    {SP_AT_DROP, SP_POINT_RACQUET_BUTT, 3.4, 3.9, 2},
    {SP_AT_DROP, SP_POINT_RIGHT_HAND, 4.2, 3.7, 1.9},
    {SP_AT_DROP, SP_POINT_RIGHT_WRIST, 4.2, 3.7, 1.9},
    {SP_AT_DROP, SP_POINT_RIGHT_ELBOW, 0.4, 5.1, 2.9},
    {SP_AT_DROP, SP_POINT_RIGHT_SHOULDER, -0.7, 3.4, 2.6},
    {SP_AT_DROP, SP_POINT_LEFT_SHOULDER, -1.7, 1.3, -0.3},
    {SP_AT_DROP, SP_POINT_RIGHT_HIP, 0.2, 1.2, 1.7},
    {SP_AT_DROP, SP_POINT_LEFT_HIP, -0.3, 0.5, 1.2},
    {SP_AT_CONTACT, SP_POINT_RACQUET_TIP, 9, 31, 16},
    {SP_AT_CONTACT, SP_POINT_RACQUET_BUTT, 3.8, 11, 4},
    {SP_AT_CONTACT, SP_POINT_RIGHT_HAND, 3.6, 13, 4},
    {SP_AT_CONTACT, SP_POINT_RIGHT_WRIST, 3.6, 13, 4},
    {SP_AT_CONTACT, SP_POINT_RIGHT_ELBOW, 3, 6.5, 2.3},
    {SP_AT_CONTACT, SP_POINT_RIGHT_SHOULDER, 0.1, 3.6, -0.1},
    {SP_AT_CONTACT, SP_POINT_LEFT_SHOULDER, 0.2, 1.2, 0.8},
    {SP_AT_CONTACT, SP_POINT_RIGHT_HIP, -0.1, 1.5, 0.7},
    {SP_AT_CONTACT, SP_POINT_LEFT_HIP, -0.3, 0.9, 0.7},
    {SP_AT_CONTACT, SP_POINT_BALL, -0.9, 0.7, -2.2},
};

static sp_point usual_way(const sp_door *door, const sp_slot *slot, double m_per_px) {
    if (door->view == SP_VIEW_OBLIQUE || !(m_per_px > 0)) return (sp_point){0, 0};
    for (size_t i = 0; i < sizeof USUAL / sizeof USUAL[0]; i++) {
        if (USUAL[i].name != slot->name || door->moments[USUAL[i].at] != slot->frame) continue;
        const double along = door->view == SP_VIEW_SIDE ? USUAL[i].ahead : USUAL[i].beside;
        return (sp_point){along / m_per_px, -USUAL[i].up / m_per_px};
    }
    return (sp_point){0, 0};
}

/* The grip moves as the hand that holds it. */
sp_point sp_shutter_way(const sp_door *door, const sp_slot *slot, double m_per_px) {
    static const sp_point_name holding[] = {SP_POINT_RIGHT_HAND, SP_POINT_RIGHT_WRIST};
    const bool held = slot->name == SP_POINT_RACQUET_BUTT || slot->name == SP_POINT_HAND_HEEL;
    sp_point way = {0, 0};
    bool sure = false, found = way_of(door, slot->frame, slot->name, &way, &sure);
    for (int i = 0; held && !found && i < 2; i++)
        found = way_of(door, slot->frame, holding[i], &way, &sure);
    if (found && sure) return way;
    const sp_point usual = usual_way(door, slot, m_per_px);
    return sp_point_length(usual) > 0 ? usual : way;
}

double sp_shutter_sd_px(sp_point way, double exposure_s) {
    return sp_point_length(way) * exposure_s / sqrt(12);
}

void sp_shutter_note(const sp_shutter *shutter, double px_per_s, double sd_px,
                     sp_measure *measure) {
    const double smear_px = px_per_s * shutter->most_s;
    if (smear_px / sqrt(12) < COUNTS * sd_px) return;
    if (shutter->known)
        sp_note_add(measure,
                    "With a shutter of 1/%.0f s it smears over %.0f px; the tap may lie anywhere "
                    "on that.",
                    1 / shutter->most_s, smear_px);
    else
        sp_note_add(measure,
                    "The shutter is not given, at most 1/%.0f s: smears of up to %.0f px are "
                    "reckoned with.",
                    1 / shutter->most_s, smear_px);
}
