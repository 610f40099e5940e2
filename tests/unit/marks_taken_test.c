/* Points of other programs: what is taken, and what is refused rather than taken wrongly. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "marked_review.h"
#include "near.h"
#include "serveplumb/marks_exchange.h"

static sp_review *empty(void) {
    sp_review_clip clip = {.file = "a", .frames = 47, .width = 641, .height = 479, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    sp_review *review = sp_review_new(&clip, NULL);
    assert_non_null(review);
    return review;
}

static void assert_at(const sp_review *review, int frame, sp_point_name name, double x, double y) {
    sp_mark mark;
    assert_true(sp_review_mark(review, frame, name, &mark));
    assert_near(mark.at.x, x, 1e-12);
    assert_near(mark.at.y, y, 1e-12);
}

static void refuse(bool good, const sp_error *error, sp_error_code code, const char *phrase) {
    assert_false(good);
    assert_int_equal(error->code, code);
    if (strstr(error->message, phrase) != NULL) return;
    print_error("got '%s', expected '%s'\n", error->message, phrase);
    fail();
}

static void refuse_csv(const char *text, size_t length, const char *phrase) {
    sp_error error = {0};
    sp_review *review = empty();
    const bool good = sp_marks_take_csv(review, text, length, "points.csv", NULL, &error);
    refuse(good, &error, SP_ERROR_FORMAT, phrase);
    assert_int_equal(sp_review_marked_count(review), 0);
    sp_review_free(review);
}

static void a_number_too_long_to_be_read_whole_is_refused_and_not_cut(void **state) {
    (void)state;
    char text[200] = "frame,point,x_px,y_px\n7,ball,1.0";
    for (int i = 0; i < 70; i++) strcat(text, "0");
    strcat(text, "e2,5\n"); /* cut at 64 bytes it would be 1 */
    refuse_csv(text, strlen(text), "points.csv: row 2: a number or word is longer");
}

static void what_nobody_reads_may_be_as_long_as_it_likes(void **state) {
    (void)state;
    char text[400] = "note,frame,point,x_px,y_px\n\"";
    for (int i = 0; i < 200; i++) strcat(text, "n");
    strcat(text, "\",7,ball,131.0625,5.25\n");
    sp_review *review = empty();
    size_t count = 0;
    assert_true(sp_marks_take_csv(review, text, strlen(text), "points.csv", &count, NULL));
    assert_int_equal(count, 1);
    assert_at(review, 7, SP_POINT_BALL, 131.0625, 5.25);
    sp_review_free(review);
}

static void nothing_behind_a_zero_byte_is_lost_in_silence(void **state) {
    (void)state;
    static const char text[] = "frame,point,x_px,y_px\n7,ball,1.5,5.25\0\n8,ball,2.5,5.75\n";
    static const char wide[] = "f\0r\0a\0m\0e\0,\0p\0o\0i\0n\0t\0";
    refuse_csv(text, sizeof text - 1, "points.csv holds zero bytes; save it as CSV in UTF-8");
    refuse_csv(wide, sizeof wide - 1, "points.csv holds zero bytes; save it as CSV in UTF-8");
}

static void images_are_found_by_their_ids_in_any_order(void **state) {
    (void)state;
    static const char text[] =
        "{\"images\": [{\"id\": 31, \"frame\": 4}, {\"id\": 2.5, \"file_name\": \"f-000011.png\"},"
        " {\"id\": -7, \"frame\": 19}, {\"id\": 31, \"frame\": 5}, {\"frame\": 6}],"
        "\"annotations\": [{\"image_id\": -7, \"category_id\": 8, \"keypoints\": [1.25, 2, 2]},"
        " {\"image_id\": 2.5, \"category_id\": 1, \"keypoints\": [3.75, 4, 1]},"
        " {\"image_id\": 31, \"category_id\": 8, \"keypoints\": [5.5, 6.125, 2]}],"
        "\"categories\": [{\"id\": 8, \"keypoints\": [\"nose\"]},"
        " {\"id\": 1, \"keypoints\": [\"ball\"]}]}";
    sp_review *review = empty();
    size_t count = 0;
    assert_true(sp_marks_take_coco(review, text, strlen(text), "points.json", &count, NULL));
    assert_int_equal(count, 3);
    assert_at(review, 19, SP_POINT_NOSE, 1.25, 2);
    assert_at(review, 11, SP_POINT_BALL, 3.75, 4);
    assert_at(review, 4, SP_POINT_NOSE, 5.5, 6.125); /* of two with one id, the first */
    sp_review_free(review);
}

static void an_annotation_of_no_image_is_refused(void **state) {
    (void)state;
    static const char text[] =
        "{\"images\": [{\"id\": 31, \"frame\": 4}], \"annotations\": [{\"image_id\": 30,"
        " \"category_id\": 1, \"keypoints\": [1, 2, 2]}],"
        "\"categories\": [{\"id\": 1, \"keypoints\": [\"nose\"]}]}";
    sp_review *review = empty();
    sp_error error = {0};
    const bool good = sp_marks_take_coco(review, text, strlen(text), "points.json", NULL, &error);
    refuse(good, &error, SP_ERROR_FORMAT, "an annotation belongs to no frame of the clip");
    sp_review_free(review);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_too_long_to_be_read_whole_is_refused_and_not_cut),
        cmocka_unit_test(what_nobody_reads_may_be_as_long_as_it_likes),
        cmocka_unit_test(nothing_behind_a_zero_byte_is_lost_in_silence),
        cmocka_unit_test(images_are_found_by_their_ids_in_any_order),
        cmocka_unit_test(an_annotation_of_no_image_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
