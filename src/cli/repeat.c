/* `repeat`: how well the same frames are tapped a second time. */
#include "serveplumb/repeat.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/commands.h"

static bool begin(const sp_review *review, const char *twin, sp_error *error) {
    if (access(twin, F_OK) == 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%s' is there already; tap in it, or move it away to begin anew", twin);
    sp_review *blank = sp_repeat_twin(review, error);
    const bool good = blank != NULL && sp_review_write(blank, twin, error);
    sp_review_free(blank);
    if (good)
        printf("%s: tap the same points on the same frames in it, without looking at the first; "
               "then: serveplumb repeat\n",
               twin);
    return good;
}

static void print_row(const char *title, const sp_repeat_error *error) {
    printf("  %-22s %5zu", title, error->pairs);
    if (error->freedom < 1) {
        printf("   one pair tells nothing\n");
        return;
    }
    printf("   %5.2f px (%.2f to %.2f)\n", error->typical_px.value, error->typical_px.low,
           error->typical_px.high);
}

static void print_people(const sp_review *review, const sp_repeat *repeat) {
    printf("  %-22s %5s   %s\n", "point", "pairs", "typical error of a tap, across and down alike");
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (repeat->points[i].pairs > 0)
            print_row(sp_point_title((sp_point_name)i), &repeat->points[i]);
    print_row("all points", &repeat->pooled);
    printf("the review reckons with %.2f px\n", sp_review_get_points_sd(review));
    if (repeat->doubt[0] != '\0') printf("%s\n", repeat->doubt);
}

static bool write_back(sp_review *review, const sp_repeat *repeat, const char *path,
                       sp_error *error) {
    if (repeat->doubt[0] != '\0') return sp_fail(error, SP_ERROR_ARGUMENT, "%s", repeat->doubt);
    const double px = repeat->pooled.typical_px.value;
    if (!sp_review_set_points_sd(review, px, error) || !sp_review_write(review, path, error))
        return false;
    fprintf(stderr, "%s reckons with %.2f px from now on\n", path, px);
    return true;
}

static bool tell(const cli_call *call, sp_review *review, const char *twin, sp_error *error) {
    if (access(twin, F_OK) != 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "there is no second tapping '%s'; --begin makes the file to tap it in",
                       twin);
    sp_review *second = sp_review_read(twin, error);
    sp_repeat repeat;
    bool good = second != NULL && sp_repeat_compare(review, second, &repeat, error);
    if (good && cli_given(call, "json")) {
        char *json = sp_repeat_detach_json(&repeat, call->operand, twin, error);
        good = json != NULL;
        if (good) puts(json);
        free(json);
    } else if (good) {
        print_people(review, &repeat);
    }
    if (good && cli_given(call, "write")) good = write_back(review, &repeat, call->operand, error);
    sp_review_free(second);
    return good;
}

static bool operands(const cli_call *call, char *twin, size_t size, sp_error *error) {
    if (call->operand_count > 2)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "two reviews at most: the first tapping and the "
                       "second");
    if (call->operand_count < 2) return sp_repeat_twin_path(call->operand, twin, size, error);
    snprintf(twin, size, "%s", call->operands[1]);
    return true;
}

static int run_repeat(const cli_call *call) {
    sp_error error = {0};
    char twin[4200];
    if (!operands(call, twin, sizeof twin, &error)) return cli_fail(&error);
    sp_review *review = sp_review_read(call->operand, &error);
    if (review == NULL) return cli_fail(&error);
    const bool good =
        cli_given(call, "begin") ? begin(review, twin, &error) : tell(call, review, twin, &error);
    sp_review_free(review);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_repeat = {
    .name = "repeat",
    .operand = "REVIEW",
    .operand_repeats = true,
    .summary = "how well the same frames are tapped again: REVIEW and a second, blind tapping",
    .options = {{"begin", 0, NULL, "write the file to tap in again: the moments, and no point"},
                {"write", 0, NULL, "let the review reckon with the typical error found"},
                {"json", 0, NULL, "as JSON, in pixels"}},
    .run = run_repeat,
};
