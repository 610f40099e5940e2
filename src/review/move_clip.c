#include <string.h>

#include "base/text.h"
#include "review/check.h"
#include "review/document.h"

bool sp_review_move_clip(sp_review *review, const char *file, sp_error *error) {
    static const sp_place here = {.name = "clip"};
    sp_review_clip moved = review->clip;
    if (!sp_text_copy(moved.file, sizeof moved.file, file))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the path of the clip is too long; move it");
    if (!sp_check_clip(&moved, &here, error)) return false;
    review->clip = moved;
    return true;
}
