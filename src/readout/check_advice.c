#include "readout/check_advice.h"

bool sp_advice_is_held_back(const sp_finding *finding, sp_shoulder shoulder) {
    return finding->status == SP_CHECK_NOT_MET && shoulder != SP_SHOULDER_HEALTHY &&
           sp_check_loads_shoulder(finding->check);
}

/* Something is said of the drop, so that its caution is due. */
static bool shoulder_is_due(const sp_finding *finding, bool advised) {
    const bool told = finding->status == SP_CHECK_MET || finding->status == SP_CHECK_NOT_MET ||
                      finding->status == SP_CHECK_WITHIN_ERROR;
    return sp_check_loads_shoulder(finding->check) && (told || advised);
}

static void add(sp_text *text, const char *sentence) {
    if (sentence[0] == '\0') return;
    if (text->length > 0) sp_text_append(text, " ");
    sp_text_append(text, sentence);
}

void sp_put_drop_caution(sp_text *text, sp_shoulder shoulder, const sp_check_cautions *cautions) {
    add(text, shoulder == SP_SHOULDER_HEALTHY ? cautions->drop_healthy : cautions->drop_otherwise);
    sp_text_format(text, " [%s]", cautions->drop_source);
}

void sp_finding_put_advice(sp_text *text, const sp_finding *finding, const char *own,
                           sp_shoulder shoulder, const sp_check_cautions *cautions) {
    const sp_check *check = finding->check;
    const bool given = own == NULL && finding->status == SP_CHECK_NOT_MET &&
                       !sp_advice_is_held_back(finding, shoulder);
    const bool advised = own != NULL || given;
    if (own != NULL) add(text, own);
    if (given) {
        add(text, check->why);
        add(text, check->work);
    }
    const bool due = shoulder_is_due(finding, advised);
    if (advised && (due || check->caution[0] != '\0')) add(text, "Caution:");
    if (advised) add(text, check->caution);
    if (due) sp_put_drop_caution(text, shoulder, cautions);
}
