/* What must be said beside the numbers. The entry about the shoulder is never shown. */
#include <assert.h>
#include <string.h>

#include "base/text.h"
#include "readout/readout.h"

void sp_cautions_add(sp_readout *readout, sp_caution_of of, const char *text) {
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

/* Elliott, Fleisig, Nicholls and Escamilla (2003) J Sci Med Sport 6:76-87: the highest torque of
 * inward rotation was found at the greatest outward rotation. */
void sp_cautions_fill(sp_readout *readout, sp_shoulder shoulder) {
    if (drop_is_shown(readout)) {
        sp_cautions_add(
            readout, SP_CAUTION_OF_DROP,
            "A deeper drop goes with more outward rotation of the shoulder, the position "
            "in which the highest shoulder torque was measured (Elliott et al. 2003). "
            "Deeper is not better by itself.");
        if (shoulder != SP_SHOULDER_HEALTHY)
            sp_cautions_add(readout, SP_CAUTION_OF_DROP,
                            "Ask a physiotherapist or physician before changing the drop if the "
                            "shoulder gives trouble or ever did.");
    }
    sp_cautions_add(
        readout, SP_CAUTION_OF_ALL,
        "Positions seen in a picture, not loads on the body: this is no medical advice. "
        "Pain, numbness or an injury belong to a physician or physiotherapist.");
}
