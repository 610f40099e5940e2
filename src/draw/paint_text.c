#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <pango/pangocairo.h>

#include "base/text.h"
#include "draw/painter.h"
#include "draw/witness.h"

#define FAMILIES "DejaVu Sans, Noto Sans, Sans"
#define TEXT_BYTES_MAX 4096 /* a page of text; names and notes are strangers' */
#define TEXT_SIDE_MAX 8192.0

static PangoContext *context_of(sp_paint *paint) {
    if (paint->context != NULL) return paint->context;
    PangoContext *context = pango_cairo_create_context(paint->cairo);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    /* Stems level with the rows, widths left alone: a text is as wide at every density. */
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_SLIGHT);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_base_dir(context, PANGO_DIRECTION_LTR);
    paint->context = context;
    return context;
}

static bool is_direction_control(gunichar letter) {
    return (letter >= 0x202A && letter <= 0x202E) || (letter >= 0x2066 && letter <= 0x2069);
}

/* What may be shown of a stranger's text: whole letters, no control characters, and none that turn
 * the text after them around. Freed by the caller. */
static char *clean_text(const char *text, bool wrap) {
    const size_t length = strnlen(text, TEXT_BYTES_MAX);
    char *valid = g_utf8_make_valid(text, (gssize)length);
    sp_text clean = {0};
    for (const char *at = valid; *at != '\0'; at = g_utf8_next_char(at)) {
        const gunichar letter = g_utf8_get_char(at);
        if (is_direction_control(letter)) continue;
        if (g_unichar_iscntrl(letter) || letter == 0x2028 || letter == 0x2029) {
            sp_text_append(&clean, wrap && letter == '\n' ? "\n" : " ");
        } else {
            sp_text_append_bytes(&clean, at, (size_t)(g_utf8_next_char(at) - at));
        }
    }
    g_free(valid);
    return sp_text_detach(&clean);
}

static PangoLayout *make_layout(sp_paint *paint, const painter_layout_key *key, const char *text) {
    char *clean = clean_text(text, key->wrap);
    if (clean == NULL) {
        sp_fail(&paint->first, SP_ERROR_MEMORY, "no memory to write in the picture");
        return NULL;
    }
    PangoLayout *layout = pango_layout_new(context_of(paint));
    PangoFontDescription *font = pango_font_description_from_string(FAMILIES);
    pango_font_description_set_absolute_size(font, key->size * PANGO_SCALE);
    pango_font_description_set_weight(font, key->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    if (key->digits) {
        PangoAttrList *features = pango_attr_list_new();
        pango_attr_list_insert(features, pango_attr_font_features_new("tnum=1"));
        pango_layout_set_attributes(layout, features);
        pango_attr_list_unref(features);
    }
    pango_layout_set_auto_dir(layout, FALSE);
    if (key->max_width > 0.0) {
        const PangoAlignment alignments[] = {[SP_ALIGN_LEFT] = PANGO_ALIGN_LEFT,
                                             [SP_ALIGN_CENTER] = PANGO_ALIGN_CENTER,
                                             [SP_ALIGN_RIGHT] = PANGO_ALIGN_RIGHT};
        pango_layout_set_alignment(layout, alignments[key->align]);
        pango_layout_set_width(layout, (int)ceil(key->max_width * PANGO_SCALE));
        if (key->wrap) {
            pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
        } else {
            pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
        }
    }
    pango_layout_set_text(layout, clean, -1);
    free(clean);
    return layout;
}

static bool same_key(const painter_layout_key *a, const painter_layout_key *b) {
    return a->size == b->size && a->max_width == b->max_width && a->bold == b->bold &&
           a->digits == b->digits && a->wrap == b->wrap && a->align == b->align;
}

/* FNV-1a, 64 bit (from memory). */
static uint64_t hash_text(const char *text) {
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < TEXT_BYTES_MAX && text[i] != '\0'; i++)
        hash = (hash ^ (unsigned char)text[i]) * 0x100000001b3u;
    return hash;
}

static void forget(painter_layout *entry) {
    if (entry->layout != NULL) g_object_unref(entry->layout);
    free(entry->text);
    *entry = (painter_layout){0};
}

void sp_painter_forget_layouts(sp_paint *paint) {
    for (int i = 0; i < PAINTER_LAYOUTS; i++) forget(&paint->layouts[i]);
}

static painter_layout_key key_of(sp_paint *paint, const sp_text_style *style) {
    const double size = sp_painter_number(paint, style->size);
    const double width = sp_painter_number(paint, style->max_width);
    return (painter_layout_key){.size = fmax(1.0, fmin(size, TEXT_SIDE_MAX)),
                                .max_width = fmax(0.0, fmin(width, TEXT_SIDE_MAX)),
                                .bold = style->bold,
                                .digits = style->digits,
                                .wrap = style->wrap,
                                .align = style->align};
}

/* A window asks for the same texts 60 times a second, and a layout is dear to make: the most
 * recently used are kept. Borrowed until the next call; NULL when the painter has failed. */
static PangoLayout *find_layout(sp_paint *paint, const sp_text_style *style, const char *text) {
    const painter_layout_key key = key_of(paint, style);
    if (!sp_painter_good(paint)) return NULL;
    const uint64_t hash = hash_text(text);
    painter_layout *oldest = &paint->layouts[0];
    for (int i = 0; i < PAINTER_LAYOUTS; i++) {
        painter_layout *entry = &paint->layouts[i];
        if (entry->used < oldest->used) oldest = entry;
        if (entry->used == 0 || entry->hash != hash || !same_key(&entry->key, &key)) continue;
        if (strncmp(entry->text, text, TEXT_BYTES_MAX) != 0) continue;
        entry->used = ++paint->tick;
        return entry->layout;
    }
    PangoLayout *layout = make_layout(paint, &key, text);
    if (layout == NULL) return NULL;
    forget(oldest);
    *oldest = (painter_layout){.hash = hash,
                               .used = ++paint->tick,
                               .key = key,
                               .text = strndup(text, TEXT_BYTES_MAX),
                               .layout = layout};
    if (oldest->text != NULL) return layout;
    forget(oldest);
    sp_fail(&paint->first, SP_ERROR_MEMORY, "no memory to write in the picture");
    return NULL;
}

static sp_size size_of(PangoLayout *layout) {
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    return (sp_size){.width = (double)logical.width / PANGO_SCALE,
                     .height = (double)logical.height / PANGO_SCALE};
}

sp_size sp_paint_text_size(sp_paint *paint, const sp_text_style *style, const char *text) {
    PangoLayout *layout = find_layout(paint, style, text);
    if (layout == NULL) return (sp_size){0};
    return size_of(layout);
}

static sp_rect rect_of(PangoRectangle r, double x, double y) {
    return (sp_rect){x + (double)r.x / PANGO_SCALE, y + (double)r.y / PANGO_SCALE,
                     (double)r.width / PANGO_SCALE, (double)r.height / PANGO_SCALE};
}

static void tell(const sp_paint *paint, PangoLayout *layout, const sp_text_style *style,
                 sp_point at, const char *text) {
    PangoRectangle ink;
    double left, top, right, bottom;
    pango_layout_get_extents(layout, &ink, NULL);
    cairo_clip_extents(paint->cairo, &left, &top, &right, &bottom);
    const sp_witness_text told = {.text = text,
                                  .ink = rect_of(ink, at.x, at.y),
                                  .seen = {left, top, right - left, bottom - top},
                                  .color = style->color,
                                  .size = style->size,
                                  .cut = pango_layout_is_ellipsized(layout) != 0};
    sp_witness_tell(&told);
}

sp_size sp_paint_text(sp_paint *paint, const sp_text_style *style, sp_point at, const char *text) {
    const double x = sp_painter_number(paint, at.x), y = sp_painter_number(paint, at.y);
    const double halo = sp_painter_number(paint, style->halo_width);
    PangoLayout *layout = find_layout(paint, style, text);
    if (layout == NULL) return (sp_size){0};
    cairo_t *cairo = paint->cairo;
    cairo_new_path(cairo);
    if (style->halo.a > 0.0 && halo > 0.0) {
        cairo_move_to(cairo, x, y);
        pango_cairo_layout_path(cairo, layout);
        cairo_set_line_width(cairo, 2.0 * halo);
        sp_painter_set_color(paint, style->halo);
        cairo_stroke(cairo);
    }
    sp_painter_set_color(paint, style->color);
    cairo_move_to(cairo, x, y);
    pango_cairo_show_layout(cairo, layout);
    cairo_new_path(cairo);
    if (sp_witness_asks()) tell(paint, layout, style, (sp_point){x, y}, text);
    return size_of(layout);
}
