/* The sound of a clip, on the clock of its frames.
 *
 * Samples are 32-bit floats at 48 kHz, -1 to 1, interleaved, of one channel or two. Sample 0 is
 * heard when frame 0 is shown; sample n is at n / 48000 s of sp_clip_times. What the container
 * says of starts, edits and priming is followed, so that a sound before frame 0 has negative
 * numbers; where nothing was recorded there is silence. A sound belongs to one thread. */
#ifndef SERVEPLUMB_SOUND_H
#define SERVEPLUMB_SOUND_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/clip.h"
#include "serveplumb/error.h"

#define SP_SOUND_RATE 48000

typedef struct sp_sound sp_sound;

typedef struct {
    size_t budget_bytes; /* of samples in memory; 0: 128 MiB, 6 to 11 minutes. A longer sound is
                            decoded again where it is asked for, some seconds at a time */
    const atomic_bool *cancelled; /* looked at while opening decodes; NULL: never */
} sp_sound_options;

typedef struct {
    int channels;       /* 1 or 2: more are mixed down to two */
    int64_t first, end; /* samples that were recorded: first <= n < end */
    bool whole;         /* all in memory: nothing below reads the file again */
    int gaps;           /* times that the sound was broken off and went on later */
    int corrections;    /* times that its samples had drifted from its clock and were moved */
    int errors;         /* packets that could not be decoded: silent */
} sp_sound_facts;

/* Decodes the best sound of the clip once, from a second before frame 0 to a second after the last
 * frame. `facts` are those of the clip at `path`. Errors as sp_clip_open, and SP_ERROR_FORMAT when
 * it holds no sound, SP_ERROR_LIMIT when it is longer than 12 hours, SP_ERROR_CANCELLED. */
sp_sound *sp_sound_open(const char *path, const sp_clip_facts *facts,
                        const sp_sound_options *options, sp_error *error);
void sp_sound_close(sp_sound *sound);
const sp_sound_facts *sp_sound_get_facts(const sp_sound *sound);

/* The sample heard at this time of sp_clip_times. */
int64_t sp_sound_at(double time_s);
/* `count` samples of each channel, from `first` on; silence outside of what was recorded. Of a
 * sound that is not whole this and what follows may fail as sp_sound_open does. */
bool sp_sound_copy(sp_sound *sound, int64_t first, size_t count, float *samples, sp_error *error);

/* A sound at a part of its speed, its pitch kept: pieces of 20 ms are laid over one another where
 * they fit best (waveform similarity overlap-add: Verhelst and Roelands 1993, ICASSP; from memory).
 * A click that lies in several pieces is heard several times below half the speed. */
typedef struct sp_stretch sp_stretch;
/* From sample `first` on, at `speed` of its own, above 0 and at most 1; the sound is borrowed.
 * NULL without memory. */
sp_stretch *sp_stretch_new(sp_sound *sound, int64_t first, double speed);
void sp_stretch_free(sp_stretch *stretch);
/* The next SP_STRETCH_STEP samples of each channel. At a speed of 1 they are those of the sound. */
#define SP_STRETCH_STEP 480
bool sp_stretch_next(sp_stretch *stretch, float *samples, sp_error *error);
/* The sample of the sound that the next ones stand for. */
int64_t sp_stretch_at(const sp_stretch *stretch);

/* The lowest and the highest value of all channels in each of `count` equal parts of the time
 * between; parts finer than a sample repeat it. For drawing: of a sound that is not whole, parts of
 * 10 ms and longer are rounded outward to 10 ms. */
typedef struct {
    float low, high;
} sp_sound_peak;
bool sp_sound_peaks(sp_sound *sound, double from_s, double to_s, size_t count, sp_sound_peak *peaks,
                    sp_error *error);

/* Where a sharp sound may begin: the level above 1 kHz rises within 3 ms by at least 10 dB over
 * its mean of the 100 ms before. Strongest first, none within 50 ms of a stronger one. */
typedef struct {
    double time_s;      /* heard, by the clock of the frames */
    double strength_db; /* the rise */
} sp_onset;
bool sp_sound_onsets(sp_sound *sound, double from_s, double to_s, sp_onset *onsets, size_t room,
                     size_t *count, sp_error *error);

/* When a sound was made that is heard at `heard_s` from `distance_m` away, in air of `air_c`
 * degrees Celsius. Speed of sound 343.2 m/s x sqrt(T / 293.15 K): ISO 9613-1:1993 (from memory). */
double sp_sound_made_at(double heard_s, double distance_m, double air_c);

#endif
