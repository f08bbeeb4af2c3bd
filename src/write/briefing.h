/* The difference between two nurseries to bytes. Each form is one function; none of them computes anything.
 */
#ifndef WRITE_BRIEFING_H
#define WRITE_BRIEFING_H

#include "analysis/diff.h"
#include "analysis/plan_diff.h"
#include "base/buffer.h"

typedef struct Briefing {
    Arena *arena;
    const Diff *diff;
    const PlanDiff *plan; /* what it does to a plan; NULL when none was asked for */
    const char *plan_name;
    const char *before, *after; /* as the two were named: paths, revisions */
    size_t left_out;            /* things on either side that are not understood: they are not compared */
    bool same_bytes;            /* nothing at all is different */
    bool all;                   /* editorial changes unfolded */
    bool color;
} Briefing;

typedef void BriefingWriter(Buffer *out, const Briefing *briefing);

BriefingWriter briefing_write_text;
BriefingWriter briefing_write_json; /* version 1; schema in docs/diff.schema.json */
BriefingWriter briefing_write_markdown;

/* ------------------------------------------------------------------ what the forms share */

extern const char *const chapter_title[CHAPTERS];
extern const char *const chapter_name[CHAPTERS]; /* "work" … */

/* What of the owner a clause is: "must depth". */
const char *change_field(Arena *arena, const Change *change);
/* One change in words: "must depth 10 .. 30 mm -> 12 .. 25 mm (narrower)"; and with the place in its owner
 * before it. */
const char *change_words(Arena *arena, const Change *change);
const char *change_line(Arena *arena, const Change *change);
const char *change_path(Arena *arena, const Change *change); /* "callus/look"; of a block what it stands in */
bool change_same_owner(const Change *a, const Change *b);
bool change_same_reach(const Change *a, const Change *b);
/* "felt by a, b and 3 more"; NULL where nobody but the owner feels it. */
const char *change_reach(Arena *arena, const Change *change);
/* Only reason or source of a clause. */
bool change_is_trailer(const Change *change);
/* "root/look: 12 later by 2 .. 4 days, 1 new" */
/* NULL: as many as before. */
const char *needed_change_words(Arena *arena, const BatchChange *change);
const char *task_change_words(Arena *arena, const TaskChange *change);
/* "3 of 14 batches: 2 findings appear, 1 vanishes; tasks 12 new, 4 gone, 31 moved" */
const char *plan_sentence(Arena *arena, const PlanDiff *plan);
/* The totals, or that nothing is different. */
const char *briefing_sentence(const Briefing *briefing);
/* "Left out, as it cannot be taken as it is: 2 things."; NULL. */
const char *briefing_left_out(const Briefing *briefing);

/* Changes of one kind that came or went together, and are told in one line: the batches of a new season. */
typedef struct Fold {
    size_t count; /* of changes from here on; at least 1 */
    bool folded;
} Fold;
Fold fold_at(const Diff *diff, size_t index);
const char *fold_words(Arena *arena, const Change *changes,
                       size_t count); /* "30 batches are new: a, b and 28 more" */

#endif
