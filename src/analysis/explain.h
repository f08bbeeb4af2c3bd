/* One page about one topic: what it means, where it may stand, what it takes, how grave it is, a good and a
 * bad example, and where the nursery uses it. */
#ifndef ANALYSIS_EXPLAIN_H
#define ANALYSIS_EXPLAIN_H

#include "analysis/topic.h"
#include "base/vec.h"
#include "model/plan.h"

enum { PAGE_USES = 10 };

/* A line of a page: "stands in", "take, batch". */
typedef struct Fact {
    const char *label, *text;
} Fact;

typedef struct Page {
    const Topic *topic;
    const char *what;    /* "a field of take and batch" */
    const char *meaning; /* sentences */
    VEC(Fact) facts;
    const char *good, *bad; /* NULL: there is none */
    const char *told; /* what check says of the bad one; NULL when it takes more than its text to say so */
    Span uses[PAGE_USES]; /* the first few */
    size_t uses_kept;
    size_t use_count; /* all */
} Page;

/* The page of a topic, without its uses. */
Page *page_of(const Nursery *nursery, const Topic *topic, ArenaExhausted *exhausted);
/* Adds where the texts of the nursery use it, in the order of files and lines. */
void page_find_uses(const Nursery *nursery, Page *page);
/* Adds where a stretch of a table uses it. */
void page_find_uses_in_plan(const Plan *plan, Page *page);

#endif
