/* A player of invented measures, filmed: places in the plane of motion (metres) become marks of a
 * review. The same scene can be filmed of a left-hander in the mirror, shifted, tilted or larger.
 * Include after cmocka. */
#ifndef SP_TESTS_FILMED_H
#define SP_TESTS_FILMED_H

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/plumb.h"
#include "serveplumb/readout.h"

typedef struct {
    sp_view view;
    bool left_handed; /* everything in the mirror: player, net and picture */
    double rate;      /* of the clip; 0: 120 */
    double slowdown;  /* 0: 1 */
    double row_time_s;
    double exposure_s;       /* 0: sharp; below 0: not known */
    double tilt_deg;         /* of the camera */
    double m_per_px;         /* 0: 0.005 */
    double shift_x, shift_y; /* px */
    double points_sd;        /* px; 0: 1.5 */
    int frames;              /* 0: 120 */
} film;

typedef struct {
    film film;
    sp_review *review;
    double *seconds;
} filmed;

static inline sp_point filmed_pixel(const filmed *f, double u, double w) {
    const double k = 1 / f->film.m_per_px;
    sp_point at = {540 + f->film.shift_x, 1290 + f->film.shift_y};
    at = sp_point_add(at, sp_point_times(sp_plumb_right(f->film.tilt_deg), k * u));
    at = sp_point_add(at, sp_point_times(sp_plumb_up(f->film.tilt_deg), k * w));
    if (f->film.left_handed) at.x = 1080 - at.x;
    return at;
}

static inline sp_hand filmed_hand(const filmed *f) {
    return f->film.left_handed ? SP_HAND_LEFT : SP_HAND_RIGHT;
}

static inline filmed filmed_new(film how) {
    if (!(how.rate > 0)) how.rate = 120;
    if (!(how.slowdown > 0)) how.slowdown = 1;
    if (!(how.m_per_px > 0)) how.m_per_px = 0.005;
    if (!(how.points_sd > 0)) how.points_sd = 1.5;
    if (how.frames == 0) how.frames = 120;
    if (how.exposure_s == 0) how.exposure_s = 1e-6;
    filmed f = {.film = how, .seconds = calloc((size_t)how.frames, sizeof(double))};
    for (int i = 0; i < how.frames; i++) f.seconds[i] = i / how.rate;
    sp_review_clip clip = {.file = "serve.mp4",
                           .frames = how.frames,
                           .width = 1080,
                           .height = 1920,
                           .slowdown = how.slowdown,
                           .row_time_s = how.row_time_s,
                           .exposure_s = fmax(0, how.exposure_s)};
    memset(clip.sha256, 'a', 64);
    f.review = sp_review_new(&clip, NULL);
    assert_non_null(f.review);
    const sp_player player = {.name = "invented",
                              .hand = filmed_hand(&f),
                              .stature_m = 1.83,
                              .racquet_m = 0.685,
                              .shoulder = SP_SHOULDER_UNKNOWN};
    const sp_plumb_entry plumb = {.method = SP_PLUMB_IMAGE,
                                  .angle_deg = how.left_handed ? -how.tilt_deg : how.tilt_deg};
    const sp_net net = how.view != SP_VIEW_SIDE ? SP_NET_AWAY
                       : how.left_handed        ? SP_NET_LEFT
                                                : SP_NET_RIGHT;
    assert_true(sp_review_set_player(f.review, &player, NULL));
    assert_true(sp_review_set_view(f.review, how.view, net, NULL));
    assert_true(sp_review_set_points_sd(f.review, how.points_sd, NULL));
    assert_true(sp_review_set_plumb(f.review, &plumb, NULL));
    return f;
}

static inline void filmed_free(filmed *f) {
    sp_review_free(f->review);
    free(f->seconds);
}

static inline void filmed_put_noisy(filmed *f, int frame, sp_point_name name, double u, double w,
                                    double off_x, double off_y) {
    sp_point at = filmed_pixel(f, u, w);
    at.x += off_x;
    at.y += off_y;
    const sp_mark mark = {.at = at, .by = SP_BY_TAP};
    sp_error error = {0};
    if (!sp_review_set_mark(f->review, frame, sp_point_for_hand(name, filmed_hand(f)), &mark,
                            &error))
        print_error("%s\n", error.message);
    assert_int_equal(error.code, SP_ERROR_NONE);
}

static inline void filmed_put(filmed *f, int frame, sp_point_name name, double u, double w) {
    filmed_put_noisy(f, frame, name, u, w, 0, 0);
}

static inline void filmed_moment(filmed *f, const char *name, int frame) {
    assert_true(sp_review_set_moment(f->review, name, frame, NULL));
}

/* Half the singles baseline, two metres behind the player's foot, as tapped. */
static inline void filmed_scale(filmed *f) {
    const sp_scale_entry entry = {.id = "baseline",
                                  .method = SP_SCALE_LINE,
                                  .a = filmed_pixel(f, -2.0, -0.1),
                                  .b = filmed_pixel(f, -2.0 + 4.1148, -0.1),
                                  .distance_m = 4.1148,
                                  .distance_name = "baseline_half_singles",
                                  .sd_px = f->film.points_sd};
    sp_error error = {0};
    if (!sp_review_set_scale(f->review, "baseline", &entry, &error))
        print_error("%s\n", error.message);
    assert_int_equal(error.code, SP_ERROR_NONE);
}

static inline sp_readout *filmed_read(const filmed *f, size_t draws, uint64_t seed) {
    const sp_readout_options options = {.draws = draws, .seed = seed};
    const sp_frame_times times = {f->seconds, f->film.frames};
    sp_error error = {0};
    sp_readout *readout = sp_readout_new(f->review, times, &options, &error);
    if (readout == NULL) print_error("%s\n", error.message);
    assert_non_null(readout);
    return readout;
}

/* --- one serve ------------------------------------------------------------------------------- */
enum { RELEASE = 12, TROPHY = 47, DROP = 71, CONTACT = 88 };

typedef struct {
    sp_point_name name;
    double u, w;
} place;

static const place filmed_trophy[] = {
    {SP_POINT_RIGHT_SHOULDER, -0.21, 1.43}, {SP_POINT_LEFT_SHOULDER, 0.13, 1.55},
    {SP_POINT_RIGHT_ELBOW, -0.49, 1.38},    {SP_POINT_RIGHT_HAND, -0.41, 1.71},
    {SP_POINT_HAND_HEEL, -0.415, 1.68},     {SP_POINT_RACQUET_BUTT, -0.42, 1.645},
    {SP_POINT_RACQUET_TIP, -0.33, 2.31},    {SP_POINT_RIGHT_HIP, -0.07, 0.94},
    {SP_POINT_LEFT_HIP, 0.19, 0.98},        {SP_POINT_LEFT_KNEE, 0.34, 0.53},
    {SP_POINT_LEFT_ANKLE, 0.11, 0.12},      {SP_POINT_LEFT_TOE, 0.29, 0.02},
    {SP_POINT_RIGHT_KNEE, 0.02, 0.49},      {SP_POINT_RIGHT_ANKLE, -0.24, 0.13},
    {SP_POINT_LEFT_HAND, 0.37, 2.09},
};
static const place filmed_drop[] = {
    {SP_POINT_RIGHT_SHOULDER, -0.04, 1.58}, {SP_POINT_LEFT_SHOULDER, 0.27, 1.61},
    {SP_POINT_RIGHT_ELBOW, -0.21, 1.71},    {SP_POINT_RIGHT_HAND, -0.37, 1.66},
    {SP_POINT_RACQUET_BUTT, -0.36, 1.70},   {SP_POINT_RACQUET_TIP, -0.43, 1.03},
    {SP_POINT_RIGHT_HIP, 0.08, 1.07},       {SP_POINT_LEFT_HIP, 0.24, 1.06},
};
static const place filmed_contact[] = {
    {SP_POINT_RIGHT_SHOULDER, 0.31, 1.77}, {SP_POINT_LEFT_SHOULDER, 0.38, 1.49},
    {SP_POINT_RIGHT_ELBOW, 0.38, 2.06},    {SP_POINT_RIGHT_HAND, 0.47, 2.37},
    {SP_POINT_RACQUET_BUTT, 0.46, 2.31},   {SP_POINT_RIGHT_HIP, 0.19, 1.17},
    {SP_POINT_LEFT_HIP, 0.29, 1.12},       {SP_POINT_BALL, 0.66, 2.81},
};

/* Turns up to contact as the constructed swing of the reference: 39.6 m/s at contact. */
static inline sp_point filmed_swing(double t) {
    const double turn = 80 / 57.295779513082320876798 + 36 * t + 225 * t * t;
    return (sp_point){0.42 + 1.1 * cos(turn), 1.75 + 1.1 * sin(turn)};
}

static inline double filmed_real_time(const filmed *f, int frame) {
    return f->seconds[frame] / f->film.slowdown;
}

/* Leaves the hand at 1.93 m so that it is met at 2.81 m, `t` real seconds after release. */
static inline double filmed_toss_height(const filmed *f, double t) {
    const double g = 9.80665, whole = filmed_real_time(f, CONTACT) - filmed_real_time(f, RELEASE);
    return 1.93 + (0.88 / whole + g / 2 * whole) * t - g / 2 * t * t;
}

#define PLACES(list) list, sizeof list / sizeof list[0]

static inline void filmed_put_all(filmed *f, int frame, const place *places, size_t count) {
    for (size_t i = 0; i < count; i++)
        filmed_put(f, frame, places[i].name, places[i].u, places[i].w);
}

static inline void filmed_put_swing(filmed *f) {
    const double contact_s = filmed_real_time(f, CONTACT);
    for (int frame = CONTACT - 9; frame <= CONTACT; frame++) {
        const double t = filmed_real_time(f, frame) - contact_s;
        const sp_point tip = filmed_swing(t);
        filmed_put(f, frame, SP_POINT_RACQUET_TIP, tip.x, tip.y);
        filmed_put(f, frame, SP_POINT_RIGHT_ELBOW, 0.38 + 2.1 * t + 3 * t * t, 2.06 + 1.4 * t);
        if (frame < CONTACT)
            filmed_put(f, frame, SP_POINT_RIGHT_HAND, 0.47 + 6.3 * t + 5 * t * t, 2.37 + 2.7 * t);
    }
}

static inline void filmed_put_ball(filmed *f) {
    const double release_s = filmed_real_time(f, RELEASE);
    for (int frame = RELEASE; frame <= CONTACT; frame += 4) {
        const double t = filmed_real_time(f, frame) - release_s;
        filmed_put(f, frame, SP_POINT_BALL, 0.55 + 0.17 * t, filmed_toss_height(f, t));
    }
    for (int frame = CONTACT + 2; frame <= CONTACT + 5; frame++) {
        const double t = filmed_real_time(f, frame) - filmed_real_time(f, CONTACT);
        if (t > 0.15) break; /* out of the picture */
        filmed_put(f, frame, SP_POINT_BALL, 0.66 + 47.0 * t, 2.81 - 4.0 * t);
    }
}

static inline void filmed_put_head(filmed *f) {
    const int step = (int)lround(f->film.rate * f->film.slowdown / 40);
    for (int frame = CONTACT - 4 * step; frame <= CONTACT + 2 * step; frame += step) {
        const double t = filmed_real_time(f, frame) - filmed_real_time(f, CONTACT);
        filmed_put(f, frame, SP_POINT_RIGHT_EAR, 0.33 + 0.9 * t, 1.83 - 0.6 * t);
    }
}

/* Everything marked and named. */
static inline filmed filmed_serve(film how) {
    filmed f = filmed_new(how);
    filmed_moment(&f, "release", RELEASE);
    filmed_moment(&f, "trophy", TROPHY);
    filmed_moment(&f, "drop", DROP);
    filmed_moment(&f, "contact", CONTACT);
    filmed_put_ball(&f);
    filmed_put_swing(&f);
    filmed_put_all(&f, TROPHY, PLACES(filmed_trophy));
    filmed_put_all(&f, DROP, PLACES(filmed_drop));
    filmed_put_all(&f, CONTACT, PLACES(filmed_contact));
    filmed_put_head(&f);
    filmed_scale(&f);
    return f;
}

#endif
