/* The difference between two nurseries to bytes. Each form is one function; none of them computes anything.
 */
#ifndef WRITE_BRIEFING_H
#define WRITE_BRIEFING_H

#include "analysis/diff.h"
#include "base/buffer.h"

typedef struct Briefing {
    Arena *arena;
    const Diff *diff;
    const char *before, *after; /* as the two were named: paths, revisions */
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

/* One change in words, after its path: "depth 10 .. 30 mm -> 12 .. 25 mm (narrower)". Lives in the arena. */
const char *change_words(Arena *arena, const Change *change);
/* What of the owner it is: "must depth". */
const char *change_field(Arena *arena, const Change *change);
/* "protocol", "place" …, and how many of a kind are called. */
const char *block_kind_many(BlockKind kind);

/* Changes of one kind that came or went together, and are told in one line: the batches of a new season. */
typedef struct Fold {
    size_t count; /* of changes from here on; at least 1 */
    bool folded;
} Fold;
Fold fold_at(const Diff *diff, size_t index);

#endif
