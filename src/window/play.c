#include "window/play.h"

#include <math.h>

#include "window/state.h"

static const struct {
    double factor;
    const char *text;
} speeds[PLAY_SPEEDS] = {
    {1, "full speed"},    {0.5, "1/2 speed"},     {0.25, "1/4 speed"},
    {0.125, "1/8 speed"}, {0.0625, "1/16 speed"},
};

double play_factor(int speed) { return speeds[speed].factor; }

const char *play_speed_text(int speed) { return speeds[speed].text; }

int play_last(const window *w) {
    const int end = w->session.times.count - 1;
    return w->play.loop && w->play.last >= 0 ? SDL_min(w->play.last, end) : end;
}

static int first_frame(const window *w) { return w->play.loop ? w->play.first : 0; }

static void restart(window *w, int frame) {
    frames_go(w, frame);
    w->play.since = SDL_GetTicks64();
    w->play.from_s = session_time_s(&w->session, frame);
    audio_play(w, frame);
}

void play_start(window *w) {
    if (!window_is_open(w)) return;
    const int frame = w->frames.asked;
    const bool outside = frame >= play_last(w) || frame < first_frame(w);
    w->play.on = true;
    SDL_DisableScreenSaver();
    restart(w, outside ? first_frame(w) : frame);
    window_touch(w, PART_BAR | PART_OVERLAY | PART_LOUPE);
}

void play_stop(window *w) {
    if (!w->play.on) return;
    w->play.on = false;
    audio_stop(w);
    SDL_EnableScreenSaver();
    window_touch(w, PART_BAR | PART_OVERLAY | PART_SHEET | PART_LOUPE);
}

int play_update(window *w) {
    if (!w->play.on) return -1;
    audio_feed(w);
    const double factor = speeds[w->play.speed].factor;
    const double elapsed = (double)(SDL_GetTicks64() - w->play.since) / 1000 * factor;
    const int due = session_frame_at(&w->session, w->play.from_s + elapsed);
    const int last = play_last(w);
    if (due < last) {
        frames_go(w, due);
        const double next = session_time_s(&w->session, due + 1) - w->play.from_s;
        return SDL_max(1, (int)ceil((next - elapsed) / factor * 1000));
    }
    frames_go(w, last);
    if (!w->play.loop) {
        play_stop(w);
        return -1;
    }
    /* The last frame of the span stays for as long as the step before it. */
    const double step =
        last > 0 ? session_time_s(&w->session, last) - session_time_s(&w->session, last - 1) : 0.05;
    const double over = w->play.from_s + elapsed - session_time_s(&w->session, last);
    if (over < step) return SDL_max(1, (int)ceil((step - over) / factor * 1000));
    restart(w, first_frame(w));
    return 1;
}
