/* Where a sharp sound begins. A ball on strings is short and bright; wind, voices and traffic are
 * loud below 1 kHz, or rise slowly. */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "serveplumb/sound.h"

enum {
    HOP = SP_SOUND_RATE / 1000,
    RISE_HOPS = 3,    /* within these the level has to rise */
    GUARD_HOPS = 5,   /* before it, not background: coders smear a sound ahead of itself */
    GROUND_HOPS = 95, /* background, before the guard */
    APART_HOPS = 50,
    CHANNELS = 2,
};
static const double rise_min_db = 10;
/* Rustle of coders in digital silence is no background to rise over. */
static const double floor_db = -80;

/* --- the band above 1 kHz --- */

/* Butterworth high pass of order 2 by the bilinear transform (from memory: any text on digital
 * filters); it delays what is well above 1 kHz by less than a sample. */
typedef struct {
    double b, a1, a2;
} high_pass;

typedef struct {
    double x1, x2, y1, y2;
} memory;

static high_pass high_pass_at(double hertz) {
    const double k = tan(M_PI * hertz / SP_SOUND_RATE), norm = 1 + M_SQRT2 * k + k * k;
    return (high_pass){1 / norm, 2 * (k * k - 1) / norm, (1 - M_SQRT2 * k + k * k) / norm};
}

static double pass(const high_pass *filter, memory *m, double x) {
    const double y = filter->b * (x - 2 * m->x1 + m->x2) - filter->a1 * m->y1 - filter->a2 * m->y2;
    m->x2 = m->x1, m->x1 = x;
    m->y2 = m->y1, m->y1 = y;
    return y;
}

typedef struct {
    high_pass filter;
    memory memories[CHANNELS];
    float samples[HOP * CHANNELS];
    int channels;
} band;

static void pass_hop(band *b, double power[HOP]) {
    for (int i = 0; i < HOP; i++) {
        power[i] = 0;
        for (int c = 0; c < b->channels; c++) {
            const double y = pass(&b->filter, &b->memories[c], b->samples[i * b->channels + c]);
            power[i] += y * y / b->channels;
        }
    }
}

static band band_of(const sp_sound *sound) {
    return (band){.filter = high_pass_at(1000), .channels = sp_sound_get_facts(sound)->channels};
}

/* --- levels --- */

/* In dB of full scale, of each millisecond. */
static bool measure(sp_sound *sound, int64_t first, int hops, double *levels, sp_error *error) {
    band b = band_of(sound);
    for (int k = 0; k < hops; k++) {
        double power[HOP], sum = 0;
        if (!sp_sound_copy(sound, first + (int64_t)k * HOP, HOP, b.samples, error)) return false;
        pass_hop(&b, power);
        for (int i = 0; i < HOP; i++) sum += power[i];
        const double level = 10 * log10(sum / HOP + 1e-20);
        levels[k] = level > floor_db ? level : floor_db;
    }
    return true;
}

/* Of each hop, how far the level rises from there over the mean before. */
static void find_rises(const double *levels, int hops, double *rises) {
    double sum = 0;
    for (int k = 0; k < hops; k++) {
        const int newest = k - GUARD_HOPS - 1, gone = newest - GROUND_HOPS;
        if (newest >= 0) sum += levels[newest];
        if (gone >= 0) sum -= levels[gone];
        double level = levels[k];
        for (int i = k + 1; i < k + RISE_HOPS && i < hops; i++) level = fmax(level, levels[i]);
        rises[k] = newest >= GROUND_HOPS - 1 ? level - sum / GROUND_HOPS : 0;
    }
}

/* --- candidates --- */

/* The level's own steepest hop: the rise as such is flat over the hops that see the same peak. */
static bool is_highest(const double *rises, int hops, int k) {
    const int from = k > APART_HOPS ? k - APART_HOPS : 0;
    for (int i = from; i < hops && i <= k + APART_HOPS; i++)
        if (i < k ? rises[i] >= rises[k] : rises[i] > rises[k]) return false;
    return rises[k] >= rise_min_db;
}

/* The first sample that reaches 0.3 of the greatest height that follows within the rise. */
static bool refine(sp_sound *sound, int64_t at, double *time_s, sp_error *error) {
    enum { LEAD = 3, HOPS = LEAD + RISE_HOPS + 1, WARM = 5 };
    double power[HOPS * HOP] = {0};
    band b = band_of(sound);
    double top = 0;
    for (int k = -WARM; k < HOPS; k++) {
        double hop[HOP];
        if (!sp_sound_copy(sound, at + (int64_t)(k - LEAD) * HOP, HOP, b.samples, error))
            return false;
        pass_hop(&b, hop);
        for (int i = 0; k >= 0 && i < HOP; i++) {
            power[k * HOP + i] = hop[i];
            top = fmax(top, hop[i]);
        }
    }
    int first = 0;
    while (first < HOPS * HOP - 1 && power[first] < 0.09 * top) first++;
    first -= LEAD * HOP;
    *time_s = (double)(at + first) / SP_SOUND_RATE;
    return true;
}

static int compare_strength(const void *a, const void *b) {
    const sp_onset *one = a, *other = b;
    if (one->strength_db != other->strength_db)
        return one->strength_db > other->strength_db ? -1 : 1;
    return one->time_s < other->time_s ? -1 : one->time_s > other->time_s;
}

typedef struct {
    int64_t first;
    int hops;
    double *levels, *rises;
    sp_onset *found; /* by hop; no more than hops / APART_HOPS + 1 */
} search;

static size_t list(const search *s) {
    size_t count = 0;
    for (int k = 0; k < s->hops; k++)
        if (is_highest(s->rises, s->hops, k))
            s->found[count++] = (sp_onset){(double)(s->first + (int64_t)k * HOP), s->rises[k]};
    qsort(s->found, count, sizeof *s->found, compare_strength);
    return count;
}

static bool run(sp_sound *sound, const search *s, sp_onset *onsets, size_t room, size_t *count,
                sp_error *error) {
    if (!measure(sound, s->first, s->hops, s->levels, error)) return false;
    find_rises(s->levels, s->hops, s->rises);
    const size_t found = list(s);
    *count = found < room ? found : room;
    for (size_t i = 0; i < *count; i++) {
        onsets[i].strength_db = s->found[i].strength_db;
        if (!refine(sound, (int64_t)s->found[i].time_s, &onsets[i].time_s, error)) return false;
    }
    return true;
}

bool sp_sound_onsets(sp_sound *sound, double from_s, double to_s, sp_onset *onsets, size_t room,
                     size_t *count, sp_error *error) {
    assert(from_s <= to_s);
    const sp_sound_facts *facts = sp_sound_get_facts(sound);
    enum { LEAD = (GUARD_HOPS + GROUND_HOPS) * HOP, TAIL = RISE_HOPS * HOP };
    int64_t from = sp_sound_at(from_s) - LEAD, to = sp_sound_at(to_s) + TAIL;
    if (from < facts->first - LEAD) from = facts->first - LEAD;
    if (to > facts->end) to = facts->end;
    *count = 0;
    if (to <= from) return true;
    search s = {.first = from, .hops = (int)((to - from) / HOP)};
    s.levels = calloc((size_t)s.hops + 1, sizeof *s.levels);
    s.rises = calloc((size_t)s.hops + 1, sizeof *s.rises);
    s.found = calloc((size_t)s.hops / APART_HOPS + 2, sizeof *s.found);
    const bool memory_there = s.levels != NULL && s.rises != NULL && s.found != NULL;
    const bool good = memory_there && run(sound, &s, onsets, room, count, error);
    free(s.levels);
    free(s.rises);
    free(s.found);
    return good || (memory_there ? false
                                 : sp_fail(error, SP_ERROR_MEMORY,
                                           "no memory to search the sound; close other programs"));
}

double sp_sound_made_at(double heard_s, double distance_m, double air_c) {
    return heard_s - distance_m / (343.2 * sqrt((air_c + 273.15) / 293.15));
}
