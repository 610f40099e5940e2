#include "review/check.h"

#include <string.h>

#include "review/utf8.h"
#include "review/words.h"
#include "serveplumb/picture.h"

/* Written so that NAN is outside of every range. */
static bool check_range(double value, double low, double high, const char *member,
                        const sp_place *at, sp_error *error) {
    if (value >= low && value <= high) return true;
    return sp_fail_at(at, member, error, "expected a number from %g to %g, not %g", low, high,
                      value);
}

static bool check_positive(double value, double high, const char *member, const sp_place *at,
                           sp_error *error) {
    if (value > 0 && value <= high) return true;
    return sp_fail_at(at, member, error, "expected a number above 0, up to %g, not %g", high,
                      value);
}

static bool check_known(double value, double low, double high, const char *member,
                        const sp_place *at, sp_error *error) {
    if (value == 0 || (value >= low && value <= high)) return true;
    return sp_fail_at(at, member, error, "expected %g to %g metres, or 0 when not known, not %g",
                      low, high, value);
}

static bool check_whole(int value, int low, int high, const char *member, const sp_place *at,
                        sp_error *error) {
    if (value >= low && value <= high) return true;
    return sp_fail_at(at, member, error, "expected a whole number from %d to %d, not %d", low, high,
                      value);
}

/* `size` of the array that holds it; `least` 1: may not be empty. */
static bool check_line(const char *text, size_t size, size_t least, const char *member,
                       const sp_place *at, sp_error *error) {
    const size_t length = strnlen(text, size);
    if (length >= least && length < size && sp_utf8_is_plain(text, false)) return true;
    return sp_fail_at(at, member, error,
                      "expected one line of %zu to %zu bytes of UTF-8 without control characters",
                      least, size - 1);
}

static bool is_sha256(const char *text) {
    return strnlen(text, 65) == 64 && strspn(text, "0123456789abcdef") == 64;
}

bool sp_check_slowdown(double slowdown, const sp_place *at, sp_error *error) {
    return check_positive(slowdown, SP_REVIEW_SLOWDOWN_MAX, "slowdown", at, error);
}

bool sp_check_row_time(double row_time_s, const sp_place *at, sp_error *error) {
    return check_range(row_time_s, 0, SP_REVIEW_ROW_TIME_MAX, "row_time_s", at, error);
}

bool sp_check_exposure(double exposure_s, const sp_place *at, sp_error *error) {
    return check_range(exposure_s, 0, SP_REVIEW_EXPOSURE_MAX, "exposure_s", at, error);
}

bool sp_check_clip(const sp_review_clip *clip, const sp_place *at, sp_error *error) {
    if (!check_line(clip->file, sizeof clip->file, 1, "file", at, error)) return false;
    if (!is_sha256(clip->sha256))
        return sp_fail_at(at, "sha256", error, "expected 64 lower-case hexadecimal digits");
    if (clip->frames < 1)
        return sp_fail_at(at, "frames", error, "expected at least 1 frame, not %d", clip->frames);
    return check_whole(clip->width, 1, SP_PICTURE_SIDE_MAX, "width", at, error) &&
           check_whole(clip->height, 1, SP_PICTURE_SIDE_MAX, "height", at, error) &&
           sp_check_slowdown(clip->slowdown, at, error) &&
           sp_check_row_time(clip->row_time_s, at, error) &&
           sp_check_exposure(clip->exposure_s, at, error);
}

bool sp_check_player(const sp_player *player, const sp_place *at, sp_error *error) {
    return check_line(player->name, sizeof player->name, 0, "name", at, error) &&
           check_known(player->stature_m, 0.5, 2.6, "stature_m", at, error) &&
           check_known(player->racquet_m, 0.3, 0.74, "racquet_m", at, error);
}

bool sp_check_net(sp_view view, sp_net net, const sp_place *at, sp_error *error) {
    if (sp_net_suits_view(net, view)) return true;
    return sp_fail_at(at, "net", error, "expected %s in a %s view, not %s",
                      view == SP_VIEW_SIDE ? "right or left" : "away or toward", sp_view_id(view),
                      sp_net_id(net));
}

bool sp_check_points_sd(double sd_px, const sp_place *at, sp_error *error) {
    return check_positive(sd_px, SP_REVIEW_SD_MAX, "points_sd_px", at, error);
}

bool sp_check_frame(const sp_review_clip *clip, int frame, const sp_place *at, sp_error *error) {
    if (frame >= 0 && frame < clip->frames) return true;
    return sp_fail_at(at, "frame", error, "expected a frame of the clip, 0 to %d, not %d",
                      clip->frames - 1, frame);
}

static bool check_coordinate(double value, int side, size_t index, const sp_place *at,
                             sp_error *error) {
    if (value >= -side && value <= 2.0 * side) return true;
    const sp_place place = {.up = at, .index = index};
    return sp_fail_at(&place, NULL, error,
                      "expected a number from %d to %d, the picture and its own size around it, "
                      "not %g",
                      -side, 2 * side, value);
}

static bool check_point(const sp_review_clip *clip, sp_point point, const char *member,
                        const sp_place *at, sp_error *error) {
    const sp_place place = {.up = at, .name = member};
    return check_coordinate(point.x, clip->width, 0, &place, error) &&
           check_coordinate(point.y, clip->height, 1, &place, error);
}

static bool check_taps(const sp_review_clip *clip, int frame, sp_point a, sp_point b,
                       const sp_place *at, sp_error *error) {
    if (!sp_check_frame(clip, frame, at, error) || !check_point(clip, a, "a", at, error) ||
        !check_point(clip, b, "b", at, error))
        return false;
    if (a.x != b.x || a.y != b.y) return true;
    return sp_fail_at(at, "b", error, "expected another place than a");
}

bool sp_plumb_has_taps(sp_plumb_method method) {
    return method == SP_PLUMB_LEVEL || method == SP_PLUMB_HANG;
}

bool sp_check_plumb(const sp_review_clip *clip, const sp_plumb_entry *plumb, const sp_place *at,
                    sp_error *error) {
    if (!check_range(plumb->angle_deg, -180, 180, "angle_deg", at, error)) return false;
    if (!sp_plumb_has_taps(plumb->method)) return true;
    return check_taps(clip, plumb->frame, plumb->a, plumb->b, at, error);
}

static bool check_line_scale(const sp_review_clip *clip, const sp_scale_entry *entry,
                             const sp_place *at, sp_error *error) {
    return check_taps(clip, entry->frame, entry->a, entry->b, at, error) &&
           check_positive(entry->distance_m, SP_REVIEW_DISTANCE_MAX, "distance_m", at, error) &&
           check_line(entry->distance_name, sizeof entry->distance_name, 0, "distance_name", at,
                      error) &&
           check_range(entry->sd_px, 0, SP_REVIEW_SD_MAX, "sd_px", at, error);
}

static bool check_landmark(const sp_review_clip *clip, const sp_scale_entry *entry, size_t index,
                           const sp_place *up, sp_error *error) {
    const sp_place at = {.up = up, .index = index};
    const sp_landmark_tap *tap = &entry->landmarks[index];
    if (tap->landmark == NULL)
        return sp_fail_at(&at, "name", error, "expected the name of a landmark");
    for (size_t i = 0; i < index; i++)
        if (entry->landmarks[i].landmark == tap->landmark)
            return sp_fail_at(&at, "name", error, "expected a landmark that is not there already");
    return check_point(clip, tap->at, "at", &at, error) &&
           check_range(tap->sd_px, 0, SP_REVIEW_SD_MAX, "sd_px", &at, error);
}

static bool check_court_scale(const sp_review_clip *clip, const sp_scale_entry *entry,
                              const sp_place *at, sp_error *error) {
    const sp_place landmarks = {.up = at, .name = "landmarks"};
    if (entry->landmark_count > SP_SCALE_LANDMARKS_MAX)
        return sp_fail_at(at, "landmarks", error, "expected at most %d items",
                          SP_SCALE_LANDMARKS_MAX);
    for (size_t i = 0; i < entry->landmark_count; i++)
        if (!check_landmark(clip, entry, i, &landmarks, error)) return false;
    return sp_check_frame(clip, entry->frame, at, error) &&
           check_range(entry->sd_px, 0, SP_REVIEW_SD_MAX, "sd_px", at, error);
}

static bool check_toss_scale(const sp_review_clip *clip, const sp_scale_entry *entry,
                             const sp_place *at, sp_error *error) {
    if (entry->from_frame < 0 || entry->from_frame >= clip->frames)
        return sp_fail_at(at, "from_frame", error, "expected a frame of the clip, 0 to %d, not %d",
                          clip->frames - 1, entry->from_frame);
    if (entry->to_frame > entry->from_frame && entry->to_frame < clip->frames) return true;
    return sp_fail_at(at, "to_frame", error,
                      "expected a frame of the clip after from_frame, %d to %d, not %d",
                      entry->from_frame + 1, clip->frames - 1, entry->to_frame);
}

bool sp_check_scale(const sp_review_clip *clip, const sp_scale_entry *entry, const sp_place *at,
                    sp_error *error) {
    if (!check_line(entry->id, sizeof entry->id, 1, "id", at, error)) return false;
    switch (entry->method) {
    case SP_SCALE_LINE: return check_line_scale(clip, entry, at, error);
    case SP_SCALE_COURT: return check_court_scale(clip, entry, at, error);
    case SP_SCALE_TOSS: break;
    }
    return check_toss_scale(clip, entry, at, error);
}

bool sp_check_moment(const sp_review_clip *clip, const sp_moment *moment, const sp_place *at,
                     sp_error *error) {
    return check_line(moment->name, sizeof moment->name, 1, "name", at, error) &&
           sp_check_frame(clip, moment->frame, at, error);
}

bool sp_check_mark(const sp_review_clip *clip, const sp_mark *mark, const sp_place *at,
                   sp_error *error) {
    return check_point(clip, mark->at, "at", at, error) &&
           check_range(mark->sd_px, 0, SP_REVIEW_SD_MAX, "sd_px", at, error);
}

bool sp_check_note(const char *text, const sp_place *at, sp_error *error) {
    const size_t length = strlen(text);
    if (length >= 1 && length <= SP_REVIEW_NOTE_MAX && sp_utf8_is_plain(text, true)) return true;
    return sp_fail_at(at, "text", error,
                      "expected 1 to %zu bytes of UTF-8 without control characters other than "
                      "the ends of lines and tabs",
                      SP_REVIEW_NOTE_MAX);
}

bool sp_check_judgement(const sp_review_clip *clip, const sp_judgement *judgement,
                        const sp_place *at, sp_error *error) {
    return check_line(judgement->check, sizeof judgement->check, 1, "check", at, error) &&
           (judgement->frame == -1 || sp_check_frame(clip, judgement->frame, at, error)) &&
           (judgement->text == NULL || sp_check_note(judgement->text, at, error));
}

bool sp_check_finding(const sp_finding_entry *entry, const sp_place *at, sp_error *error) {
    return check_line(entry->check, sizeof entry->check, 1, "check", at, error) &&
           check_range(entry->order, 0, SP_REVIEW_ORDER_MAX, "order", at, error) &&
           check_line(entry->seen, sizeof entry->seen, 0, "seen", at, error) &&
           (entry->text == NULL || sp_check_note(entry->text, at, error));
}

bool sp_check_ink(const sp_review_clip *clip, const sp_ink *ink, const sp_place *at,
                  sp_error *error) {
    const int last = clip->frames - 1;
    if (!check_whole(ink->from_frame, 0, last, "from_frame", at, error) ||
        !check_whole(ink->to_frame, ink->from_frame, last, "to_frame", at, error))
        return false;
    const bool stroke = ink->kind == SP_INK_STROKE;
    if (stroke && (ink->count < 1 || ink->count > SP_INK_POINTS_MAX))
        return sp_fail_at(at, "points", error, "expected 1 to %zu points", SP_INK_POINTS_MAX);
    if (!stroke && ink->count != 2)
        return sp_fail_at(at, "points", error, "expected two points of the %s",
                          sp_ink_kind_id(ink->kind));
    const sp_place points = {.up = at, .name = "points"};
    for (size_t i = 0; i < ink->count; i++) {
        const sp_place place = {.up = &points, .index = i};
        if (!check_coordinate(ink->points[i].x, clip->width, 0, &place, error) ||
            !check_coordinate(ink->points[i].y, clip->height, 1, &place, error))
            return false;
    }
    return true;
}

static bool is_date(const char *date) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    for (int i = 0; i < 10; i++) {
        const bool dash = i == 4 || i == 7;
        if (dash ? date[i] != '-' : date[i] < '0' || date[i] > '9') return false;
    }
    if (date[10] != '\0') return false;
    const int year =
        (date[0] - '0') * 1000 + (date[1] - '0') * 100 + (date[2] - '0') * 10 + (date[3] - '0');
    const int month = (date[5] - '0') * 10 + (date[6] - '0');
    const int day = (date[8] - '0') * 10 + (date[9] - '0');
    if (month < 1 || month > 12 || day < 1) return false;
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return day <= days[month - 1] + (month == 2 && leap ? 1 : 0);
}

bool sp_check_date(const char *date, const sp_place *at, sp_error *error) {
    if (is_date(date)) return true;
    return sp_fail_at(at, "reviewed", error, "expected a date such as 2027-03-14");
}
