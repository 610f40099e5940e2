/* `new`: a review of a clip, ready for the window. */
#include <stdio.h>
#include <unistd.h>

#include "cli/commands.h"
#include "serveplumb/review_clip.h"

static bool read_player(const cli_call *call, sp_player *player, sp_error *error) {
    const char *hand = cli_value(call, "hand");
    if (hand != NULL && !sp_hand_find(hand, &player->hand))
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--hand %s': expected right or left", hand);
    const char *shoulder = cli_value(call, "shoulder");
    if (shoulder != NULL && !sp_shoulder_find(shoulder, &player->shoulder))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "'--shoulder %s': expected healthy, past_trouble, current_trouble or unknown",
            shoulder);
    return cli_number(call, "stature", 0.5, 2.6, &player->stature_m, error) &&
           cli_number(call, "racquet", 0.3, 0.74, &player->racquet_m, error);
}

static bool read_view(const cli_call *call, sp_view *view, sp_net *net, sp_error *error) {
    const char *word = cli_value(call, "view");
    if (word != NULL && !sp_view_find(word, view))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'--view %s': expected side, back, front or oblique", word);
    /* Until told: a player seen from behind serves away from the camera, from the front toward it.
     */
    if (*view == SP_VIEW_BACK) *net = SP_NET_AWAY;
    if (*view == SP_VIEW_FRONT) *net = SP_NET_TOWARD;
    const char *side = cli_value(call, "net");
    if (side != NULL && !sp_net_find(side, net))
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--net %s': expected right, left, away or toward",
                       side);
    return true;
}

static bool set_day(const cli_call *call, sp_review *review, sp_error *error) {
    const char *day = cli_value(call, "day");
    if (day == NULL) return sp_review_set_today(review, error);
    return sp_review_set_reviewed(review, day, NULL) ||
           sp_fail(error, SP_ERROR_ARGUMENT, "'--day %s': expected a date such as 2027-03-14", day);
}

static bool fill(const cli_call *call, sp_review *review, sp_error *error) {
    sp_player player = *sp_review_get_player(review);
    sp_view view = sp_review_get_view(review);
    sp_net net = sp_review_get_net(review);
    double slowdown = 1.0;
    return read_player(call, &player, error) && read_view(call, &view, &net, error) &&
           cli_number(call, "slowdown", 0.01, 100, &slowdown, error) &&
           sp_review_set_player(review, &player, error) &&
           sp_review_set_view(review, view, net, error) &&
           sp_review_set_slowdown(review, slowdown, error) && set_day(call, review, error);
}

static bool make(const cli_call *call, const char *path, sp_error *error) {
    sp_clip *clip = sp_clip_open(call->operand, NULL, error);
    if (clip == NULL) return false;
    sp_review_clip described;
    sp_review *review = NULL;
    const bool good = sp_review_clip_describe(clip, call->operand, path, &described, error) &&
                      (review = sp_review_new(&described, error)) != NULL &&
                      fill(call, review, error) && sp_review_write(review, path, error);
    sp_review_free(review);
    sp_clip_close(clip);
    return good;
}

static int run_new(const cli_call *call) {
    sp_error error = {0};
    char beside[4096];
    const char *path = cli_value(call, "output");
    if (path == NULL) {
        if (!sp_review_path_beside(call->operand, beside, sizeof beside)) {
            sp_fail(&error, SP_ERROR_LIMIT,
                    "the name of the clip is too long; name the review with -o");
            return cli_fail(&error);
        }
        path = beside;
    }
    if (access(path, F_OK) == 0) {
        sp_fail(&error, SP_ERROR_FILE,
                "'%s' is there already and is kept; choose another name with -o", path);
        return cli_fail(&error);
    }
    if (!make(call, path, &error)) return cli_fail(&error);
    printf("%s\n", path);
    return cli_done();
}

const cli_command cli_new = {
    .name = "new",
    .operand = "CLIP",
    .summary = "make a review of a clip",
    .options =
        {{"output", 'o', "REVIEW", "where to write it (default: beside the clip, .review.json)"},
         {"hand", 0, "HAND", "right (default) or left"},
         {"view", 0, "VIEW", "where the camera stands: side (default), back, front or oblique"},
         {"net", 0, "SIDE", "where the net lies in the picture: right, left, away or toward"},
         {"stature", 0, "METRES", "of the player"},
         {"racquet", 0, "METRES", "length of the racquet"},
         {"shoulder", 0, "HISTORY", "healthy, past_trouble, current_trouble or unknown (default)"},
         {"day", 0, "DATE", "of the review: today (default), or as 2027-03-14"},
         {"slowdown", 0, "FACTOR", "capture rate / clip rate: 8 for 240 shot, 30 stored"}},
    .run = run_new,
};
