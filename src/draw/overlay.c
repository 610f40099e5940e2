#include "serveplumb/overlay.h"

#include "draw/scene.h"

void sp_overlay_draw(sp_paint *paint, const sp_overlay *overlay) {
    scene s;
    sp_scene_build(&s, paint, overlay);
    sp_paint_save(paint);
    sp_paint_clip(paint, overlay->area);
    sp_scene_draw_segments(&s);
    sp_scene_draw_taps(&s);
    sp_scene_draw_gap(&s);
    sp_scene_draw_arcs(&s);
    sp_scene_draw_markers(&s);
    sp_scene_draw_scale_bar(&s);
    sp_scene_place_labels(&s);
    sp_scene_draw_labels(&s);
    sp_paint_restore(paint);
}

double sp_overlay_text(const sp_overlay *overlay) {
    scene s;
    sp_scene_build(&s, NULL, overlay);
    return s.text;
}

bool sp_overlay_has_projected(const sp_overlay *overlay) {
    scene s;
    sp_scene_build(&s, NULL, overlay);
    return sp_scene_has_projected(&s);
}
