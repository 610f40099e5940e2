/* `compare`: did it change? */
#include "serveplumb/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/commands.h"
#include "cli/compare_speeds.h"
#include "cli/opened.h"
#include "cli/paths.h"
#include "cli/units.h"

#define MEASURES_MAX 64

/* All serves of one side, those of one view picked out of them. */
typedef struct {
    cli_paths paths;
    cli_opened *opened;
    size_t count;
    sp_serve *picked;
    sp_day day;
} side;

/* --- in and out ------------------------------------------------------------------------------ */
static bool open_side(side *s, const char *names, sp_error *error) {
    s->day.name = names;
    if (!cli_paths_add_group(&s->paths, names, error)) return false;
    s->opened = calloc(s->paths.count, sizeof *s->opened);
    s->picked = calloc(s->paths.count, sizeof *s->picked);
    s->day.serves = s->picked;
    if (s->opened == NULL || s->picked == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the serves");
    for (; s->count < s->paths.count; s->count++) {
        cli_opened *opened = &s->opened[s->count];
        if (!cli_open(s->paths.list[s->count], NULL, opened, error)) return false;
        /* The readout has taken what it needs of it. */
        sp_clip_close(opened->clip);
        opened->clip = NULL;
    }
    return true;
}

static void close_side(side *s) {
    for (size_t i = 0; i < s->count; i++) cli_close(&s->opened[i]);
    free(s->picked);
    free(s->opened);
    cli_paths_clear(&s->paths);
}

/* How many of the side are of the view. */
static size_t pick(side *s, sp_view view) {
    s->day.count = 0;
    for (size_t i = 0; i < s->count; i++)
        if (sp_review_get_view(s->opened[i].review) == view)
            s->picked[s->day.count++] = (sp_serve){s->opened[i].review, s->opened[i].readout};
    return s->day.count;
}

/* --- for people ------------------------------------------------------------------------------ */
static void print_name(const sp_change *change) {
    char name[96];
    snprintf(name, sizeof name, "%s%s%s", change->kind->title,
             change->kind->moment[0] == '\0' ? "" : ", ", change->kind->moment);
    printf("  %-36s ", name);
}

/* Padded by characters: the degree sign is two bytes. */
static void print_padded(const char *text, int width) {
    int columns = 0;
    for (const char *c = text; *c != '\0'; c++) columns += ((unsigned char)*c & 0xC0) != 0x80;
    printf("%s%*s", text, columns < width ? width - columns : 0, "");
}

static void print_day(const sp_change *change, const sp_day_value *value, sp_units units) {
    const sp_measure measure = {
        .kind = change->kind, .value = value->value, .status = value->status};
    char text[128];
    sp_measure_text(&measure, units, text, sizeof text);
    print_padded(text, 26);
}

static void print_numbers(const sp_change *change, sp_units units) {
    char text[160];
    print_name(change);
    print_day(change, &change->before, units);
    print_day(change, &change->after, units);
    sp_change_difference_text(change, units, text, sizeof text);
    print_padded(text, 27);
    sp_change_detectable_text(change, units, text, sizeof text);
    printf("%s\n", text);
}

static void print_heads(const sp_change *change, bool first) {
    if (!first) return;
    if (change->verdict == SP_CHANGE_NOT_COMPARABLE) {
        printf("\nnot comparable, and why\n");
        return;
    }
    printf("\n%-38s %-26s%-26s%-27s%s\n", sp_change_title(change), "before", "after", "difference",
           "detectable");
}

static void print_verdict(const sp_comparison *comparison, sp_change_verdict verdict,
                          bool of_serves, sp_units units) {
    bool first = true;
    for (size_t i = 0; i < sp_comparison_count(comparison); i++) {
        const sp_change *change = sp_comparison_at(comparison, i);
        if (change->verdict != verdict) continue;
        if (verdict == SP_CHANGE_CHANGED && change->of_serves != of_serves) continue;
        print_heads(change, first);
        first = false;
        if (verdict != SP_CHANGE_NOT_COMPARABLE) {
            print_numbers(change, units);
            /* Told apart from zero by its own interval, and yet not called changed. */
            if (verdict == SP_CHANGE_WITHIN_ERROR &&
                (change->difference.low > 0 || change->difference.high < 0))
                printf("    %s\n", change->words);
            continue;
        }
        print_name(change);
        printf("%s\n", change->words);
    }
}

static void print_people(const sp_comparison *comparison, const side *a, const side *b,
                         sp_units units) {
    const sp_view one = sp_review_get_view(a->day.serves[0].review);
    const sp_view other = sp_review_get_view(b->day.serves[0].review);
    printf("%s (%zu serve%s, %s view) and %s (%zu serve%s, %s view): %zu measures compared\n",
           a->day.name, a->day.count, a->day.count == 1 ? "" : "s", sp_view_id(one), b->day.name,
           b->day.count, b->day.count == 1 ? "" : "s", sp_view_id(other),
           sp_comparison_compared(comparison));
    print_verdict(comparison, SP_CHANGE_CHANGED, false, units);
    print_verdict(comparison, SP_CHANGE_CHANGED, true, units);
    print_verdict(comparison, SP_CHANGE_WITHIN_ERROR, false, units);
    print_verdict(comparison, SP_CHANGE_NOT_COMPARABLE, false, units);
    for (size_t i = 0; i < sp_comparison_caution_count(comparison); i++)
        printf("%s%s\n", i == 0 ? "\n" : "", sp_comparison_caution_at(comparison, i));
}

/* --- the command ----------------------------------------------------------------------------- */
typedef struct {
    const cli_call *call;
    side before, after;
    sp_compare_options options;
    char names[2048];
    const char *ids[MEASURES_MAX];
    cli_side_speeds speeds;
    sp_text together; /* what changed together with the speed */
    bool common;      /* the sides have a view in common */
    size_t told;
} comparing;

/* --- speeds, and what is left out ------------------------------------------------------------ */
static bool find_speeds(comparing *c, sp_error *error) {
    const size_t count = c->before.count + c->after.count;
    const sp_review **reviews = calloc(count + 1, sizeof(sp_review *));
    if (reviews == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory left for the serves");
    for (size_t i = 0; i < count; i++)
        reviews[i] = i < c->before.count ? c->before.opened[i].review
                                         : c->after.opened[i - c->before.count].review;
    const bool good =
        cli_side_speeds_find(reviews, c->before.count, reviews + c->before.count, c->after.count,
                             cli_value(c->call, "speeds"), c->options.units, &c->speeds, error);
    free(reviews);
    return good;
}

static bool has_view(const side *s, sp_view view) {
    for (size_t i = 0; i < s->count; i++)
        if (sp_review_get_view(s->opened[i].review) == view) return true;
    return false;
}

/* A view that only one side has tells nothing, and is not passed over in silence. */
static void print_left_out(const side *of, const side *other, bool json, bool *first) {
    for (size_t i = 0; i < of->count; i++) {
        const sp_view view = sp_review_get_view(of->opened[i].review);
        if (has_view(other, view)) continue;
        if (json) {
            sp_text name = {0};
            sp_text_append_json_string(&name, of->paths.list[i]);
            printf("%s%s", *first ? "" : ", ", sp_text_get(&name));
            sp_text_clear(&name);
        } else {
            printf("%s  %s (%s view)\n",
                   *first ? "\nleft out: the other side has no serve of that view\n" : "",
                   of->paths.list[i], sp_view_id(view));
        }
        *first = false;
    }
}

static void print_all_left_out(const comparing *c, bool json) {
    bool first = true;
    if (!c->common) return;
    print_left_out(&c->before, &c->after, json, &first);
    print_left_out(&c->after, &c->before, json, &first);
}

static void print_json_end(const comparing *c) {
    const sp_speed_change *change = &c->speeds.change;
    printf("\n],\n\"left_out\": [");
    print_all_left_out(c, true);
    printf("],\n\"speeds\": ");
    if (!c->speeds.compared) {
        puts("null}");
        return;
    }
    sp_text text = {0};
    sp_text_format(&text, "{\"difference\": %.9g, \"unit\": \"m/s\", \"differs\": %s, \"words\": ",
                   change->after->summary.mean - change->before->summary.mean,
                   change->differs ? "true" : "false");
    sp_text_append_json_string(&text, change->words);
    sp_text_append(&text, ", \"conclusion\": ");
    sp_text_append_json_string(&text, change->conclude);
    printf("%s, \"together\": [%s]}}\n", sp_text_get(&text), sp_text_get(&c->together));
    sp_text_clear(&text);
}

static void print_people_end(const comparing *c) {
    print_all_left_out(c, false);
    if (c->speeds.compared)
        printf("\nserve speed\n%s\n%s\n%s", c->speeds.change.words, c->speeds.change.conclude,
               sp_text_get(&c->together));
    else if (c->speeds.why[0] != '\0')
        printf("\n%s\n", c->speeds.why);
}

static void take_together(comparing *c, const sp_comparison *comparison) {
    const bool json = cli_given(c->call, "json");
    for (size_t i = 0; c->speeds.compared && i < sp_comparison_count(comparison); i++) {
        char text[400];
        sp_together_text(sp_comparison_at(comparison, i), &c->speeds.change, c->options.units, text,
                         sizeof text);
        if (text[0] == '\0') continue;
        if (json) {
            if (c->together.length > 0) sp_text_append(&c->together, ", ");
            sp_text_append_json_string(&c->together, text);
        } else {
            sp_text_format(&c->together, "%s\n", text);
        }
    }
}

static bool tell(comparing *c, sp_error *error) {
    sp_comparison *comparison =
        sp_comparison_new(&c->before.day, &c->after.day, &c->options, error);
    bool good = comparison != NULL;
    if (good && cli_given(c->call, "json")) {
        char *json = sp_comparison_detach_json(comparison, &c->before.day, &c->after.day, error);
        good = json != NULL;
        if (good) printf("%s%s", c->told > 0 ? ",\n" : "{\"comparisons\": [\n", json);
        free(json);
    } else if (good) {
        if (c->told > 0) putchar('\n');
        print_people(comparison, &c->before, &c->after, c->options.units);
    }
    if (good) take_together(c, comparison);
    c->told += good;
    sp_comparison_free(comparison);
    return good;
}

/* Each view that both have; where they have none in common, the first of each, which says so for
 * every measure. */
static bool tell_views(comparing *c, sp_error *error) {
    for (int v = SP_VIEW_SIDE; v <= SP_VIEW_OBLIQUE; v++)
        if (pick(&c->before, (sp_view)v) > 0 && pick(&c->after, (sp_view)v) > 0 && !tell(c, error))
            return false;
    c->common = c->told > 0;
    if (c->common) return true;
    pick(&c->before, sp_review_get_view(c->before.opened[0].review));
    pick(&c->after, sp_review_get_view(c->after.opened[0].review));
    return tell(c, error);
}

static bool take_measures(comparing *c, sp_error *error) {
    const char *words = cli_value(c->call, "measures");
    if (words == NULL) return true;
    if (!sp_text_copy(c->names, sizeof c->names, words))
        return sp_fail(error, SP_ERROR_LIMIT, "'--measures': too many; name fewer");
    char *rest = c->names;
    for (char *id; (id = strsep(&rest, ",")) != NULL;) {
        if (c->options.id_count == MEASURES_MAX)
            return sp_fail(error, SP_ERROR_LIMIT, "'--measures': at most %d", MEASURES_MAX);
        c->ids[c->options.id_count++] = id;
    }
    c->options.ids = c->ids;
    return true;
}

static bool compare(comparing *c, sp_error *error) {
    c->options.same_camera = cli_given(c->call, "same-camera");
    if (c->call->operand_count != 2)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'compare' needs two: BEFORE AFTER, each a review, several with commas "
                       "between them, or a folder");
    if (!cli_units(c->call, &c->options.units, error) || !take_measures(c, error) ||
        !open_side(&c->before, c->call->operands[0], error) ||
        !open_side(&c->after, c->call->operands[1], error))
        return false;
    if (!find_speeds(c, error) || !tell_views(c, error)) return false;
    if (cli_given(c->call, "json"))
        print_json_end(c);
    else
        print_people_end(c);
    return true;
}

static int run_compare(const cli_call *call) {
    sp_error error = {0};
    static comparing c;
    c = (comparing){.call = call};
    const bool good = compare(&c, &error);
    cli_side_speeds_clear(&c.speeds);
    sp_text_clear(&c.together);
    close_side(&c.before);
    close_side(&c.after);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_compare = {
    .name = "compare",
    .operand = "BEFORE AFTER",
    .operand_most = 2,
    .summary = "did it change? each a review, several (A,B,C) or the folder of a day",
    .options = {{"json", 0, NULL, "as JSON, in SI units and degrees"},
                {"measures", 0, "ID,ID...", "only these, which can then be told from less"},
                {"same-camera", 0, NULL, "it stood and looked the same on both days"},
                {"speeds", 0, "CSV", "serve speeds; those of the days reviewed"},
                {"units", 0, "UNITS", "for people: metric (default) or imperial"}},
    .run = run_compare,
};
