#include "window/frames.h"

#include "base/text.h"
#include "window/actions.h"
#include "window/moments.h"
#include "window/state.h"

/* A hand that has not moved for so long rests: shorter than a person notices. */
#define REST_MS 80

void frames_reset(frames *f) {
    plate_forget(&f->plate);
    *f = (frames){.sent = -1, .tried = -1};
}

bool frames_ask(frames *f, const session *s, int number) {
    number = SDL_clamp(number, 0, s->times.count - 1);
    if (number == f->asked) return false;
    f->asked = number;
    f->asked_ms = SDL_GetTicks64();
    return true;
}

bool frames_are_settled(const frames *f) {
    return f->shown && !f->reduced && f->number == f->asked;
}

/* While nothing at all can be shown, what is under way is let come to its end: a hand that moves on
 * and on would else see nothing. Once it rests, what it rests on comes first. */
static void send(frames *f, const session *s) {
    if (f->sent == f->asked) return;
    if (f->waiting && SDL_GetTicks64() - f->asked_ms < REST_MS) return;
    sp_frame_service_request(s->frames, f->asked, 0);
    f->sent = f->asked;
    f->waiting = true;
}

/* The frame is in view from now on, with a picture or with the reason why there is none. */
static void take(frames *f, const session *s, SDL_Renderer *renderer, int n, const sp_frame *frame,
                 sp_error *error) {
    f->number = n;
    f->shown = true;
    f->waiting = false;
    f->failed[0] = '\0';
    f->damaged = frame != NULL && sp_frame_damaged(frame);
    f->reduced = frame != NULL && sp_frame_is_reduced(frame);
    f->ended = frame == NULL && error->code == SP_ERROR_DECODER;
    if (frame == NULL || !plate_take(&f->plate, renderer, s->facts, frame, error))
        sp_text_copy(f->failed, sizeof f->failed, error->message);
}

/* True when there is something to be shown of frame n that is not shown yet. */
static bool try(frames *f, const session *s, SDL_Renderer *renderer, int n) {
    sp_error error = {0};
    sp_frame *frame = sp_frame_service_get(s->frames, n, &error);
    if (frame == NULL && error.code == SP_ERROR_NONE) return false;
    const bool again =
        frame != NULL && f->shown && f->number == n && f->reduced && sp_frame_is_reduced(frame);
    if (!again) take(f, s, renderer, n, frame, &error);
    sp_frame_unref(frame);
    return !again;
}

bool frames_follow(frames *f, const session *s, SDL_Renderer *renderer) {
    if (frames_are_settled(f)) return false;
    send(f, s);
    const unsigned arrivals = sp_frame_service_arrivals(s->frames);
    if (f->tried == f->asked && f->arrivals == arrivals) return false;
    f->tried = f->asked;
    f->arrivals = arrivals;
    if (try(f, s, renderer, f->asked)) return true;
    const bool other = f->waiting && f->sent != f->asked;
    if (!other || !try(f, s, renderer, f->sent)) return false;
    send(f, s);
    return true;
}

bool frames_finish(frames *f, const session *s, SDL_Renderer *renderer) {
    if (s->frames == NULL || frames_are_settled(f)) return false;
    sp_error error = {0};
    sp_frame *frame = sp_frame_service_wait(s->frames, f->asked, &error);
    f->sent = f->asked;
    take(f, s, renderer, f->asked, frame, &error);
    sp_frame_unref(frame);
    return true;
}

/* --- of the window's clip --------------------------------------------------------------------- */

static bool shows_in_sheet(const window *w, int frame) {
    if (moment_on(w->session.review, frame) != NULL) return true;
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (sp_review_mark(w->session.review, frame, (sp_point_name)i, NULL)) return true;
    return false;
}

static void changed(window *w, int before) {
    const frames *f = &w->frames;
    window_touch(w, PART_PICTURE | PART_OVERLAY);
    if (f->damaged || (f->failed[0] != '\0' && !f->ended)) timeline_damaged(w, f->number);
    if (f->number == before) return;
    const bool listed = shows_in_sheet(w, before) || shows_in_sheet(w, f->number);
    if (!sp_review_mark(w->session.review, f->number, (sp_point_name)SDL_max(w->tool.selected, 0),
                        NULL))
        w->tool.selected = -1;
    w->tool.end = 0;
    const bool named = moment_on(w->session.review, before) != NULL ||
                       moment_on(w->session.review, f->number) != NULL;
    window_touch(w, PART_BAR | (named ? PART_STRIP : PART_HEAD));
    if (listed) window_touch_later(w, PART_SHEET);
}

void frames_go(window *w, int number) {
    frames *f = &w->frames;
    if (!window_is_open(w) || !frames_ask(f, &w->session, number)) return;
    timeline_reveal(w);
    w->timeline.at_rest = false;
    window_touch(w, PART_HEAD);
    if (w->session.frames != NULL) return;
    const int before = f->number; /* nobody to ask */
    f->number = f->asked;
    changed(w, before);
}

int frames_update(window *w) {
    frames *f = &w->frames;
    if (!window_is_open(w)) return -1;
    const int before = f->number;
    if (frames_follow(f, &w->session, w->renderer)) changed(w, before);
    return frames_are_settled(f) ? -1 : FRAMES_LOOK_MS;
}

void act_reopen(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w) || w->session.frames == NULL) return;
    sp_error error = {0};
    if (!sp_frame_service_reopen(w->session.frames, &error)) {
        message_problem(w, &error);
        return;
    }
    frames *f = &w->frames;
    f->shown = false;
    f->sent = f->tried = -1;
    message_say(w, "The clip is open again.");
    window_touch(w, PART_PICTURE | PART_OVERLAY);
}

void frames_settle(window *w) {
    if (!window_is_open(w)) return;
    const int before = w->frames.number;
    if (frames_finish(&w->frames, &w->session, w->renderer)) changed(w, before);
}

/* Half of what the service takes for rest. */
#define YIELD_MS 60

void frames_yield(window *w) {
    frames *f = &w->frames;
    const uint64_t now = SDL_GetTicks64();
    if (!window_is_open(w) || w->session.frames == NULL || now - f->yielded_ms < YIELD_MS) return;
    f->yielded_ms = now;
    /* The request that there is, anew: what is on its way is not disturbed by it. */
    if (!frames_are_settled(f)) return;
    sp_frame_service_request(w->session.frames, f->number, 0);
    f->sent = f->number;
}

void frames_do(window *w, action *act, int argument) {
    static action *const walks[] = {act_step,      act_ends, act_moment_step, act_go_frame,
                                    act_go_moment, act_play, act_speed};
    bool walking = false;
    for (size_t i = 0; i < sizeof walks / sizeof walks[0]; i++)
        if (act == walks[i]) walking = true;
    if (!walking) frames_settle(w);
    act(w, argument);
}

void frames_show(window *w, SDL_Rect area, const placement *p, bool squares) {
    if (w->frames.failed[0] == '\0')
        plate_show(&w->frames.plate, w->renderer, w->session.facts, area, p, squares);
}

bool frames_small(window *w, int side, sp_picture *picture) {
    const sp_clip_facts *facts = w->session.facts;
    const double zoom = (double)side / SDL_max(facts->width, facts->height);
    const int width = SDL_max(1, (int)(facts->width * zoom));
    const int height = SDL_max(1, (int)(facts->height * zoom));
    sp_frame *frame = sp_frame_service_wait(w->session.frames, w->frames.number, NULL);
    if (frame == NULL) return false;
    bool good = sp_picture_init(picture, width, height, NULL);
    if (good && !sp_frame_to_picture(frame, picture, NULL)) {
        sp_picture_clear(picture);
        good = false;
    }
    sp_frame_unref(frame);
    return good;
}

void frames_forget(window *w) {
    plate_forget(&w->frames.plate);
    w->frames.shown = false;
    w->frames.tried = -1;
}
