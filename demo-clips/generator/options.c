#include "options.h"

#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
    "generate [options] NAME   writes NAME.mp4 and NAME.truth.json: an invented serve, filmed\n"
    "  --view side|back|front|oblique   where the camera stands (side)\n"
    "  --hand right|left                (right)\n"
    "  --rate N          frames a second captured, 25..240 (120)\n"
    "  --stored-rate N   frames a second of the clip (as captured; less is slow motion)\n"
    "  --size WxH        of the upright picture, even numbers (720x1280)\n"
    "  --from S --to S   span in seconds from the touch (-1.6 .. 0.75)\n"
    "  --contact-phase P the touch lies P of a frame after a frame, 0..1 (0.4)\n"
    "  --stature M       (1.82)   --racquet M   (0.685)\n"
    "  --overhang M      butt beyond the heel of the hand (0.02)\n"
    "  --drop M          hand below the elbow when the racquet is lowest (0.03)\n"
    "  --exposure S      motion blur (0: none)    --noise SD   in 1/255 (0)\n"
    "  --row-time S      rolling shutter, first row to last (0)\n"
    "  --lens K1         radial distortion (0)\n"
    "  --rotate 90|180|270   stored turned, with a display matrix (0)\n"
    "  --tape M          two tape crosses on the ground, M apart (0: none)\n"
    "  --sound           the touch and the bounce, as they reach the camera\n"
    "  --camera X,Y,Z  --look X,Y,Z  --focal PX  --roll DEG   instead of the view's own\n"
    "  --truth-only      no clip        --still S   only NAME.png, at S from the touch\n";

enum {
    OPT_VIEW = 1,
    OPT_HAND,
    OPT_SIZE,
    OPT_CAMERA,
    OPT_LOOK,
    OPT_ROTATE,
    OPT_SOUND,
    OPT_TRUTH,
    OPT_HELP,
    OPT_NUMBER = 100 /* and on: row of `numbers` */
};

typedef struct {
    const char *name;
    size_t offset; /* of the double in options */
    double least, most;
} number;

#define NUMBER(name, member, least, most)                                                          \
    { name, offsetof(options, member), least, most }

static const number numbers[] = {
    NUMBER("rate", rate, 25.0, 240.0),
    NUMBER("stored-rate", stored_rate, 1.0, 240.0),
    NUMBER("from", from, -2.5, -0.05),
    NUMBER("to", to, 0.02, 2.0),
    NUMBER("contact-phase", contact_phase, 0.0, 1.0),
    NUMBER("stature", stature, 1.0, 2.3),
    NUMBER("racquet", racquet, 0.48, 0.737),
    NUMBER("overhang", overhang, 0.0, 0.05),
    NUMBER("drop", drop, -0.25, 0.25),
    NUMBER("exposure", exposure, 0.0, 0.04),
    NUMBER("noise", noise, 0.0, 40.0),
    NUMBER("row-time", camera.row_time, 0.0, 0.05),
    NUMBER("lens", camera.k1, -0.3, 0.3),
    NUMBER("focal", camera.focal_px, 50.0, 20000.0),
    NUMBER("roll", camera.roll, -45.0, 45.0),
    NUMBER("tape", tape, 0.0, 3.0),
    NUMBER("still", still, -3.0, 3.0),
};
enum { NUMBER_COUNT = sizeof numbers / sizeof *numbers };

static const struct option words_without_number[] = {
    {"view", required_argument, NULL, OPT_VIEW}, {"hand", required_argument, NULL, OPT_HAND},
    {"size", required_argument, NULL, OPT_SIZE}, {"camera", required_argument, NULL, OPT_CAMERA},
    {"look", required_argument, NULL, OPT_LOOK}, {"rotate", required_argument, NULL, OPT_ROTATE},
    {"sound", no_argument, NULL, OPT_SOUND},     {"truth-only", no_argument, NULL, OPT_TRUTH},
    {"help", no_argument, NULL, OPT_HELP},
};
enum { WORD_COUNT = sizeof words_without_number / sizeof *words_without_number };

static bool refuse(const char *option, const char *value, const char *wanted) {
    fprintf(stderr, "--%s %s: expected %s. See generate --help.\n", option, value, wanted);
    return false;
}

static bool read_number(const number *n, const char *text, options *o) {
    char *end, wanted[80];
    double value = strtod(text, &end);
    if (end == text || *end || !(value >= n->least && value <= n->most)) {
        snprintf(wanted, sizeof wanted, "a number from %g to %g", n->least, n->most);
        return refuse(n->name, text, wanted);
    }
    *(double *)(void *)((char *)o + n->offset) = value;
    return true;
}

static bool read_vector(const char *option, const char *text, vector *v) {
    char rest;
    if (sscanf(text, "%lf,%lf,%lf%c", &v->x, &v->y, &v->z, &rest) == 3 && fabs(v->x) < 100.0 &&
        fabs(v->y) < 100.0 && fabs(v->z) < 100.0) {
        return true;
    }
    return refuse(option, text, "three numbers X,Y,Z in metres, each under 100");
}

static bool read_size(const char *text, camera *c) {
    char rest;
    if (sscanf(text, "%dx%d%c", &c->width, &c->height, &rest) == 2 && c->width >= 64 &&
        c->height >= 64 && c->width <= 4096 && c->height <= 4096 && c->width % 2 == 0 &&
        c->height % 2 == 0) {
        return true;
    }
    return refuse("size", text, "WIDTHxHEIGHT, even numbers from 64 to 4096");
}

static bool read_word(int which, const char *text, options *o) {
    switch (which) {
    case OPT_VIEW: o->view = text; return true;
    case OPT_HAND:
        o->left_handed = strcmp(text, "left") == 0;
        return o->left_handed || strcmp(text, "right") == 0 ||
               refuse("hand", text, "right or left");
    case OPT_SIZE: return read_size(text, &o->camera);
    case OPT_CAMERA: return read_vector("camera", text, &o->camera.position);
    case OPT_LOOK: return read_vector("look", text, &o->camera.look);
    case OPT_ROTATE:
        o->rotate = atoi(text);
        return o->rotate == 90 || o->rotate == 180 || o->rotate == 270 ||
               refuse("rotate", text, "90, 180 or 270");
    case OPT_SOUND: o->sound = true; return true;
    case OPT_TRUTH: o->truth_only = true; return true;
    default: return false;
    }
}

/* Where the camera of each view stands for a right-hander, and its focal length as a multiple of
 * the picture's width, upright or across. */
static const struct view_place {
    const char *name;
    vector position, look;
    double upright, across;
    double across_shift; /* m to the right, in a picture wider than high */
} view_places[] = {
    {"side", {8.30, -0.20, 1.50}, {0.30, -0.20, 1.50}, 2.50, 1.00, 2.20},
    {"back", {0.25, -6.10, 1.50}, {0.25, 0.0, 1.50}, 1.78, 0.72, 1.45},
    {"front", {0.25, 7.60, 1.50}, {0.25, 0.0, 1.50}, 2.40, 1.20, 0.0},
    {"oblique", {5.40, -5.20, 1.60}, {0.30, -0.20, 1.60}, 2.15, 1.05, 0.6},
};

static bool place_camera(options *o) {
    camera *c = &o->camera;
    const struct view_place *place = NULL;
    for (size_t i = 0; i < sizeof view_places / sizeof *view_places; ++i) {
        if (strcmp(view_places[i].name, o->view) == 0) place = &view_places[i];
    }
    if (!place) return refuse("view", o->view, "side, back, front or oblique");
    bool across = c->width > c->height;
    double mirror = o->left_handed ? -1.0 : 1.0;
    vector ahead = sub(place->look, place->position);
    vector shift =
        scale(unit(cross(ahead, vec(0.0, 0.0, 1.0))), across ? place->across_shift : 0.0);
    vector position = add(place->position, shift), look = add(place->look, shift);
    position.x *= mirror;
    look.x *= mirror;
    if (isnan(c->position.x)) c->position = position;
    if (isnan(c->look.x)) c->look = look;
    if (c->focal_px == 0.0) c->focal_px = c->width * (across ? place->across : place->upright);
    c->roll = radians(c->roll);
    if (length(sub(c->look, c->position)) < 0.1) {
        fputs("--camera and --look are the same place: the camera must look somewhere else.\n",
              stderr);
        return false;
    }
    camera_aim(c);
    return true;
}

static bool finish(options *o) {
    if (o->stored_rate == 0.0) o->stored_rate = o->rate;
    if (o->stored_rate > o->rate) {
        fputs("--stored-rate is above --rate: slow motion stores fewer frames a second.\n", stderr);
        return false;
    }
    if (o->sound && o->stored_rate < o->rate) {
        fputs("--sound with slow motion: phones store none then. Leave out one of the two.\n",
              stderr);
        return false;
    }
    return place_camera(o);
}

static void list_options(struct option *all) {
    for (int i = 0; i < WORD_COUNT; ++i) all[i] = words_without_number[i];
    for (int i = 0; i < NUMBER_COUNT; ++i) {
        all[WORD_COUNT + i] =
            (struct option){numbers[i].name, required_argument, NULL, OPT_NUMBER + i};
    }
}

bool options_read(int count, char **words, options *o) {
    *o = (options){.view = "side",
                   .rate = 120.0,
                   .from = -1.6,
                   .to = 0.75,
                   .contact_phase = 0.4,
                   .stature = 1.82,
                   .racquet = 0.685,
                   .overhang = 0.02,
                   .drop = 0.03,
                   .still = NAN};
    o->camera = (camera){.width = 720, .height = 1280};
    o->camera.position.x = o->camera.look.x = NAN;
    struct option all[WORD_COUNT + NUMBER_COUNT + 1] = {{NULL, 0, NULL, 0}};
    list_options(all);
    for (int which; (which = getopt_long(count, words, "", all, NULL)) != -1;) {
        if (which == OPT_HELP) {
            fputs(usage, stdout);
            exit(EXIT_SUCCESS);
        }
        bool fits = which >= OPT_NUMBER ? read_number(&numbers[which - OPT_NUMBER], optarg, o)
                                        : read_word(which, optarg, o);
        if (!fits) return false;
    }
    if (optind + 1 != count) {
        fputs("One NAME is expected after the options. See generate --help.\n", stderr);
        return false;
    }
    o->name = words[optind];
    return finish(o);
}
