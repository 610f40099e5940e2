#include "serveplumb/window.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

#include "window/actions.h"
#include "window/canvas.h"
#include "window/commands.h"
#include "window/demo_clip.h"
#include "window/display.h"
#include "window/opening.h"
#include "window/state.h"

void window_touch(window *w, unsigned parts) { w->stale |= parts; }

void window_touch_review(window *w) {
    window_touch(w, PART_OVERLAY | PART_SHEET | PART_BAR | PART_STRIP | PART_LOUPE);
}

/* Longer than a key that is held down takes to repeat. */
#define LATER_MS 50

void window_touch_later(window *w, unsigned parts) {
    w->later |= parts;
    w->later_ms = SDL_GetTicks64();
}

/* Milliseconds until what was put off is due; -1: nothing was. */
static int release_later(window *w) {
    if (w->later == 0) return -1;
    const uint64_t now = SDL_GetTicks64(), due = w->later_ms + LATER_MS;
    if (now < due) return (int)(due - now);
    window_touch(w, w->later);
    w->later = 0;
    return -1;
}

bool window_is_open(const window *w) { return w->session.clip != NULL; }

sp_point window_to_upright(const window *w, sp_point at) {
    return placement_to_upright(&w->placement, at);
}

void window_resize(window *w) {
    int width, height;
    SDL_GetRendererOutputSize(w->renderer, &width, &height);
    const sp_clip_facts *facts = w->session.facts;
    const double aspect = facts == NULL ? 0 : (double)facts->width / facts->height;
    const double density = display_density(w->handle, w->renderer) * w->text_factor;
    w->layout = layout_make(width, height, density, aspect);
    beside_lay(w);
    if (w->placement.fitted && facts != NULL)
        w->placement = placement_fit(w->layout.canvas, density, facts->width, facts->height);
    window_touch(w, PART_ALL);
}

/* Edits that are not on disk are only left behind on the second try. */
static bool may_leave(window *w) {
    if (!window_is_open(w) || w->session.written) return true;
    act_quit(w, 0);
    const bool leave = w->quit;
    w->quit = false;
    return leave;
}

static bool is_folder(const char *path) {
    struct stat facts;
    return stat(path, &facts) == 0 && S_ISDIR(facts.st_mode);
}

/* On the thread of a service, whose frame has come. */
static void wake(void *unused, int n) {
    (void)unused;
    (void)n;
    SDL_Event event = {.type = SDL_USEREVENT};
    SDL_PushEvent(&event);
}

const sp_frame_service_options window_service = {.arrived = wake};

bool window_open(window *w, const char *path) {
    sp_error error = {0};
    if (!may_leave(w)) return false;
    play_stop(w);
    talking_leave(w);
    if (is_folder(path)) {
        const bool listed = lists_show_folder(w, path, &error);
        if (!listed) message_problem(w, &error);
        return listed;
    }
    choices_keep_picture(w);
    carrying_stop(w);
    if (!opening_wait(w, &w->session, path, w->choices.now.cache_mb, &error)) {
        message_problem(w, &error);
        return false;
    }
    beside_close(w);
    w->session.checks = w->findings.checks;
    choices_remember(w);
    talking_find(w, NULL); /* a fault is told when it is asked for */
    frames_reset(&w->frames);
    timeline_reset(w);
    audio_begin(w);
    findings_refresh(w);
    court_refresh(w);
    w->findings.open[0] = '\0';
    pen_drop(w);
    w->tool = (tool){.selected = -1};
    w->play = (play){.speed = w->play.speed, .last = -1};
    w->sheet.focus_act = NULL;
    w->sheet.measure = -1;
    w->leaving = false;
    first_walk_end(w);
    w->placement.fitted = true;
    message_dismiss(w);
    if (w->session.unguarded)
        message_say(w, "This system cannot shut clips in while they are decoded: open none that "
                       "a stranger sent.");
    char title[300];
    snprintf(title, sizeof title, "%.255s \u2013 Serveplumb", session_name(w->session.clip_path));
    SDL_SetWindowTitle(w->handle, title);
    window_resize(w);
    w->pointer.cross = (sp_point){w->session.facts->width / 2.0, w->session.facts->height / 2.0};
    return true;
}

static void window_event(window *w, const SDL_WindowEvent *event) {
    switch (event->event) {
    case SDL_WINDOWEVENT_SIZE_CHANGED:
    case SDL_WINDOWEVENT_DISPLAY_CHANGED: window_resize(w); break;
    case SDL_WINDOWEVENT_EXPOSED: window_touch(w, PART_PICTURE); break;
    case SDL_WINDOWEVENT_LEAVE:
        w->pointer.inside = false;
        w->pointer.at = (sp_point){-1, -1};
        tip_follow(w);
        window_touch(w, PART_PICTURE | PART_OVERLAY);
        break;
    case SDL_WINDOWEVENT_FOCUS_LOST: w->space_down = false; break;
    default: break;
    }
}

static void each_pane(window *w, void (*todo)(pane *)) {
    pane *panes[] = {&w->overlay_pane, &w->bar_pane,     &w->timeline.pane, &w->loupe_pane,
                     &w->sheet.pane,   &w->message.pane, &w->card.pane,     &w->tip.pane};
    for (size_t i = 0; i < sizeof panes / sizeof panes[0]; i++) todo(panes[i]);
}

static void forget_textures(window *w) {
    frames_forget(w);
    beside_forget(w);
    each_pane(w, pane_forget);
    window_touch(w, PART_ALL);
}

static bool is_input(const SDL_Event *event) {
    return (event->type >= SDL_KEYDOWN && event->type <= SDL_MOUSEWHEEL) ||
           (event->type >= SDL_FINGERDOWN && event->type <= SDL_FINGERMOTION);
}

static void handle(window *w, const SDL_Event *event) {
    if (is_input(event)) frames_yield(w);
    if (pointer_event(w, event)) return;
    switch (event->type) {
    case SDL_KEYDOWN:
    case SDL_KEYUP:
        tip_hide(w);
        if (!card_key(w, &event->key)) command_key(w, &event->key);
        pointer_cursor(w);
        break;
    case SDL_USEREVENT:
        audio_update(w);
        past_update(w);
        carrying_update(w);
        break;
    case SDL_AUDIODEVICEREMOVED:
        if (event->adevice.iscapture != 0) talking_gone(w, event->adevice.which);
        break;
    case SDL_TEXTINPUT: card_typed(w, event->text.text); break;
    case SDL_DROPBEGIN: w->dropped = 0; break;
    case SDL_DROPFILE: /* of two that are dropped together, the second lies beside the first */
        if (w->dropped++ == 0)
            window_open(w, event->drop.file);
        else
            beside_open(w, event->drop.file);
        SDL_free(event->drop.file);
        break;
    case SDL_WINDOWEVENT: window_event(w, &event->window); break;
    case SDL_RENDER_TARGETS_RESET:
    case SDL_RENDER_DEVICE_RESET: forget_textures(w); break;
    case SDL_QUIT: act_quit(w, 0); break;
    default: break;
    }
}

/* Other places may lie under the pointer than before. */
static bool paint_tip(window *w, sp_error *error) {
    if ((w->stale & (PART_SHEET | PART_BAR)) != 0) tip_follow(w);
    return (w->stale & PART_TIP) == 0 || tip_paint(w, error);
}

static bool paint(window *w, sp_error *error) {
    const unsigned stale = w->stale;
    return ((stale & PART_OVERLAY) == 0 || canvas_paint(w, error)) &&
           ((stale & (PART_BESIDE | PART_BAR)) == 0 || beside_paint(w, error)) &&
           ((stale & (PART_STRIP | PART_HEAD)) == 0 || timeline_paint(w, error)) &&
           ((stale & PART_BAR) == 0 || bar_paint(w, error)) &&
           ((stale & PART_SHEET) == 0 || sheet_paint(w, error)) && paint_tip(w, error) &&
           ((stale & PART_CARD) == 0 || card_paint(w, error)) &&
           ((stale & PART_MESSAGE) == 0 || message_paint(w, error)) && loupe_paint(w, error);
}

static void show(window *w) {
    const sp_color room = w->theme->room;
    SDL_SetRenderDrawColor(w->renderer, (Uint8)lround(room.r * 255), (Uint8)lround(room.g * 255),
                           (Uint8)lround(room.b * 255), 255);
    SDL_RenderClear(w->renderer);
    canvas_show(w);
    beside_show_rest(w);
    pane_show(&w->bar_pane, w->renderer);
    pane_show(&w->timeline.pane, w->renderer);
    pane_show(&w->sheet.pane, w->renderer);
    loupe_show(w);
    pane_show(&w->message.pane, w->renderer);
    pane_show(&w->tip.pane, w->renderer);
    if (card_is_up(w)) {
        SDL_SetRenderDrawBlendMode(w->renderer, SDL_BLENDMODE_BLEND);
        SDL_SetRenderDrawColor(w->renderer, 0, 0, 0, 120);
        SDL_RenderFillRect(w->renderer, NULL);
        pane_show(&w->card.pane, w->renderer);
    }
    if (w->presenting != NULL) w->presenting();
    SDL_RenderPresent(w->renderer);
}

static int sooner(int a, int b) { return a < 0 ? b : b < 0 ? a : SDL_min(a, b); }

int window_refresh(window *w) {
    sp_error error = {0};
    const int wait = sooner(frames_update(w), beside_update(w));
    if (window_is_open(w) && w->session.stale) {
        timeline_follow(w);
        if (!session_refresh(&w->session, &error)) message_problem(w, &error);
        findings_refresh(w);
        court_refresh(w);
    }
    first_walk_follow(w);
    again_follow(w);
    if (w->stale == 0) return wait;
    if (!paint(w, &error)) fprintf(stderr, "serveplumb: %s\n", error.message);
    w->later &= ~w->stale;
    w->stale = 0;
    show(w);
    return wait;
}

/* The soonest of what asks to be looked at by the clock. */
static int due(window *w) {
    const int speaking = sooner(talking_update(w), sending_update(w));
    return sooner(sooner(play_update(w), speaking), sooner(message_update(w), tip_update(w)));
}

void window_step(window *w, int most_ms) {
    const int soon = sooner(due(w), most_ms);
    const int watch = sooner(timeline_watch(w), release_later(w));
    const int wait = sooner(sooner(window_refresh(w), watch), soon);
    SDL_Event event;
    if (SDL_WaitEventTimeout(&event, wait) == 0) return;
    do handle(w, &event);
    while (!w->quit && SDL_PollEvent(&event) != 0);
}

bool window_begin(window *w, sp_error *error) {
    choices_load(w);
    if (!demo_clip_find(w->first_walk.clip)) w->first_walk.clip[0] = '\0';
    findings_load(w);
    w->pen.hue = SP_HUE_PLUMB;
    w->play.last = -1;
    w->tool.selected = w->sheet.measure = -1;
    frames_reset(&w->frames);
    frames_reset(&w->beside.frames);
    if (!display_open(&w->handle, &w->renderer, w->cursors, error)) return false;
    window_resize(w);
    return true;
}

void window_end(window *w) {
    each_pane(w, pane_free);
    timeline_free(w);
    again_free(w);
    talking_close(w);
    sending_end(w);
    pen_free(w);
    if (w->renderer != NULL) choices_keep_picture(w);
    carrying_stop(w);
    audio_close(w);
    beside_end(w);
    past_end(w);
    frames_reset(&w->frames);
    session_close(&w->session);
    findings_free(w);
    choices_free(w);
    lists_free();
    browse_free();
    for (int i = 0; i < CURSOR_COUNT; i++) SDL_FreeCursor(w->cursors[i]);
    if (w->renderer != NULL) SDL_DestroyRenderer(w->renderer);
    if (w->handle != NULL) SDL_DestroyWindow(w->handle);
    SDL_Quit();
}

int sp_window_run(const char *path, const char *other) {
    window *w = calloc(1, sizeof *w);
    sp_error error = {0};
    if (w == NULL) return 1;
    int status = 1;
    if (!window_begin(w, &error)) {
        fprintf(stderr, "serveplumb: %s\n", error.message);
    } else {
        if (path != NULL && !window_open(w, path))
            fprintf(stderr, "serveplumb: %s\n", w->message.text);
        if (other != NULL && window_is_open(w) && !beside_open(w, other))
            fprintf(stderr, "serveplumb: %s\n", w->message.text);
        while (!w->quit) window_step(w, -1);
        status = path == NULL || is_folder(path) || window_is_open(w) ? 0 : 1;
    }
    window_end(w);
    free(w);
    return status;
}
