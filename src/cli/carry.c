/* `carry`: points followed along the clip between taps. */
#include <stdio.h>
#include <string.h>

#include "cli/commands.h"
#include "cli/how_far.h"
#include "cli/opened.h"
#include "serveplumb/review_carry.h"

typedef struct {
    const cli_call *call;
    cli_opened opened;
    sp_review_carry_options options;
} carrying;

static bool read_options(carrying *c, sp_error *error) {
    const char *id = cli_value(c->call, "point");
    const bool ball = cli_given(c->call, "ball");
    const int last = sp_review_get_clip(c->opened.review)->frames - 1;
    long long from = -1, to = -1;
    if (ball == (id != NULL))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "say what to carry: --point racquet_tip, or --ball");
    if (ball) id = sp_point_id(SP_POINT_BALL);
    if (!sp_point_find(id, &c->options.point))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%s' is no point; points are named as in the review, such as racquet_tip "
                       "or right_elbow",
                       id);
    if (!cli_integer(c->call, "from", 0, last, &from, error) ||
        !cli_integer(c->call, "to", 0, last, &to, error))
        return false;
    if (cli_given(c->call, "from") != cli_given(c->call, "to"))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "--from and --to go together: the first and the last frame");
    c->options.from = (int)from;
    c->options.to = (int)to;
    const sp_scale_reading scale = sp_readout_scale(c->opened.readout);
    c->options.m_per_px = scale.id[0] != '\0' ? scale.m_per_px.value : 0;
    if (!(c->options.m_per_px > 0)) c->options.m_per_px = 0;
    return true;
}

static bool take_off(carrying *c, sp_error *error) {
    size_t count = 0;
    const int last = sp_review_get_clip(c->opened.review)->frames - 1;
    const int from = c->options.from < 0 ? 0 : c->options.from;
    const int to = c->options.to < 0 ? last : c->options.to;
    if (!sp_review_drop_carried(c->opened.review, c->options.point, from, to, &count, error))
        return false;
    printf("%s: %zu carried points taken off\n", sp_point_title(c->options.point), count);
    return true;
}

/* Before the speed is read. */
static void tell_tap_missed(const carrying *c) {
    const sp_frame_times times = {sp_clip_times(c->opened.clip),
                                  sp_review_get_clip(c->opened.review)->frames};
    double gap_s;
    const int frame = c->options.point == SP_POINT_RACQUET_TIP
                          ? sp_tap_before_contact(c->opened.review, times, &gap_s)
                          : -1;
    if (frame >= 0)
        printf("for its speed at contact tap it on frame %d too: %.0f ms before contact are "
               "carried\n",
               frame, 1000 * gap_s);
}

static bool carry(carrying *c, sp_error *error) {
    sp_carry_task *task =
        sp_carry_task_new(c->opened.review, sp_clip_times(c->opened.clip), &c->options, error);
    if (task == NULL) return false;
    cli_how_far progress;
    sp_carry_summary sum = {.worst = -1};
    cli_how_far_begin(&progress, "carrying");
    bool good = sp_carry_task_run(task, c->opened.clip, cli_how_far_tell, &progress, error);
    cli_how_far_end(&progress);
    good = good && sp_carry_task_apply(task, c->opened.review, &sum, error);
    sp_carry_task_free(task);
    if (!good) return false;
    const char *title = sp_point_title(c->options.point);
    printf("%s: %d frames seen, %d bridged by its motion, %d lost\n", title, sum.seen, sum.bridged,
           sum.lost);
    if (sum.worst >= 0)
        printf("least sure on frame %d: \u00b1 %.1f px; a tap there helps most\n", sum.worst,
               1.96 * sum.worst_sd_px);
    tell_tap_missed(c);
    return true;
}

static int run_carry(const cli_call *call) {
    sp_error error = {0};
    carrying c = {.call = call, .options = {.from = -1, .to = -1}};
    const char *output = cli_value(call, "output");
    const bool good =
        (output == NULL || cli_beside(call->operand, output, &error)) &&
        cli_open(call->operand, NULL, &c.opened, &error) && read_options(&c, &error) &&
        (cli_given(call, "off") ? take_off(&c, &error) : carry(&c, &error)) &&
        sp_review_write(c.opened.review, output != NULL ? output : call->operand, &error);
    cli_close(&c.opened);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_carry = {
    .name = "carry",
    .operand = "REVIEW",
    .summary = "a tapped point followed along the frames between its taps, each with its deviation",
    .options = {{"point", 0, "POINT", "which one, as in the review: racquet_tip, right_elbow"},
                {"ball", 0, NULL, "the ball, in toss and flight"},
                {"from", 0, "FRAME", "the first frame (the point's first tap)"},
                {"to", 0, "FRAME", "the last frame (its last tap)"},
                {"off", 0, NULL, "take the carried points off again"},
                {"output", 'o', "REVIEW", "where to write it (the review itself)"}},
    .run = run_carry,
};
