/* What the readers of speeds share. */
#ifndef SP_REVIEW_SPEEDS_H
#define SP_REVIEW_SPEEDS_H

#include "base/text.h"
#include "serveplumb/speeds.h"

struct sp_speeds {
    sp_speed *list;
    size_t count, room;
    sp_speed_fault *faults;
    size_t fault_count, fault_room;
};

/* "name, line 7: ..."; without a line "name: ...". */
bool sp_speeds_add_fault(sp_speeds *speeds, const char *name, int line, sp_error *error,
                         const char *format, ...) __attribute__((format(printf, 5, 6)));

/* --- cells ----------------------------------------------------------------------------------- */
typedef enum {
    SP_DATE_GOOD,
    SP_DATE_NONE,      /* no date that is known here */
    SP_DATE_IMPOSSIBLE /* 31 February */
} sp_date_kind;
/* "2027-03-14", "14.03.2027", "3/14/27", "14 March 2027", "Mar 14, 2027", also with a time after
 * it. `order` gets what the text itself says; where it says nothing and two readings are possible,
 * `ambiguous` is set and the date follows `assume`. */
sp_date_kind sp_speed_date_read(const char *text, sp_date_order assume, char date[11],
                                sp_date_order *order, bool *ambiguous);

/* A number with a point or a comma, and what stands after it. False when it begins with none. */
bool sp_speed_number_read(const char *text, double *value, const char **rest);
/* A whole cell: number and perhaps unit. The unit stays where none is written. False: `why`. */
bool sp_speed_cell_read(const char *text, double *value, sp_speed_unit *unit, char *why,
                        size_t size);
/* In m/s and within what a serve may have; else false with `why`. */
bool sp_speed_value_take(double value, sp_speed_unit unit, double *m_per_s, char *why, size_t size);

/* --- a table --------------------------------------------------------------------------------- */
#define SP_TABLE_CELLS_MAX 64

typedef struct {
    const char *at, *end;
    char separator;
    int line; /* of the row read last */
    int next_line;
    char *cells[SP_TABLE_CELLS_MAX]; /* of that row; trimmed, quotes off; in `room` */
    int count;
    bool too_many, open_quote;
    char *room;
} sp_table;

/* Finds the separator in the first line; skips a byte order mark and a line "sep=;". The text must
 * outlive the table. False without memory. */
bool sp_table_open(sp_table *table, const char *text, size_t length);
/* The next row that is not empty; false at the end. */
bool sp_table_next(sp_table *table);
void sp_table_close(sp_table *table);

typedef struct {
    int date, speed, unit, device, player; /* columns; -1: none */
    sp_speed_unit head_unit;
} sp_speed_columns;
/* By the heads in the table's row. `column` as in the options. */
bool sp_speed_columns_find(const sp_table *table, const char *name, const char *column,
                           sp_speed_columns *columns, sp_error *error);

/* The table's bytes with one more row. Without memory the text has failed. */
bool sp_speeds_put_row(sp_text *text, const char *bytes, size_t length, const char *name,
                       const sp_speed *speed, const char *player, sp_error *error);

#endif
