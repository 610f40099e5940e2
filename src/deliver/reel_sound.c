#include "deliver/reel_sound.h"

#include <math.h>
#include <string.h>

#define CHUNK 4096

bool sp_reel_sound_open(sp_reel_sound *sound, const char *clip_path, const sp_clip *clip,
                        sp_error *error) {
    *sound = (sp_reel_sound){0};
    sound->sound = sp_sound_open(clip_path, sp_clip_get_facts(clip), NULL, error);
    if (sound->sound == NULL) return false;
    sound->channels = sp_sound_get_facts(sound->sound)->channels;
    return true;
}

void sp_reel_sound_close(sp_reel_sound *sound) {
    sp_sound_close(sound->sound);
    *sound = (sp_reel_sound){0};
}

/* Up to `until` of the reel, of the clip from `from` on. */
static bool write_until(sp_reel_sound *sound, int64_t until, bool silent, int64_t from,
                        sp_encoder *encoder, sp_error *error) {
    float samples[2 * CHUNK];
    while (sound->written < until) {
        const int64_t left = until - sound->written;
        const size_t count = (size_t)(left < CHUNK ? left : CHUNK);
        if (silent) {
            memset(samples, 0, sizeof samples);
        } else if (!sp_sound_copy(sound->sound, from, count, samples, error)) {
            return false;
        }
        if (!sp_encoder_add_sound(encoder, samples, count, error)) return false;
        from += (int64_t)count;
        sound->written += (int64_t)count;
    }
    return true;
}

bool sp_reel_sound_write(sp_reel_sound *sound, const sp_shot *shot, sp_encoder *encoder,
                         sp_error *error) {
    const int64_t heard = llround((shot->to_s - shot->hold_s) * SP_ENCODER_SOUND_RATE);
    const int64_t end = llround(shot->to_s * SP_ENCODER_SOUND_RATE);
    /* a shot may begin between two samples: then it goes on where the one before ended */
    const int64_t late = sound->written - llround(shot->from_s * SP_ENCODER_SOUND_RATE);
    return write_until(sound, heard, false, sp_sound_at(shot->clip_s) + late, encoder, error) &&
           write_until(sound, end, true, 0, encoder, error);
}
