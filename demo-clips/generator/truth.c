#include "truth.h"

#include <string.h>

#include "court.h"
#include "measures.h"
#include "sound.h"

static const char note[] =
    "Invented demo data: a drawn serve by nobody. World: metres, x to the right seen from behind "
    "the server, y from the outer edge of the near baseline to the net, z up, from the centre "
    "mark. Picture: upright, pixels, x right, y down, from the outer corner of the top left pixel "
    "(a pixel's centre is at +0.5). Times are real seconds. space: in three dimensions; plane: "
    "seen squarely in the upright plane that faces the camera; picture: as tapped.";

static void put_scenario(json *j, const options *o) {
    json_open(j, "scenario", '{');
    json_text(j, "view", o->view);
    json_text(j, "hand", o->left_handed ? "left" : "right");
    json_number(j, "stature_m", o->stature);
    json_number(j, "racquet_m", o->racquet);
    json_number(j, "overhang_m", o->overhang);
    json_number(j, "drop_m", o->drop);
    json_number(j, "contact_phase", o->contact_phase);
    json_number(j, "exposure_s", o->exposure);
    json_number(j, "noise_sd", o->noise);
    json_number(j, "rotate_deg", o->rotate);
    json_close(j, '}');
}

static void put_camera(json *j, const camera *c) {
    json_open(j, "camera", '{');
    json_vector(j, "position", c->position);
    json_vector(j, "look", c->look);
    json_number(j, "focal_px", c->focal_px);
    json_number(j, "roll_deg", degrees(c->roll));
    json_number(j, "k1", c->k1);
    json_number(j, "row_time_s", c->row_time);
    json_close(j, '}');
}

static void put_clip(json *j, const options *o, const clip_time *clip) {
    const char *slash = strrchr(o->name, '/');
    char file[4096];
    snprintf(file, sizeof file, "%s.mp4", slash ? slash + 1 : o->name);
    json_open(j, "clip", '{');
    json_text(j, "file", file);
    json_number(j, "frames", clip->frames);
    json_number(j, "width", o->camera.width);
    json_number(j, "height", o->camera.height);
    json_number(j, "rate_captured", clip->rate);
    json_number(j, "rate_stored", o->stored_rate);
    json_number(j, "slowdown", clip->rate / o->stored_rate);
    json_number(j, "touch_s", -clip->start);
    json_close(j, '}');
}

static void put_mark(json *j, const char *id, vector at, const camera *c) {
    spot seen;
    json_open(j, NULL, '{');
    json_text(j, "name", id);
    json_vector(j, "world", at);
    if (camera_sees(c, at, &seen)) {
        json_spot(j, "at", seen);
        json_truth(j, "inside",
                   seen.x >= 0.0 && seen.x <= c->width && seen.y >= 0.0 && seen.y <= c->height);
    } else {
        json_truth(j, "inside", false);
    }
    json_close(j, '}');
}

static void put_ground(json *j, const camera *c, const tape *marks) {
    json_open(j, "court", '[');
    for (size_t i = 0; i < court_landmark_count; ++i) {
        put_mark(j, court_landmarks[i].id, court_landmarks[i].at, c);
    }
    if (marks->apart_m > 0.0) {
        put_mark(j, "tape_rear", marks->rear, c);
        put_mark(j, "tape_front", marks->front, c);
    }
    json_close(j, ']');
}

static void put_moments(json *j, const reel *r, const clip_time *clip) {
    json_open(j, "moments", '{');
    for (moment m = 0; m < MOMENT_COUNT; ++m) {
        const reel_moment *at = &r->moments[m];
        if (at->frame < 0) continue;
        json_open(j, at->id, '{');
        json_number(j, "frame", at->frame);
        json_number(j, "exact_s", at->time - clip->start);
        json_text(j, "rule", at->rule);
        json_close(j, '}');
    }
    json_close(j, '}');
}

static void put_sound(json *j, const serve *s, const options *o, const clip_time *clip) {
    if (!o->sound) return;
    vector touch = s->shot.state[0].at;
    if (o->left_handed) touch.x = -touch.x;
    json_number(j, "touch_heard_s", sound_delay(o, touch) - clip->start);
}

static void put_derived(json *j, const serve *s, const reel *r, const options *o) {
    json_open(j, "derived", '{');
    measures_of_serve(j, s, r, &o->camera);
    for (moment m = MOMENT_TROPHY; m <= MOMENT_CONTACT; ++m) {
        if (r->moments[m].frame < 0) continue;
        char key[32];
        snprintf(key, sizeof key, "on_%s_frame", r->moments[m].id);
        measures_of_frame(j, key, &r->frames[r->moments[m].frame], &o->camera, o->left_handed);
    }
    json_close(j, '}');
}

static void put_frame(json *j, int number, const reel_frame *f, const clip_time *clip,
                      const options *o) {
    json_open(j, NULL, '{');
    json_number(j, "frame", number);
    json_number(j, "time_s", f->time - clip->start);
    json_open(j, "points", '{');
    for (body_point p = 0; p < NAMED_POINTS; ++p) {
        const reel_point *at = &f->points[p];
        json_open(j, body_point_id(p, o->left_handed), '{');
        if (at->in_front) json_spot(j, "at", at->seen);
        json_vector(j, "world", at->at);
        if (o->camera.row_time > 0.0) json_number(j, "time_s", at->when - clip->start);
        json_close(j, '}');
    }
    json_close(j, '}');
    json_close(j, '}');
}

static void put_all(json *j, const serve *s, const reel *r, const options *o, const tape *marks,
                    const clip_time *clip) {
    json_open(j, NULL, '{');
    json_text(j, "format", "demo-truth");
    json_number(j, "version", 1);
    json_text(j, "note", note);
    put_scenario(j, o);
    put_camera(j, &o->camera);
    put_clip(j, o, clip);
    put_ground(j, &o->camera, marks);
    put_moments(j, r, clip);
    put_sound(j, s, o, clip);
    put_derived(j, s, r, o);
    json_open(j, "frames", '[');
    for (int n = 0; n < r->count; ++n) put_frame(j, n, &r->frames[n], clip, o);
    json_close(j, ']');
    json_close(j, '}');
}

bool truth_write(const serve *s, const options *o, const tape *marks, const clip_time *clip) {
    char path[4096];
    snprintf(path, sizeof path, "%s.truth.json", o->name);
    reel r;
    if (!reel_wind(s, &o->camera, clip, &r)) return false;
    json j = {fopen(path, "w"), 0, false};
    bool done = j.file != NULL;
    if (done) {
        put_all(&j, s, &r, o, marks, clip);
        done = !ferror(j.file);
        done = fclose(j.file) == 0 && done;
    }
    reel_free(&r);
    if (!done)
        fprintf(stderr, "%s cannot be written: check its folder and the space left.\n", path);
    return done;
}
