#include <stdatomic.h>

#include "clip_maker.h"
#include "serveplumb/frame_service.h"

/* Frames of 112 x 80 in 4:2:0 take some 20 KiB each with their alignment. */
enum { FRAMES = 95, GROUP = 16, ROOM = 128, BUDGET = 64 * 24 * 1024 };

/* ThreadSanitizer does not see the locks inside FFmpeg: it judges the service with 1. */
#ifndef DECODER_THREADS
#define DECODER_THREADS 0
#endif

static const made_clip source = {
    .codec = "libx264", .frames = FRAMES, .group = GROUP, .b_frames = 2};

typedef struct {
    char *path;
    made_hash hashes[ROOM];
    sp_frame_service *service;
    atomic_int events, last; /* of `arrived` */
} fixture;

static void note_arrival(void *context, int n) {
    fixture *f = context;
    atomic_store(&f->last, n);
    atomic_fetch_add(&f->events, 1);
}

static sp_frame_service *serve(fixture *f, size_t budget) {
    const sp_clip_options options = {.cache_bytes = budget, .threads = DECODER_THREADS};
    const sp_frame_service_options told = {.arrived = note_arrival, .context = f};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(f->path, &options, &error);
    if (clip == NULL) fail_msg("%s", error.message);
    f->service = sp_frame_service_open(clip, &told, &error);
    if (f->service == NULL) fail_msg("%s", error.message);
    return f->service;
}

static int set_up(void **state) {
    fixture *f = calloc(1, sizeof *f);
    f->path = made_path("serve.mp4");
    made_write(f->path, &source);
    assert_int_equal(made_decode(f->path, f->hashes, ROOM), FRAMES);
    *state = f;
    return 0;
}

static int tear_down(void **state) {
    fixture *f = *state;
    sp_frame_service_close(f->service);
    made_remove(f->path);
    free(f);
    return 0;
}

static void check_frame(const fixture *f, sp_frame *frame, int n) {
    char hex[33];
    assert_non_null(frame);
    assert_int_equal(sp_frame_number(frame), n);
    assert_true(sp_frame_md5(frame, hex, NULL));
    if (strcmp(hex, f->hashes[n].hex) != 0) fail_msg("frame %d is another frame", n);
    sp_frame_unref(frame);
}

/* Polls for at most ten seconds. */
static void settle(sp_frame_service *service) {
    for (int i = 0; i < 2000; i++) {
        if (sp_frame_service_get_state(service).idle) return;
        usleep(5000);
    }
    fail_msg("the service never came to rest");
}

static void a_requested_frame_arrives_and_is_the_frame_named(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    for (int i = 0; i < FRAMES; i++) {
        const int n = i * 29 % FRAMES;
        check_frame(f, sp_frame_service_wait(f->service, n, NULL), n);
    }
    for (int n = FRAMES - 1; n >= 0; n--)
        check_frame(f, sp_frame_service_wait(f->service, n, NULL), n);
}

static void the_frames_ahead_are_there_before_they_are_asked_for(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    sp_frame_service_request(f->service, 40, 30);
    settle(f->service);
    for (int n = 40; n < 60; n++) check_frame(f, sp_frame_service_get(f->service, n, NULL), n);
}

static void going_backward_the_group_before_is_there(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    sp_frame_service_request(f->service, 5 * GROUP + 3, -30);
    settle(f->service);
    for (int n = 5 * GROUP + 3; n >= 4 * GROUP; n--)
        check_frame(f, sp_frame_service_get(f->service, n, NULL), n);
}

static void walking_backward_slowly_never_waits(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    sp_frame_service_request(f->service, FRAMES - 1, -60);
    settle(f->service);
    const unsigned before = sp_frame_service_arrivals(f->service);
    for (int n = FRAMES - 2; n >= 0; n--) {
        usleep(20000);
        sp_frame_service_request(f->service, n, -60);
        check_frame(f, sp_frame_service_get(f->service, n, NULL), n);
    }
    assert_int_equal(sp_frame_service_arrivals(f->service), before);
}

static void at_rest_the_group_that_a_step_back_needs_is_there(void **state) {
    fixture *f = *state;
    serve(f, 200 * 24 * 1024);
    sp_frame_service_request(f->service, 3 * GROUP, 0);
    settle(f->service);
    for (int n = 3 * GROUP; n >= 2 * GROUP; n--)
        check_frame(f, sp_frame_service_get(f->service, n, NULL), n);
}

static void a_newer_request_takes_the_place_of_an_older_one(void **state) {
    fixture *f = *state;
    serve(f, 4 * 24 * 1024);
    for (int i = 0; i < 400; i++) sp_frame_service_request(f->service, i * 53 % FRAMES, 0);
    sp_frame_service_request(f->service, 71, 0);
    settle(f->service);
    check_frame(f, sp_frame_service_get(f->service, 71, NULL), 71);
    assert_int_equal(atomic_load(&f->last), 71);
    assert_int_equal(atomic_load(&f->events), sp_frame_service_arrivals(f->service));
    if (atomic_load(&f->events) > 200) fail_msg("%d of 401 were decoded", atomic_load(&f->events));
}

static void an_event_comes_only_for_what_was_not_there(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    sp_frame_service_request(f->service, 33, 30);
    settle(f->service);
    assert_int_equal(atomic_load(&f->events), 1);
    sp_frame_service_request(f->service, 34, 30);
    settle(f->service);
    assert_int_equal(atomic_load(&f->events), 1);
    sp_frame_service_request(f->service, 90, 0);
    settle(f->service);
    assert_int_equal(atomic_load(&f->events), 2);
    assert_int_equal(atomic_load(&f->last), 90);
}

static void the_budget_holds_in_every_direction(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    for (int i = 0; i < 60; i++) {
        sp_frame_service_request(f->service, i * 41 % FRAMES, i % 3 == 0 ? -30 : 30);
        if (i % 5 == 0) usleep(15000);
        assert_true(sp_frame_service_get_state(f->service).bytes <= BUDGET);
    }
    settle(f->service);
    assert_true(sp_frame_service_get_state(f->service).bytes <= BUDGET);
}

static void a_budget_of_one_frame_still_gives_the_frame_named(void **state) {
    fixture *f = *state;
    serve(f, 1);
    for (int n = 40; n > 30; n--) check_frame(f, sp_frame_service_wait(f->service, n, NULL), n);
    settle(f->service);
}

/* Mean difference of the luma of two frames of one size. */
static double difference(const sp_frame *one, const sp_frame *other) {
    sp_frame_planes a, b;
    assert_true(sp_frame_get_planes(one, &a) && sp_frame_get_planes(other, &b));
    assert_int_equal(a.width, b.width);
    assert_int_equal(a.matrix, b.matrix);
    double sum = 0;
    for (int y = 0; y < a.height; y++)
        for (int x = 0; x < a.width; x++)
            sum += abs(a.data[0][y * a.stride[0] + x] - b.data[0][y * b.stride[0] + x]);
    return sum / a.width / a.height;
}

/* A picture of these is as small as a reduced one, which is then only coarser. */
static void at_rest_every_frame_gets_a_reduced_picture_of_itself(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    settle(f->service);
    assert_int_equal(sp_frame_service_get_state(f->service).reduced, FRAMES);
    for (int i = 0; i < FRAMES; i++) {
        const int n = i * 29 % FRAMES, next = (n + 1) % FRAMES;
        sp_frame *near = sp_frame_service_get(f->service, n, NULL);
        assert_int_equal(sp_frame_number(near), n);
        sp_frame *exact = sp_frame_service_wait(f->service, n, NULL);
        sp_frame *other = sp_frame_service_wait(f->service, next, NULL);
        assert_false(sp_frame_is_reduced(exact));
        if (sp_frame_is_reduced(near)) {
            if (difference(near, exact) >= difference(near, other) / 2)
                fail_msg("frame %d: %.2f from itself, %.2f from the next", n,
                         difference(near, exact), difference(near, other));
        } else {
            assert_true(difference(near, exact) == 0);
        }
        sp_frame_unref(near);
        sp_frame_unref(other);
        check_frame(f, exact, n);
    }
}

static void a_far_frame_is_shown_reduced_at_once_and_then_exact(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    settle(f->service);
    const int events = atomic_load(&f->events);
    sp_frame_service_request(f->service, 90, 2000);
    sp_frame *first = sp_frame_service_get(f->service, 90, NULL);
    assert_true(sp_frame_is_reduced(first));
    sp_frame_unref(first);
    settle(f->service);
    assert_int_equal(atomic_load(&f->events), events + 1);
    check_frame(f, sp_frame_service_get(f->service, 90, NULL), 90);
}

static void the_map_tells_what_there_is_of_each_frame(void **state) {
    fixture *f = *state;
    sp_frame_service *service = serve(f, BUDGET);
    sp_frame_unref(sp_frame_service_wait(service, 41, NULL));
    settle(service);
    uint8_t map[FRAMES];
    sp_frame_service_map(service, map);
    const sp_frame_service_state told = sp_frame_service_get_state(service);
    int exact = 0, reduced = 0;
    for (int i = 0; i < FRAMES; i++) {
        exact += (map[i] & SP_FRAME_EXACT) != 0;
        reduced += (map[i] & SP_FRAME_REDUCED) != 0;
        assert_int_equal(map[i] & SP_FRAME_DAMAGED, 0);
    }
    assert_int_equal(exact, told.exact);
    assert_int_equal(reduced, told.reduced);
    assert_true(exact < FRAMES && (map[41] & SP_FRAME_EXACT) != 0);
}

static void a_clip_that_fits_the_budget_is_taken_in_whole(void **state) {
    fixture *f = *state;
    serve(f, 200 * 24 * 1024);
    settle(f->service);
    assert_int_equal(sp_frame_service_get_state(f->service).exact, FRAMES);
    assert_int_equal(sp_frame_service_get_state(f->service).reduced, 0);
    for (int n = 0; n < FRAMES; n++) check_frame(f, sp_frame_service_get(f->service, n, NULL), n);
}

static void past_the_end_is_told(void **state) {
    fixture *f = *state;
    sp_error error = {0};
    serve(f, BUDGET);
    assert_null(sp_frame_service_wait(f->service, FRAMES, &error));
    assert_int_equal(error.code, SP_ERROR_END);
}

static void a_file_cut_under_the_service_fails_once_and_is_told(void **state) {
    fixture *f = *state;
    sp_error error = {0};
    serve(f, 1);
    assert_int_equal(truncate(f->path, 900), 0);
    assert_null(sp_frame_service_wait(f->service, 80, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_null(sp_frame_service_get(f->service, 80, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    settle(f->service);
}

static void closing_while_it_decodes_leaves_the_frames_that_were_given(void **state) {
    fixture *f = *state;
    serve(f, BUDGET);
    sp_frame *kept = sp_frame_service_wait(f->service, 11, NULL);
    sp_frame_service_request(f->service, 93, -30);
    sp_frame_service_close(f->service);
    f->service = NULL;
    check_frame(f, kept, 11);
}

#define WITH_CLIP(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
    const struct CMUnitTest tests[] = {
        WITH_CLIP(a_requested_frame_arrives_and_is_the_frame_named),
        WITH_CLIP(the_frames_ahead_are_there_before_they_are_asked_for),
        WITH_CLIP(going_backward_the_group_before_is_there),
        WITH_CLIP(walking_backward_slowly_never_waits),
        WITH_CLIP(at_rest_the_group_that_a_step_back_needs_is_there),
        WITH_CLIP(a_newer_request_takes_the_place_of_an_older_one),
        WITH_CLIP(an_event_comes_only_for_what_was_not_there),
        WITH_CLIP(the_budget_holds_in_every_direction),
        WITH_CLIP(a_budget_of_one_frame_still_gives_the_frame_named),
        WITH_CLIP(at_rest_every_frame_gets_a_reduced_picture_of_itself),
        WITH_CLIP(a_far_frame_is_shown_reduced_at_once_and_then_exact),
        WITH_CLIP(the_map_tells_what_there_is_of_each_frame),
        WITH_CLIP(a_clip_that_fits_the_budget_is_taken_in_whole),
        WITH_CLIP(past_the_end_is_told),
        WITH_CLIP(a_file_cut_under_the_service_fails_once_and_is_told),
        WITH_CLIP(closing_while_it_decodes_leaves_the_frames_that_were_given),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
