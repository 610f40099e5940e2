#include "window/session.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "serveplumb/history.h"
#include "serveplumb/review_clip.h"
#include "window/search.h"

#define REVIEW_END ".review.json"

const char *session_name(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

static bool ends_with(const char *text, const char *end) {
    const size_t length = strlen(text), tail = strlen(end);
    return length >= tail && strcmp(text + length - tail, end) == 0;
}

/* The last `.word` of a name is its extension; a name that only begins with a dot has none. */
static size_t stem_length(const char *path) {
    const char *name = session_name(path), *dot = strrchr(name, '.');
    return dot == NULL || dot == name ? strlen(path) : (size_t)(dot - path);
}

static bool join(char *to, size_t size, const char *start, size_t length, const char *end,
                 sp_error *error) {
    const int count = snprintf(to, size, "%.*s%s", (int)length, start, end);
    if (count >= 0 && (size_t)count < size) return true;
    return sp_fail(error, SP_ERROR_ARGUMENT,
                   "the path '%.200s...' is too long; move the clip to a folder nearer the top",
                   start);
}

static bool find_clip(session *s, const char *file, sp_error *error) {
    const size_t folder = (size_t)(session_name(s->review_path) - s->review_path);
    return join(s->clip_path, sizeof s->clip_path, s->review_path, file[0] == '/' ? 0 : folder,
                file, error);
}

static bool open_clip(session *s, const session_means *means, sp_error *error) {
    const sp_clip_options options = {
        .cache_bytes = (size_t)s->cache_mb << 20, .gives_up = means->gives_up, .whom = means->whom};
    s->stamp = sp_clip_stamp_of(s->clip_path);
    s->clip = sp_clip_open(s->clip_path, &options, error);
    if (s->clip == NULL) return false;
    s->unguarded = sp_clip_is_unguarded(s->clip);
    s->facts = sp_clip_get_facts(s->clip);
    s->times = (sp_frame_times){sp_clip_times(s->clip), s->facts->frames};
    return true;
}

/* As the coach has it for every new review. Read back from its text, so that it begins without
 * anything to undo. */
static bool prefer(session *s, const sp_preferences *p, sp_error *error) {
    sp_player player = *sp_review_get_player(s->review);
    player.hand = p->hand;
    if (!sp_review_set_player(s->review, &player, error) ||
        !sp_review_set_view(s->review, p->view, sp_view_net(p->view), error) ||
        !sp_review_set_points_sd(s->review, p->points_sd_px, error) ||
        !sp_review_set_today(s->review, error))
        return false;
    char *text = sp_review_detach_text(s->review, error);
    if (text == NULL) return false;
    sp_review *fresh = sp_review_parse(text, strlen(text), "new review", error);
    free(text);
    if (fresh == NULL) return false;
    sp_review_free(s->review);
    s->review = fresh;
    return true;
}

static bool new_review(session *s, const sp_preferences *preferences, sp_error *error) {
    sp_review_clip clip = {.frames = s->facts->frames,
                           .width = s->facts->width,
                           .height = s->facts->height,
                           .slowdown = 1};
    if (s->facts->capture_rate > 0 && s->facts->rate > 0) {
        /* Rates of phones are close to, but not at, the whole factor. */
        const double factor = round(s->facts->capture_rate / s->facts->rate);
        if (factor > 1) clip.slowdown = factor;
    }
    const char *name = session_name(s->clip_path);
    if (!sp_text_copy(clip.file, sizeof clip.file, name))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the name of '%s' is too long; shorten it", name);
    if (!sp_file_sha256(s->clip_path, clip.sha256, error)) return false;
    s->review = sp_review_new(&clip, error);
    return s->review != NULL && prefer(s, preferences, error);
}

/* Points of one clip on the pictures of another would be wrong numbers that look right. */
static bool check_belongs(session *s, sp_error *error) {
    const sp_review_clip *clip = sp_review_get_clip(s->review);
    const sp_clip_facts *facts = s->facts;
    if (clip->frames != facts->frames || clip->width != facts->width ||
        clip->height != facts->height)
        return sp_fail(
            error, SP_ERROR_MISMATCH,
            "'%s' belongs to a clip of %d frames of %d x %d, but '%s' has %d of %d x %d; "
            "put back the clip it was made on, or move the review away to begin anew",
            session_name(s->review_path), clip->frames, clip->width, clip->height,
            session_name(s->clip_path), facts->frames, facts->width, facts->height);
    char sha256[65];
    if (!sp_file_sha256(s->clip_path, sha256, error)) return false;
    if (strcmp(sha256, clip->sha256) != 0)
        snprintf(s->closed, sizeof s->closed,
                 "For looking only: '%.300s' is not the file this review was made on (its content "
                 "differs). Put back the first file to go on with the review.",
                 session_name(s->clip_path));
    return true;
}

static void folder_of(const char *path, char folder[PATH_MAX]) {
    const size_t length = (size_t)(session_name(path) - path);
    snprintf(folder, PATH_MAX, "%.*s", (int)length, length == 0 ? "" : path);
    if (length == 0) snprintf(folder, PATH_MAX, ".");
}

static bool open_review(session *s, const char *path, const session_means *means, sp_error *error) {
    if (!join(s->review_path, sizeof s->review_path, path, strlen(path), "", error)) return false;
    s->review = sp_review_read(path, error);
    if (s->review == NULL || !find_clip(s, sp_review_get_clip(s->review)->file, error))
        return false;
    char folder[PATH_MAX], found[PATH_MAX];
    folder_of(path, folder);
    if (access(s->clip_path, F_OK) != 0 &&
        search_clip(folder, sp_review_get_clip(s->review)->sha256, found)) {
        s->moved = true;
        snprintf(s->clip_path, sizeof s->clip_path, "%s", found);
    }
    return open_clip(s, means, error) && check_belongs(s, error);
}

/* The clip was given another name: its review has the old one. */
static bool left_review(session *s) {
    char folder[PATH_MAX], sha256[65];
    folder_of(s->clip_path, folder);
    return sp_file_sha256(s->clip_path, sha256, NULL) &&
           search_review(folder, sha256, s->review_path);
}

static bool open_both(session *s, const char *path, const session_means *means, sp_error *error) {
    if (ends_with(path, REVIEW_END)) return open_review(s, path, means, error);
    if (!join(s->clip_path, sizeof s->clip_path, path, strlen(path), "", error) ||
        !join(s->review_path, sizeof s->review_path, path, stem_length(path), REVIEW_END, error) ||
        !open_clip(s, means, error))
        return false;
    struct stat facts;
    if (stat(s->review_path, &facts) != 0) {
        char beside[PATH_MAX];
        memcpy(beside, s->review_path, sizeof beside);
        s->moved = left_review(s);
        if (!s->moved) {
            memcpy(s->review_path, beside, sizeof beside);
            return new_review(s, means->preferences, error);
        }
    }
    s->review = sp_review_read(s->review_path, error);
    return s->review != NULL && check_belongs(s, error);
}

bool session_open(session *s, const char *path, const session_means *means, sp_error *error) {
    session to = {.written = true, .stale = true, .cache_mb = means->preferences->cache_mb};
    if (!open_both(&to, path, means, error) || !session_refresh(&to, error)) {
        session_close(&to);
        return false;
    }
    to.frames = sp_frame_service_open(to.clip, means->service, error);
    if (to.frames == NULL) {
        to.clip = NULL; /* taken all the same */
        session_close(&to);
        return false;
    }
    to.who = access(to.review_path, F_OK) == 0;
    /* Where moments are named already, whoever named them has seen the clip move. */
    to.speed = sp_review_moment_count(to.review) > 0;
    session_close(s);
    *s = to;
    return true;
}

void session_leave(session *s) {
    if (s->readout == NULL || !s->written || s->closed[0] != '\0' || !session_refresh(s, NULL))
        return;
    sp_history_leave(s->review, s->review_path, &s->stamp, s->readout);
}

void session_close(session *s) {
    session_leave(s);
    sp_readout_free(s->readout);
    sp_review_free(s->review);
    if (s->frames != NULL)
        sp_frame_service_close(s->frames);
    else
        sp_clip_close(s->clip);
    *s = (session){0};
}

bool session_relink(session *s, sp_error *error) {
    if (!sp_review_move_clip(s->review, session_name(s->clip_path), error)) return false;
    s->moved = false;
    return session_store(s, error);
}

bool session_may_edit(const session *s, sp_error *error) {
    if (s->clip == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "no clip is open; drop one on the window");
    if (s->closed[0] != '\0') return sp_fail(error, SP_ERROR_MISMATCH, "%s", s->closed);
    return true;
}

bool session_store(session *s, sp_error *error) {
    s->stale = true;
    s->written = sp_review_write(s->review, s->review_path, error);
    return s->written;
}

bool session_refresh(session *s, sp_error *error) {
    if (!s->stale) return true;
    sp_readout *fresh = sp_readout_new(s->review, s->times, NULL, error);
    if (fresh == NULL) return false;
    sp_readout_free(s->readout);
    s->readout = fresh;
    s->stale = false;
    return true;
}

bool session_asks_speed(const session *s) {
    return s->facts->slow_motion_suspected && !s->speed &&
           sp_review_get_clip(s->review)->slowdown == 1;
}

double session_time_s(const session *s, int frame) {
    return s->times.seconds[frame] / sp_review_get_clip(s->review)->slowdown;
}

int session_frame_at(const session *s, double time_s) {
    const double clip_time = time_s * sp_review_get_clip(s->review)->slowdown;
    int low = 0, high = s->times.count - 1;
    while (low < high) {
        const int middle = low + (high - low + 1) / 2;
        if (s->times.seconds[middle] <= clip_time)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

bool session_still_path(const session *s, const char *word, char *path, size_t size) {
    size_t length = strlen(s->review_path);
    if (ends_with(s->review_path, REVIEW_END)) length -= strlen(REVIEW_END);
    const int count = snprintf(path, size, "%.*s-%s.png", (int)length, s->review_path, word);
    return count >= 0 && (size_t)count < size;
}
