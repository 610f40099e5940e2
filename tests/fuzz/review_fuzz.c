/* Any bytes as a review: refused with a message, or accepted, and then what is written reads back
 * equal, and edits that are undone leave the text as it was. For libFuzzer, and for replay.c. */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/review.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In failing.c: whether an allocation was made to fail. */
bool failing_has_failed(void) __attribute__((weak));

static void require(bool holds, const char *what) {
    if (holds) return;
    fprintf(stderr, "review_fuzz: does not hold: %s\n", what);
    abort();
}

static bool has_memory(void) { return failing_has_failed == NULL || !failing_has_failed(); }

/* Without memory everything may be refused, but it must say so. */
static void require_message(const sp_error *error) {
    require(error->code != SP_ERROR_NONE, "a failure has a code");
    require(error->code != SP_ERROR_MEMORY || !has_memory(),
            "memory is said to be missing when it is");
    require(error->message[0] != '\0', "a failure has a message");
    require(strlen(error->message) < sizeof error->message, "a message ends");
    for (const char *c = error->message; *c != '\0'; c++)
        require((unsigned char)*c >= 0x20, "a message is one line without control characters");
}

static sp_review *parse(const char *text, size_t length) {
    sp_error error = {0};
    sp_review *review = sp_review_parse(text, length, "input", &error);
    if (review == NULL) require_message(&error);
    return review;
}

static char *text_of(const sp_review *review) {
    sp_error error = {0};
    char *text = sp_review_detach_text(review, &error);
    if (text == NULL) require_message(&error);
    return text;
}

static void check_reads_back(const char *text) {
    sp_error error = {0};
    sp_review *again = sp_review_parse(text, strlen(text), "written", &error);
    if (again == NULL) require_message(&error);
    require(again != NULL || error.code == SP_ERROR_MEMORY, "what was written can be read");
    if (again == NULL) return;
    char *second = text_of(again);
    require(second == NULL || strcmp(text, second) == 0, "what was written reads back equal");
    free(second);
    sp_review_free(again);
}

static void edit_lists(sp_review *review, uint32_t bits) {
    const sp_scale_entry line = {
        .a = {0.25, 0.5}, .b = {0.75, bits % 7 / 8.0}, .distance_m = 1 + bits % 9};
    sp_error error = {0};
    const char *id = sp_review_scale_count(review) > 0 && bits % 2 == 0
                         ? sp_review_scale_at(review, 0)->id
                         : "fuzz";
    char copy[SP_REVIEW_ID_MAX];
    memcpy(copy, id, strlen(id) + 1);
    if (!sp_review_set_scale(review, copy, bits % 3 == 0 ? NULL : &line, &error))
        require_message(&error);
    error = (sp_error){0};
    if (!sp_review_set_moment(review, "drop", (int)(bits % 5) - 1, &error)) require_message(&error);
    error = (sp_error){0};
    if (!sp_review_set_note(review, (int)(bits % 3) - 1, bits % 4 == 0 ? NULL : "fuzz", &error))
        require_message(&error);
}

static void edit_checked(sp_review *review, uint32_t bits) {
    char text[] = "fuzz";
    const sp_judgement judgement = {.verdict = (sp_verdict)(bits % 3), .frame = -1, .text = text};
    const sp_finding_entry entry = {.order = bits % 4, .seen = "met"};
    const char *check = sp_review_judgement_count(review) > 0 && bits % 2 == 0
                            ? sp_review_judgement_at(review, 0)->check
                            : "fuzz";
    char copy[SP_REVIEW_ID_MAX];
    memcpy(copy, check, strlen(check) + 1);
    sp_error error = {0};
    if (!sp_review_set_judgement(review, copy, bits % 5 == 0 ? NULL : &judgement, &error))
        require_message(&error);
    error = (sp_error){0};
    if (!sp_review_set_finding(review, copy, bits % 3 == 0 ? NULL : &entry, &error))
        require_message(&error);
}

static void edit(sp_review *review, uint32_t bits) {
    const sp_mark mark = {.at = {bits % 3, 0.1 * (bits % 11)}, .sd_px = bits % 5};
    const sp_plumb_entry plumb = {
        .method = (sp_plumb_method)(bits % 5), .angle_deg = 0.5, .a = {0, 0}, .b = {1, 1}};
    const sp_player player = {.name = "fuzz", .stature_m = 1.5};
    const size_t marked = sp_review_marked_count(review);
    const int frame = marked > 0 ? sp_review_marked_frame(review, bits % marked) : 0;
    const sp_point_name name = (sp_point_name)(bits / 64 % SP_POINT_COUNT);
    sp_error error = {0};
    if (!sp_review_set_mark(review, frame, name, bits % 4 == 0 ? NULL : &mark, &error))
        require_message(&error);
    error = (sp_error){0};
    if (!sp_review_set_plumb(review, &plumb, &error)) require_message(&error);
    error = (sp_error){0};
    if (!sp_review_set_player(review, &player, &error)) require_message(&error);
    edit_lists(review, bits / 7);
    edit_checked(review, bits / 11);
}

/* An undo that fails for want of memory is tried again. */
static void undo_all(sp_review *review) {
    for (int failures = 0; failures < 2;)
        if (sp_review_undo(review, NULL) == NULL) failures++;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    uint32_t bits = 2166136261u; /* FNV-1a: edits depend on every byte */
    for (size_t i = 0; i < size; i++) bits = (bits ^ data[i]) * 16777619u;
    sp_review *review = parse((const char *)data, size);
    if (review == NULL) return 0;
    char *text = text_of(review);
    if (text != NULL) {
        check_reads_back(text);
        for (int i = 0; i < 4; i++) edit(review, bits = bits * 1664525u + 1013904223u);
        char *edited = text_of(review);
        if (edited != NULL) check_reads_back(edited);
        undo_all(review);
        char *undone = text_of(review);
        require(undone == NULL || strcmp(text, undone) == 0, "undo gives the text that was there");
        free(edited);
        free(undone);
    }
    free(text);
    sp_review_free(review);
    return 0;
}
