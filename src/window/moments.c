#include "window/moments.h"

#include <string.h>

#include "serveplumb/readout.h"

static const moment_kind kinds[MOMENT_COUNT] = {
    {"release", "the first frame with a gap between hand and ball"},
    {"trophy", "the tossing arm at its highest, the racquet up, before it drops"},
    {"drop", "the racquet tip at its lowest behind the back"},
    {"contact", "the last frame before the ball touches the strings"},
    {"bounce", "the frame in which the ball meets the ground"},
    {"finish", "the frame in which the swing has come to its end"},
};

const moment_kind *moment_kind_at(int index) { return &kinds[index]; }

const sp_moment *moment_on(const sp_review *review, int frame) {
    for (size_t i = 0; i < sp_review_moment_count(review); i++) {
        const sp_moment *moment = sp_review_moment_at(review, i);
        if (moment->frame == frame) return moment;
    }
    return NULL;
}

bool moment_asked(const char *name, sp_view view) {
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        const sp_measure_kind *kind = sp_catalogue_at(i);
        if (strcmp(kind->moment, name) == 0 && (kind->views & SP_VIEW_BIT(view)) != 0) return true;
    }
    return false;
}
