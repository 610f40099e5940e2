#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "deliver/html.h"
#include "deliver/page_beside.h"
#include "filmed.h"
#include "grey_clip.h"
#include "serveplumb/page.h"

static int make_clip(void **state) {
    (void)state;
    return grey_folder_make("1080x1920");
}

typedef struct {
    filmed film;
    sp_clip *clip;
    sp_readout *readout;
    sp_checks *checks;
    sp_findings *findings;
} desk;

static void find(desk *d) {
    sp_findings_free(d->findings);
    d->findings = sp_findings_new(d->checks, d->film.review, d->readout, SP_UNITS_METRIC, NULL);
    assert_non_null(d->findings);
}

static desk desk_new(void) {
    desk d = {.film = filmed_serve((film){.view = SP_VIEW_SIDE})};
    /* A head that travels 83 cm: something to work on. */
    filmed_put(&d.film, CONTACT, SP_POINT_RIGHT_EAR, 1.16, 1.83);
    d.clip = sp_clip_open(path_of("serve.mp4"), NULL, NULL);
    d.readout = filmed_read(&d.film, 150, 0);
    d.checks = sp_checks_new(NULL, NULL, NULL);
    find(&d);
    return d;
}

static void desk_free(desk *d) {
    sp_findings_free(d->findings);
    sp_checks_free(d->checks);
    sp_readout_free(d->readout);
    sp_clip_close(d->clip);
    filmed_free(&d->film);
}

static char *page_of(const desk *d, const char *reel) {
    const sp_page_part part = {.clip = d->clip,
                               .review = d->film.review,
                               .readout = d->readout,
                               .findings = d->findings,
                               .reel_path = reel};
    sp_error error = {0};
    if (!sp_page_write(&part, 1, &(sp_page_options){0}, path_of("page.html"), &error))
        fail_msg("%s", error.message);
    char *text;
    size_t length;
    assert_true(sp_file_read(path_of("page.html"), (size_t)64 << 20, &text, &length, NULL));
    return text;
}

/* --- text --------------------------------------------------------------------------------------
 */

static void assert_html(const char *text, const char *expected) {
    sp_text html = {0};
    sp_html_text(&html, text);
    assert_string_equal(sp_text_get(&html), expected);
    sp_text_clear(&html);
}

static void markup_is_escaped_and_what_steers_is_left_out(void **state) {
    (void)state;
    assert_html("<a b='c' d=\"e\">&", "&lt;a b=&#39;c&#39; d=&quot;e&quot;&gt;&amp;");
    assert_html("a\x01\x1b[2J\x7f\tb\nc", "a[2J\tb\nc");
    assert_html("\xe2\x80\xae"
                "dcba\xe2\x80\xac \xe2\x81\xa6x\xe2\x81\xa9\xe2\x80\x8f\xd8\x9c\xc2\x85",
                "dcba x");
    assert_html("\xd7\x90\xd7\x91 \xe2\x80\x99 \xe2\x80\x93",
                "\xd7\x90\xd7\x91 \xe2\x80\x99 \xe2\x80\x93");
    assert_html("\xff"
                "a\xc0\xaf\xed\xa0\x80\xf4\x90\x80\x80z\xe2\x80",
                "\xef\xbf\xbd"
                "a\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf"
                "\xbd\xef\xbf\xbd\xef\xbf\xbd"
                "z\xef\xbf\xbd\xef\xbf\xbd");
}

/* RFC 4648, section 10: test vectors. */
static void base64_agrees_with_the_rfc(void **state) {
    (void)state;
    static const char *const vectors[][2] = {{"", ""},
                                             {"f", "Zg=="},
                                             {"fo", "Zm8="},
                                             {"foo", "Zm9v"},
                                             {"foob", "Zm9vYg=="},
                                             {"fooba", "Zm9vYmE="},
                                             {"foobar", "Zm9vYmFy"}};
    for (size_t i = 0; i < sizeof vectors / sizeof vectors[0]; i++) {
        sp_text html = {0};
        sp_html_base64(&html, (const uint8_t *)vectors[i][0], strlen(vectors[i][0]));
        assert_string_equal(sp_text_get(&html), vectors[i][1]);
        sp_text_clear(&html);
    }
}

/* --- what is sent ------------------------------------------------------------------------------
 */

static void only_findings_that_the_coach_has_seen_are_on_the_page(void **state) {
    (void)state;
    desk d = desk_new();
    const sp_finding *good = NULL, *first = NULL;
    for (size_t i = 0; i < sp_findings_count(d.findings); i++) {
        const sp_finding *finding = sp_findings_at(d.findings, i);
        if (finding->group == SP_FINDINGS_GOOD && good == NULL) good = finding;
        if (finding->group == SP_FINDINGS_FIRST && first == NULL) first = finding;
    }
    assert_non_null(good);
    assert_non_null(first);
    char *before = page_of(&d, NULL);
    assert_null(strstr(before, "What is good"));
    assert_null(strstr(before, "To work on first"));
    assert_non_null(strstr(before, "Please read"));
    char id[SP_REVIEW_ID_MAX];
    snprintf(id, sizeof id, "%s", sp_check_get_id(first->check));
    assert_true(sp_finding_mark_seen(d.film.review, good, true, NULL));
    assert_true(sp_finding_mark_seen(d.film.review, first, true, NULL));
    find(&d);
    char *after = page_of(&d, NULL);
    const char *of_good = strstr(after, "What is good"),
               *of_first = strstr(after, "To work on first");
    assert_true(of_good != NULL && of_first != NULL && of_good < of_first);
    sp_text advice = {0};
    sp_html_text(&advice, sp_findings_find(d.findings, id)->advice);
    assert_true(strlen(sp_text_get(&advice)) > 20);
    assert_non_null(strstr(of_first, sp_text_get(&advice))); /* with its caution: one text */
    sp_text_clear(&advice);
    free(before);
    free(after);
    desk_free(&d);
}

static void a_clip_too_large_for_the_page_is_pointed_at_by_its_name(void **state) {
    (void)state;
    desk d = desk_new();
    char reel[320];
    snprintf(reel, sizeof reel, "%s", path_of("a large & slow.mp4"));
    FILE *file = fopen(reel, "w");
    assert_int_equal(ftruncate(fileno(file), (off_t)SP_PAGE_CLIP_BYTES_MAX + 1), 0);
    assert_false(sp_page_holds(reel));
    char *beside = page_of(&d, reel);
    assert_non_null(strstr(beside, "<a href=\"a%20large%20%26%20slow.mp4\">"));
    assert_non_null(strstr(beside, "media-src data: 'self';"));
    assert_null(strstr(beside, folder));
    assert_int_equal(ftruncate(fileno(file), 4711), 0);
    fclose(file);
    char *inside = page_of(&d, reel);
    assert_non_null(strstr(inside, "src=\"data:video/mp4;base64,AAAA"));
    assert_non_null(strstr(inside, "media-src data:;"));
    free(beside);
    free(inside);
    desk_free(&d);
}

static void write_words(const char *name, const char *words) {
    assert_true(sp_file_write(path_of(name), words, strlen(words), NULL));
}

static void assert_holds(const char *name, const char *words) {
    char *bytes;
    size_t length;
    assert_true(sp_file_read(path_of(name), 4096, &bytes, &length, NULL));
    assert_string_equal(bytes, words);
    free(bytes);
}

/* A clip of these words beside the page. */
static sp_page_beside put_beside(const char *words) {
    char page[320], rendered[320];
    sp_page_beside beside;
    snprintf(page, sizeof page, "%s", path_of("own page.html"));
    snprintf(rendered, sizeof rendered, "%s", path_of("rendered.mp4"));
    write_words("rendered.mp4", words);
    assert_true(sp_page_beside_put(&beside, page, 1, rendered, NULL));
    assert_int_not_equal(access(rendered, F_OK), 0);
    return beside;
}

static void a_clip_beside_the_page_never_takes_a_strangers_name(void **state) {
    (void)state;
    write_words("own page-clip-1.mp4", "a stranger's");
    sp_page_beside beside = put_beside("first");
    assert_string_equal(beside.path, path_of("own page-clip-1-2.mp4"));
    sp_page_beside_keep(&beside);
    assert_holds("own page-clip-1.mp4", "a stranger's");
    assert_holds("own page-clip-1-2.mp4", "first");
    /* the page now names what was made with it, and not the stranger's */
    write_words("own page.html", "<a href=\"own%20page-clip-1-2.mp4\">open the clip</a>");
    beside = put_beside("second");
    assert_string_equal(beside.path, path_of("own page-clip-1-2.mp4"));
    sp_page_beside_undo(&beside); /* the second page could not be written */
    assert_holds("own page-clip-1-2.mp4", "first");
    beside = put_beside("third");
    sp_page_beside_keep(&beside);
    assert_holds("own page-clip-1-2.mp4", "third");
    assert_int_not_equal(access(beside.was, F_OK), 0);
    assert_holds("own page-clip-1.mp4", "a stranger's");
    assert_int_equal(remove(path_of("own page.html")), 0);
}

static void a_clip_that_finds_no_place_beside_the_page_is_told_of(void **state) {
    (void)state;
    sp_page_beside beside;
    sp_error error = {0};
    write_words("rendered.mp4", "words");
    char rendered[320];
    snprintf(rendered, sizeof rendered, "%s", path_of("rendered.mp4"));
    assert_false(sp_page_beside_put(&beside, "/nonexistent/p.html", 1, rendered, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_non_null(strstr(error.message, "/nonexistent/p-clip-1.mp4"));
    sp_page_beside_undo(&beside); /* harmless */
    assert_holds("rendered.mp4", "words");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(markup_is_escaped_and_what_steers_is_left_out),
        cmocka_unit_test(base64_agrees_with_the_rfc),
        cmocka_unit_test(only_findings_that_the_coach_has_seen_are_on_the_page),
        cmocka_unit_test(a_clip_too_large_for_the_page_is_pointed_at_by_its_name),
        cmocka_unit_test(a_clip_beside_the_page_never_takes_a_strangers_name),
        cmocka_unit_test(a_clip_that_finds_no_place_beside_the_page_is_told_of),
    };
    return cmocka_run_group_tests_name("deliver: page", tests, make_clip, grey_folder_remove);
}
