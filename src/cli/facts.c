/* `facts`: what the clip is, before anything is believed of it. */
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "cli/commands.h"
#include "serveplumb/clip.h"

static void tell_rate(const sp_clip_facts *facts) {
    printf("frames      %d in %.3f s", facts->frames, facts->duration_s);
    if (facts->frames > 1) printf(", %.3f frames/s on average", facts->rate);
    printf("\n");
    if (facts->variable_rate)
        printf(
            "            variable rate: a frame lasts %.1f to %.1f ms, the longest from frame %d\n",
            1000 * facts->step_min_s, 1000 * facts->step_max_s, facts->step_max_frame);
    if (facts->cut_short)
        printf("            the file ends early: it was not sent or copied whole\n");
    if (facts->times_guessed)
        printf("            timestamps were missing or doubled and had to be put in order\n");
    if (facts->capture_rate > 0)
        printf("shot at     %.3f frames/s, the clip says\n", facts->capture_rate);
    if (facts->slow_motion_suspected)
        printf("            slow motion suspected: set the slowdown in the review when the clip "
               "plays slower\n"
               "            than the serve was (240 shot, 30 stored: 8)\n");
}

static void tell_people(const char *path, const sp_clip_facts *facts) {
    printf("clip        %s\n", path);
    printf("container   %s\n", facts->container);
    printf("video       %s, %s, %d bit%s\n", facts->codec, facts->pixel_format, facts->bits,
           facts->interlaced ? ", interlaced (shown as whole frames)" : "");
    printf("picture     %d x %d upright", facts->width, facts->height);
    if (facts->width != facts->coded_width || facts->height != facts->coded_height)
        printf(", stored %d x %d", facts->coded_width, facts->coded_height);
    if (facts->rotation_deg != 0) printf(", turned %d degrees clockwise", facts->rotation_deg);
    if (facts->mirrored) printf(", mirrored");
    if (facts->aspect_num != facts->aspect_den)
        printf(", pixels %d:%d wide", facts->aspect_num, facts->aspect_den);
    printf("\ncolour      matrix %s, transfer %s, primaries %s, %s range\n", facts->matrix,
           facts->transfer, facts->primaries, facts->full_range ? "full" : "limited");
    tell_rate(facts);
    if (facts->sound) {
        printf("sound       %s, %d Hz, %d channel%s\n", facts->sound_codec, facts->sound_rate,
               facts->sound_channels, facts->sound_channels == 1 ? "" : "s");
    } else {
        printf("sound       none\n");
    }
}

static void add_string(sp_text *json, const char *name, const char *value) {
    sp_text_format(json, "  \"%s\": ", name);
    sp_text_append_json_string(json, value);
    sp_text_append(json, ",\n");
}

static void add_number(sp_text *json, const char *name, double value) {
    sp_text_format(json, "  \"%s\": %.17g,\n", name, value);
}

static void add_truth(sp_text *json, const char *name, bool value) {
    sp_text_format(json, "  \"%s\": %s,\n", name, value ? "true" : "false");
}

static void add_picture(sp_text *json, const sp_clip_facts *facts) {
    add_number(json, "width", facts->width);
    add_number(json, "height", facts->height);
    add_number(json, "coded_width", facts->coded_width);
    add_number(json, "coded_height", facts->coded_height);
    add_number(json, "rotation_deg", facts->rotation_deg);
    add_truth(json, "mirrored", facts->mirrored);
    sp_text_format(json, "  \"sample_aspect\": [%d, %d],\n", facts->aspect_num, facts->aspect_den);
    add_number(json, "bits", facts->bits);
    add_truth(json, "full_range", facts->full_range);
    add_string(json, "matrix", facts->matrix);
    add_string(json, "transfer", facts->transfer);
    add_string(json, "primaries", facts->primaries);
    add_truth(json, "interlaced", facts->interlaced);
}

static void add_times(sp_text *json, const sp_clip_facts *facts, const double *times) {
    add_number(json, "frames", facts->frames);
    add_number(json, "duration_s", facts->duration_s);
    add_number(json, "rate", facts->rate);
    add_truth(json, "variable_rate", facts->variable_rate);
    add_number(json, "step_min_s", facts->step_min_s);
    add_number(json, "step_max_s", facts->step_max_s);
    add_number(json, "step_max_frame", facts->step_max_frame);
    add_number(json, "capture_rate", facts->capture_rate);
    add_truth(json, "slow_motion_suspected", facts->slow_motion_suspected);
    add_truth(json, "times_guessed", facts->times_guessed);
    add_truth(json, "cut_short", facts->cut_short);
    sp_text_append(json, "  \"times_s\": [");
    for (int i = 0; i < facts->frames; i++)
        sp_text_format(json, "%s%.9g", i == 0 ? "" : ", ", times[i]);
    sp_text_append(json, "],\n");
}

static bool tell_json(const char *path, const sp_clip_facts *facts, const double *times) {
    sp_text json = {0};
    sp_text_append(&json, "{\n");
    add_string(&json, "file", path);
    add_string(&json, "container", facts->container);
    add_string(&json, "codec", facts->codec);
    add_string(&json, "pixel_format", facts->pixel_format);
    add_picture(&json, facts);
    add_times(&json, facts, times);
    if (facts->sound) {
        sp_text_append(&json, "  \"sound\": {\"codec\": ");
        sp_text_append_json_string(&json, facts->sound_codec);
        sp_text_format(&json, ", \"rate\": %d, \"channels\": %d}\n}", facts->sound_rate,
                       facts->sound_channels);
    } else {
        sp_text_append(&json, "  \"sound\": null\n}");
    }
    char *text = sp_text_detach(&json);
    if (text == NULL) return false;
    puts(text);
    free(text);
    return true;
}

static int run_facts(const cli_call *call) {
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(call->operand, NULL, &error);
    if (clip == NULL) return cli_fail(&error);
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    if (sp_clip_is_unguarded(clip))
        fprintf(stderr, "serveplumb: this system cannot shut clips in while they are decoded; open "
                        "none that a stranger sent\n");
    bool good = true;
    if (cli_given(call, "json")) {
        good = tell_json(call->operand, facts, sp_clip_times(clip)) ||
               sp_fail(&error, SP_ERROR_MEMORY, "no memory for the facts of '%s'", call->operand);
    } else {
        tell_people(call->operand, facts);
    }
    sp_clip_close(clip);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_facts = {
    .name = "facts",
    .operand = "CLIP",
    .summary = "what the clip is: size, rotation, frames, real times, slow motion",
    .options = {{"json", 0, NULL, "the same as JSON, with the time of each frame"}},
    .run = run_facts};
