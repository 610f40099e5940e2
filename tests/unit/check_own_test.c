/* The checks file: built in, and the coach's own. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "checked.h"

typedef struct {
    char folder[64], path[96];
} own_file;

static int make_folder(void **state) {
    own_file *own = calloc(1, sizeof *own);
    strcpy(own->folder, "/tmp/serveplumb-checks-XXXXXX");
    if (mkdtemp(own->folder) == NULL) return -1;
    snprintf(own->path, sizeof own->path, "%s/checks.json", own->folder);
    *state = own;
    return 0;
}

static int remove_folder(void **state) {
    own_file *own = *state;
    unlink(own->path);
    rmdir(own->folder);
    free(own);
    return 0;
}

static void write_text(const own_file *own, const char *text) {
    FILE *file = fopen(own->path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

#define FILE_OF(entries)                                                                           \
    "{\"format\": \"serveplumb-checks\", \"version\": 1, \"checks\": [" entries "]}"
#define WHOLE(more)                                                                                \
    "{\"id\": \"ball_seen\", \"title\": \"Ball watched\", \"moment\": \"contact\", "               \
    "\"views\": [\"side\"], \"weight\": 3, \"looked_for\": \"Eyes on the ball.\", "                \
    "\"source\": \"our club\", \"why\": \"To hit it.\", \"work\": \"Watch it.\"" more "}"

/* The file must be taken whole. */
static sp_checks *taken(const own_file *own, const char *text) {
    sp_error fault = {0};
    write_text(own, text);
    sp_checks *checks = sp_checks_new(own->path, &fault, NULL);
    if (fault.code != SP_ERROR_NONE) fail_msg("%s", fault.message);
    assert_non_null(checks);
    return checks;
}

static size_t builtin_count(void) {
    sp_checks *checks = sp_checks_new(NULL, NULL, NULL);
    const size_t count = sp_checks_count(checks);
    sp_checks_free(checks);
    return count;
}

static void built_in_checks_say_all_that_is_asked_of_them(void **state) {
    (void)state;
    sp_error error = {0};
    sp_checks *checks = sp_checks_new(NULL, NULL, &error);
    if (checks == NULL) fail_msg("%s", error.message);
    assert_true(sp_checks_count(checks) >= 20);
    for (size_t i = 0; i < sp_checks_count(checks); i++) {
        const sp_check *check = sp_checks_at(checks, i);
        assert_ptr_equal(sp_checks_find(checks, sp_check_get_id(check)), check);
        assert_true(strlen(sp_check_get_title(check)) < 70);
        const char *looked_for = sp_check_get_looked_for(check);
        assert_int_equal(looked_for[strlen(looked_for) - 1], '.');
        assert_true(strlen(sp_check_get_source(check)) > 10);
        assert_true(sp_check_get_views(check) != 0);
        assert_in_range(sp_check_get_weight(check), 0, 10);
    }
    assert_null(sp_checks_find(checks, "ball_seen"));
    sp_checks_free(checks);
}

static void a_file_that_is_not_there_is_no_fault(void **state) {
    sp_error fault = {0};
    sp_checks *checks = sp_checks_new(((own_file *)*state)->path, &fault, NULL);
    assert_int_equal(fault.code, SP_ERROR_NONE);
    assert_int_equal(sp_checks_count(checks), builtin_count());
    sp_checks_free(checks);
}

static void own_checks_are_added(void **state) {
    sp_checks *checks = taken(*state, FILE_OF(WHOLE("")));
    assert_int_equal(sp_checks_count(checks), builtin_count() + 1);
    const sp_check *check = sp_checks_find(checks, "ball_seen");
    assert_string_equal(sp_check_get_title(check), "Ball watched");
    assert_true(sp_check_is_by_eye(check));
    assert_int_equal(sp_check_get_views(check), SP_VIEW_BIT(SP_VIEW_SIDE));
    sp_checks_free(checks);
}

static void own_entries_change_built_in_checks_member_by_member(void **state) {
    sp_checks *checks =
        taken(*state, FILE_OF("{\"id\": \"tempo\", \"weight\": 10, \"title\": \"No stop\"}"));
    const sp_check *check = sp_checks_find(checks, "tempo");
    assert_int_equal(sp_checks_count(checks), builtin_count());
    assert_int_equal(sp_check_get_weight(check), 10);
    assert_string_equal(sp_check_get_title(check), "No stop");
    assert_holds(sp_check_get_looked_for(check), "From the drop to contact");
    assert_holds(sp_check_get_source(check), "no published times could be confirmed");
    sp_checks_free(checks);
}

static void own_entries_take_checks_out(void **state) {
    sp_checks *checks = taken(*state, FILE_OF("{\"id\": \"tempo\", \"off\": true},"
                                              "{\"id\": \"not there\", \"off\": true},"
                                              "{\"id\": \"toss_fall\", \"off\": false}"));
    assert_int_equal(sp_checks_count(checks), builtin_count() - 1);
    assert_null(sp_checks_find(checks, "tempo"));
    assert_non_null(sp_checks_find(checks, "toss_fall"));
    sp_checks_free(checks);
}

/* A publication does not stand behind limits that are not its own. */
static void own_limits_lose_the_publication_behind_them(void **state) {
    const char tests[] = FILE_OF(
        "{\"id\": \"elbow_at_contact\", \"tests\": [{\"measure\": \"elbow_angle\", \"moment\": "
        "\"contact\", \"low\": 171}]}");
    sp_checks *checks = taken(*state, tests);
    assert_string_equal(sp_check_get_source(sp_checks_find(checks, "elbow_at_contact")),
                        "limits of the coach's own");
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_put(&f, CONTACT, SP_POINT_RIGHT_ELBOW, 0.46, 2.03); /* 149 degrees */
    checked c = checked_by(&f, checks, SP_UNITS_METRIC);
    assert_int_equal(checked_find(&c, "elbow_at_contact")->status, SP_CHECK_NOT_MET);
    assert_holds(checked_find(&c, "elbow_at_contact")->says, "looked for: 171° or more");
    checked_free(&c);
    filmed_free(&f);
}

/* Whatever a file says of the drop, its caution stays. */
static void own_checks_of_the_drop_carry_its_caution(void **state) {
    const char text[] =
        FILE_OF("{\"id\": \"deeper\", \"title\": \"Deep drop\", \"moment\": \"contact\", "
                "\"views\": [\"side\"], \"weight\": 9, \"looked_for\": \"Deep.\", \"source\": "
                "\"us\", \"why\": \"Power.\", \"work\": \"Force it down.\", \"tests\": "
                "[{\"measure\": \"hand_elbow_gap\", \"moment\": \"drop\", \"high\": -0.4}]},"
                "{\"id\": \"by eye\", \"title\": \"Deep drop\", \"moment\": \"drop\", \"views\": "
                "[\"side\"], \"weight\": 9, \"looked_for\": \"Deep.\", \"source\": \"us\", "
                "\"why\": \"Power.\", \"work\": \"Force it down.\"},"
                "{\"id\": \"hand_low_in_drop\", \"moment\": \"contact\", \"work\": \"Force it "
                "down.\"}");
    filmed f = filmed_serve((film){.view = SP_VIEW_SIDE});
    filmed_put(&f, DROP, SP_POINT_RIGHT_HAND, -0.37, 2.01);
    const sp_judgement not_met = {.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    assert_true(sp_review_set_judgement(f.review, "by eye", &not_met, NULL));
    for (int healthy = 0; healthy < 2; healthy++) {
        checked_shoulder(&f, healthy ? SP_SHOULDER_HEALTHY : SP_SHOULDER_UNKNOWN);
        checked c = checked_by(&f, taken(*state, text), SP_UNITS_METRIC);
        const char *const ids[] = {"deeper", "by eye", "hand_low_in_drop"};
        for (int i = 0; i < 3; i++) {
            const sp_finding *finding = checked_find(&c, ids[i]);
            assert_int_equal(finding->status, SP_CHECK_NOT_MET);
            assert_int_equal(strstr(finding->advice, "Force") != NULL, healthy);
            assert_holds(finding->advice, healthy ? "Warm up first" : "physician first");
        }
        checked_free(&c);
    }
    filmed_free(&f);
}

/* --- what is refused ------------------------------------------------------------------------- */
static const struct {
    const char *text, *says;
} FAULTS[] = {
    {"", "expected"},
    {"[]", "checks.json: expected an object"},
    {"{\"format\": \"serveplumb-checks\", \"version\": 1}", "checks: expected this member"},
    {"{\"format\": \"serveplumb-review\", \"version\": 1, \"checks\": []}",
     "format: expected \"serveplumb-checks\""},
    {"{\"format\": \"serveplumb-checks\", \"version\": 2, \"checks\": []}",
     "version: expected 1, not 2"},
    {"{\"format\": \"serveplumb-checks\", \"version\": 1, \"checks\": [], \"chekcs\": []}",
     "chekcs: expected no member of this name"},
    {"{\"format\": \"serveplumb-checks\", \"version\": 1, \"checks\": [], \"cautions\": {}}",
     "cautions: expected no such member: the cautions are the same for everyone"},
    {FILE_OF("7"), "checks[0]: expected an object"},
    {FILE_OF("{\"weight\": 3}"), "checks[0].id: expected this member"},
    {FILE_OF("{\"id\": \"tempo\", \"wieght\": 3}"), "checks[0].wieght: expected no member"},
    {FILE_OF("{\"id\": \"tempo\", \"weight\": 11}"),
     "checks[0].weight: expected a whole number from 0 to 10, not 11"},
    {FILE_OF("{\"id\": \"tempo\", \"weight\": 2.5}"), "checks[0].weight: expected a whole number"},
    {FILE_OF("{\"id\": \"tempo\", \"off\": \"yes\"}"), "checks[0].off: expected true or false"},
    {FILE_OF("{\"id\": \"tempo\", \"title\": \"\"}"), "checks[0].title: expected one line of text"},
    {FILE_OF("{\"id\": \"tempo\", \"work\": \"a\\nb\"}"), "checks[0].work: expected one line"},
    {FILE_OF("{\"id\": \"tempo\", \"views\": [\"top\"]}"),
     "checks[0].views[0]: expected side, back, front or oblique"},
    {FILE_OF("{\"id\": \"tempo\", \"views\": []}"), "checks[0].views: expected one view at least"},
    {FILE_OF("{\"id\": \"knee_bend\", \"views\": [\"back\"]}"),
     "checks[0].views: expected only views from which front knee angle can be had"},
    {FILE_OF("{\"id\": \"tempo\", \"about\": \"shoes\"}"),
     "checks[0].about: expected serve or measuring, not 'shoes'"},
    {FILE_OF("{\"id\": \"tempo\"}, {\"id\": \"tempo\"}"), "checks[0].id: expected an id that no"},
    {FILE_OF("{\"id\": \"tempo\"}, {\"id\": \"new\"}"), "checks[1].title: expected this member"},
    {FILE_OF(WHOLE(", \"tests\": {}")), "checks[0].tests: expected an array"},
    {FILE_OF(WHOLE(", \"tests\": [{\"moment\": \"drop\", \"low\": 1}]")),
     "checks[0].tests[0].measure: expected this member"},
    {FILE_OF(WHOLE(", \"tests\": [{\"measure\": \"gap\", \"moment\": \"drop\", \"low\": 1}]")),
     "checks[0].tests[0].measure: expected a measure of this moment"},
    {FILE_OF(WHOLE(", \"tests\": [{\"measure\": \"hand_elbow_gap\", \"moment\": \"drop\"}]")),
     "checks[0].tests: expected low or high in one of them"},
    {FILE_OF(WHOLE(", \"tests\": [{\"measure\": \"hand_elbow_gap\", \"moment\": \"drop\", "
                   "\"low\": 1, \"high\": -1}]")),
     "checks[0].tests[0].high: expected a number above low, 1, not -1"},
    {FILE_OF(WHOLE(", \"tests\": [{\"measure\": \"hand_elbow_gap\", \"moment\": \"drop\", "
                   "\"hihg\": 1}]")),
     "checks[0].tests[0].hihg: expected no member"},
    {FILE_OF(WHOLE(", \"tests\": [{\"measure\": \"hand_elbow_gap\", \"moment\": \"drop\", "
                   "\"high\": 1, \"instead\": {\"measure\": \"x\", \"moment\": \"drop\"}}]")),
     "checks[0].tests[0].instead.measure: expected a measure"},
    {FILE_OF(WHOLE(", \"published\": [{\"name\": \"x\", \"value\": 1, \"unit\": \"feet\", "
                   "\"among\": \"us\", \"source\": \"us\"}]")),
     "checks[0].published[0].unit: expected deg, m, s, m/s or ratio, not 'feet'"},
    {FILE_OF(WHOLE(", \"published\": [{\"name\": \"x\", \"value\": 1, \"sd\": -2, \"unit\": "
                   "\"deg\", \"among\": \"us\", \"source\": \"us\"}]")),
     "checks[0].published[0].sd: expected 0 or more"},
    {FILE_OF(WHOLE(", \"published\": [{\"name\": \"x\", \"value\": 1, \"unit\": \"deg\"}]")),
     "checks[0].published[0].among: expected this member"},
};

static void
a_fault_is_one_line_that_names_the_member_and_the_built_in_checks_are_used(void **state) {
    own_file *own = *state;
    for (size_t i = 0; i < sizeof FAULTS / sizeof FAULTS[0]; i++) {
        sp_error fault = {0}, error = {0};
        write_text(own, FAULTS[i].text);
        sp_checks *checks = sp_checks_new(own->path, &fault, &error);
        assert_non_null(checks);
        assert_int_equal(error.code, SP_ERROR_NONE);
        assert_int_equal(fault.code, SP_ERROR_FORMAT);
        assert_holds(fault.message, own->path);
        assert_holds(fault.message, FAULTS[i].says);
        assert_holds(fault.message, "; the built-in checks are used");
        assert_null(strchr(fault.message, '\n'));
        assert_int_equal(sp_checks_count(checks), builtin_count());
        assert_int_equal(sp_check_get_weight(sp_checks_find(checks, "tempo")), 4);
        sp_checks_free(checks);
    }
}

/* Nothing of a file is taken when its last entry is wrong. */
static void a_file_is_taken_whole_or_not_at_all(void **state) {
    own_file *own = *state;
    sp_error fault = {0};
    write_text(own, FILE_OF("{\"id\": \"tempo\", \"weight\": 10}, {\"id\": \"toss_fall\", "
                            "\"off\": true}, {\"id\": \"toss_height\", \"weight\": -1}"));
    sp_checks *checks = sp_checks_new(own->path, &fault, NULL);
    assert_holds(fault.message, "checks[2].weight");
    assert_int_equal(sp_check_get_weight(sp_checks_find(checks, "tempo")), 4);
    assert_non_null(sp_checks_find(checks, "toss_fall"));
    sp_checks_free(checks);
}

static void a_folder_in_its_place_is_told(void **state) {
    own_file *own = *state;
    sp_error fault = {0};
    assert_int_equal(mkdir(own->path, 0700), 0);
    sp_checks *checks = sp_checks_new(own->path, &fault, NULL);
    assert_int_not_equal(fault.code, SP_ERROR_NONE);
    assert_holds(fault.message, "the built-in checks are used");
    assert_int_equal(sp_checks_count(checks), builtin_count());
    sp_checks_free(checks);
    rmdir(own->path);
}

static void no_more_checks_than_there_is_room_for(void **state) {
    own_file *own = *state;
    FILE *file = fopen(own->path, "w");
    assert_non_null(file);
    fputs("{\"format\": \"serveplumb-checks\", \"version\": 1, \"checks\": [", file);
    for (int i = 0; i < 101; i++)
        fprintf(file,
                "%s{\"id\": \"own%d\", \"title\": \"t\", \"moment\": \"\", \"views\": [\"side\"], "
                "\"weight\": 1, \"looked_for\": \"l\", \"source\": \"s\", \"why\": \"w\", "
                "\"work\": \"k\"}",
                i == 0 ? "" : ",", i);
    fputs("]}", file);
    fclose(file);
    sp_error fault = {0};
    sp_checks *checks = sp_checks_new(own->path, &fault, NULL);
    assert_holds(fault.message, "expected at most 100 checks in all");
    assert_int_equal(sp_checks_count(checks), builtin_count());
    sp_checks_free(checks);
}

static void the_own_file_lies_where_the_base_directories_say(void **state) {
    (void)state;
    char path[256];
    char *config = getenv("XDG_CONFIG_HOME") == NULL ? NULL : strdup(getenv("XDG_CONFIG_HOME"));
    char *home = getenv("HOME") == NULL ? NULL : strdup(getenv("HOME"));
    setenv("XDG_CONFIG_HOME", "/c/onfig", 1);
    setenv("HOME", "/h/ome", 1);
    assert_true(sp_checks_own_path(path, sizeof path));
    assert_string_equal(path, "/c/onfig/serveplumb/checks.json");
    assert_false(sp_checks_own_path(path, 12));
    setenv("XDG_CONFIG_HOME", "relative", 1);
    assert_true(sp_checks_own_path(path, sizeof path));
    assert_string_equal(path, "/h/ome/.config/serveplumb/checks.json");
    unsetenv("XDG_CONFIG_HOME");
    unsetenv("HOME");
    assert_false(sp_checks_own_path(path, sizeof path));
    if (config != NULL) setenv("XDG_CONFIG_HOME", config, 1);
    if (home != NULL) setenv("HOME", home, 1);
    free(config);
    free(home);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(built_in_checks_say_all_that_is_asked_of_them),
        in_folder(a_file_that_is_not_there_is_no_fault),
        in_folder(own_checks_are_added),
        in_folder(own_entries_change_built_in_checks_member_by_member),
        in_folder(own_entries_take_checks_out),
        in_folder(own_limits_lose_the_publication_behind_them),
        in_folder(own_checks_of_the_drop_carry_its_caution),
        in_folder(a_fault_is_one_line_that_names_the_member_and_the_built_in_checks_are_used),
        in_folder(a_file_is_taken_whole_or_not_at_all),
        in_folder(a_folder_in_its_place_is_told),
        in_folder(no_more_checks_than_there_is_room_for),
        cmocka_unit_test(the_own_file_lies_where_the_base_directories_say),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
