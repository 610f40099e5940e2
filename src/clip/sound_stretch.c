#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/sound.h"

/* A piece begins so far from where the speed would have it at the most: a period of 50 Hz to either
 * side, in which the best fit of a voice lies. */
#define REACH 480
#define COARSE 4 /* the first search looks at every fourth place, by every fourth sample */

#define STEP SP_STRETCH_STEP
enum { CANDIDATES = 2 * REACH + STEP };

struct sp_stretch {
    sp_sound *sound;
    int channels;
    double speed;
    int64_t first, step; /* where it began; how many steps are done */
    int64_t piece;       /* where the piece that is fading out goes on */
    /* Workspace: what goes on, of all channels and mixed; where the next piece may begin, mixed. */
    float going[2 * STEP], coming[2 * STEP];
    float target[STEP], around[CANDIDATES], read[2 * CANDIDATES];
};

sp_stretch *sp_stretch_new(sp_sound *sound, int64_t first, double speed) {
    sp_stretch *s = calloc(1, sizeof *s);
    if (s == NULL) return NULL;
    s->sound = sound;
    s->channels = sp_sound_get_facts(sound)->channels;
    s->speed = speed;
    s->first = s->piece = first;
    return s;
}

void sp_stretch_free(sp_stretch *s) { free(s); }

static int64_t nominal(const sp_stretch *s, int64_t step) {
    return s->first + (int64_t)llround((double)step * STEP * s->speed);
}

int64_t sp_stretch_at(const sp_stretch *s) { return nominal(s, s->step); }

static void mix(const sp_stretch *s, const float *from, size_t count, float *to) {
    for (size_t i = 0; i < count; i++)
        to[i] = s->channels == 1 ? from[i] : (from[2 * i] + from[2 * i + 1]) / 2;
}

/* How alike the piece at `place` is to what goes on, by every `by`-th sample. */
static double likeness(const sp_stretch *s, int place, int by) {
    double product = 0, energy = 1e-9;
    const float *piece = s->around + place;
    for (int i = 0; i < STEP; i += by) {
        product += (double)piece[i] * s->target[i];
        energy += (double)piece[i] * piece[i];
    }
    return product / sqrt(energy);
}

/* The best of the places `low` to `high`; at a tie the one nearest to where it should be. */
static int best_place(const sp_stretch *s, int low, int high, int by) {
    int best = REACH;
    double most = likeness(s, REACH, by) + 1e-9;
    for (int place = low; place <= high; place += by) {
        const double now = likeness(s, place, by);
        if (now > most) most = now, best = place;
    }
    return best;
}

static bool find_piece(sp_stretch *s, int64_t *piece, sp_error *error) {
    const int64_t from = nominal(s, s->step) - REACH;
    if (!sp_sound_copy(s->sound, from, CANDIDATES, s->read, error)) return false;
    mix(s, s->read, CANDIDATES, s->around);
    mix(s, s->going, STEP, s->target);
    const int about = best_place(s, 0, 2 * REACH, COARSE);
    const int low = about < COARSE ? 0 : about - COARSE;
    const int high = about > 2 * REACH - COARSE ? 2 * REACH : about + COARSE;
    *piece = from + best_place(s, low, high, 1);
    return true;
}

bool sp_stretch_next(sp_stretch *s, float *samples, sp_error *error) {
    int64_t piece;
    if (!sp_sound_copy(s->sound, s->piece, STEP, s->going, error) ||
        !find_piece(s, &piece, error) || !sp_sound_copy(s->sound, piece, STEP, s->coming, error))
        return false;
    for (int i = 0; i < STEP; i++) {
        const double in = 0.5 - 0.5 * cos(M_PI * (i + 0.5) / STEP); /* half a Hann window */
        for (int c = 0; c < s->channels; c++) {
            const int at = i * s->channels + c;
            samples[at] = (float)((1 - in) * (double)s->going[at] + in * (double)s->coming[at]);
        }
    }
    s->piece = piece + STEP;
    s->step++;
    return true;
}
