#include "clip/tone.h"

#include <math.h>
#include <stdlib.h>

#include "clip/transfer.h"

/* 65 a side err by 4 levels of 8 bits at most, and by more than one in 0.02 % of all colours. */
enum { SIDE = 65, STEPS = SIDE - 1, ACROSS = SIDE * SIDE + SIDE + 1 };

/* Light relative to white, which is smooth in the signals where sRGB is steep, near black: four
 * entries weighted by 65536ths sum within 32 bits up to twice white. */
enum { WHITE = 16384 };

typedef struct {
    int16_t light[3], unused;
} entry;

struct sp_tone {
    sp_tone_kind kind;
    entry cube[SIDE * SIDE * SIDE];
    uint8_t srgb[WHITE + 1];
};

/* --- which --- */

static sp_gamut gamut_of(const AVFrame *picture, sp_range range) {
    switch (picture->color_primaries) {
    case AVCOL_PRI_BT2020: return SP_GAMUT_BT2020;
    case AVCOL_PRI_SMPTE432: return SP_GAMUT_P3;
    case AVCOL_PRI_UNSPECIFIED: /* BT.2100 knows no other for high range */
        return range == SP_RANGE_STANDARD ? SP_GAMUT_BT709 : SP_GAMUT_BT2020;
    default: return SP_GAMUT_BT709;
    }
}

sp_tone_kind sp_tone_kind_of(const AVFrame *picture) {
    const sp_range range = picture->color_trc == AVCOL_TRC_ARIB_STD_B67 ? SP_RANGE_HLG
                           : picture->color_trc == AVCOL_TRC_SMPTE2084  ? SP_RANGE_PQ
                                                                        : SP_RANGE_STANDARD;
    return (sp_tone_kind){range, gamut_of(picture, range)};
}

bool sp_tone_is_plain(sp_tone_kind kind) {
    return kind.range == SP_RANGE_STANDARD && kind.gamut == SP_GAMUT_BT709;
}

/* --- by formula --- */

typedef struct {
    sp_range range;
    double matrix[3][3];
} map;

static map map_of(sp_tone_kind kind) {
    static const sp_primaries *const gamuts[] = {[SP_GAMUT_BT709] = &sp_primaries_bt709,
                                                 [SP_GAMUT_BT2020] = &sp_primaries_bt2020,
                                                 [SP_GAMUT_P3] = &sp_primaries_p3};
    map made = {.range = kind.range};
    sp_primaries_matrix(gamuts[kind.gamut], &sp_primaries_bt709, made.matrix);
    return made;
}

/* A component by itself: light of the scene (HLG), cd/m2 (PQ), or relative to white. */
static double component(sp_range range, double signal) {
    switch (range) {
    case SP_RANGE_HLG: return sp_hlg_to_scene(signal);
    case SP_RANGE_PQ: return sp_pq_to_light(signal);
    default: return sp_srgb_to_light(signal);
    }
}

/* From such components to light relative to the display's white, in the picture's primaries. All
 * three are scaled by one factor, so that bright colours keep their hue. */
static void to_white(sp_range range, const double components[3], double light[3]) {
    for (int i = 0; i < 3; i++) light[i] = components[i];
    if (range == SP_RANGE_STANDARD) return;
    if (range == SP_RANGE_HLG) sp_hlg_to_display(components, light);
    const double most = fmax(light[0], fmax(light[1], light[2]));
    const double gain = most > 0 ? sp_tone_bend(most) / most / SP_TONE_WHITE_CD_M2 : 0;
    for (int i = 0; i < 3; i++) light[i] *= gain;
}

/* Light relative to the display's white, in its own primaries; outside of them below 0, above 1. */
static void to_light(const map *m, const double components[3], double light[3]) {
    double own[3];
    to_white(m->range, components, own);
    for (int r = 0; r < 3; r++) {
        light[r] = 0;
        for (int c = 0; c < 3; c++) light[r] += m->matrix[r][c] * own[c];
    }
}

void sp_tone_exactly(sp_tone_kind kind, const double signal[3], double srgb[3]) {
    const map m = map_of(kind);
    double components[3], light[3];
    for (int i = 0; i < 3; i++) components[i] = component(kind.range, signal[i]);
    to_light(&m, components, light);
    for (int i = 0; i < 3; i++) srgb[i] = sp_srgb_from_light(fmin(fmax(light[i], 0), 1));
}

/* --- by table --- */

static void fill(sp_tone *tone) {
    const map m = map_of(tone->kind);
    double components[SIDE];
    for (int i = 0; i < SIDE; i++) components[i] = component(m.range, (double)i / STEPS);
    for (int i = 0; i < SIDE * SIDE * SIDE; i++) {
        const double at[3] = {components[i / (SIDE * SIDE)], components[i / SIDE % SIDE],
                              components[i % SIDE]};
        double light[3];
        to_light(&m, at, light);
        for (int k = 0; k < 3; k++) tone->cube[i].light[k] = (int16_t)lround(light[k] * WHITE);
    }
    for (int i = 0; i <= WHITE; i++)
        tone->srgb[i] = (uint8_t)lround(255 * sp_srgb_from_light((double)i / WHITE));
}

sp_tone *sp_tone_new(sp_tone_kind kind) {
    sp_tone *tone = malloc(sizeof *tone);
    if (tone == NULL) return NULL;
    tone->kind = kind;
    fill(tone);
    return tone;
}

void sp_tone_free(sp_tone *tone) { free(tone); }

sp_tone_kind sp_tone_get_kind(const sp_tone *tone) { return tone->kind; }

/* A place along one side: the lower of two entries, and 65536ths of the way to the upper. */
typedef struct {
    int32_t index, part;
} place;

/* `factor` brings the scaler's white to 65536, which is the last entry exactly. */
static inline place place_of(uint16_t value, uint64_t factor) {
    const int32_t whole = (int32_t)((value * factor + 32768) >> 16);
    const int32_t at = (whole < 65536 ? whole : 65536) * STEPS;
    const int32_t index = (at - 1) >> 16; /* -1 at 0 */
    const int32_t from = index < 0 ? 0 : index;
    return (place){from, at - from * 65536};
}

/* What lies outside of the display's primaries is cut to their edge. */
static inline uint32_t to_byte(const sp_tone *tone, int32_t sum) {
    if (sum < 0) return 0;
    const int32_t at = sum >> 16;
    return tone->srgb[at < WHITE ? at : WHITE];
}

/* From corner to corner of the small cube along the edges in the order of the parts, greatest
 * first: the tetrahedron that the colour lies in. An edge is its part above its step, so that
 * sorting takes no branches. */
static inline void order(uint64_t *a, uint64_t *b) {
    const uint64_t most = *a > *b ? *a : *b, least = *a > *b ? *b : *a;
    *a = most;
    *b = least;
}

static inline uint64_t edge(place at, uint32_t step) { return (uint64_t)at.part << 32 | step; }

static inline uint32_t look_up(const sp_tone *tone, const uint16_t *rgb, uint64_t factor) {
    const place r = place_of(rgb[0], factor), g = place_of(rgb[1], factor);
    const place b = place_of(rgb[2], factor);
    uint64_t e0 = edge(r, SIDE * SIDE), e1 = edge(g, SIDE), e2 = edge(b, 1);
    order(&e0, &e1);
    order(&e1, &e2);
    order(&e0, &e1);
    const int32_t p0 = (int32_t)(e0 >> 32), p1 = (int32_t)(e1 >> 32), p2 = (int32_t)(e2 >> 32);
    const entry *low = &tone->cube[(r.index * SIDE + g.index) * SIDE + b.index];
    const entry *second = low + (uint32_t)e0, *third = second + (uint32_t)e1;
    const entry *high = low + ACROSS;
    uint32_t pixel = 0xFF;
    for (int k = 0; k < 3; k++) {
        const int32_t sum = (65536 - p0) * low->light[k] + (p0 - p1) * second->light[k] +
                            (p1 - p2) * third->light[k] + p2 * high->light[k];
        pixel = pixel << 8 | to_byte(tone, sum + 32768); /* the half, to round */
    }
    return pixel;
}

void sp_tone_row(const sp_tone *tone, const uint16_t *from, int white, uint32_t *to, int width) {
    const uint64_t factor = (((uint64_t)1 << 32) + (uint64_t)white / 2) / (uint64_t)white;
    for (int x = 0; x < width; x++) to[x] = look_up(tone, from + (ptrdiff_t)x * 3, factor);
}
