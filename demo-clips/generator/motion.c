#include "motion.h"

#include "motion_keys.h"

/* The touch slows the far joints at once; what it took away comes back with this time constant, s
 * (an impulse at a joint held by muscle; the constant is invented). */
static const double recoil_s = 0.018;
/* Share of the speed of the strings' middle that the touch leaves. */
static const double speed_kept = 0.70;

static bool is_length(channel c) {
    return c <= PELVIS_Z || (c >= OFF_TOE_X && c <= OFF_TOE_Z) ||
           (c >= HIT_TOE_X && c <= HIT_TOE_Z);
}

static bool recoils(channel c) {
    return c == HIT_ROTATION || c == HIT_FLEXION || c == HIT_PRONATION || c == HIT_WRIST ||
           c == HIT_DEVIATION;
}

bool motion_pose(const motion *m, double time, pose *p) {
    double value[CHANNEL_COUNT];
    double taken = time > 0.0 ? recoil_s * (1.0 - exp(-time / recoil_s)) * m->recoil : 0.0;
    for (channel c = 0; c < CHANNEL_COUNT; ++c) {
        value[c] = spline_at(&m->curve[c], time);
        if (recoils(c)) value[c] -= taken * spline_slope_at(&m->curve[c], 0.0);
    }
    return body_pose(&m->physique, value, p);
}

vector motion_velocity(const motion *m, double time, body_point point) {
    const double h = 1e-5;
    motion free = *m;
    if (time <= 0.0) free.recoil = 0.0;
    pose before, after;
    motion_pose(&free, time - h, &before);
    motion_pose(&free, time + h, &after);
    return scale(sub(after.at[point], before.at[point]), 0.5 / h);
}

static double tip_height(const motion *m, double time) {
    pose p;
    motion_pose(m, time, &p);
    return p.at[AT_RACQUET_TIP].z;
}

double motion_lowest_tip(const motion *m) {
    double best = TROPHY_TIME;
    for (double t = TROPHY_TIME; t < 0.0; t += 0.005) {
        if (tip_height(m, t) < tip_height(m, best)) best = t;
    }
    for (double h = 0.0025; h > 1e-6; h *= 0.5) {
        if (tip_height(m, best - h) < tip_height(m, best)) best -= h;
        if (tip_height(m, best + h) < tip_height(m, best)) best += h;
    }
    return best;
}

/* `extra` degrees of outward rotation in the drop deepen it. */
static void spline_channels(motion *m, double extra) {
    double size = m->physique.stature_m / KEYS_STATURE_M;
    for (channel c = 0; c < CHANNEL_COUNT; ++c) {
        struct key_row row = motion_keys[c];
        for (size_t i = 0; c == HIT_ROTATION && i < row.count; ++i) {
            if (row.keys[i].time == DROP_TIME) row.keys[i].value += extra;
        }
        for (size_t i = 0; !is_length(c) && i < row.count; ++i) {
            row.keys[i].value += m->physique.style[c];
        }
        m->curve[c] = spline_through(row.keys, row.count, is_length(c) ? size : radians(1.0));
    }
}

static double gap_in_drop(const motion *m) {
    pose p;
    motion_pose(m, motion_lowest_tip(m), &p);
    return p.at[AT_HIT_HAND].z - p.at[AT_HIT_ELBOW].z;
}

/* More rotation lowers the hand steadily over this range, degrees. */
static bool deepen(motion *m, double gap_m) {
    double less = -45.0, more = 24.0;
    spline_channels(m, less);
    if (gap_in_drop(m) < gap_m) return false;
    spline_channels(m, more);
    if (gap_in_drop(m) > gap_m) return false;
    for (int i = 0; i < 40; ++i) {
        double middle = 0.5 * (less + more);
        spline_channels(m, middle);
        if (gap_in_drop(m) > gap_m) {
            less = middle;
        } else {
            more = middle;
        }
    }
    return true;
}

/* Speed of the strings' middle just after the touch. */
static double speed_after(const motion *m) {
    const double h = 1e-5;
    pose now, next, later;
    motion_pose(m, 0.0, &now);
    motion_pose(m, h, &next);
    motion_pose(m, 2.0 * h, &later);
    vector twice = scale(sub(next.at[AT_STRINGS], now.at[AT_STRINGS]), 4.0);
    return length(sub(twice, sub(later.at[AT_STRINGS], now.at[AT_STRINGS]))) / (2.0 * h);
}

static void find_recoil(motion *m) {
    double wanted = speed_kept * length(motion_velocity(m, 0.0, AT_STRINGS));
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 40; ++i) {
        m->recoil = 0.5 * (low + high);
        if (speed_after(m) > wanted) {
            low = m->recoil;
        } else {
            high = m->recoil;
        }
    }
}

bool motion_plan(motion *m, const physique *b, double gap_m) {
    *m = (motion){.physique = *b};
    if (!deepen(m, gap_m)) return false;
    find_recoil(m);
    return true;
}
