#include "window/display.h"

#include <math.h>

#include "window/icon.h"

/* The least window in which nothing is cut off, units. */
#define LEAST_WIDTH 900
#define LEAST_HEIGHT 560

static bool fail(sp_error *error, const char *what) {
    return sp_fail(error, SP_ERROR_FILE,
                   "%s: %s; the window needs a display, the commands do not (serveplumb help)",
                   what, SDL_GetError());
}

/* As large as the screen lets it be; a window manager also maximizes it. */
static SDL_Window *make_window(void) {
    SDL_Rect room = {0, 0, 1280, 800};
    SDL_GetDisplayUsableBounds(0, &room);
    SDL_Window *handle =
        SDL_CreateWindow("Serveplumb", room.x, room.y, room.w, room.h,
                         SDL_WINDOW_RESIZABLE | SDL_WINDOW_ALLOW_HIGHDPI | SDL_WINDOW_MAXIMIZED);
    if (handle != NULL)
        SDL_SetWindowMinimumSize(handle, SDL_min(LEAST_WIDTH, room.w),
                                 SDL_min(LEAST_HEIGHT, room.h));
    return handle;
}

bool display_open(SDL_Window **handle, SDL_Renderer **renderer, SDL_Cursor *cursors[CURSOR_COUNT],
                  sp_error *error) {
    SDL_SetHint(SDL_HINT_APP_NAME, "Serveplumb");
    SDL_SetHint(SDL_HINT_TOUCH_MOUSE_EVENTS, "0");
    SDL_SetHint(SDL_HINT_MOUSE_TOUCH_EVENTS, "0");
    SDL_SetHint(SDL_HINT_MOUSE_FOCUS_CLICKTHROUGH, "1");
    SDL_SetHint(SDL_HINT_VIDEO_X11_NET_WM_BYPASS_COMPOSITOR, "0");
    SDL_SetHint(SDL_HINT_RENDER_BATCHING, "1");
    /* Where nothing draws but the processor, OpenGL in between would only copy once more. */
    SDL_SetHint(SDL_HINT_FRAMEBUFFER_ACCELERATION, "0");
    if (SDL_Init(SDL_INIT_VIDEO) != 0) return fail(error, "cannot reach a display");
    SDL_StopTextInput();
    SDL_EnableScreenSaver();
    SDL_EventState(SDL_DROPFILE, SDL_ENABLE);
    *handle = make_window();
    if (*handle == NULL) return fail(error, "cannot open a window");
    icon_set(*handle);
    *renderer = SDL_CreateRenderer(*handle, -1, SDL_RENDERER_PRESENTVSYNC);
    if (*renderer == NULL) *renderer = SDL_CreateRenderer(*handle, -1, SDL_RENDERER_SOFTWARE);
    if (*renderer == NULL) return fail(error, "cannot draw in the window");
    static const SDL_SystemCursor kinds[CURSOR_COUNT] = {
        SDL_SYSTEM_CURSOR_ARROW, SDL_SYSTEM_CURSOR_CROSSHAIR, SDL_SYSTEM_CURSOR_HAND,
        SDL_SYSTEM_CURSOR_SIZEALL};
    for (int i = 0; i < CURSOR_COUNT; i++) cursors[i] = SDL_CreateSystemCursor(kinds[i]);
    return true;
}

/* Where the window system scales, it says so by the size of the output. Where it does not (X11),
 * the display's own resolution tells, in steps of a half: 96 dots an inch is 1. */
double display_density(SDL_Window *handle, SDL_Renderer *renderer) {
    int width, height, output_width, output_height;
    SDL_GetWindowSize(handle, &width, &height);
    SDL_GetRendererOutputSize(renderer, &output_width, &output_height);
    if (width > 0 && output_width > width) return (double)output_width / width;
    float dpi = 96;
    const int display = SDL_GetWindowDisplayIndex(handle);
    if (display < 0 || SDL_GetDisplayDPI(display, NULL, &dpi, NULL) != 0) return 1;
    return fmax(1, fmin(3, floor((double)dpi / 96 * 2 + 0.01) / 2));
}
