#include "draw/words.h"

#include <string.h>

#include "base/text.h"

#define ANY_VIEW 0xFFFFu

static const struct {
    const char *id;
    unsigned views;
    const char *plus, *minus;
} signs[] = {
    {"hand_elbow_gap", ANY_VIEW, "above elbow", "below elbow"},
    {"hand_elbow_gap_ratio", ANY_VIEW, "of a forearm above elbow", "of a forearm below elbow"},
    {"tip_height_at_drop", ANY_VIEW, "above elbow", "below elbow"},
    {"shoulder_tilt", ANY_VIEW, "hitting side up", "hitting side down"},
    {"hip_tilt", ANY_VIEW, "hitting side up", "hitting side down"},
    {"trunk_lean", SP_VIEW_BIT(SP_VIEW_SIDE), "toward the net", "away from the net"},
    {"trunk_lean", SP_VIEW_BIT(SP_VIEW_BACK), "to the off side", "to the hitting side"},
};

static bool is_signed(const char *id) {
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (strcmp(signs[i].id, id) == 0) return true;
    return false;
}

static bool is_decided(sp_interval value) { return value.low > 0.0 || value.high < 0.0; }

/* The same measure without its sign, where words say it. */
static sp_measure unsigned_of(const sp_measure *measure) {
    sp_measure plain = *measure;
    const sp_interval value = measure->value;
    if (value.value < 0.0 && is_decided(value) && is_signed(measure->kind->id))
        plain.value = (sp_interval){-value.value, -value.high, -value.low};
    return plain;
}

void sp_words_number(const sp_measure *measure, sp_units units, char *text, size_t size) {
    const sp_measure plain = unsigned_of(measure);
    sp_measure_short_text(&plain, units, text, size);
}

void sp_words_sign(const sp_measure *measure, sp_view view, char *text, size_t size) {
    text[0] = '\0';
    if (!is_decided(measure->value)) return;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (strcmp(signs[i].id, measure->kind->id) != 0) continue;
        if ((signs[i].views & SP_VIEW_BIT(view)) == 0) continue;
        sp_text_copy(text, size, measure->value.value > 0.0 ? signs[i].plus : signs[i].minus);
        return;
    }
}

void sp_words_interval(const sp_measure *measure, sp_units units, char *text, size_t size) {
    const sp_measure plain = unsigned_of(measure);
    char whole[160];
    sp_measure_text(&plain, units, whole, sizeof whole);
    const char *interval = strchr(whole, '(');
    sp_text_copy(text, size, interval == NULL ? "" : interval);
}
