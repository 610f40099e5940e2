#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "../marked_review.h"
#include "../near.h"
#include "deliver/reel_plan.h"
#include "serveplumb/reel.h"
#include "serveplumb/still.h"
#include "serveplumb/talk_clip.h"

static char folder[] = "/tmp/serveplumb-reel-XXXXXX";

static const char *path_of(const char *name) {
    static char path[2][128];
    static int turn;
    turn = !turn;
    snprintf(path[turn], sizeof path[turn], "%s/%s", folder, name);
    return path[turn];
}

static void film(const char *name, const char *size, const char *more) {
    char command[640];
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -y -f lavfi -i testsrc2=s=%s:r=25:d=0.4 -threads 1 "
             "-vf scale=out_color_matrix=bt709:out_range=tv -pix_fmt yuv420p -c:v libx264 "
             "-preset ultrafast -crf 12 -g 4 %s %s",
             size, more, path_of(name));
    assert_int_equal(system(command), 0);
}

static int make_clips(void **state) {
    (void)state;
    assert_non_null(mkdtemp(folder));
    film("plain.mp4", "1080x1440",
         "-colorspace bt709 -color_primaries bt709 -color_trc bt709 -color_range tv");
    film("601.mp4", "640x360", "-colorspace smpte170m");
    char command[512];
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -y -display_rotation 90 -i %s -c copy %s",
             path_of("plain.mp4"), path_of("turned.mp4"));
    if (system(command) != 0) { /* FFmpeg before 6 */
        snprintf(command, sizeof command,
                 "ffmpeg -nostdin -v error -y -i %s -c copy -metadata:s:v rotate=90 %s",
                 path_of("plain.mp4"), path_of("turned.mp4"));
        assert_int_equal(system(command), 0);
    }
    return 0;
}

static int remove_clips(void **state) {
    (void)state;
    static const char *const names[] = {"plain.mp4", "601.mp4", "turned.mp4", "out.mp4",
                                        "out.webm"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) unlink(path_of(names[i]));
    return rmdir(folder);
}

typedef struct {
    sp_clip *clip;
    sp_review *review;
    sp_readout *readout;
} desk;

static desk desk_new(const char *name) {
    desk made = {.clip = sp_clip_open(path_of(name), NULL, NULL)};
    assert_non_null(made.clip);
    const sp_clip_facts *facts = sp_clip_get_facts(made.clip);
    made.review =
        marked_review(facts->width, facts->height, facts->frames, SP_VIEW_SIDE, SP_HAND_RIGHT);
    made.readout =
        sp_readout_new(made.review, (sp_frame_times){sp_clip_times(made.clip), facts->frames},
                       &(sp_readout_options){.draws = 200}, NULL);
    assert_non_null(made.readout);
    return made;
}

static void desk_free(desk *used) {
    sp_readout_free(used->readout);
    sp_review_free(used->review);
    sp_clip_close(used->clip);
}

static sp_reel *reel_new(desk *on, const sp_reel_options *options) {
    sp_error error = {0};
    sp_reel *reel = sp_reel_new(on->clip, on->review, on->readout, options, &error);
    if (reel == NULL) fail_msg("%s", error.message);
    return reel;
}

/* --- the plan ----------------------------------------------------------------------------------
 */

static void frames_keep_their_own_times_and_moments_are_held_at_their_end(void **state) {
    (void)state;
    static const double times[] = {0.0, 0.031, 0.070, 0.1, 0.137};
    sp_review_clip clip = {.file = "a.mp4", .frames = 5, .width = 90, .height = 160, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_true(sp_review_set_moment(review, "drop", 2, NULL));
    const sp_reel_span span = {times, 5, 0.171, 1, 4, 3.7, 1.3, review};
    sp_reel_plan plan;
    assert_true(sp_reel_plan_make(&span, &plan));
    assert_int_equal(plan.count, 4);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(plan.shots[i].frame, i + 1);
        const double held = i > 1 ? 1.3 : 0.0;
        assert_near(plan.shots[i].from_s, (times[i + 1] - times[1]) * 3.7 + held, 1e-12);
        if (i > 0) assert_near(plan.shots[i].from_s, plan.shots[i - 1].to_s, 1e-12);
    }
    assert_near(plan.shots[1].to_s - plan.shots[1].from_s, 0.030 * 3.7 + 1.3, 1e-12);
    assert_near(plan.duration_s, (0.171 - 0.031) * 3.7 + 1.3, 1e-12);
    /* a picture stands for at most a tenth of a second */
    assert_int_equal(sp_shot_pictures(&plan.shots[1]), 15);
    free(plan.shots);
    sp_review_free(review);
}

static void more_than_sixty_a_second_are_thinned_but_a_moment_never(void **state) {
    (void)state;
    enum { COUNT = 241 };
    double times[COUNT];
    for (int i = 0; i < COUNT; i++) times[i] = i / 240.0;
    sp_review_clip clip = {
        .file = "a.mp4", .frames = COUNT, .width = 9, .height = 16, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_true(sp_review_set_moment(review, "contact", 117, NULL)); /* not every fourth */
    const sp_reel_span span = {times, COUNT, COUNT / 240.0, 0, COUNT - 1, 1.0, 0.0, review};
    sp_reel_plan plan;
    assert_true(sp_reel_plan_make(&span, &plan));
    assert_true(plan.count >= 60 && plan.count <= 63);
    bool moment = false;
    for (int i = 0; i < plan.count; i++) {
        assert_near(plan.shots[i].from_s, times[plan.shots[i].frame], 1e-12);
        moment = moment || plan.shots[i].frame == 117;
    }
    assert_true(moment);
    assert_near(plan.duration_s, COUNT / 240.0, 1e-12);
    free(plan.shots);
    sp_review_free(review);
}

/* --- pixels ------------------------------------------------------------------------------------
 */

/* Stands on each of the marked frames for a second. */
static sp_talk *talk_new(const desk *on) {
    sp_talk *talk = sp_talk_new(sp_review_get_clip(on->review), NULL);
    assert_true(sp_talk_begin_take(talk, "", NULL));
    for (int frame = 0; frame <= MARKED_CONTACT; frame++) {
        const sp_talk_action action = {.at_s = frame, .kind = SP_TALK_FRAME, .frame = frame};
        assert_true(sp_talk_add(talk, &action, NULL));
    }
    sp_talk_set_length(talk, MARKED_CONTACT + 1);
    assert_true(sp_talk_put(talk, 0, 0, 0, NULL));
    return talk;
}

static void draw_ink(sp_review *review) {
    sp_point way[] = {{300.5, 500.5}, {420.25, 610.75}, {380.5, 720.5}, {500, 800}};
    const sp_ink stroke = {SP_INK_STROKE, SP_HUE_SCALE, 1, 3, way, 4};
    const sp_ink circle = {SP_INK_CIRCLE, SP_HUE_PLUMB, 2, 2, way, 2};
    assert_true(sp_review_add_ink(review, &stroke, NULL));
    assert_true(sp_review_add_ink(review, &circle, NULL));
}

static void a_frame_of_clip_and_talk_through_has_the_pixels_of_the_still(void **state) {
    (void)state;
    desk on = desk_new("plain.mp4");
    draw_ink(on.review);
    sp_talk *talk = talk_new(&on);
    sp_error error = {0};
    sp_talk_clip *talk_clip = sp_talk_clip_new(on.clip, on.review, on.readout, talk, "none",
                                               &(sp_talk_clip_options){.units = 0}, &error);
    if (talk_clip == NULL) fail_msg("%s", error.message);
    sp_reel *reel = reel_new(&on, &(sp_reel_options){.first = 0, .last = 9});
    const sp_reel_facts *facts = sp_reel_get_facts(reel);
    assert_int_equal(facts->width, 1080);
    assert_int_equal(facts->frame_height, 1440);
    for (int frame = MARKED_TROPHY; frame <= MARKED_CONTACT; frame++) {
        sp_picture still;
        const sp_still_options options = {.frame = frame, .moment = "x"};
        assert_true(sp_still_draw(on.clip, on.review, on.readout, &options, &still, NULL));
        const sp_picture *picture = sp_reel_draw(reel, frame, NULL);
        const sp_picture *talked = sp_talk_clip_draw(talk_clip, frame + 0.5, NULL);
        assert_non_null(picture);
        assert_non_null(talked);
        for (int y = 0; y < 1440; y++) {
            const uint8_t *row = still.pixels + (size_t)y * still.stride;
            assert_memory_equal(picture->pixels + (size_t)y * picture->stride, row, 1080 * 4);
            assert_memory_equal(talked->pixels + (size_t)y * talked->stride, row, 1080 * 4);
        }
        sp_picture_clear(&still);
    }
    sp_talk_clip_free(talk_clip);
    sp_talk_free(talk);
    sp_reel_free(reel);
    desk_free(&on);
}

typedef struct {
    double mean, worst_even; /* worst where the picture is even, in 1/255 */
} difference;

/* Mean over all pixels; edges blur in 4:2:0, so the worst is taken of even 6 x 6 squares only. */
static difference compare(const sp_picture *a, const sp_picture *b) {
    difference d = {0};
    double sum = 0.0;
    for (int y = 3; y < a->height - 3; y++)
        for (int x = 3; x < a->width - 3; x++) {
            const uint8_t *p = a->pixels + (size_t)y * a->stride + (size_t)x * 4;
            const uint8_t *q = b->pixels + (size_t)y * b->stride + (size_t)x * 4;
            bool even = true;
            for (int dy = -3; dy <= 3 && even; dy++)
                for (int dx = -3; dx <= 3 && even; dx++)
                    even = memcmp(p, p + dy * (ptrdiff_t)a->stride + dx * 4, 4) == 0;
            for (int c = 0; c < 3; c++) {
                const double off = abs(p[c] - q[c]);
                sum += off;
                if (even) d.worst_even = fmax(d.worst_even, off);
            }
        }
    d.mean = sum / (3.0 * (a->width - 6) * (a->height - 6));
    return d;
}

static void written_frames_look_as_drawn(const char *name) {
    desk on = desk_new(name);
    const sp_reel_options options = {.first = 1, .last = 4, .slow = 4, .hold_s = 0.37};
    sp_reel *reel = reel_new(&on, &options);
    const sp_reel_facts *facts = sp_reel_get_facts(reel);
    sp_error error = {0};
    if (!sp_reel_write(reel, path_of("out.mp4"), NULL, NULL, &error)) fail_msg("%s", error.message);
    sp_clip *out = sp_clip_open(path_of("out.mp4"), NULL, &error);
    if (out == NULL) fail_msg("%s", error.message);
    assert_int_equal(sp_clip_get_facts(out)->frames, facts->pictures);
    assert_near(facts->duration_s, 4 * 4 / 25.0 + 3 * 0.37, 1e-9);
    const double *times = sp_clip_times(out);
    int at = 0; /* the picture shown when each frame begins */
    for (int frame = 1; frame <= 4; frame++) {
        const double from = (frame - 1) * (4 / 25.0 + 0.37);
        while (at + 1 < facts->pictures && times[at + 1] <= from + 1e-4) at++;
        assert_near(times[at], from, 2e-5);
        sp_picture shown;
        assert_true(sp_picture_init(&shown, facts->width, facts->height, NULL));
        sp_frame *decoded = sp_clip_frame(out, at, NULL);
        assert_true(sp_frame_to_picture(decoded, &shown, NULL));
        const difference d = compare(sp_reel_draw(reel, frame, NULL), &shown);
        if (d.mean > 2.5 || d.worst_even > 26.0)
            fail_msg("%s frame %d: mean %.2f, worst of even ground %.0f", name, frame, d.mean,
                     d.worst_even);
        sp_frame_unref(decoded);
        sp_picture_clear(&shown);
    }
    sp_clip_close(out);
    sp_reel_free(reel);
    desk_free(&on);
}

static void samples_taken_as_they_are_look_as_drawn(void **state) {
    (void)state;
    written_frames_look_as_drawn("plain.mp4");
}
static void samples_of_a_turned_clip_look_as_drawn(void **state) {
    (void)state;
    desk on = desk_new("turned.mp4");
    assert_int_equal(sp_clip_get_facts(on.clip)->width, 1440);
    desk_free(&on);
    written_frames_look_as_drawn("turned.mp4");
}
static void frames_of_another_matrix_look_as_drawn(void **state) {
    (void)state;
    written_frames_look_as_drawn("601.mp4");
}

/* --- leaving nothing behind --------------------------------------------------------------------
 */

static bool stop_half_way(void *whom, double share) {
    int *asked = whom;
    ++*asked;
    return share < 0.5;
}

static void giving_up_leaves_no_file_and_an_old_one_as_it_was(void **state) {
    (void)state;
    desk on = desk_new("601.mp4");
    sp_reel *reel =
        reel_new(&on, &(sp_reel_options){.first = 0, .last = 9, .coding = SP_CODING_VP9});
    FILE *old = fopen(path_of("out.webm"), "w");
    fputs("old", old);
    fclose(old);
    int asked = 0;
    sp_error error = {0};
    assert_false(sp_reel_write(reel, path_of("out.webm"), stop_half_way, &asked, &error));
    assert_int_equal(error.code, SP_ERROR_CANCELLED);
    assert_true(asked > 2);
    char word[8] = "";
    old = fopen(path_of("out.webm"), "r");
    assert_non_null(fgets(word, sizeof word, old));
    fclose(old);
    assert_string_equal(word, "old");
    unlink(path_of("out.webm"));
    char command[256];
    snprintf(command, sizeof command, "test \"$(ls %s | grep -c out.webm)\" = 0", folder);
    assert_int_equal(system(command), 0);
    sp_reel_free(reel);
    desk_free(&on);
}

static void a_span_that_is_not_there_is_refused(void **state) {
    (void)state;
    desk on = desk_new("601.mp4");
    sp_error error = {0};
    assert_null(sp_reel_new(on.clip, on.review, on.readout,
                            &(sp_reel_options){.first = 0, .last = 10}, &error));
    assert_non_null(strstr(error.message, "0 to 9"));
    assert_null(sp_reel_new(on.clip, on.review, on.readout,
                            &(sp_reel_options){.first = 7, .last = 3}, &error));
    assert_non_null(strstr(error.message, "before it begins"));
    desk_free(&on);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frames_keep_their_own_times_and_moments_are_held_at_their_end),
        cmocka_unit_test(more_than_sixty_a_second_are_thinned_but_a_moment_never),
        cmocka_unit_test(a_frame_of_clip_and_talk_through_has_the_pixels_of_the_still),
        cmocka_unit_test(samples_taken_as_they_are_look_as_drawn),
        cmocka_unit_test(samples_of_a_turned_clip_look_as_drawn),
        cmocka_unit_test(frames_of_another_matrix_look_as_drawn),
        cmocka_unit_test(giving_up_leaves_no_file_and_an_old_one_as_it_was),
        cmocka_unit_test(a_span_that_is_not_there_is_refused),
    };
    return cmocka_run_group_tests_name("deliver: reel", tests, make_clips, remove_clips);
}
