/* A review with a player marked at trophy, drop and contact: places invented, roughly a server. */
#ifndef TESTS_MARKED_REVIEW_H
#define TESTS_MARKED_REVIEW_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "serveplumb/review.h"

#define MARKED_TROPHY 1
#define MARKED_DROP 2
#define MARKED_CONTACT 3

/* Shares of the picture's height, from its middle and its top. */
static const struct {
    int frame;
    sp_point_name name;
    double x, y;
} marked_points[] = {
    {1, SP_POINT_NOSE, 0.013, 0.331},
    {1, SP_POINT_RIGHT_SHOULDER, -0.041, 0.398},
    {1, SP_POINT_LEFT_SHOULDER, 0.037, 0.361},
    {1, SP_POINT_RIGHT_ELBOW, -0.117, 0.383},
    {1, SP_POINT_RIGHT_HAND, -0.133, 0.297},
    {1, SP_POINT_LEFT_ELBOW, 0.071, 0.279},
    {1, SP_POINT_LEFT_HAND, 0.079, 0.201},
    {1, SP_POINT_RIGHT_HIP, -0.023, 0.569},
    {1, SP_POINT_LEFT_HIP, 0.031, 0.557},
    {1, SP_POINT_RIGHT_KNEE, -0.029, 0.691},
    {1, SP_POINT_LEFT_KNEE, 0.063, 0.683},
    {1, SP_POINT_RIGHT_ANKLE, -0.047, 0.817},
    {1, SP_POINT_LEFT_ANKLE, 0.043, 0.811},
    {1, SP_POINT_LEFT_TOE, 0.071, 0.829},
    {1, SP_POINT_RACQUET_BUTT, -0.137, 0.307},
    {1, SP_POINT_RACQUET_TIP, -0.083, 0.187},
    {1, SP_POINT_BALL, 0.087, 0.047},
    {2, SP_POINT_NOSE, 0.027, 0.301},
    {2, SP_POINT_RIGHT_SHOULDER, -0.031, 0.371},
    {2, SP_POINT_LEFT_SHOULDER, 0.043, 0.363},
    {2, SP_POINT_RIGHT_ELBOW, -0.097, 0.331},
    {2, SP_POINT_RIGHT_HAND, -0.071, 0.381},
    {2, SP_POINT_RIGHT_HIP, -0.019, 0.553},
    {2, SP_POINT_LEFT_HIP, 0.033, 0.551},
    {2, SP_POINT_RACQUET_BUTT, -0.073, 0.353},
    {2, SP_POINT_RACQUET_TIP, -0.053, 0.517},
    {3, SP_POINT_NOSE, 0.029, 0.261},
    {3, SP_POINT_RIGHT_SHOULDER, 0.011, 0.303},
    {3, SP_POINT_LEFT_SHOULDER, 0.057, 0.347},
    {3, SP_POINT_RIGHT_ELBOW, 0.007, 0.213},
    {3, SP_POINT_RIGHT_HAND, 0.023, 0.127},
    {3, SP_POINT_RIGHT_HIP, -0.017, 0.511},
    {3, SP_POINT_LEFT_HIP, 0.037, 0.507},
    {3, SP_POINT_RACQUET_BUTT, 0.023, 0.131},
    {3, SP_POINT_RACQUET_TIP, 0.043, 0.009},
    {3, SP_POINT_BALL, 0.051, 0.019},
};

static inline sp_review *marked_review(int width, int height, int frames, sp_view view,
                                       sp_hand hand) {
    sp_review_clip clip = {.frames = frames, .width = width, .height = height, .slowdown = 1.0};
    strcpy(clip.file, "serve.mp4");
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_non_null(review);
    const sp_player player = {.name = "", .hand = hand, .stature_m = 1.83};
    assert_true(sp_review_set_player(review, &player, NULL));
    const sp_net net = view == SP_VIEW_SIDE ? SP_NET_RIGHT : SP_NET_AWAY;
    assert_true(sp_review_set_view(review, view, net, NULL));
    assert_true(sp_review_set_moment(review, "trophy", MARKED_TROPHY, NULL));
    assert_true(sp_review_set_moment(review, "drop", MARKED_DROP, NULL));
    assert_true(sp_review_set_moment(review, "contact", MARKED_CONTACT, NULL));
    for (size_t i = 0; i < sizeof marked_points / sizeof marked_points[0]; i++) {
        const sp_mark mark = {
            .at = {width / 2.0 + marked_points[i].x * height, marked_points[i].y * height},
            .by = SP_BY_TAP};
        assert_true(sp_review_set_mark(review, marked_points[i].frame,
                                       sp_point_for_hand(marked_points[i].name, hand), &mark,
                                       NULL));
    }
    sp_scale_entry line = {.id = "baseline",
                           .method = SP_SCALE_LINE,
                           .frame = 0,
                           .a = {0.07 * width, 0.83 * height},
                           .b = {0.91 * width, 0.82 * height},
                           .distance_m = 0.84 * width * 1.83 / (0.53 * height)};
    assert_true(sp_review_set_scale(review, line.id, &line, NULL));
    return review;
}

#endif
