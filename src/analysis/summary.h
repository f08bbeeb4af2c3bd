/* What a run did: the last line of every check. */
#ifndef ANALYSIS_SUMMARY_H
#define ANALYSIS_SUMMARY_H

#include <stddef.h>
#include <stdint.h>

typedef struct Summary {
    size_t files;     /* of the nursery and plans; built-in rules are not counted */
    size_t protocols; /* that can be followed */
    size_t batches;
    size_t rules;      /* in force */
    size_t no_subject; /* of those: asked of whatever is here, and about none of it */
    uint64_t held;     /* checks: a limit or rule and a subject */
    uint64_t broken;
    uint64_t undecided;
    uint64_t refused;    /* rules that could not be read */
    uint64_t accepted;   /* findings that somebody accepted */
    uint64_t judged_off; /* rules and findings that the nursery switched off */
    uint64_t known;      /* findings that the baseline lists */
} Summary;

static inline uint64_t summary_checks(const Summary *summary)
{
    return summary->held + summary->broken + summary->undecided;
}

#endif
