/* Finding room for labels in a picture that is already full. Pure geometry; painter units. */
#ifndef SP_DRAW_ROOM_H
#define SP_DRAW_ROOM_H

#include <stdbool.h>

#include "serveplumb/paint.h"

#define ROOM_STROKES_MAX 192
#define ROOM_RECTS_MAX 48

/* What is on the picture. Strokes may be covered at a price: `weight` for a length of one `em`.
 * Rects (labels) are never covered. */
typedef struct {
    sp_rect area; /* labels stay inside */
    double em, gap;
    struct {
        sp_point a, b;
        double weight;
    } strokes[ROOM_STROKES_MAX];
    int stroke_count;
    sp_rect rects[ROOM_RECTS_MAX];
    int rect_count;
} room_board;

void sp_room_stroke(room_board *board, sp_point a, sp_point b, double weight);
void sp_room_rect(room_board *board, sp_rect rect);

/* Where a label would like to be: near `anchor`, in the `wished` direction (a unit vector; zero: no
 * wish), there at least `ahead` away, in other directions at least `aside`. */
typedef struct {
    sp_point anchor, wished;
    double ahead, aside;
} room_wish;

/* The cheapest place for a label of `size`: little of the strokes covered, close by, as wished.
 * False: no room that covers no other label. */
bool sp_room_find(const room_board *board, const room_wish *wish, sp_size size, sp_rect *found,
                  double *cost);

/* The corner of the area, as a rect of `size` that lies `inset` inside, where least is covered;
 * bottom left at a tie. It becomes a rect of the board. */
sp_rect sp_room_corner(room_board *board, sp_size size, double inset);

/* What it costs to cover that much of the strokes. */
double sp_room_cost(const room_board *board, sp_rect rect);
bool sp_room_overlap(sp_rect a, sp_rect b, double gap);
bool sp_room_inside(sp_rect area, sp_rect rect);
/* Length of a..b that lies inside the rect. */
double sp_room_covered(sp_rect rect, sp_point a, sp_point b);

#endif
