#include "backdrop.h"

static const uint32_t screen_ink = 0x1D4148, rail_ink = 0x122B31, mast_ink = 0x2A2C3D;
static const uint32_t far_trees = 0x4B4B6E, near_trees = 0x223A45;

/* A direction by heading (from the camera's own, to the right) and elevation, far away. */
static vector far_off(const camera *c, double heading, double elevation, double distance) {
    vector ahead = unit(vec(c->forward.x, c->forward.y, 0.0));
    vector right = vec(ahead.y, -ahead.x, 0.0);
    vector flat = turn(ahead, right, heading);
    vector direction = turn(flat, vec(0.0, 0.0, 1.0), elevation);
    return along(c->position, direction, distance);
}

/* Evening: warm at the skyline, through rose and mauve to blue. */
static void fill_sky(cairo_t *cr, const camera *c) {
    static const struct {
        double elevation;
        uint32_t rgb;
    } stops[] = {{0.0, 0xF7BE8A},  {4.0, 0xF2A17C},  {8.0, 0xD98283}, {13.0, 0xA86F91},
                 {20.0, 0x6C6196}, {30.0, 0x3F4A80}, {45.0, 0x263364}};
    spot low, high;
    if (!camera_sees(c, far_off(c, 0.0, 0.0, 1e4), &low)) return;
    if (!camera_sees(c, far_off(c, 0.0, radians(45.0), 1e4), &high)) return;
    cairo_pattern_t *sky = cairo_pattern_create_linear(low.x, low.y, high.x, high.y);
    double whole = tan(radians(45.0));
    for (size_t i = 0; i < sizeof stops / sizeof *stops; ++i) {
        ink s = ink_of(stops[i].rgb);
        cairo_pattern_add_color_stop_rgb(sky, tan(radians(stops[i].elevation)) / whole, s.r, s.g,
                                         s.b);
    }
    cairo_set_source(cr, sky);
    cairo_paint(cr);
    cairo_pattern_destroy(sky);
}

static void stroke_cloud(cairo_t *cr, const camera *c, double heading, double elevation,
                         double wide) {
    spot middle, end;
    if (!camera_sees(c, far_off(c, heading, elevation, 1e4), &middle)) return;
    if (!camera_sees(c, far_off(c, heading + wide, elevation, 1e4), &end)) return;
    cairo_save(cr);
    cairo_translate(cr, middle.x, middle.y);
    cairo_scale(cr, fabs(end.x - middle.x), 0.07 * fabs(end.x - middle.x));
    cairo_pattern_t *soft = cairo_pattern_create_radial(0, 0, 0, 0, 0, 1);
    cairo_pattern_add_color_stop_rgba(soft, 0.0, 1.0, 0.83, 0.72, 0.30);
    cairo_pattern_add_color_stop_rgba(soft, 1.0, 1.0, 0.83, 0.72, 0.0);
    cairo_set_source(cr, soft);
    cairo_arc(cr, 0, 0, 1, 0, 2.0 * M_PI);
    cairo_fill(cr);
    cairo_pattern_destroy(soft);
    cairo_restore(cr);
}

/* The same pseudo-random share for the same index, so that every clip has the same trees. */
static double scatter(unsigned index) {
    unsigned h = index * 2654435761u;
    h ^= h >> 15;
    h *= 2246822519u;
    h ^= h >> 13;
    return (h & 0xffffu) / 65536.0;
}

/* Round crowns side by side; headings are the world's, so that they stay when the camera turns. */
static void plant_trees(cairo_t *cr, const camera *c, double distance, double height, double step,
                        unsigned seed, ink colour) {
    double own = atan2(c->forward.x, c->forward.y);
    ink_set(cr, colour, 1.0);
    for (int i = 0; i * step < 2.0 * M_PI; ++i) {
        double heading = remainder(i * step - own, 2.0 * M_PI);
        if (fabs(heading) > 1.1) continue;
        double tall = height * (0.55 + 0.45 * scatter(seed + (unsigned)i));
        double round_m = height * (0.20 + 0.14 * scatter(seed + 977u + (unsigned)i));
        vector crown =
            far_off(c, heading, atan2(tall - round_m - c->position.z, distance), distance);
        vector root = far_off(c, heading, atan2(-c->position.z, distance), distance);
        spot top, foot;
        if (!camera_sees(c, crown, &top) || !camera_sees(c, root, &foot)) continue;
        double r = round_m * camera_scale(c, crown);
        cairo_new_path(cr);
        cairo_arc(cr, top.x, top.y, r, 0.0, 2.0 * M_PI);
        cairo_rectangle(cr, top.x - r, top.y, 2.0 * r, foot.y - top.y);
        cairo_fill(cr);
    }
}

void backdrop_sky(cairo_t *cr, const camera *c) {
    fill_sky(cr, c);
    double own = atan2(c->forward.x, c->forward.y);
    for (unsigned i = 0; i < 26; ++i) {
        double heading = remainder(2.0 * M_PI * scatter(i + 31u) - own, 2.0 * M_PI);
        if (fabs(heading) > 1.0) continue;
        stroke_cloud(cr, c, heading, radians(5.0 + 20.0 * scatter(i + 77u)),
                     0.10 + 0.14 * scatter(i + 5u));
    }
    plant_trees(cr, c, 90.0, 13.0, 0.035, 11u, ink_of(far_trees));
    plant_trees(cr, c, 38.0, 6.3, 0.045, 400u, ink_of(near_trees));
}

static void glow(cairo_t *cr, spot at, double radius) {
    cairo_pattern_t *halo = cairo_pattern_create_radial(at.x, at.y, 0.0, at.x, at.y, radius);
    cairo_pattern_add_color_stop_rgba(halo, 0.00, 1.0, 0.97, 0.86, 0.95);
    cairo_pattern_add_color_stop_rgba(halo, 0.08, 1.0, 0.93, 0.75, 0.60);
    cairo_pattern_add_color_stop_rgba(halo, 0.35, 1.0, 0.85, 0.62, 0.16);
    cairo_pattern_add_color_stop_rgba(halo, 1.00, 1.0, 0.80, 0.60, 0.00);
    cairo_set_source(cr, halo);
    cairo_arc(cr, at.x, at.y, radius, 0.0, 2.0 * M_PI);
    cairo_fill(cr);
    cairo_pattern_destroy(halo);
}

static void raise_mast(cairo_t *cr, const camera *c, double x, double y) {
    const double tall = 6.6;
    vector foot = vec(x, y, 0.0), head = vec(x, y, tall);
    if (camera_depth(c, foot) < 1.0) return;
    double px = camera_scale(c, head);
    ink_set(cr, ink_of(mast_ink), 1.0);
    cairo_new_path(cr);
    ink_line(cr, c, foot, head);
    cairo_set_line_width(cr, fmax(0.12 * px, 1.5));
    cairo_stroke(cr);
    for (int i = -1; i <= 1; i += 2) {
        spot lamp;
        vector at = along(along(head, c->right, 0.28 * i), c->down, 0.05);
        if (!camera_sees(c, at, &lamp)) continue;
        cairo_rectangle(cr, lamp.x - 0.2 * px, lamp.y - 0.1 * px, 0.4 * px, 0.2 * px);
        ink_set(cr, ink_of(0xFFF4D6), 1.0);
        cairo_fill(cr);
        glow(cr, lamp, 2.2 * px);
    }
}

static void fence_panel(cairo_t *cr, const camera *c, vector a, vector b, double low, double high,
                        ink colour, double alpha) {
    vector corner[] = {vec(a.x, a.y, low), vec(b.x, b.y, low), vec(b.x, b.y, high),
                       vec(a.x, a.y, high)};
    cairo_new_path(cr);
    ink_polygon(cr, c, corner, 4);
    ink_set(cr, colour, alpha);
    cairo_fill(cr);
}

/* One side of the fence: a wind screen below, wire above, a post every three metres. */
static void fence_side(cairo_t *cr, const camera *c, vector a, vector b) {
    const double screen = 2.3, top = 3.1;
    int bays = (int)ceil(length(sub(b, a)) / 3.05);
    fence_panel(cr, c, a, b, screen, top, ink_of(rail_ink), 0.30);
    for (int i = 0; i < bays; ++i) {
        vector from = blend(a, b, (double)i / bays), to = blend(a, b, (i + 1.0) / bays);
        fence_panel(cr, c, from, to, 0.0, screen,
                    ink_lit(ink_of(screen_ink), 0.015 * (double)(i % 3)), 1.0);
        fence_panel(cr, c, from, to, 1.10, 1.16, ink_lit(ink_of(screen_ink), -0.25), 0.8);
        fence_panel(cr, c, from, blend(from, to, 0.025), 0.0, top, ink_of(rail_ink), 1.0);
    }
    fence_panel(cr, c, a, b, 0.0, 0.12, ink_of(rail_ink), 1.0);
    fence_panel(cr, c, a, b, screen - 0.04, screen, ink_of(rail_ink), 1.0);
    fence_panel(cr, c, a, b, top - 0.05, top, ink_of(rail_ink), 1.0);
}

void backdrop_fence(cairo_t *cr, const camera *c, double side, double near, double far) {
    static const double mast_y[] = {2.9, 20.9};
    for (int i = 0; i < 2; ++i) {
        raise_mast(cr, c, -side - 0.5, mast_y[i]);
        raise_mast(cr, c, side + 0.5, mast_y[i]);
    }
    fence_side(cr, c, vec(-side, far, 0.0), vec(side, far, 0.0));
    fence_side(cr, c, vec(-side, near, 0.0), vec(side, near, 0.0));
    fence_side(cr, c, vec(-side, near, 0.0), vec(-side, far, 0.0));
    fence_side(cr, c, vec(side, near, 0.0), vec(side, far, 0.0));
}
