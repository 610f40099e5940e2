#include "reel.h"

#include <stdio.h>
#include <stdlib.h>

#include "sight.h"

/* Ball and hand are seen apart from here on, m. */
static const double visible_gap = 0.01;

static void take(const serve *s, const camera *c, double time, reel_frame *frame) {
    frame->time = time;
    for (body_point p = 0; p < NAMED_POINTS; ++p) {
        reel_point *r = &frame->points[p];
        r->in_front = sight_point(s, c, time, p, &r->seen, &r->at, &r->when);
    }
}

static int first_apart(const serve *s, const reel *r) {
    for (int n = 0; n < r->count; ++n) {
        if (serve_hand_gap(s, r->frames[n].points[AT_BALL].when) > visible_gap) return n;
    }
    return -1;
}

static int last_before_touch(const reel *r) {
    int last = -1;
    for (int n = 0; n < r->count; ++n) {
        if (r->frames[n].points[AT_BALL].when < 0.0) last = n;
    }
    return last;
}

static int lowest_tip(const reel *r, int from, int to) {
    int lowest = -1;
    for (int n = from; n >= 0 && n <= to; ++n) {
        double z = r->frames[n].points[AT_RACQUET_TIP].at.z;
        if (lowest < 0 || z < r->frames[lowest].points[AT_RACQUET_TIP].at.z) lowest = n;
    }
    return lowest;
}

static void find_moments(const serve *s, const clip_time *clip, reel *r) {
    int trophy = clip_time_nearest(clip, TROPHY_TIME), contact = last_before_touch(r);
    r->moments[MOMENT_RELEASE] =
        (reel_moment){"release", "first frame on which the ball is more than 0.01 m off the hand",
                      first_apart(s, r), s->release_time};
    r->moments[MOMENT_TROPHY] =
        (reel_moment){"trophy", "frame nearest to the keyed trophy pose", trophy, TROPHY_TIME};
    r->moments[MOMENT_DROP] =
        (reel_moment){"drop", "frame of the lowest racquet tip between trophy and contact",
                      lowest_tip(r, trophy, contact), s->drop_time};
    r->moments[MOMENT_CONTACT] =
        (reel_moment){"contact", "last frame before the ball touches the strings", contact, 0.0};
    r->moments[MOMENT_BOUNCE] =
        (reel_moment){"bounce", "frame nearest to the first touch of the ground",
                      clip_time_nearest(clip, s->shot.bounce_time), s->shot.bounce_time};
    r->moments[MOMENT_FINISH] = (reel_moment){"finish", "frame nearest to the keyed finish pose",
                                              clip_time_nearest(clip, FINISH_TIME), FINISH_TIME};
}

bool reel_wind(const serve *s, const camera *c, const clip_time *clip, reel *r) {
    r->count = clip->frames;
    r->frames = malloc((size_t)r->count * sizeof *r->frames);
    if (!r->frames) {
        fputs("No memory for the truth of so many frames: choose a shorter span.\n", stderr);
        return false;
    }
    for (int n = 0; n < r->count; ++n) take(s, c, clip_time_of(clip, n), &r->frames[n]);
    find_moments(s, clip, r);
    return true;
}

void reel_free(reel *r) { free(r->frames); }
