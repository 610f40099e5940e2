/* Demo clips: an invented serve, its picture and the exact truth about it. An independent model:
 * nothing here comes from the program that measures such clips. */
#include <stdio.h>
#include <stdlib.h>

#include "display_matrix.h"
#include "encoder.h"
#include "film.h"
#include "sound.h"
#include "truth.h"

static serve the_serve = {.drag = DRAG};

static bool make_still(const options *o, const tape *marks) {
    char path[4096];
    snprintf(path, sizeof path, "%s.png", o->name);
    film *f = film_open(o, &the_serve, marks);
    if (!f) return false;
    film_frame(f, o->still);
    bool done = film_save(f, path);
    film_close(f);
    return done;
}

static bool shoot(film *f, encoder *e, const clip_time *clip) {
    for (int n = 0; n < clip->frames; ++n) {
        if (!encoder_add(e, film_frame(f, clip_time_of(clip, n)))) return false;
    }
    return true;
}

static bool make_clip(const options *o, const tape *marks, const clip_time *clip) {
    char path[4096], sound[4096];
    snprintf(path, sizeof path, "%s.mp4", o->name);
    snprintf(sound, sizeof sound, "%s.wav", o->name);
    if (o->sound && !sound_write(sound, &the_serve, o, clip)) return false;
    film *f = film_open(o, &the_serve, marks);
    if (!f) return false;
    encoder e;
    const encoder_job job = {path, o->sound ? sound : NULL, film_width(f), film_height(f),
                             o->stored_rate};
    bool done = encoder_start(&e, &job);
    if (done) {
        done = shoot(f, &e, clip);
        done = encoder_finish(&e) && done;
    }
    if (done && o->rotate) done = display_matrix_set(path, o->rotate, job.width, job.height);
    film_close(f);
    if (o->sound) remove(sound);
    return done;
}

int main(int count, char **words) {
    options o;
    if (!options_read(count, words, &o)) return 2;
    const physique b = {.stature_m = o.stature, .racquet_m = o.racquet, .overhang_m = o.overhang};
    if (!serve_plan(&the_serve, &b, o.drop, o.left_handed)) return 2;
    tape marks = scene_tape(o.tape, the_serve.stance);
    if (!isnan(o.still)) return make_still(&o, &marks) ? EXIT_SUCCESS : EXIT_FAILURE;
    clip_time clip = clip_time_plan(&o);
    if (!truth_write(&the_serve, &o, &marks, &clip)) return EXIT_FAILURE;
    if (!o.truth_only && !make_clip(&o, &marks, &clip)) return EXIT_FAILURE;
    return EXIT_SUCCESS;
}
