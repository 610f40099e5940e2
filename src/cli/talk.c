/* `talk`: the talk-through as a clip, or what it is made of. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "cli/coding.h"
#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/talk_clip.h"

static bool find_path(const cli_call *call, char path[PATH_MAX], sp_error *error) {
    const char *given = cli_value(call, "talk");
    const bool fits = given == NULL ? sp_talk_path_beside(call->operand, path, PATH_MAX)
                                    : sp_text_copy(path, PATH_MAX, given);
    return fits || sp_fail(error, SP_ERROR_LIMIT, "the path of the talk-through is too long");
}

/* Two times with a comma between them. */
static bool cut(const cli_call *call, sp_talk *talk, const char *path, sp_error *error) {
    const char *word = cli_value(call, "cut");
    if (word == NULL) return true;
    char *rest = NULL, *end = NULL;
    const double from = strtod(word, &rest);
    const double to = *rest == ',' ? strtod(rest + 1, &end) : 0.0;
    if (rest == word || end == NULL || end == rest + 1 || *end != '\0')
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'--cut %s': expected two times in seconds, such as 3.2,5", word);
    return sp_talk_cut(talk, from, to, error) && sp_talk_write(talk, path, error);
}

static void list(const sp_talk *talk, const char *path) {
    printf("%s: %.2f s\n", path, sp_talk_length_s(talk));
    double start = 0.0;
    for (size_t i = 0; i < sp_talk_piece_count(talk); i++) {
        const sp_talk_piece *piece = sp_talk_piece_at(talk, i);
        const sp_talk_take *take = sp_talk_take_at(talk, piece->take);
        printf("%8.2f s  take %zu from %.2f to %.2f s, %s\n", start, piece->take + 1, piece->from_s,
               piece->to_s, take->voice[0] == '\0' ? "without voice" : take->voice);
        start += piece->to_s - piece->from_s;
    }
}

static bool render(const cli_call *call, const cli_opened *o, const sp_talk *talk, const char *path,
                   const sp_talk_clip_options *options, sp_error *error) {
    sp_talk_clip *made =
        sp_talk_clip_new(o->clip, o->review, o->readout, talk, path, options, error);
    if (made == NULL) return false;
    cli_how_far far;
    cli_how_far_begin(&far, "talk-through");
    const bool good =
        sp_talk_clip_write(made, cli_value(call, "output"), cli_how_far_tell, &far, error);
    cli_how_far_end(&far);
    const sp_reel_facts *facts = sp_talk_clip_get_facts(made);
    if (good)
        printf("%s\n%d x %d, %d pictures in %.3f s, %s\n", cli_value(call, "output"), facts->width,
               facts->height, facts->pictures, facts->duration_s,
               !facts->sound                ? "without voice"
               : options->clip_path != NULL ? "with the clip's own sound"
                                            : "with the voice");
    sp_talk_clip_free(made);
    return good;
}

static bool make(const cli_call *call, const cli_opened *o, const sp_talk_clip_options *options,
                 sp_error *error) {
    char path[PATH_MAX], clip[PATH_MAX];
    sp_talk_clip_options with = *options;
    if (!find_path(call, path, error)) return false;
    if (cli_given(call, "clip-sound") &&
        sp_review_clip_path(o->review, call->operand, clip, sizeof clip))
        with.clip_path = clip;
    sp_talk *talk = sp_talk_read(path, sp_review_get_clip(o->review), error);
    bool good = talk != NULL && cut(call, talk, path, error);
    if (good && cli_given(call, "output"))
        good = render(call, o, talk, path, &with, error);
    else if (good)
        list(talk, path);
    sp_talk_free(talk);
    return good;
}

static int run_talk(const cli_call *call) {
    sp_error error = {0};
    sp_talk_clip_options options = {0};
    cli_opened o = {0};
    const sp_clip_options cache = {.cache_bytes = SP_REEL_CACHE_BYTES};
    const bool good = (!cli_given(call, "output") || cli_coding(call, &options.coding, &error)) &&
                      cli_units(call, &options.units, &error) &&
                      cli_open(call->operand, &cache, &o, &error) &&
                      make(call, &o, &options, &error);
    cli_close(&o);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_talk = {
    .name = "talk",
    .operand = "REVIEW",
    .summary = "the talk-through: the coach's voice over what they showed",
    .options = {{"output", 'o', "FILE",
                 "where to write it: .mp4 for phones, or .webm; without "
                 "it, lists the parts"},
                {"talk", 0, "FILE", "another than the one beside the review"},
                {"cut", 0, "FROM,TO", "first take this part out, in seconds; the takes stay"},
                {"clip-sound", 0, NULL, "with the clip's own sound, quieter, under the voice"},
                {"units", 0, "UNITS", "metric (default) or imperial"}},
    .run = run_talk,
};
