/* The sound of a clip at a part of its speed, asked by test_stretch.py.
 *
 * CLIP SPEED: 32-bit floats of one channel, until the sound of the clip is used up. */
#include <stdio.h>
#include <stdlib.h>

#include "serveplumb/sound.h"

static int fail(const sp_error *error) {
    fprintf(stderr, "%s\n", error->message);
    return 1;
}

int main(int count, char **words) {
    sp_error error = {0};
    sp_clip *clip = count == 3 ? sp_clip_open(words[1], NULL, &error) : NULL;
    if (clip == NULL) return fail(&error);
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    sp_sound *sound = sp_sound_open(words[1], facts, NULL, &error);
    if (sound == NULL) return fail(&error);
    const int channels = sp_sound_get_facts(sound)->channels;
    const int64_t end = sp_sound_at(facts->duration_s);
    sp_stretch *stretch = sp_stretch_new(sound, 0, strtod(words[2], NULL));
    float samples[2 * SP_STRETCH_STEP];
    while (stretch != NULL && sp_stretch_at(stretch) < end) {
        if (!sp_stretch_next(stretch, samples, &error)) return fail(&error);
        for (int i = 0; i < SP_STRETCH_STEP; i++)
            fwrite(&samples[i * channels], sizeof samples[0], 1, stdout);
    }
    sp_stretch_free(stretch);
    sp_sound_close(sound);
    sp_clip_close(clip);
    return stretch == NULL;
}
