#include "deliver/frame_picture.h"

bool sp_frame_picture_read(sp_clip *clip, int n, sp_picture *picture, bool *damaged,
                           sp_error *error) {
    const sp_clip_facts *facts = sp_clip_get_facts(clip);
    sp_frame *frame = sp_clip_frame(clip, n, error);
    if (frame == NULL) return false;
    *damaged = sp_frame_damaged(frame);
    const bool good = sp_picture_init(picture, facts->width, facts->height, error) &&
                      sp_frame_to_picture(frame, picture, error);
    if (!good) sp_picture_clear(picture);
    sp_frame_unref(frame);
    return good;
}
