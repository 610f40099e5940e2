/* Values over days as SVG: each with its interval where it has one. */
#ifndef SP_DELIVER_HISTORY_PLOT_H
#define SP_DELIVER_HISTORY_PLOT_H

#include <stddef.h>

#include "base/text.h"
#include "serveplumb/interval.h"

typedef struct {
    double day;        /* sp_history_day_number */
    sp_interval value; /* a bar from low to high where both are finite */
} sp_plot_value;

/* `values` and `means` by day; a line goes through the means. At least one value. */
typedef struct {
    const char *title;           /* for who cannot see it */
    const sp_plot_value *values; /* small dots where they have no interval */
    size_t count;
    const sp_plot_value *means;
    size_t mean_count;
    bool mean_bars; /* the means have dots and bars of their own */
    double unit;    /* what is read, in the unit of the values: 0.01 for centimetres of metres */
    const char *first_day, *last_day;
    /* The words of a tick: `step` apart from the next. */
    void (*tick)(const void *of, double value, double step, char *text, size_t size);
    const void *of;
} sp_plot;

void sp_plot_put(sp_text *html, const sp_plot *plot);

#endif
