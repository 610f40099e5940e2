/* `check`: the readout held against what is looked for. */
#include "serveplumb/check.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/commands.h"
#include "cli/opened.h"
#include "cli/units.h"
#include "serveplumb/last_time.h"

#define COLUMNS 96

/* Characters of UTF-8, not bytes. */
static int columns_of(const char *word, int bytes) {
    int columns = 0;
    for (int i = 0; i < bytes; i++) columns += ((unsigned char)word[i] & 0xC0) != 0x80;
    return columns;
}

static const char *print_word(const char *text, int indent, int *column) {
    const int bytes = (int)strcspn(text, " \n"), columns = columns_of(text, bytes);
    if (*column > indent && *column + 1 + columns > COLUMNS) {
        printf("\n%*s", indent, "");
        *column = indent;
    } else if (*column > indent) {
        putchar(' ');
        ++*column;
    }
    fwrite(text, 1, (size_t)bytes, stdout);
    *column += columns;
    return text + bytes;
}

/* Broken between words; lines of the text stay lines. */
static void print_words(const char *text, int indent, int *column) {
    while (*text != '\0') {
        text = print_word(text, indent, column);
        for (; *text == ' ' || *text == '\n'; text++) {
            if (*text != '\n') continue;
            printf("\n%*s", text[1] == '\n' ? 0 : indent, "");
            *column = indent;
        }
    }
}

/* Nothing where the text is empty. Of any length: no caution is cut off. */
static void print_sentence(const char *before, const char *text, int indent) {
    int column = indent;
    if (text[0] == '\0') return;
    printf("%*s", indent, "");
    print_words(before, indent, &column);
    print_words(text, indent, &column);
    putchar('\n');
}

static void print_wrapped(const char *text, int indent) { print_sentence("", text, indent); }

static void print_title(const sp_finding *finding) {
    if (finding->place > 0)
        printf("  %d. %s", finding->place, sp_check_get_title(finding->check));
    else
        printf("  %s", sp_check_get_title(finding->check));
    if (finding->frame >= 0) printf("  (frame %d)", finding->frame);
    putchar('\n');
}

/* Folded: what was found, and no advice; the caution of the drop stays. */
static void print_finding(const sp_finding *finding, bool folded) {
    print_title(finding);
    print_sentence("", finding->says, 4);
    if (folded) return;
    if (finding->group == SP_FINDINGS_EYE || finding->group == SP_FINDINGS_CLOSE ||
        finding->group <= SP_FINDINGS_LATER)
        print_sentence("What is looked for: ", sp_check_get_looked_for(finding->check), 4);
    print_sentence("", finding->published, 4);
    print_sentence("", finding->advice, 4);
    print_sentence("Place: ", finding->place_why, 4);
    print_sentence("Source: ", sp_check_get_source(finding->check), 4);
}

static bool is_folded(const sp_finding *finding, bool all) {
    return !all && finding->group != SP_FINDINGS_FIRST && finding->group != SP_FINDINGS_CAREFUL &&
           finding->group != SP_FINDINGS_MEASURING && finding->group != SP_FINDINGS_EYE;
}

static void print_group_title(sp_findings_group group) {
    const char *title = sp_findings_group_title(group);
    printf("\n%c%s\n", toupper((unsigned char)title[0]), title + 1);
}

static void print_people(const sp_review *review, const sp_findings *findings, bool all) {
    bool folded = false;
    printf("%s, seen from the %s, %s-handed\n", sp_review_get_clip(review)->file,
           sp_view_id(sp_review_get_view(review)), sp_hand_id(sp_review_get_player(review)->hand));
    if (sp_findings_asked_count(findings) > 0) printf("\nWhat was asked last time\n");
    for (size_t i = 0; i < sp_findings_asked_count(findings); i++)
        print_wrapped(sp_findings_asked_at(findings, i).words, 2);
    for (size_t i = 0; i < sp_findings_count(findings); i++) {
        const sp_finding *finding = sp_findings_at(findings, i);
        if (i == 0 || sp_findings_at(findings, i - 1)->group != finding->group)
            print_group_title(finding->group);
        print_finding(finding, is_folded(finding, all));
        folded = folded || is_folded(finding, all);
    }
    const char *next = sp_findings_next_clip(findings, NULL);
    if (next[0] != '\0') {
        printf("\nNext clip: a text ready to send\n");
        print_wrapped(next, 2);
    }
    printf("\nCautions\n");
    for (size_t i = 0; i < sp_findings_caution_count(findings); i++)
        print_wrapped(sp_findings_caution_at(findings, i), 2);
    if (folded) printf("\n--all shows each check with its words, its source and its place.\n");
}

static bool print_json(const cli_call *call, const sp_review *review, const sp_findings *findings,
                       sp_error *error) {
    char *json = sp_findings_detach_json(findings, review, call->operand, error);
    if (json == NULL) return false;
    puts(json);
    free(json);
    return true;
}

static bool tell(const cli_call *call, const sp_review *review, const sp_readout *readout,
                 sp_units units, sp_error *error) {
    sp_checks *checks = cli_checks(error);
    sp_findings *findings =
        checks == NULL ? NULL : sp_findings_new(checks, review, readout, units, error);
    sp_last_time last = sp_last_time_read(review, call->operand);
    bool good = findings != NULL && sp_last_time_ask(&last, findings, error);
    sp_last_time_free(&last);
    if (good && cli_given(call, "json"))
        good = print_json(call, review, findings, error);
    else if (good)
        print_people(review, findings, cli_given(call, "all"));
    sp_findings_free(findings);
    sp_checks_free(checks);
    return good;
}

static int run_check(const cli_call *call) {
    sp_error error = {0};
    sp_units units;
    cli_opened opened = {0};
    const bool good = cli_units(call, &units, &error) &&
                      cli_open(call->operand, NULL, &opened, &error) &&
                      tell(call, opened.review, opened.readout, units, &error);
    cli_close(&opened);
    return good ? cli_done() : cli_fail(&error);
}

const cli_command cli_check = {
    .name = "check",
    .operand = "REVIEW",
    .summary = "what is good, what to work on first, what this view cannot show",
    .options = {{"json", 0, NULL, "as JSON, with every check"},
                {"all", 0, NULL, "unfold every check: why, how, source"},
                {"units", 0, "UNITS", "for people: metric (default) or imperial"}},
    .run = run_check,
};
