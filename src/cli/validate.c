/* `validate`: is this a review that can be read whole? */
#include <stdio.h>

#include "cli/commands.h"
#include "serveplumb/review.h"

static int run_validate(const cli_call *call) {
    sp_error error = {0};
    sp_review *review = sp_review_read(call->operand, &error);
    if (review == NULL) return cli_fail(&error);
    printf("%s: a valid review: %zu moments, points on %zu frames, %zu scales\n", call->operand,
           sp_review_moment_count(review), sp_review_marked_count(review),
           sp_review_scale_count(review));
    sp_review_free(review);
    return cli_done();
}

const cli_command cli_validate = {.name = "validate",
                                  .operand = "REVIEW",
                                  .summary = "check a review file against the format",
                                  .run = run_validate};
