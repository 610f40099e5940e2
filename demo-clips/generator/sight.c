#include "sight.h"

/* Times within the read-out at which the figure is built, from before the first row to after the
 * last, for points somewhat outside the picture. */
enum { MOMENTS = 9 };
static const double first_share = -0.15, last_share = 1.15;

vector sight_to_lamp(void) { return unit(vec(0.50, -0.42, 0.95)); }

vector sight_shadow(vector p) {
    vector lamp = sight_to_lamp();
    return vec(p.x - lamp.x * p.z / lamp.z, p.y - lamp.y * p.z / lamp.z, 0.0);
}

static void put_blot(const camera *c, const disc *d, blot *b) {
    spot p = {-1e4, -1e4};
    camera_sees(c, d->at, &p);
    *b = (blot){p.x, p.y, d->radius * camera_scale(c, d->at)};
}

/* Cubic interpolation of a disc's place between the built moments (Lagrange). */
static vector between(const figure *built, size_t disc_index, double share) {
    double step = (last_share - first_share) / (MOMENTS - 1);
    double at = (share - first_share) / step;
    int i = (int)fmin(fmax(floor(at) - 1.0, 0.0), MOMENTS - 4);
    double t = fmin(fmax(at, 0.0), MOMENTS - 1.0) - i;
    const double w[4] = {-(t - 1.0) * (t - 2.0) * (t - 3.0) / 6.0, t * (t - 2.0) * (t - 3.0) / 2.0,
                         -t * (t - 1.0) * (t - 3.0) / 2.0, t * (t - 1.0) * (t - 2.0) / 6.0};
    vector sum = {0.0, 0.0, 0.0};
    for (int k = 0; k < 4; ++k) sum = along(sum, built[i + k].discs[disc_index].at, w[k]);
    return sum;
}

static void take_rolling(const serve *s, const camera *c, double time, double size, sight *out) {
    static figure built[MOMENTS];
    for (int k = 0; k < MOMENTS; ++k) {
        double share = first_share + (last_share - first_share) * k / (MOMENTS - 1);
        pose p;
        serve_pose(s, time + share * c->row_time, &p);
        figure_build(&p, c->position, size, &built[k]);
    }
    out->figure = built[MOMENTS / 2];
    for (size_t i = 0; i < out->figure.disc_count; ++i) {
        disc *d = &out->figure.discs[i];
        put_blot(c, d, &out->blots[i]);
        for (int round = 0; round < 8; ++round) {
            d->at = between(built, i, out->blots[i].y / c->height);
            put_blot(c, d, &out->blots[i]);
        }
    }
}

void sight_take(const serve *s, const camera *c, double time, sight *out) {
    double size = s->motion.physique.stature_m / 1.82;
    if (c->row_time > 0.0) {
        take_rolling(s, c, time, size, out);
        return;
    }
    pose p;
    serve_pose(s, time, &p);
    figure_build(&p, c->position, size, &out->figure);
    for (size_t i = 0; i < out->figure.disc_count; ++i) {
        put_blot(c, &out->figure.discs[i], &out->blots[i]);
    }
}

static void include(extent *box, double x, double y, double radius) {
    box->left = fmin(box->left, x - radius);
    box->right = fmax(box->right, x + radius);
    box->top = fmin(box->top, y - radius);
    box->bottom = fmax(box->bottom, y + radius);
}

void sight_extent(const sight *s, const camera *c, extent *box) {
    for (size_t i = 0; i < s->figure.disc_count; ++i) {
        include(box, s->blots[i].x, s->blots[i].y, s->blots[i].radius + 2.0);
        vector ground = sight_shadow(s->figure.discs[i].at);
        spot p;
        if (camera_sees(c, ground, &p)) {
            include(box, p.x, p.y, 1.6 * s->figure.discs[i].radius * camera_scale(c, ground) + 2.0);
        }
    }
}

bool sight_point(const serve *s, const camera *c, double time, body_point point, spot *seen,
                 vector *at, double *when) {
    *when = time;
    for (int round = 0; round < 60; ++round) {
        pose p;
        serve_pose(s, *when, &p);
        *at = p.at[point];
        if (!camera_sees(c, *at, seen)) return false;
        double next = time + seen->y / c->height * c->row_time;
        if (fabs(next - *when) < 1e-13) break;
        *when = next;
    }
    return true;
}
