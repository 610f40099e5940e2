/* Any bytes as points of another program, CSV and COCO keypoints: refused with one line, or taken,
 * and then the review can be written and read, and what it gives out is what it takes in. For
 * libFuzzer, and for replay.c. */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/marks_exchange.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In failing.c: whether an allocation was made to fail. */
bool failing_has_failed(void) __attribute__((weak));

enum { FRAMES = 40 };

static void require(bool holds, const char *what) {
    if (holds) return;
    fprintf(stderr, "marks_fuzz: does not hold: %s\n", what);
    abort();
}

static bool has_memory(void) { return failing_has_failed == NULL || !failing_has_failed(); }

static void require_message(const sp_error *error) {
    require(error->code != SP_ERROR_NONE, "a failure has a code");
    require(error->code != SP_ERROR_MEMORY || !has_memory(),
            "memory is said to be missing when it is");
    require(error->message[0] != '\0', "a failure has a message");
    for (const char *c = error->message; *c != '\0'; c++)
        require((unsigned char)*c >= 0x20, "a message is one line without control characters");
}

static sp_review *empty(void) {
    sp_review_clip clip = {
        .file = "a", .frames = FRAMES, .width = 640, .height = 480, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    return sp_review_new(&clip, NULL);
}

static size_t count_marks(const sp_review *review) {
    size_t count = 0;
    for (size_t i = 0; i < sp_review_marked_count(review); i++)
        for (int name = 0; name < SP_POINT_COUNT; name++)
            count += sp_review_mark(review, sp_review_marked_frame(review, i), (sp_point_name)name,
                                    NULL);
    return count;
}

typedef bool (*take_function)(sp_review *review, const char *text, size_t length, size_t *count,
                              sp_error *error);

static bool take_csv(sp_review *review, const char *text, size_t length, size_t *count,
                     sp_error *error) {
    return sp_marks_take_csv(review, text, length, "input", count, error);
}

static bool take_coco(sp_review *review, const char *text, size_t length, size_t *count,
                      sp_error *error) {
    return sp_marks_take_coco(review, text, length, "input", count, error);
}

static char *give_csv(const sp_review *review, sp_error *error) {
    double seconds[FRAMES];
    for (int i = 0; i < FRAMES; i++) seconds[i] = 0.033 * i;
    return sp_marks_detach_csv(review, (sp_frame_times){seconds, FRAMES}, error);
}

static char *written(const sp_review *review) {
    sp_error error = {0};
    char *text = sp_review_detach_text(review, &error);
    if (text == NULL) require_message(&error);
    return text;
}

static void check_written(const sp_review *review) {
    sp_error error = {0};
    char *text = written(review);
    if (text == NULL) return;
    sp_review *again = sp_review_parse(text, strlen(text), "written", &error);
    if (again == NULL) require_message(&error);
    require(again != NULL || !has_memory(), "a review with the points can be read");
    sp_review_free(again);
    free(text);
}

/* Given out, taken into an empty review and given out again, the text is the same. */
static void check_exchange(const sp_review *review, char *(*give)(const sp_review *, sp_error *),
                           take_function take) {
    sp_error error = {0};
    char *text = give(review, &error), *second = NULL;
    sp_review *other = text == NULL ? NULL : empty();
    size_t count = 0;
    if (other != NULL && take(other, text, strlen(text), &count, &error)) {
        require(count == count_marks(review), "as many points come in as went out");
        second = give(other, &error);
        require(second == NULL || strcmp(text, second) == 0, "what goes out comes back in");
    } else if (other != NULL) {
        require_message(&error);
    }
    require(second != NULL || !has_memory(), "what goes out can be taken in");
    sp_review_free(other);
    free(second);
    free(text);
}

static void try_text(take_function take, const char *text, size_t length) {
    sp_error error = {0};
    sp_review *review = empty();
    size_t count = 0;
    require(review != NULL || !has_memory(), "an empty review can be had");
    if (review == NULL) return;
    if (!take(review, text, length, &count, &error)) {
        require_message(&error);
    } else {
        require(count_marks(review) <= count, "no point is set that was not counted");
        check_written(review);
        check_exchange(review, give_csv, take_csv);
        check_exchange(review, sp_marks_detach_coco, take_coco);
    }
    sp_review_free(review);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    if (text == NULL) return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    try_text(take_csv, text, size);
    try_text(take_coco, text, size);
    free(text);
    return 0;
}
