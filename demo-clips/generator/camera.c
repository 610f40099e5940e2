#include "camera.h"

static const double nearest = 0.05; /* m */

void camera_aim(camera *c) {
    c->forward = unit(sub(c->look, c->position));
    vector level = unit(cross(c->forward, vec(0.0, 0.0, 1.0)));
    vector up = cross(level, c->forward);
    c->right = turn(level, up, c->roll);
    c->down = turn(scale(up, -1.0), level, c->roll);
}

double camera_depth(const camera *c, vector at) { return dot(sub(at, c->position), c->forward); }

bool camera_sees(const camera *c, vector at, spot *seen_at) {
    vector seen = sub(at, c->position);
    double depth = dot(seen, c->forward);
    if (depth < nearest) return false;
    double x = dot(seen, c->right) / depth, y = dot(seen, c->down) / depth;
    /* Farther aside than this the lens term would fold the scene back into the picture. */
    if (1.0 + 3.0 * c->k1 * (x * x + y * y) <= 0.0) return false;
    double stretch = c->focal_px * (1.0 + c->k1 * (x * x + y * y));
    seen_at->x = 0.5 * c->width + stretch * x;
    seen_at->y = 0.5 * c->height + stretch * y;
    return true;
}

double camera_scale(const camera *c, vector at) {
    double depth = camera_depth(c, at);
    return depth < nearest ? 0.0 : c->focal_px / depth;
}
