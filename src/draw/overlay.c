#include "serveplumb/overlay.h"

#include "draw/scene.h"

/* Draws all but the labels, which then know where there is room. */
static void draw_things(scene *s, sp_paint *paint, const sp_overlay *overlay) {
    sp_scene_build(s, paint, overlay);
    if (overlay->only_ink) {
        sp_scene_draw_ink(s);
        return;
    }
    sp_scene_note_segments(s);
    sp_scene_draw_path(s);
    sp_scene_draw_gap(s);
    sp_scene_draw_segments(s);
    sp_scene_draw_taps(s);
    sp_scene_draw_arcs(s);
    sp_scene_draw_markers(s);
    sp_scene_draw_ink(s);
    sp_scene_draw_scale_bar(s);
    sp_scene_place_labels(s);
}

sp_overlay_drawn sp_overlay_draw(sp_paint *paint, const sp_overlay *overlay) {
    scene s;
    sp_paint_save(paint);
    sp_paint_clip(paint, overlay->area);
    draw_things(&s, paint, overlay);
    sp_scene_draw_labels(&s);
    sp_paint_restore(paint);
    sp_overlay_drawn drawn = {.text = s.text};
    for (int i = 0; i < s.label_count; i++) {
        drawn.numbers = drawn.numbers || s.labels[i].placed;
        drawn.projected = drawn.projected || (s.labels[i].placed && s.labels[i].projected);
    }
    return drawn;
}
