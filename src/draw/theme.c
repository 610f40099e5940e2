#include "serveplumb/theme.h"

#include <math.h>

#define RGB(hex)                                                                                   \
    {                                                                                              \
        .r = ((hex) >> 16 & 0xFF) / 255.0, .g = ((hex) >> 8 & 0xFF) / 255.0,                       \
        .b = ((hex)&0xFF) / 255.0, .a = 1.0                                                        \
    }

/* Okabe and Ito (2008). The three that melt into a court are given where they meet it least: blue
 * (hard courts) is not used for data, vermilion (clay) is the ball's, which is mostly in the air,
 * and green (grass) the scale's, whose bar has its own ground. The plumb has the brightest. Arm and
 * racquet meet at the hand: orange and purple differ for every reader. */
#define DATA_HUES                                                                                  \
    .hitting_arm = RGB(0xE69F00), .body = RGB(0x56B4E9), .racquet = RGB(0xCC79A7),                 \
    .ball = RGB(0xD55E00), .plumb = RGB(0xF0E442), .scale = RGB(0x009E73),                         \
    .label_ground = {0.04, 0.05, 0.06, 0.84}, .label_text = RGB(0xFFFFFF)

#define TYPE .text_px = 15.0, .small_px = 13.0, .title_px = 20.0

/* The room is a grey without hue, so that the colours of the clip are judged as they are. */
static const sp_theme dark = {.id = "dark",
                              .room = RGB(0x0E0F10),
                              .sheet = RGB(0x1A1C1F),
                              .raised = RGB(0x282C31),
                              .edge = RGB(0x3D434A),
                              .text = RGB(0xF1F3F5),
                              .faint = RGB(0xAEB6BF),
                              .accent = RGB(0x9DBDFF),
                              .on_accent = RGB(0x0B1730),
                              .done = RGB(0x6CCFA0),
                              .warn = RGB(0xFFB877),
                              DATA_HUES,
                              TYPE};

static const sp_theme light = {.id = "light",
                               .room = RGB(0xC8CBCE),
                               .sheet = RGB(0xF6F7F8),
                               .raised = RGB(0xFFFFFF),
                               .edge = RGB(0xBCC3CA),
                               .text = RGB(0x14181D),
                               .faint = RGB(0x4C5661),
                               .accent = RGB(0x0B5CAD),
                               .on_accent = RGB(0xFFFFFF),
                               .done = RGB(0x0A6B4B),
                               .warn = RGB(0x98430A),
                               DATA_HUES,
                               TYPE};

const sp_theme *sp_theme_dark(void) { return &dark; }
const sp_theme *sp_theme_light(void) { return &light; }

/* Relative luminance and contrast ratio: WCAG 2.1, definitions (from memory). */
static double linear(double channel) {
    return channel <= 0.03928 ? channel / 12.92 : pow((channel + 0.055) / 1.055, 2.4);
}

static double luminance(sp_color color) {
    return 0.2126 * linear(color.r) + 0.7152 * linear(color.g) + 0.0722 * linear(color.b);
}

double sp_color_contrast(sp_color a, sp_color b) {
    const double first = luminance(a), second = luminance(b);
    return (fmax(first, second) + 0.05) / (fmin(first, second) + 0.05);
}
