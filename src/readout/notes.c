#include "readout/notes.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

static void add(sp_measure *measure, const char *format, va_list arguments) {
    char sentence[sizeof measure->note];
    vsnprintf(sentence, sizeof sentence, format, arguments);
    const size_t used = strlen(measure->note);
    const size_t gap = used == 0 ? 0 : 1;
    if (used + gap + 1 >= sizeof measure->note) return;
    if (gap > 0) measure->note[used] = ' ';
    sp_text_copy(measure->note + used + gap, sizeof measure->note - used - gap, sentence);
}

void sp_note_add(sp_measure *measure, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    add(measure, format, arguments);
    va_end(arguments);
}

bool sp_note_absent(sp_measure *measure, sp_status status, const char *format, ...) {
    measure->status = status;
    measure->note[0] = '\0';
    va_list arguments;
    va_start(arguments, format);
    add(measure, format, arguments);
    va_end(arguments);
    return false;
}

const char *sp_seen_from(sp_view view) {
    switch (view) {
    case SP_VIEW_SIDE: return "from the side";
    case SP_VIEW_BACK: return "from behind";
    case SP_VIEW_FRONT: return "from the front";
    case SP_VIEW_OBLIQUE: break;
    }
    return "at a slant";
}

void sp_seen_from_any(unsigned views, char *text, size_t size) {
    text[0] = '\0';
    for (int v = SP_VIEW_SIDE; v <= SP_VIEW_OBLIQUE; v++) {
        if ((views & SP_VIEW_BIT(v)) == 0) continue;
        const size_t used = strlen(text);
        snprintf(text + used, size - used, "%s%s", used == 0 ? "" : " or ",
                 sp_seen_from((sp_view)v));
    }
}

bool sp_note_wrong_view(sp_measure *measure, sp_view view) {
    char wanted[80];
    sp_seen_from_any(measure->kind->views, wanted, sizeof wanted);
    return sp_note_absent(measure, SP_STATUS_NOT_FROM_THIS_VIEW,
                          "A clip filmed %s cannot show it: ask for one filmed %s.",
                          sp_seen_from(view), wanted);
}

bool sp_note_moment_missing(sp_measure *measure, const char *moment) {
    return sp_note_absent(measure, SP_STATUS_NEEDS_MOMENT, "Name the frame of the %s first.",
                          moment);
}

/* 13 %: 1 - cos 30 degrees. 20 degrees: a true right angle of which both limbs lie 30 degrees out
 * of the picture looks like 70.5 or 109.5 degrees (spherical trigonometry). */
void sp_note_hidden(sp_measure *measure, sp_seen seen) {
    switch (seen) {
    case SP_SEEN_WHOLE: return;
    case SP_SEEN_ANGLE:
        sp_note_add(measure, "As seen in the picture: a limb 30° out of its plane looks 13 %% "
                             "shorter, and the angle can be 20° off.");
        return;
    case SP_SEEN_LINE:
        sp_note_add(measure, "As seen in the picture: a line turned 30° to the camera looks 13 %% "
                             "shorter and so steeper.");
        return;
    case SP_SEEN_LENGTH:
    case SP_SEEN_CLOSE:
        sp_note_add(measure, "As seen in the picture: 30° out of its plane hides 13 %%.");
        return;
    case SP_SEEN_SHARE:
        sp_note_add(measure, "Of the speeds in the picture's plane: the two may be hidden by "
                             "different shares.");
        return;
    case SP_SEEN_SPEED:
        sp_note_add(measure, "At least this: the picture shows only the motion in its plane; 30° "
                             "out of it hides 13 %%.");
        return;
    }
}
