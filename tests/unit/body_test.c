#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "serveplumb/body.h"

static void every_point_is_found_again_by_its_id(void **state) {
    (void)state;
    for (unsigned i = 0; i < SP_POINT_COUNT; i++) {
        sp_point_name name = SP_POINT_COUNT;
        assert_true(sp_point_find(sp_point_id((sp_point_name)i), &name));
        assert_int_equal(name, i);
    }
}

static void an_unknown_id_is_not_found(void **state) {
    (void)state;
    sp_point_name name = SP_POINT_BALL;
    assert_false(sp_point_find("right_Elbow", &name));
    assert_false(sp_point_find("", &name));
    assert_int_equal(name, SP_POINT_BALL);
}

/* The seventeen keypoints in their published order: Lin et al. 2014, "Microsoft COCO: Common
 * Objects in Context", annotations of people, from memory. */
static void the_first_seventeen_are_the_coco_keypoints(void **state) {
    (void)state;
    static const char *const coco[] = {
        "nose",           "left_eye",   "right_eye",   "left_ear",   "right_ear",   "left_shoulder",
        "right_shoulder", "left_elbow", "right_elbow", "left_wrist", "right_wrist", "left_hip",
        "right_hip",      "left_knee",  "right_knee",  "left_ankle", "right_ankle"};
    for (unsigned i = 0; i < 17; i++) assert_string_equal(sp_point_id((sp_point_name)i), coco[i]);
}

static void every_point_says_what_it_is_and_where_to_tap(void **state) {
    (void)state;
    for (unsigned i = 0; i < SP_POINT_COUNT; i++) {
        assert_true(strlen(sp_point_title((sp_point_name)i)) >= 3);
        assert_null(strchr(sp_point_title((sp_point_name)i), '_'));
        assert_true(strlen(sp_point_hint((sp_point_name)i)) > 10);
        assert_true(strlen(sp_point_hint((sp_point_name)i)) < 100);
    }
}

static void a_left_hander_has_left_and_right_changed_over(void **state) {
    (void)state;
    for (unsigned i = 0; i < SP_POINT_COUNT; i++) {
        const sp_point_name right = (sp_point_name)i;
        const sp_point_name left = sp_point_for_hand(right, SP_HAND_LEFT);
        assert_int_equal(sp_point_for_hand(right, SP_HAND_RIGHT), right);
        assert_int_equal(sp_point_for_hand(left, SP_HAND_LEFT), right);
        const char *id = sp_point_id(right), *other = sp_point_id(left);
        if (strncmp(id, "right_", 6) == 0) {
            assert_memory_equal(other, "left_", 5);
            assert_string_equal(other + 5, id + 6);
        } else if (strncmp(id, "left_", 5) == 0) {
            assert_memory_equal(other, "right_", 6);
            assert_string_equal(other + 6, id + 5);
        } else {
            assert_string_equal(other, id);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_point_is_found_again_by_its_id),
        cmocka_unit_test(an_unknown_id_is_not_found),
        cmocka_unit_test(the_first_seventeen_are_the_coco_keypoints),
        cmocka_unit_test(every_point_says_what_it_is_and_where_to_tap),
        cmocka_unit_test(a_left_hander_has_left_and_right_changed_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
