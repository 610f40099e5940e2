#include "draw/room.h"

#include <math.h>

#define DIRECTIONS 24
#define RINGS 14
#define RING_STEP 0.6 /* em */
#define DISTANCE_COST 0.55
#define TURN_COST 0.7 /* for the direction opposite to the one wished */

bool sp_room_overlap(sp_rect a, sp_rect b, double gap) {
    return a.x < b.x + b.width + gap && b.x < a.x + a.width + gap && a.y < b.y + b.height + gap &&
           b.y < a.y + a.height + gap;
}

bool sp_room_inside(sp_rect area, sp_rect rect) {
    return rect.x >= area.x && rect.y >= area.y && rect.x + rect.width <= area.x + area.width &&
           rect.y + rect.height <= area.y + area.height;
}

/* One side of the rect cuts the parameter span of a line; false when nothing is left. */
static bool cut(double start, double delta, double low, double high, double *from, double *to) {
    if (delta == 0.0) return start >= low && start <= high;
    const double one = (low - start) / delta, other = (high - start) / delta;
    *from = fmax(*from, fmin(one, other));
    *to = fmin(*to, fmax(one, other));
    return *from < *to;
}

double sp_room_covered(sp_rect rect, sp_point a, sp_point b) {
    const sp_point delta = sp_point_subtract(b, a);
    double from = 0.0, to = 1.0;
    if (!cut(a.x, delta.x, rect.x, rect.x + rect.width, &from, &to) ||
        !cut(a.y, delta.y, rect.y, rect.y + rect.height, &from, &to))
        return 0.0;
    return (to - from) * sp_point_length(delta);
}

void sp_room_stroke(room_board *board, sp_point a, sp_point b, double weight) {
    if (board->stroke_count == ROOM_STROKES_MAX) return;
    board->strokes[board->stroke_count].a = a;
    board->strokes[board->stroke_count].b = b;
    board->strokes[board->stroke_count++].weight = weight;
}

void sp_room_rect(room_board *board, sp_rect rect) {
    if (board->rect_count < ROOM_RECTS_MAX) board->rects[board->rect_count++] = rect;
}

static bool is_free(const room_board *board, sp_rect rect) {
    if (!sp_room_inside(board->area, rect) || board->rect_count == ROOM_RECTS_MAX) return false;
    for (int i = 0; i < board->rect_count; i++)
        if (sp_room_overlap(board->rects[i], rect, board->gap)) return false;
    return true;
}

double sp_room_cost(const room_board *board, sp_rect rect) {
    const double edge = board->gap / 2.0;
    const sp_rect wide = {rect.x - edge, rect.y - edge, rect.width + 2.0 * edge,
                          rect.height + 2.0 * edge};
    double cost = 0.0;
    for (int i = 0; i < board->stroke_count; i++)
        cost += board->strokes[i].weight / board->em *
                sp_room_covered(wide, board->strokes[i].a, board->strokes[i].b);
    return cost;
}

static double cost_of_turn(double along) { return TURN_COST * (1.0 - along) / 2.0; }

/* The box of `size` whose near side is `away` from the anchor in the direction `way`. */
static sp_rect box_at(sp_point anchor, sp_point way, double away, sp_size size) {
    const double half = fmin(fabs(way.x) < 1e-9 ? INFINITY : size.width / fabs(way.x),
                             fabs(way.y) < 1e-9 ? INFINITY : size.height / fabs(way.y)) /
                        2.0;
    const double reach = away + half;
    return (sp_rect){anchor.x + way.x * reach - size.width / 2.0,
                     anchor.y + way.y * reach - size.height / 2.0, size.width, size.height};
}

bool sp_room_find(const room_board *board, const room_wish *wish, sp_size size, sp_rect *found,
                  double *cost) {
    const bool wishes = sp_point_length(wish->wished) > 0.0;
    *cost = INFINITY;
    for (int ring = 0; ring < RINGS; ring++) {
        const double away = ring * RING_STEP;
        if (away * DISTANCE_COST >= *cost) break; /* farther can only be dearer */
        for (int i = 0; i < DIRECTIONS; i++) {
            const double turn = 2.0 * M_PI * i / DIRECTIONS;
            const sp_point way = {cos(turn), sin(turn)};
            const double along = wishes ? sp_point_dot(way, wish->wished) : 1.0;
            const double least = along > 0.3 ? wish->ahead : wish->aside;
            const sp_rect rect = box_at(wish->anchor, way, least + away * board->em, size);
            if (!is_free(board, rect)) continue;
            const double here =
                sp_room_cost(board, rect) + away * DISTANCE_COST + cost_of_turn(along);
            if (here >= *cost) continue;
            *cost = here;
            *found = rect;
        }
    }
    return isfinite(*cost);
}

sp_rect sp_room_corner(room_board *board, sp_size size, double inset) {
    const sp_rect area = board->area;
    const double left = area.x + inset, right = area.x + area.width - inset - size.width;
    const double top = area.y + inset, bottom = area.y + area.height - inset - size.height;
    const sp_point corners[] = {{left, bottom}, {right, bottom}, {left, top}, {right, top}};
    sp_rect best = {0};
    double least = INFINITY;
    for (int i = 0; i < 4; i++) {
        const sp_rect rect = {corners[i].x, corners[i].y, size.width, size.height};
        const double cost = sp_room_cost(board, rect) + 0.2 * i;
        if (cost >= least) continue;
        least = cost;
        best = rect;
    }
    sp_room_rect(board, best);
    return best;
}
