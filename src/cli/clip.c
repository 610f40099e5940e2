/* `clip`: the serve in slow motion with the overlay, held at its moments. */
#include <ctype.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "cli/coding.h"
#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/pair_clip.h"

/* A frame by its number, or a moment by its name. */
static bool choose_end(const cli_call *call, const char *option, const sp_review *review,
                       int *frame, sp_error *error) {
    const char *word = cli_value(call, option);
    if (word == NULL) return true;
    if (isdigit((unsigned char)word[0])) {
        long long number = 0;
        if (!cli_integer(call, option, 0, INT_MAX, &number, error)) return false;
        *frame = (int)number;
        return true;
    }
    *frame = sp_review_moment_frame(review, word);
    return *frame >= 0 || sp_fail(error, SP_ERROR_ARGUMENT,
                                  "'--%s %s': the review names no such moment; give one it names, "
                                  "or a frame by its number",
                                  option, word);
}

static bool choose(const cli_call *call, const cli_opened *o, sp_reel_options *options,
                   sp_error *error) {
    sp_reel_usual(o->clip, o->review, options);
    options->path = cli_given(call, "path") ? SP_PATH_SO_FAR : SP_PATH_NONE;
    if (!choose_end(call, "from", o->review, &options->first, error) ||
        !choose_end(call, "to", o->review, &options->last, error) ||
        !cli_number(call, "slow", 0.1, 200, &options->slow, error) ||
        !cli_number(call, "hold", 0, 60, &options->hold_s, error))
        return false;
    if (options->hold_s <= 0.0) options->hold_s = -1.0;
    return true;
}

static void tell_done(const cli_call *call, const cli_opened *o, const sp_reel_facts *facts) {
    printf("%s\n%d x %d, %d pictures in %.3f s, %s\n", cli_value(call, "output"), facts->width,
           facts->height, facts->pictures, facts->duration_s,
           facts->sound ? "with its sound" : "without sound");
    if (o != NULL && !facts->sound && sp_clip_get_facts(o->clip)->sound)
        printf("The sound is kept only where the clip runs at its own speed: --slow %g.\n",
               sp_review_get_clip(o->review)->slowdown);
}

static bool make(const cli_call *call, const cli_opened *o, const sp_reel_options *options,
                 sp_error *error) {
    sp_reel *reel = sp_reel_new(o->clip, o->review, o->readout, options, error);
    if (reel == NULL) return false;
    cli_how_far progress;
    cli_how_far_begin(&progress, "clip");
    const bool good =
        sp_reel_write(reel, cli_value(call, "output"), cli_how_far_tell, &progress, error);
    cli_how_far_end(&progress);
    if (good) tell_done(call, o, sp_reel_get_facts(reel));
    sp_reel_free(reel);
    return good;
}

/* Two reviews beside each other, locked at a moment. */
static bool make_pair(const cli_call *call, const cli_opened *one, const sp_reel_options *reel,
                      sp_error *error) {
    if (cli_given(call, "from") || cli_given(call, "to"))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "two reviews are shown around their moments; leave out --from and --to");
    const sp_clip_options cache = {.cache_bytes = SP_REEL_CACHE_BYTES};
    cli_opened other = {0};
    const char *lock = cli_value(call, "lock");
    const sp_pair_options options = {.moment = lock == NULL ? "contact" : lock,
                                     .slow = reel->slow,
                                     .hold_s = reel->hold_s,
                                     .units = reel->units,
                                     .path = reel->path,
                                     .coding = reel->coding};
    if (!cli_open(cli_value(call, "beside"), &cache, &other, error)) return false;
    const sp_panel panels[2] = {
        {.clip = one->clip, .review = one->review, .readout = one->readout, .whose = "first"},
        {.clip = other.clip, .review = other.review, .readout = other.readout, .whose = "second"}};
    sp_pair_clip *pair = sp_pair_clip_new(panels, &options, error);
    cli_how_far far;
    bool good = pair != NULL;
    if (good) {
        cli_how_far_begin(&far, "clip");
        good = sp_pair_clip_write(pair, cli_value(call, "output"), cli_how_far_tell, &far, error);
        cli_how_far_end(&far);
    }
    if (good) tell_done(call, NULL, sp_pair_clip_get_facts(pair));
    sp_pair_clip_free(pair);
    cli_close(&other);
    return good;
}

static int run_clip(const cli_call *call) {
    sp_error error = {0};
    sp_reel_options options = {0};
    cli_opened o = {0};
    char clip_path[PATH_MAX];
    const sp_clip_options cache = {.cache_bytes = SP_REEL_CACHE_BYTES};
    bool good = cli_coding(call, &options.coding, &error) &&
                cli_units(call, &options.units, &error) &&
                cli_open(call->operand, &cache, &o, &error) && choose(call, &o, &options, &error);
    if (good) {
        if (sp_review_clip_path(o.review, call->operand, clip_path, sizeof clip_path))
            options.clip_path = clip_path;
        good = cli_given(call, "beside") ? make_pair(call, &o, &options, &error)
                                         : make(call, &o, &options, &error);
    }
    cli_close(&o);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_clip = {
    .name = "clip",
    .operand = "REVIEW",
    .summary = "the serve in slow motion with the overlay, held at its moments",
    .options = {{"output", 'o', "FILE", "where to write it: .mp4 for phones, or .webm"},
                {"from", 0, "WHERE", "a frame or a moment (default: just before the first moment)"},
                {"to", 0, "WHERE", "a frame or a moment (default: just after the last)"},
                {"slow", 0, "FACTOR", "times slower than the serve was (default 8; 1: real speed)"},
                {"hold", 0, "SECONDS", "stand still on each moment (default 2; 0: never)"},
                {"beside", 0, "REVIEW", "a second serve beside it, locked in real time"},
                {"lock", 0, "MOMENT", "the moment that both are locked at (default contact)"},
                {"path", 0, NULL, "draw the way of the racquet's tip as it goes"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_clip,
};
