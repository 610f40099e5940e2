/* What must be said beside the numbers. The entry about the shoulder is never shown. */
#include <assert.h>
#include <string.h>

#include "base/text.h"
#include "readout/check_advice.h"
#include "readout/readout.h"

void sp_cautions_add(sp_readout *readout, sp_caution_of of, const char *text) {
    assert(readout->caution_count < SP_CAUTIONS_MAX);
    readout->cautions_of[readout->caution_count] = of;
    sp_text_copy(readout->cautions[readout->caution_count++], sizeof readout->cautions[0], text);
}

/* A number of the drop, or a frame that is named as the drop. */
static bool drop_is_shown(const sp_readout *readout, const sp_review *review) {
    if (sp_review_moment_frame(review, "drop") >= 0) return true;
    for (size_t i = 0; i < readout->count; i++)
        if (sp_measure_has_number(&readout->measures[i]) &&
            strcmp(readout->measures[i].kind->moment, "drop") == 0)
            return true;
    return false;
}

bool sp_cautions_fill(sp_readout *readout, const sp_review *review, sp_error *error) {
    sp_check_cautions cautions;
    if (!sp_cautions_read_builtin(&cautions, error)) return false;
    if (drop_is_shown(readout, review)) {
        sp_text text = {0};
        sp_put_drop_caution(&text, sp_review_get_player(review)->shoulder, &cautions);
        const bool failed = text.failed;
        if (!failed) sp_cautions_add(readout, SP_CAUTION_OF_DROP, sp_text_get(&text));
        sp_text_clear(&text);
        if (failed) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the cautions");
    }
    sp_cautions_add(readout, SP_CAUTION_OF_ALL, cautions.all);
    return true;
}
