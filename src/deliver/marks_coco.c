/* Marks as COCO keypoints. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/json.h"
#include "serveplumb/marks_exchange.h"

/* COCO's v: 0 not marked, 1 marked though not seen, 2 marked and seen. */
enum { UNMARKED, GUESSED, SEEN };

static const sp_point_name limbs[][2] = {{SP_POINT_LEFT_SHOULDER, SP_POINT_RIGHT_SHOULDER},
                                         {SP_POINT_LEFT_SHOULDER, SP_POINT_LEFT_ELBOW},
                                         {SP_POINT_LEFT_ELBOW, SP_POINT_LEFT_WRIST},
                                         {SP_POINT_LEFT_WRIST, SP_POINT_LEFT_HAND},
                                         {SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW},
                                         {SP_POINT_RIGHT_ELBOW, SP_POINT_RIGHT_WRIST},
                                         {SP_POINT_RIGHT_WRIST, SP_POINT_RIGHT_HAND},
                                         {SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP},
                                         {SP_POINT_LEFT_HIP, SP_POINT_LEFT_KNEE},
                                         {SP_POINT_LEFT_KNEE, SP_POINT_LEFT_ANKLE},
                                         {SP_POINT_LEFT_ANKLE, SP_POINT_LEFT_TOE},
                                         {SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE},
                                         {SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE},
                                         {SP_POINT_RIGHT_ANKLE, SP_POINT_RIGHT_TOE},
                                         {SP_POINT_RACQUET_BUTT, SP_POINT_RACQUET_TIP}};

static void add_images(sp_text *json, const sp_review *review) {
    const sp_review_clip *clip = sp_review_get_clip(review);
    sp_json_open(json, "images", '[');
    for (size_t i = 0; i < sp_review_marked_count(review); i++) {
        const int frame = sp_review_marked_frame(review, i);
        char name[32];
        snprintf(name, sizeof name, "frame-%06d.png", frame);
        sp_json_open(json, NULL, '{');
        sp_json_number(json, "id", (double)i + 1);
        sp_json_number(json, "width", clip->width);
        sp_json_number(json, "height", clip->height);
        sp_json_string(json, "file_name", name);
        sp_json_number(json, "frame", frame);
        sp_json_close(json, '}');
    }
    sp_json_close(json, ']');
}

typedef struct {
    double left, top, right, bottom;
    int count;
} box;

static void add_keypoint(sp_text *json, const sp_review *review, int frame, sp_point_name name,
                         box *b) {
    sp_mark mark = {.at = {0.0, 0.0}};
    const bool there = sp_review_mark(review, frame, name, &mark);
    sp_json_number(json, NULL, mark.at.x);
    sp_json_number(json, NULL, mark.at.y);
    sp_json_number(json, NULL, !there ? UNMARKED : mark.by == SP_BY_GUESS ? GUESSED : SEEN);
    if (!there) return;
    b->left = b->count == 0 ? mark.at.x : fmin(b->left, mark.at.x);
    b->right = b->count == 0 ? mark.at.x : fmax(b->right, mark.at.x);
    b->top = b->count == 0 ? mark.at.y : fmin(b->top, mark.at.y);
    b->bottom = b->count == 0 ? mark.at.y : fmax(b->bottom, mark.at.y);
    b->count++;
}

static void add_annotation(sp_text *json, const sp_review *review, size_t index) {
    const int frame = sp_review_marked_frame(review, index);
    box b = {.count = 0};
    sp_json_open(json, NULL, '{');
    sp_json_number(json, "id", (double)index + 1);
    sp_json_number(json, "image_id", (double)index + 1);
    sp_json_number(json, "category_id", 1);
    sp_json_number(json, "iscrowd", 0);
    sp_json_open(json, "keypoints", '[');
    for (int name = 0; name < SP_POINT_COUNT; name++)
        add_keypoint(json, review, frame, (sp_point_name)name, &b);
    sp_json_close(json, ']');
    sp_json_number(json, "num_keypoints", b.count);
    sp_json_open(json, "bbox", '[');
    sp_json_number(json, NULL, b.left);
    sp_json_number(json, NULL, b.top);
    sp_json_number(json, NULL, b.right - b.left);
    sp_json_number(json, NULL, b.bottom - b.top);
    sp_json_close(json, ']');
    sp_json_number(json, "area", (b.right - b.left) * (b.bottom - b.top));
    sp_json_close(json, '}');
}

static void add_category(sp_text *json) {
    sp_json_open(json, NULL, '{');
    sp_json_number(json, "id", 1);
    sp_json_string(json, "name", "person");
    sp_json_string(json, "supercategory", "person");
    sp_json_open(json, "keypoints", '[');
    for (int name = 0; name < SP_POINT_COUNT; name++)
        sp_json_string(json, NULL, sp_point_id((sp_point_name)name));
    sp_json_close(json, ']');
    sp_json_open(json, "skeleton", '[');
    for (size_t i = 0; i < sizeof limbs / sizeof limbs[0]; i++) {
        sp_json_open(json, NULL, '[');
        sp_json_number(json, NULL, (double)limbs[i][0] + 1); /* counted from 1 */
        sp_json_number(json, NULL, (double)limbs[i][1] + 1);
        sp_json_close(json, ']');
    }
    sp_json_close(json, ']');
    sp_json_close(json, '}');
}

char *sp_marks_detach_coco(const sp_review *review, sp_error *error) {
    sp_text json = {0}, laid = {0};
    sp_json_open(&json, NULL, '{');
    sp_json_open(&json, "info", '{');
    sp_json_string(&json, "description", "Points of a serve, tapped in Serveplumb " SP_VERSION);
    sp_json_close(&json, '}');
    add_images(&json, review);
    sp_json_open(&json, "annotations", '[');
    for (size_t i = 0; i < sp_review_marked_count(review); i++) add_annotation(&json, review, i);
    sp_json_close(&json, ']');
    sp_json_open(&json, "categories", '[');
    add_category(&json);
    sp_json_close(&json, ']');
    sp_json_close(&json, '}');
    size_t values = 0;
    if (!json.failed) sp_json_layout(&laid, sp_text_get(&json), &values);
    sp_text_append(&laid, "\n");
    char *text = json.failed ? NULL : sp_text_detach(&laid);
    sp_text_clear(&json);
    sp_text_clear(&laid);
    if (text == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory for the points");
    return text;
}

/* --- back in -----------------------------------------------------------------------------------
 */

typedef struct {
    double id;
    size_t order;
    const cJSON *item;
} entry;

/* The items of a list by their ids, of which a large set has as many as it has annotations. */
typedef struct {
    entry *entries;
    size_t count;
} by_id;

typedef struct {
    by_id images, categories;
    const char *name;
    size_t count;
    sp_error *error;
} dataset;

static int compare_entries(const void *one, const void *other) {
    const entry *a = one, *b = other;
    if (a->id != b->id) return a->id < b->id ? -1 : 1;
    return (a->order > b->order) - (a->order < b->order);
}

static bool sort_by_id(const cJSON *list, by_id *sorted, sp_error *error) {
    const cJSON *item;
    size_t order = 0;
    cJSON_ArrayForEach(item, list) order++;
    sorted->entries = calloc(order + 1, sizeof *sorted->entries);
    if (sorted->entries == NULL) return sp_fail(error, SP_ERROR_MEMORY, "no memory for the points");
    order = 0;
    cJSON_ArrayForEach(item, list) {
        const cJSON *id = cJSON_GetObjectItemCaseSensitive(item, "id");
        if (cJSON_IsNumber(id))
            sorted->entries[sorted->count++] = (entry){id->valuedouble, order++, item};
    }
    qsort(sorted->entries, sorted->count, sizeof *sorted->entries, compare_entries);
    return true;
}

/* Of several with one id, the first. */
static const cJSON *find(const by_id *sorted, const cJSON *id) {
    if (!cJSON_IsNumber(id)) return NULL;
    size_t low = 0, high = sorted->count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (sorted->entries[middle].id < id->valuedouble)
            low = middle + 1;
        else
            high = middle;
    }
    const bool found = low < sorted->count && sorted->entries[low].id == id->valuedouble;
    return found ? sorted->entries[low].item : NULL;
}

/* "frame-000246.png": its last number. */
static double number_in(const char *name) {
    const char *end = name + strlen(name);
    while (end > name && !isdigit((unsigned char)end[-1])) end--;
    const char *start = end;
    while (start > name && isdigit((unsigned char)start[-1])) start--;
    return start == end || end - start > 9 ? -1.0 : strtod(start, NULL);
}

static int frame_of(const cJSON *image, const sp_review *review) {
    const cJSON *frame = cJSON_GetObjectItemCaseSensitive(image, "frame");
    const cJSON *name = cJSON_GetObjectItemCaseSensitive(image, "file_name");
    const double number = cJSON_IsNumber(frame)  ? frame->valuedouble
                          : cJSON_IsString(name) ? number_in(name->valuestring)
                                                 : -1.0;
    const bool good =
        number == floor(number) && number >= 0 && number < sp_review_get_clip(review)->frames;
    return good ? (int)number : -1;
}

static bool take_point(dataset *d, sp_review *review, int frame, const cJSON *name,
                       const cJSON *three) {
    const cJSON *x = three, *y = x == NULL ? NULL : x->next, *v = y == NULL ? NULL : y->next;
    sp_point_name point;
    if (v == NULL || !cJSON_IsNumber(x) || !cJSON_IsNumber(y) || !cJSON_IsNumber(v))
        return sp_fail(d->error, SP_ERROR_FORMAT,
                       "%s: annotation of frame %d: 'keypoints' is to hold three numbers for each "
                       "name of its category",
                       d->name, frame);
    if (v->valuedouble == UNMARKED) return true;
    if (!cJSON_IsString(name) || !sp_point_find(name->valuestring, &point)) return true;
    const sp_mark mark = {.at = {x->valuedouble, y->valuedouble},
                          .by = v->valuedouble == GUESSED ? SP_BY_GUESS : SP_BY_TAP};
    d->count++;
    return sp_review_set_mark(review, frame, point, &mark, d->error);
}

static bool take_annotation(dataset *d, sp_review *review, const cJSON *annotation) {
    const cJSON *image = find(&d->images, cJSON_GetObjectItemCaseSensitive(annotation, "image_id"));
    const cJSON *category =
        find(&d->categories, cJSON_GetObjectItemCaseSensitive(annotation, "category_id"));
    const cJSON *names = cJSON_GetObjectItemCaseSensitive(category, "keypoints");
    const cJSON *three = cJSON_GetObjectItemCaseSensitive(annotation, "keypoints");
    const int frame = image == NULL ? -1 : frame_of(image, review);
    if (frame < 0)
        return sp_fail(d->error, SP_ERROR_FORMAT,
                       "%s: an annotation belongs to no frame of the clip; give its image a member "
                       "\"frame\", or the frame's number in file_name",
                       d->name);
    if (!cJSON_IsArray(names) || !cJSON_IsArray(three))
        return sp_fail(d->error, SP_ERROR_FORMAT,
                       "%s: annotation of frame %d: its category names no 'keypoints', or it has "
                       "none itself",
                       d->name, frame);
    three = three->child;
    const cJSON *name;
    cJSON_ArrayForEach(name, names) {
        if (!take_point(d, review, frame, name, three)) return false;
        three = three->next->next->next;
    }
    return true;
}

static bool take_dataset(dataset *d, sp_review *review, const cJSON *tree) {
    const cJSON *images = cJSON_GetObjectItemCaseSensitive(tree, "images"),
                *annotations = cJSON_GetObjectItemCaseSensitive(tree, "annotations"),
                *categories = cJSON_GetObjectItemCaseSensitive(tree, "categories"), *annotation;
    if (!cJSON_IsArray(images) || !cJSON_IsArray(annotations) || !cJSON_IsArray(categories))
        return sp_fail(d->error, SP_ERROR_FORMAT,
                       "%s: expected the lists images, annotations and categories of COCO",
                       d->name);
    if (!sort_by_id(images, &d->images, d->error) ||
        !sort_by_id(categories, &d->categories, d->error))
        return false;
    cJSON_ArrayForEach(annotation, annotations) {
        if (!take_annotation(d, review, annotation)) return false;
    }
    return true;
}

bool sp_marks_take_coco(sp_review *review, const char *text, size_t length, const char *name,
                        size_t *count, sp_error *error) {
    cJSON *tree = sp_json_parse(text, length, name, error);
    if (tree == NULL) return false;
    dataset d = {.name = name, .error = error};
    const bool good = take_dataset(&d, review, tree);
    free(d.images.entries);
    free(d.categories.entries);
    cJSON_Delete(tree);
    if (good && count != NULL) *count = d.count;
    return good;
}
