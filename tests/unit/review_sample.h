/* A whole review with members that we do not know at every level, and changes to it. The tests run
 * from the top folder of the project. */
#ifndef TESTS_REVIEW_SAMPLE_H
#define TESTS_REVIEW_SAMPLE_H

#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "serveplumb/review.h"

static inline char *file_text(const char *path) {
    char *text = NULL;
    size_t length;
    sp_error error = {0};
    if (!sp_file_read(path, (size_t)1 << 24, &text, &length, &error)) fail_msg("%s", error.message);
    return text;
}

static inline char *sample_text(void) { return file_text("tests/review/sample.review.json"); }

/* `text` with the first `from` replaced; frees `text`. */
static inline char *replaced(char *text, const char *from, const char *to) {
    char *at = strstr(text, from);
    if (at == NULL) fail_msg("the sample no longer holds %s", from);
    char *result = malloc(strlen(text) + strlen(to) + 1);
    assert_non_null(result);
    memcpy(result, text, (size_t)(at - text));
    strcpy(result + (at - text), to);
    strcat(result, at + strlen(from));
    free(text);
    return result;
}

static inline sp_review *parsed(const char *text) {
    sp_error error = {0};
    sp_review *review = sp_review_parse(text, strlen(text), "case.review.json", &error);
    if (review == NULL) fail_msg("%s", error.message);
    return review;
}

static inline char *text_of(const sp_review *review) {
    sp_error error = {0};
    char *text = sp_review_detach_text(review, &error);
    if (text == NULL) fail_msg("%s", error.message);
    return text;
}

#endif
