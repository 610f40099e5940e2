/* `still`: one frame with the overlay, as a PNG. */
#include "serveplumb/still.h"

#include <limits.h>
#include <stdio.h>

#include "cli/commands.h"
#include "cli/units.h"
#include "serveplumb/review_clip.h"

static bool choose_frame(const cli_call *call, const sp_review *review, sp_still_options *options,
                         sp_error *error) {
    const char *moment = cli_value(call, "moment");
    if ((moment == NULL) == !cli_given(call, "frame"))
        return sp_fail(error, SP_ERROR_ARGUMENT, "name one frame: --moment drop, or --frame 168");
    if (moment == NULL) {
        long long frame = 0;
        if (!cli_integer(call, "frame", 0, INT_MAX, &frame, error)) return false;
        options->frame = (int)frame;
        return true;
    }
    options->moment = moment;
    options->frame = sp_review_moment_frame(review, moment);
    if (options->frame < 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "the review names no moment '%s'; name it in the window, or give --frame",
                       moment);
    return true;
}

static bool make(const cli_call *call, sp_review *review, sp_still_options *options,
                 sp_error *error) {
    if (!choose_frame(call, review, options, error)) return false;
    sp_clip *clip = sp_review_open_clip(review, call->operand, NULL, error);
    if (clip == NULL) return false;
    sp_readout *readout = sp_readout_new(review, sp_clip_frame_times(clip), NULL, error);
    const bool good = readout != NULL && sp_still_write(clip, review, readout, options,
                                                        cli_value(call, "output"), error);
    sp_readout_free(readout);
    sp_clip_close(clip);
    return good;
}

static int run_still(const cli_call *call) {
    sp_error error = {0};
    sp_still_options options = {0};
    if (cli_value(call, "output") == NULL) {
        sp_fail(&error, SP_ERROR_ARGUMENT, "say where the picture goes: -o drop.png");
        return cli_fail(&error);
    }
    if (!cli_units(call, &options.units, &error)) return cli_fail(&error);
    sp_review *review = sp_review_read(call->operand, &error);
    if (review == NULL) return cli_fail(&error);
    const bool good = make(call, review, &options, &error);
    sp_review_free(review);
    if (!good) return cli_fail(&error);
    printf("%s\n", cli_value(call, "output"));
    return cli_done();
}

const cli_command cli_still = {
    .name = "still",
    .operand = "REVIEW",
    .summary = "a picture of one moment with points, angles, plumb and gap",
    .options = {{"moment", 0, "NAME",
                 "release, trophy, drop, contact, bounce, finish, or your own"},
                {"frame", 0, "N", "a frame by its number instead"},
                {"output", 'o', "PNG", "where to write it"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_still,
};
