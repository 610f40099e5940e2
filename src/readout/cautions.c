/* What must be said beside the numbers. The entry about the shoulder is never shown. */
#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "readout/readout.h"

/* A scale is good to a tenth, air and tilt take a hundredth: farther off something is wrong. */
static const double GRAVITY = 9.80665, GRAVITY_SHARE = 0.10;

static void add(sp_readout *readout, sp_caution_of of, const char *text) {
    assert(readout->caution_count < SP_CAUTIONS_MAX);
    readout->cautions_of[readout->caution_count] = of;
    sp_text_copy(readout->cautions[readout->caution_count++], sizeof readout->cautions[0], text);
}

static bool drop_is_shown(const sp_readout *readout) {
    for (size_t i = 0; i < readout->count; i++)
        if (sp_measure_has_number(&readout->measures[i]) &&
            strcmp(readout->measures[i].kind->moment, "drop") == 0)
            return true;
    return false;
}

/* A clip whose slowdown is said k times too small falls k^2 times too fast; slow motion is 2, 4 or
 * 8 times, so that less than 1.5 is rather the scale. */
static void add_gravity(sp_readout *readout) {
    const sp_interval fall = readout->gravity;
    if (isnan(fall.value)) return;
    if (fall.low <= GRAVITY * (1 + GRAVITY_SHARE) && fall.high >= GRAVITY * (1 - GRAVITY_SHARE))
        return;
    char text[sizeof readout->cautions[0]], hint[80] = "";
    const double off = sqrt(GRAVITY / fall.value);
    if (off > 1.5 || off < 1 / 1.5)
        snprintf(hint, sizeof hint, " A slowdown of %.2g would fit it.", readout->slowdown * off);
    snprintf(text, sizeof text,
             "The tossed ball falls with %.1f m/s² by this scale and slowdown; 9.8 is true. Check "
             "scale, slowdown, and the frames of release and contact.%s",
             fall.value, hint);
    add(readout, SP_CAUTION_OF_MEASURING, text);
}

/* Elliott, Fleisig, Nicholls and Escamilla (2003) J Sci Med Sport 6:76-87: the highest torque of
 * inward rotation was found at the greatest outward rotation. */
void sp_cautions_fill(sp_readout *readout, sp_shoulder shoulder) {
    readout->caution_count = 0;
    add_gravity(readout);
    if (drop_is_shown(readout)) {
        add(readout, SP_CAUTION_OF_DROP,
            "A deeper drop goes with more outward rotation of the shoulder, the position "
            "in which the highest shoulder torque was measured (Elliott et al. 2003). "
            "Deeper is not better by itself.");
        if (shoulder != SP_SHOULDER_HEALTHY)
            add(readout, SP_CAUTION_OF_DROP,
                "Ask a physiotherapist or physician before changing the drop if the "
                "shoulder gives trouble or ever did.");
    }
    add(readout, SP_CAUTION_OF_ALL,
        "Positions seen in a picture, not loads on the body: this is no medical advice. "
        "Pain, numbness or an injury belong to a physician or physiotherapist.");
}
