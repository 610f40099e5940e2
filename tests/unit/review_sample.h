/* A whole review with members that we do not know at every level, and changes to it. The tests run
 * from the top folder of the project. */
#ifndef TESTS_REVIEW_SAMPLE_H
#define TESTS_REVIEW_SAMPLE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/review.h"

static inline char *file_text(const char *path) {
    FILE *file = fopen(path, "rb");
    if (file == NULL) fail_msg("cannot open %s; run the tests from the top folder", path);
    fseek(file, 0, SEEK_END);
    const size_t length = (size_t)ftell(file);
    rewind(file);
    char *text = calloc(1, length + 1);
    assert_non_null(text);
    assert_int_equal(fread(text, 1, length, file), length);
    fclose(file);
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

static inline sp_review_clip some_clip(void) {
    return (sp_review_clip){.file = "serve.mp4",
                            .sha256 =
                                "b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c",
                            .frames = 317,
                            .width = 720,
                            .height = 1280,
                            .slowdown = 1};
}

static inline sp_review *some_review(void) {
    const sp_review_clip clip = some_clip();
    sp_error error = {0};
    sp_review *review = sp_review_new(&clip, &error);
    if (review == NULL) fail_msg("%s", error.message);
    return review;
}

#endif
