/* The sections of a page. Each appends to the page; those that can fail say so. */
#ifndef SP_DELIVER_PAGE_H
#define SP_DELIVER_PAGE_H

#include "base/text.h"
#include "serveplumb/page.h"

typedef struct {
    sp_text html;
    const sp_page_options *options;
    int level; /* of the sections' headings */
    int part;  /* 0: the first review; makes ids unique */
} sp_page;

/* The sheet of styles, and its SHA-256 as the policy names it. */
extern const char sp_page_style[], sp_page_style_hash[];

/* Up to the heading of the whole, and what closes it. `beside`: plays a clip of its folder. */
void sp_page_begin(sp_page *page, const char *title, bool beside);
void sp_page_end(sp_page *page);

void sp_page_heading(sp_page *page, const char *title);
/* A line of plain words; `kind` a class of the style, NULL: none. */
void sp_page_paragraph(sp_page *page, const char *kind, const char *text);
/* The caution of the drop in full, and a link to it for whatever else shows the drop. */
void sp_page_drop_cautions(sp_page *page, const sp_page_part *part);
void sp_page_drop_pointer(sp_page *page);
bool sp_page_shows_drop(const sp_page_part *part);

void sp_page_findings(sp_page *page, const sp_page_part *part);
/* The whole serve at a glance, then each moment with its numbers. */
bool sp_page_row(sp_page *page, const sp_page_part *part, sp_error *error);
bool sp_page_moments(sp_page *page, const sp_page_part *part, sp_error *error);
bool sp_page_beside(sp_page *page, const sp_page_part *a, const sp_page_part *b, sp_error *error);
bool sp_page_reel(sp_page *page, const sp_page_part *part, sp_error *error);
void sp_page_readout(sp_page *page, const sp_page_part *part);
bool sp_page_curves(sp_page *page, const sp_page_part *part, sp_error *error);
void sp_page_unseen(sp_page *page, const sp_page_part *part);
void sp_page_notes(sp_page *page, const sp_page_part *part);
void sp_page_cautions(sp_page *page, const sp_page_part *part);
void sp_page_next_clip(sp_page *page, const sp_page_part *part);

#endif
